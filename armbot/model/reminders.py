"""How the reminders of a season behave: their hours, limits and repeats, as data.

Nothing here computes; armbot.core.reminders and armbot.engine.reminders do.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from armbot.model.outings import OutingKind
from armbot.model.rules import Figure

PERCENT = 100
"""What a share of a limit is counted in."""


class ReminderKind(StrEnum):
    """What a reminder is about. The value is what keys, buttons and settings name it by.

    The order is that of importance: where only one may be sent, the first one is.
    """

    SEEN = "seen"
    """After a report: has somebody looked at the arm?"""
    PLANNED = "planned"
    """A planned outing would break a rule."""
    ARM = "arm"
    """The morning after throwing: how is the arm?"""
    ELIGIBLE = "eligible"
    """The first day to pitch again."""
    REST = "rest"
    """The evening of an outing: the rest days."""
    OFF = "off"
    """Everything about a planned off-season."""
    LIMITS = "limits"
    """Innings, months, weeks, days in a row and teams: close to a limit, or over it."""


class Limit(StrEnum):
    """What a reminder of the kind LIMITS looks at."""

    INNINGS = "innings"
    MONTHS = "months"
    WEEK = "week"
    DAYS = "days"
    """Days in a row with throwing."""
    TEAMS = "teams"


@dataclass(frozen=True, slots=True)
class KindSettings:
    """When reminders of one kind come.

    ``hour`` is the hour of the family's day (0 to 23); ``again_hour``, where there is one,
    that of a second time on the next day. ``useful_hours`` run from the first time: later
    the reminder is of no use; a kind useful for more than a day is tried again each day at
    its hour. ``can_wait`` marks kinds that stand back on a day full of reminders.
    ``names`` is what settings call it, by language.
    """

    kind: ReminderKind
    names: dict[str, str]
    hour: Figure
    again_hour: Figure | None
    useful_hours: Figure
    can_wait: bool


@dataclass(frozen=True, slots=True)
class FollowUps:
    """After a report: days until the first question, days between, and the most of them."""

    first_day: Figure
    every_days: Figure
    most: Figure


@dataclass(frozen=True, slots=True)
class SorenessRest:
    """Days without throwing after soreness the next day: at least, and by a stricter plan."""

    least: Figure
    strict: Figure


@dataclass(frozen=True, slots=True)
class LimitSettings:
    """When a limit counts as near, and how often it may be told.

    ``near_percent`` of a limit used up is near; ``days_running`` throwing days in a row are
    told; ``repeat_days`` must pass before the same limit is told again.
    """

    near_percent: Figure
    days_running: Figure
    repeat_days: Mapping[Limit, Figure]


@dataclass(frozen=True, slots=True)
class OffSettings:
    """The off-season.

    ``notice_days`` before its end the way back is told; ``usual_month`` is the month of the
    year (1 to 12) in which it usually begins; ``warn_again_days`` lie between two warnings.
    """

    notice_days: Figure
    usual_month: Figure
    warn_again_days: Figure


@dataclass(frozen=True, slots=True)
class Reminders:
    """All reminder settings.

    ``in_time_minutes``: later than this a reminder is late. ``most_a_day``: reminders a day
    about one athlete after which kinds that can wait do. ``kept_days``: how long a reminder
    dealt with is remembered. ``arm_after``: the outings the next morning asks about.
    """

    kinds: Mapping[ReminderKind, KindSettings]
    in_time_minutes: Figure
    most_a_day: Figure
    kept_days: Figure
    arm_after: frozenset[OutingKind]
    follow_ups: FollowUps
    soreness: SorenessRest
    limits: LimitSettings
    off: OffSettings
