"""Season limits, months off, pitch types and study findings as data.

Nothing here computes; armbot.core.season does.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from armbot.model.cite import Cite
    from armbot.model.rules import Figure

Ages = tuple[int, int]
"""Youngest and oldest age in whole years, both included."""


class OffFrom(StrEnum):
    """What the months off are off from."""

    ALL_THROWING = "all_throwing"
    COMPETITIVE_PITCHING = "competitive_pitching"


class CapSpan(StrEnum):
    """Over what span a pitch cap is counted."""

    GAME = "game"
    OUTING = "outing"
    DAY = "day"
    WEEK = "week"
    SEASON = "season"
    YEAR = "year"


@dataclass(frozen=True, slots=True)
class InningsLimit:
    """Most innings in any 12 months, all teams together; None: no number, keep track."""

    ages: Ages
    innings: Figure | None
    cite: Cite


@dataclass(frozen=True, slots=True)
class MonthsOff:
    """Months off in a year at these ages, and how many of them in a row.

    ``run_months`` counts months in a row without any overhead throwing: at least the
    first figure, better the second. ``run_weeks`` stands instead where weeks are given.
    """

    ages: Ages
    off_months: Figure
    off_from: OffFrom
    run_months: tuple[Figure, Figure] | None
    run_weeks: Figure | None


@dataclass(frozen=True, slots=True)
class MonthsAdvice:
    """What another body advises about months off, in its own measure."""

    id: str
    months: Figure
    says: dict[str, str]


@dataclass(frozen=True, slots=True)
class Sport:
    """Another sport, and whether a month of it counts as rest for a throwing arm."""

    id: str
    names: dict[str, str]
    aliases: dict[str, tuple[str, ...]]
    rests_arm: bool
    cite: Cite


@dataclass(frozen=True, slots=True)
class PitchCap:
    """A cap on pitches over a span: a fixed number, or so many per year of age."""

    id: str
    span: CapSpan
    ages: Ages
    most: Figure | None
    most_per_year_of_age: Figure | None
    counts_practice: bool
    names: dict[str, str]


@dataclass(frozen=True, slots=True)
class StudyFinding:
    """A ratio from a study, with what was measured in whom: linked, never "causes".

    ``multiple`` and ``interval`` (95 percent) are as printed, the interval empty
    where it is not known.
    """

    id: str
    exposure: dict[str, str]
    measured: dict[str, str]
    people: dict[str, str]
    multiple: str
    interval: str
    cite: Cite
    caution: dict[str, str]


@dataclass(frozen=True, slots=True)
class InningsRest:
    """Common practice where only innings are known: from so many outs, at least this rest.

    ``most_outs`` is the most that should be pitched at these ages, None if not said.
    """

    ages: Ages
    from_outs: int
    most_outs: int | None
    rest: Figure


@dataclass(frozen=True, slots=True)
class Season:
    """All season content."""

    innings: tuple[InningsLimit, ...]
    months_off: tuple[MonthsOff, ...]
    months_advice: tuple[MonthsAdvice, ...]
    pitching_months_most: Figure
    """Most months of pitching a year: more goes with more surgery in one study."""
    sports: tuple[Sport, ...]
    caps: tuple[PitchCap, ...]
    findings: tuple[StudyFinding, ...]
    innings_rest: tuple[InningsRest, ...]


@dataclass(frozen=True, slots=True)
class PitchAge:
    """The age one source gives for starting a pitch, and how it puts it."""

    age: Figure
    says: dict[str, str]


@dataclass(frozen=True, slots=True)
class PitchType:
    """A kind of pitch and from what age it is advised.

    ``careful_age`` is what an answer prints: the age is opinion, load matters more.
    """

    id: str
    names: dict[str, str]
    aliases: dict[str, tuple[str, ...]]
    careful_age: Figure
    opinions: tuple[PitchAge, ...]
    notes: dict[str, str]
