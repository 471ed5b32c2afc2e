"""The long view: innings in 12 months, months off, caps by week, season and year."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from typing import TYPE_CHECKING

from armbot.core.log import MOUND_WORK, check, is_appearance
from armbot.model.outings import Outing, OutingKind
from armbot.model.season import CapSpan, InningsRest, OffFrom

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from armbot.model.people import AgeSpan
    from armbot.model.rules import Figure
    from armbot.model.season import Ages, InningsLimit, MonthsOff, PitchCap

OUTS_PER_INNING = 3
WEEK = 7
"""Days in a week: any seven running, not the calendar's."""
_MONTHS = 12

Month = tuple[int, int]
"""(year, month)."""


@dataclass(frozen=True, slots=True)
class InningsTotal:
    """Innings pitched in 12 months, in outs (thirds of an inning).

    ``missing`` are days pitched without innings; ``complete`` is False when the log does
    not reach back over the window or a day is missing: then the total is only a floor.
    """

    outs: int
    first_day: date
    last_day: date
    outings: int
    missing: tuple[date, ...]
    complete: bool


@dataclass(frozen=True, slots=True)
class InningsCheck:
    """A total against the limit of an age. All in outs; None where there is no number."""

    outs: int
    limit: InningsLimit
    limit_outs: int | None
    left_outs: int | None
    over_by_outs: int


@dataclass(frozen=True, slots=True)
class MonthsCount:
    """How the 12 calendar months ending with a day's month were spent.

    ``pitched``: months with pitching in games; ``loaded``: months with any overhead use
    of the arm, other sports included; ``off``: months surely without any; ``off_pitching``:
    months surely without pitching in games. A month not logged from its first day, or not
    yet over, is ``unknown`` unless it was used. Runs count months in a row.
    """

    months: tuple[Month, ...]
    pitched: tuple[Month, ...]
    loaded: tuple[Month, ...]
    off: tuple[Month, ...]
    off_pitching: tuple[Month, ...]
    unknown: tuple[Month, ...]
    longest_run: int
    longest_run_pitching: int


@dataclass(frozen=True, slots=True)
class MonthsCheck:
    """A count of months against the guideline row of an age.

    ``ok`` needs both the months off and the months in a row, from what is surely known.
    """

    row: MonthsOff
    off: int
    needed: int
    run: int
    run_needed: int
    ok: bool


@dataclass(frozen=True, slots=True)
class CapCheck:
    """Pitches over a span against one cap; ``missing`` are days without a count."""

    cap: PitchCap
    limit: int
    thrown: int
    left: int
    over_by: int
    missing: tuple[date, ...]


def window_12_months(day: date) -> tuple[date, date]:
    """First and last day of the 12 months ending on ``day``: 365 or 366 days."""
    last = monthrange(day.year - 1, day.month)[1]
    year_before = date(day.year - 1, day.month, min(day.day, last))
    return year_before + timedelta(days=1), day


def innings_in_12_months(
    outings: Iterable[Outing], day: date, *, log_from: date | None = None
) -> InningsTotal:
    """Innings pitched in games in the 12 months ending on ``day``, every team together.

    ``log_from`` is the day since which everything is logged, None if that is not known.
    Raises ValueError for an impossible outing.
    """
    first, last = window_12_months(day)
    counted = [
        outing for outing in outings if is_appearance(outing) and first <= outing.day <= last
    ]
    for outing in counted:
        check(outing)
    missing = tuple(sorted({outing.day for outing in counted if outing.outs is None}))
    reaches = log_from is not None and log_from <= first
    return InningsTotal(
        outs=sum(outing.outs or 0 for outing in counted),
        first_day=first,
        last_day=last,
        outings=len(counted),
        missing=missing,
        complete=reaches and not missing,
    )


def innings_check(limits: Sequence[InningsLimit], age: AgeSpan, outs: int) -> InningsCheck | None:
    """``outs`` against the lowest limit that fits ``age``; None outside every row."""
    fitting = [row for row in limits if _touches(row.ages, age)]
    if not fitting:
        return None
    numbered = [row for row in fitting if row.innings is not None]
    row = min(numbered, key=_innings_of, default=fitting[0])
    if row.innings is None:
        return InningsCheck(outs, row, None, None, 0)
    most = row.innings.value * OUTS_PER_INNING
    return InningsCheck(outs, row, most, max(most - outs, 0), max(outs - most, 0))


def _innings_of(row: InningsLimit) -> int:
    return row.innings.value if row.innings else 0


def _touches(ages: Ages, age: AgeSpan) -> bool:
    return ages[0] <= age.last and age.first <= ages[1]


