"""What the picture, its text and the calendar show of one athlete: values only."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from armbot.core.season import Month
from armbot.model.family import OffSeason
from armbot.model.people import AgeSpan
from armbot.model.season import OffFrom


class State(StrEnum):
    """Where the athlete stands today; the first that holds, in this order."""

    HOLD = "hold"
    """No throwing until a clearance is recorded."""
    WAITING = "waiting"
    """A safety question is open: no throwing until it is answered."""
    DAY_OFF = "day_off"
    """A sign was asked about and settled today: no throwing today."""
    OFF_SEASON = "off_season"
    NO_AGE = "no_age"
    NO_TABLE = "no_table"
    """No table held here fits the athlete."""
    EMPTY = "empty"
    """Nothing is logged in the weeks shown."""
    COUNT_MISSING = "count_missing"
    """Pitched without a count, and the rest depends on it."""
    BEYOND = "beyond"
    """More pitches than any row of the table: no day is named."""
    NOT_ALLOWED = "not_allowed"
    """No figure read in print allows this athlete to pitch: no day is named."""
    REST = "rest"
    """The first day to pitch again is still to come."""
    FREE = "free"
    """No rest is owed today by what is logged."""


class Arm(StrEnum):
    """How a month was spent."""

    PITCHED = "pitched"
    LOADED = "loaded"
    """Thrown otherwise, caught, or another overhead sport: not off."""
    OFF = "off"
    UNKNOWN = "unknown"
    """Not over yet, or from before the log began."""


class Plan(StrEnum):
    """What stands against a planned outing, as things are today."""

    OPEN = "open"
    """Nothing in the table does."""
    REST = "rest"
    OFF_SEASON = "off_season"
    UNSURE = "unsure"
    """No day can be named now: on hold, a question open, a count or a table missing."""


@dataclass(frozen=True, slots=True)
class DayShown:
    """One day: what the arm did, and whether it should have.

    ``pitches`` are those of games, all teams together, None on a day without pitching in
    a game; with ``counted`` false they are only a floor. ``practice`` are those of bullpens,
    lessons and practice, None without any. ``limit`` is the most allowed on that day,
    None where no table says. ``rest`` is owed for an earlier day.
    """

    day: date
    pitches: int | None = None
    counted: bool = True
    practice: int | None = None
    caught: bool = False
    other_sport: bool = False
    limit: int | None = None
    rest: bool = False
    hold: bool = False
    off_season: bool = False
    planned: bool = False

    @property
    def pitched(self) -> bool:
        """Whether it was pitched in a game."""
        return self.pitches is not None

    @property
    def over(self) -> bool:
        """Whether more was pitched in games than the limit of the day."""
        return self.limit is not None and (self.pitches or 0) > self.limit

    @property
    def breach(self) -> bool:
        """Over the limit, or thrown on a day meant for rest: bullpens and catching too."""
        closed = self.rest or self.hold or self.off_season
        threw = self.pitched or self.practice is not None or self.caught
        return self.over or (threw and closed)


@dataclass(frozen=True, slots=True)
class MonthShown:
    """One calendar month, and on how many of its days games were pitched."""

    month: Month
    use: Arm
    days: int


@dataclass(frozen=True, slots=True)
class MonthsAim:
    """Months off against what is advised at the athlete's age.

    ``off`` and ``run`` (in a row) are surely known from the log; ``needed`` and
    ``run_needed`` are the guideline's, from ``source``.
    """

    off: int
    run: int
    needed: int
    run_needed: int
    off_from: OffFrom
    source: str


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """A day on which the athlete is meant to pitch, and what stands against it."""

    day: date
    plan: Plan


@dataclass(frozen=True, slots=True)
class Overview:
    """One athlete as of ``today``.

    ``days`` run from a Monday to a Sunday, whole weeks, oldest first. ``first`` is the
    first day to pitch again and is None whenever no day may be named. ``rest_ahead`` are
    rest days from today on. ``off_seasons`` and ``planned`` are those not over yet.
    ``follow_ups`` are the days from today on that ask whether the arm was looked at.
    ``missing`` is the last day without a count where the rest depends on it. ``draft``
    marks content that no clinician has signed.
    """

    athlete: str
    name: str
    age: AgeSpan | None
    today: date
    state: State
    days: tuple[DayShown, ...]
    weeks: int
    months: tuple[MonthShown, ...]
    aim: MonthsAim | None
    limit: int | None
    first: date | None
    rest_ahead: tuple[date, ...]
    hold_since: date | None
    off_seasons: tuple[OffSeason, ...]
    planned: tuple[PlannedDay, ...]
    follow_ups: tuple[date, ...]
    missing: date | None
    sources: tuple[str, ...]
    draft: bool

    @property
    def closed(self) -> bool:
        """Whether no throwing at all is allowed today."""
        return self.state in (State.HOLD, State.WAITING, State.DAY_OFF, State.OFF_SEASON)

    @property
    def grants(self) -> bool:
        """Whether picture, text or calendar could be read as leave to throw."""
        named = self.state in (State.REST, State.FREE)
        return named or any(planned.plan is Plan.OPEN for planned in self.planned)

    def longest_run(self, use: Arm) -> int:
        """Most months in a row spent so."""
        longest = run = 0
        for month in self.months:
            run = run + 1 if month.use is use else 0
            longest = max(longest, run)
        return longest
