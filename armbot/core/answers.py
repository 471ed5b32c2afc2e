"""What the workload functions answer: dates, counts and the reasons behind them.

A reason is data, not prose: the engine puts it into words in the family's language.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from armbot.core.ages import GroupChoice
    from armbot.model.cite import Cite
    from armbot.model.rules import RestCount

Fact = int | str | date


class Rule(StrEnum):
    """Which kind of rule a reason rests on. The facts each carries stand beside it.

    Every reason that bars pitching also carries ``first_eligible`` (date) once
    ``eligibility`` has worked it out, and ``group`` (row id) where a row was used.
    """

    REST = "rest"
    """day, pitches, rest, unit, whole_days, first_count, last_count (absent: and up), group."""
    COUNT_MISSING = "count_missing"
    """day: pitched without a count, so the longest rest of the row is kept. Ask for it."""
    CONSECUTIVE_DAYS = "consecutive_days"
    """limit, run: days running already pitched."""
    REST_AFTER_TWO_DAYS = "rest_after_two_days"
    """rest: days owed after two days running."""
    APPEARANCES = "appearances"
    """limit, within, made."""
    NEXT_DAY_BAR = "next_day_bar"
    """limit, pitches, day."""
    INNINGS_NEXT_DAY = "innings_next_day"
    """limit_outs, outs, day."""
    INNINGS_WINDOW = "innings_window"
    """limit_outs, outs, within (days)."""
    WEEK_MAX = "week_max"
    """limit, thrown, within."""
    FOUR_DAY_MAX = "four_day_max"
    """limit, thrown, within."""
    THROWING_DAYS = "throwing_days"
    """limit, days, within."""
    LATER_DAY_MAX = "later_day_max"
    """limit, day_number: the ceiling on this consecutive day."""
    SECOND_GAME = "second_game"
    """mode, pitches; limit where the mode has one."""
    DAILY_MAX = "daily_max"
    """limit, pitches, left."""
    GAME_MAX = "game_max"
    """limit."""
    CATCHER_TO_PITCHER = "catcher_to_pitcher"
    """limit, innings_caught."""
    PITCHER_TO_CATCHER = "pitcher_to_catcher"
    """limit, pitches."""
    CATCH_PITCH_CATCH = "catch_pitch_catch"
    """limit, pitches."""
    PITCH_AND_CATCH = "pitch_and_catch"
    """innings_caught or pitches: never both on one day."""
    CATCHING_ON_REST_DAY = "catching_on_rest_day"
    """first_eligible."""
    AVOID_CATCHING = "avoid_catching"
    """Advice beside an allowed answer."""
    MAY_NOT_PITCH = "may_not_pitch"
    """group: this row does not pitch at all."""
    BELOW_TABLE = "below_table"
    """youngest: the table starts there; nothing published permits pitching younger."""
    NOT_CONFIRMED = "not_confirmed"
    """Only figures from memory, or none, would allow it: never a yes."""
    OVER_DAILY_MAX = "over_daily_max"
    """day, pitches, limit, over_by."""
    BEYOND_TABLE = "beyond_table"
    """day, pitches, last_count: no published band above it; ask how the arm feels. As a
    bar it also carries rest and group: the older row whose rest is kept as a floor."""
    REST_BROKEN = "rest_broken"
    """day: pitched on a rest day; until: the rest that was owed."""
    MOUND_WORK = "mound_work"
    """day, pitches, kind: practice pitches, outside the game table, never time off."""
    STRADDLES = "straddles"
    """group, other: the age fits several rows; the stricter answers."""
    SEVERAL_TEAMS = "several_teams"
    """teams: how many teams' pitches were added up; the set advises one at a time."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One rule that speaks to an answer, with its numbers and origin."""

    rule: Rule
    ruleset_id: str
    cite: Cite
    facts: dict[str, Fact] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class RestAnswer:
    """What one row of a table says about a count.

    ``rest`` is in the set's own unit (calendar days or nights), ``whole_days`` the same
    as whole calendar days. ``beyond_table``: no published band reaches this count, so
    the top band is only a floor. ``lookup_count`` is the count that was looked up.
    """

    rest: int
    unit: RestCount
    whole_days: int
    first_count: int
    last_count: int | None
    daily_max: int | None
    over_daily_max: bool
    beyond_table: bool
    cite: Cite
    lookup_count: int


@dataclass(frozen=True, slots=True)
class SetAnswer:
    """What one rule set alone says: its own first eligible day and why.

    ``rest`` is its answer for the last day pitched (``rest_day``), None without a table.
    """

    ruleset_id: str
    first_eligible: date
    reasons: tuple[Reason, ...]
    rest: RestAnswer | None
    rest_day: date | None
    choice: GroupChoice
    confirmed: bool


@dataclass(frozen=True, slots=True)
class Eligibility:
    """The first day on which no rule bars pitching, over all sets together.

    ``binding`` lists every set's own reason(s), strictest first. ``rest_on`` are the
    days after the last outing that stay free; ``rest_days`` is their number, and
    ``table_days`` how many of them the rest tables ask for: "no third day running" adds
    days without any pitch of rest.
    ``flags`` do not move the date but must be said. ``confirmed`` is False when no
    figure read in print stands behind it: then it may not be told as a permission.
    """

    first_eligible: date
    rest_on: tuple[date, ...]
    rest_days: int
    binding: tuple[Reason, ...]
    by_set: tuple[SetAnswer, ...] = ()
    flags: tuple[Reason, ...] = ()
    missing_counts: tuple[date, ...] = ()
    confirmed: bool = True
    uncovered: tuple[str, ...] = ()
    """Ids of the league sets asked that have no row for this athlete: say so."""
    table_days: int = 0


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether the rules allow pitching (or catching) on a day, and how much is left.

    Never an all-clear: the rules know nothing of how the arm feels. ``reasons`` bar
    it when not allowed, and name the limits that were looked at when allowed.
    ``pitches_left`` and ``outs_left`` are None where no limit of that kind applies.
    """

    allowed: bool
    first_eligible: date
    pitches_left: int | None
    reasons: tuple[Reason, ...]
    flags: tuple[Reason, ...] = ()
    missing_counts: tuple[date, ...] = ()
    outs_left: int | None = None
    uncovered: tuple[str, ...] = ()