def count_months(
    outings: Iterable[Outing], day: date, *, log_from: date | None = None
) -> MonthsCount:
    """How the 12 calendar months ending with the month of ``day`` were spent.

    Another overhead sport, catching, lessons and practice all load the arm: such a month
    is not off. Without ``log_from`` the log counts from its first outing on.
    """
    used = [outing for outing in outings if outing.day <= day]
    begins = log_from or min((outing.day for outing in used), default=day)
    months = _months_ending(day)
    loaded = {_month(outing.day) for outing in used if _loads(outing)}
    pitched = {_month(outing.day) for outing in used if is_appearance(outing)}
    known = [month for month in months if _fully_known(month, begins, day)]
    off = [month for month in known if month not in loaded]
    off_pitching = [month for month in known if month not in pitched]
    return MonthsCount(
        months=months,
        pitched=tuple(month for month in months if month in pitched),
        loaded=tuple(month for month in months if month in loaded),
        off=tuple(off),
        off_pitching=tuple(off_pitching),
        unknown=tuple(m for m in months if m not in loaded and m not in off),
        longest_run=_longest_run(months, off),
        longest_run_pitching=_longest_run(months, off_pitching),
    )


def _month(day: date) -> Month:
    return day.year, day.month


def _months_ending(day: date) -> tuple[Month, ...]:
    last = day.year * _MONTHS + day.month - 1
    numbers = range(last - _MONTHS + 1, last + 1)
    return tuple((number // _MONTHS, number % _MONTHS + 1) for number in numbers)


def _loads(outing: Outing) -> bool:
    """Whether the outing used the arm overhead at all."""
    return outing.kind is not OutingKind.GAME or is_appearance(outing) or outing.innings_caught > 0


def _fully_known(month: Month, begins: date, day: date) -> bool:
    """Whether the log covers the whole month, which is over."""
    year, number = month
    first, last = date(year, number, 1), date(year, number, monthrange(year, number)[1])
    return begins <= first and last <= day


def _longest_run(months: Sequence[Month], chosen: Sequence[Month]) -> int:
    runs = groupby(months, key=lambda month: month in chosen)
    return max((len(list(run)) for is_off, run in runs if is_off), default=0)


def months_check(rows: Sequence[MonthsOff], age: AgeSpan, count: MonthsCount) -> MonthsCheck | None:
    """``count`` against the row of the younger age; None outside every row.

    A number of weeks in a row is met by one whole month: the careful reading.
    """
    row = next((row for row in rows if _touches(row.ages, age)), None)
    if row is None:
        return None
    months = count.off if row.off_from is OffFrom.ALL_THROWING else count.off_pitching
    needed = row.off_months.value
    run_needed = row.run_months[0].value if row.run_months else 1
    met = len(months) >= needed and count.longest_run >= run_needed
    return MonthsCheck(row, len(months), needed, count.longest_run, run_needed, met)


def pitches_between(
    outings: Iterable[Outing], first: date, last: date, *, counts_practice: bool
) -> tuple[int, tuple[date, ...]]:
    """Pitches thrown from ``first`` to ``last``, and the days pitched without a count."""
    total, missing = 0, set()
    for outing in outings:
        counts = is_appearance(outing) or (counts_practice and outing.kind in MOUND_WORK)
        if not counts or not first <= outing.day <= last:
            continue
        check(outing)
        total += outing.pitches or 0
        if outing.pitches is None:
            missing.add(outing.day)
    return total, tuple(sorted(missing))


def cap_limit(cap: PitchCap, age: AgeSpan) -> int | None:
    """What ``cap`` allows at the younger end of ``age``; None if it does not apply."""
    if not _touches(cap.ages, age):
        return None
    figure: Figure | None = cap.most
    if figure is not None:
        return figure.value
    per_year = cap.most_per_year_of_age
    return per_year.value * max(age.first, cap.ages[0]) if per_year else None


def check_cap(
    cap: PitchCap, age: AgeSpan, thrown: int, missing: tuple[date, ...] = ()
) -> CapCheck | None:
    """``thrown`` pitches against one cap; None where the cap does not apply at ``age``."""
    limit = cap_limit(cap, age)
    if limit is None:
        return None
    return CapCheck(cap, limit, thrown, max(limit - thrown, 0), max(thrown - limit, 0), missing)


def week_checks(
    caps: Sequence[PitchCap], age: AgeSpan, outings: Iterable[Outing], day: date
) -> tuple[CapCheck, ...]:
    """Every weekly cap at ``age`` against the seven days ending on ``day``, least room first."""
    log = list(outings)
    first = day - timedelta(days=WEEK - 1)
    checks = []
    for cap in caps:
        if cap.span is CapSpan.WEEK:
            practice = cap.counts_practice
            thrown, missing = pitches_between(log, first, day, counts_practice=practice)
            checks.append(check_cap(cap, age, thrown, missing))
    known = [found for found in checks if found is not None]
    return tuple(sorted(known, key=lambda found: found.limit - found.thrown))


def innings_only_rest(rows: Sequence[InningsRest], age: AgeSpan, outs: int) -> InningsRest | None:
    """What common practice asks where only innings are known: more rest, never a yes.

    None means that it has nothing to say, not that no rest is owed: ask for the count.
    The longest rest answers where ``age`` touches several rows.
    """
    fitting = [row for row in rows if _touches(row.ages, age) and outs >= row.from_outs]
    return max(fitting, key=lambda row: row.rest.value, default=None)
