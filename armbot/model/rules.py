"""Rule sets as data: who may throw how much, and how long the arm then rests.

Nothing here computes; armbot.core.workload does.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date

    from armbot.model.cite import Cite


LONGEST_REST = 30
"""Longest rest, in days or nights, that a band may hold: further back nothing is looked for."""


class RuleKind(StrEnum):
    """What stands behind a rule set."""

    HEALTH_GUIDELINE = "health_guideline"
    """Medical advice; always applied."""
    LEAGUE = "league"
    ASSOCIATION = "association"
    SOCIETY = "society"


class AgeBasis(StrEnum):
    """What "age" means in a rule set."""

    TODAY = "age_today"
    LEAGUE_AGE = "league_age"
    DIVISION = "division"
    SCHOOL_LEVEL = "school_level"


class RestCount(StrEnum):
    """How a rest day is counted."""

    CALENDAR_DAYS = "calendar_days"
    """Whole calendar days after the day thrown: first eligible = day + rest + 1."""
    NIGHTS = "nights"
    """Nights after the day thrown: first eligible = day + nights."""


class SecondGame(StrEnum):
    """What a rule set says about a second game on the same day."""

    NEVER = "never"
    IF_FIRST_AT_MOST = "if_first_at_most"
    WITHIN_DAILY_MAX = "within_daily_max"
    IF_NO_REST_OWED = "if_no_rest_owed"


@dataclass(frozen=True, slots=True)
class Figure:
    """A whole number with its origin."""

    value: int
    cite: Cite


@dataclass(frozen=True, slots=True)
class RestBand:
    """``first``..``last`` pitches (both included; None = and up) owe ``rest`` units of rest."""

    first: int
    last: int | None
    rest: int
    cite: Cite


@dataclass(frozen=True, slots=True)
class InningsRule:
    """Limits by innings, counted in outs (thirds of an inning)."""

    outs_to_pitch_next_day: int | None
    outs_per_day: int | None
    outs_per_two_days: int | None
    outs_per_three_days: int | None
    outs_per_week: int | None
    cite: Cite
    bars_next_day: tuple[tuple[int, int], ...] = ()
    """(outs, days): that many outs or more within that many days bar the next day."""


@dataclass(frozen=True, slots=True)
class Group:
    """One row of a rule set: an age group, division or school level."""

    id: str
    ages: tuple[int, int] | None
    """Youngest and oldest age in whole years, both included; None for school levels."""
    divisions: tuple[str, ...] = ()
    """Division labels that name this row directly, such as "10u"; lower case."""
    levels: tuple[str, ...] = ()
    """School levels that name this row, such as "varsity"; lower case."""
    daily_max: Figure | None = None
    game_max: Figure | None = None
    bands: tuple[RestBand, ...] = ()
    stricter_than_younger_note: str = ""
    """Required where an older row is stricter than a younger one: says why."""
    innings: InningsRule | None = None
    week_max: Figure | None = None
    four_day_max: Figure | None = None
    season_max: Figure | None = None
    year_max: Figure | None = None
    throwing_days_per_week: Figure | None = None
    later_day_max: tuple[Figure, ...] = ()
    """Daily maximum on the first, second, third... consecutive day (softball society table)."""
    no_count_beyond_max: bool = False
    """The table stops at the daily maximum: above it there is no published band."""
    partial_bands_note: str = ""
    """Required where the known bands do not cover every count: says what was missing."""
    may_not_pitch: Cite | None = None
    """Set where the rule set does not let this row pitch at all."""


@dataclass(frozen=True, slots=True)
class SideRules:
    """Everything in a rule set that is not a rest band. None means: it says nothing."""

    consecutive_days: Figure | None = None
    """Most days running on which one may pitch."""
    rest_after_two_days: Figure | None = None
    """Rest days owed after pitching on two days running."""
    appearances: tuple[Figure, Figure] | None = None
    """(most appearances, within this many consecutive days)."""
    second_game: SecondGame | None = None
    second_game_first_at_most: Figure | None = None
    second_game_cite: Cite | None = None
    finish_batter: Cite | None = None
    """May complete the batter in progress when the daily maximum is reached."""
    rest_by_first_pitch_of_last_batter: Cite | None = None
    intentional_walk_pitches: Figure | None = None
    pitcher_to_catcher_bar: Figure | None = None
    """This many pitches or more bar catching for the rest of the day."""
    catcher_to_pitcher_bar: Figure | None = None
    """This many innings caught or more bar pitching that day."""
    catch_pitch_catch_bar: tuple[tuple[int, Figure], ...] = ()
    """(from league age, pitches): catching, then that many pitches, bars catching again."""
    never_pitch_and_catch: Cite | None = None
    next_day_bar: Figure | None = None
    """More than this many pitches in a day bars pitching the next day."""
    return_to_mound: tuple[tuple[int, str, Cite], ...] = ()
    """(from age, "no" | "once", origin): after leaving the mound."""
    one_team_at_a_time: Cite | None = None
    innings_not_pitches_note: Cite | None = None
    no_catching_on_rest_days: Cite | None = None
    """A rest day from pitching is also a day without catching."""
    avoid_catching: Cite | None = None
    """Advice, not a bar: a pitcher does better at another position than catcher."""


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A published set of limits, in the words of its issuer and in numbers."""

    id: str
    kind: RuleKind
    sport: str
    scope: str
    """"all", "season" or "tournament"."""
    names: dict[str, str]
    """Full name by language."""
    short_names: dict[str, str]
    """What an answer prints, by language."""
    aliases: dict[str, tuple[str, ...]]
    """Phrases by which a family names it, by language, lower case."""
    source: str
    age_basis: AgeBasis
    age_cutoff: tuple[int, int] | None
    """(month, day) on which league age is read; None where the basis is another."""
    rest_count: RestCount
    rest_count_cite: Cite
    groups: tuple[Group, ...]
    side: SideRules = field(default_factory=SideRules)
    notes: dict[str, str] = field(default_factory=dict)
    """A caution by language, printed with answers from this set."""
    age_cutoff_cite: Cite | None = None
    """Origin of ``age_cutoff``; required with it."""
    youngest_row_is_floor: bool = False
    """Below its youngest row that row still restricts; it never permits there."""
    counts_practice: bool = False
    """Its daily and weekly limits count every full-effort throw, practice included."""


@dataclass(frozen=True, slots=True)
class RuleCase:
    """A situation with its right answer, written beside a rule set for a clinician to read.

    Exactly one of ``age``, ``division``, ``level`` names the row. ``last_batter`` is how
    many of ``pitches`` went to the last batter: with it the issuer's own reading of the
    finish-the-batter rule is meant, without it the total thrown.
    """

    id: str
    ruleset_id: str
    pitches: int
    day: date
    rest: int
    """Rest owed, in the units of the rule set."""
    first_eligible: date
    over_daily_max: bool
    source: str
    working: str
    age: int | None = None
    division: str | None = None
    level: str | None = None
    last_batter: int | None = None
    beyond_table: bool = False
