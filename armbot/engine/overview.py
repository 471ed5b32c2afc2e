"""Gathers what the picture and the calendar show of one athlete, and says it in a text.

The same tables and the same log as the answers, so that neither contradicts them. While
no throwing is allowed, no day to throw is in what is gathered, so none can be shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from armbot.core.ages import age_span
from armbot.core.answers import Eligibility, Rule
from armbot.core.log import DayTotal
from armbot.core.season import MonthsCount, count_months, months_check
from armbot.core.workload import eligibility, may_pitch
from armbot.engine.frames import GUIDELINE
from armbot.engine.overview_known import WEEK, WEEKS, Known, known_of
from armbot.engine.overview_values import (
    Arm,
    DayShown,
    MonthsAim,
    MonthShown,
    Overview,
    Plan,
    PlannedDay,
    State,
)
from armbot.engine.overview_words import overview_text, shown_name
from armbot.engine.signed import is_draft
from armbot.model.family import Athlete, Family
from armbot.model.library import Library
from armbot.model.outings import Outing, OutingKind
from armbot.model.reports import Tier
from armbot.model.rules import LONGEST_REST

__all__ = ["Overview", "overview", "overview_text"]

_AHEAD = 12 * LONGEST_REST
"""Days ahead in which a planned outing is of interest: about a year."""


def overview(
    family: Family, athlete: Athlete, library: Library, lang: str, today: date
) -> Overview:
    """What there is to show of ``athlete`` on ``today`` (the family's own date).

    ``lang`` is the language of the name where the family gave none. Raises ValueError for
    an impossible outing in the log.
    """
    known = known_of(family, athlete, library, today)
    rest, last = _rest(known)
    state = _state(known, last)
    first = _first(known, state, last)
    named = state not in (State.HOLD, State.WAITING)
    months = count_months(known.log, today)
    aim = _aim(known, months)
    return Overview(
        athlete=athlete.id,
        name=shown_name(athlete, library, lang),
        age=age_span(known.who, today),
        today=today,
        state=state,
        days=_days(known, rest, first, state),
        weeks=WEEKS,
        months=_months(known, months),
        aim=aim,
        limit=known.limit(today),
        first=first,
        rest_ahead=tuple(sorted(d for d in rest if d >= today)) if named else (),
        hold_since=known.hold_since(),
        off_seasons=known.off_seasons,
        planned=_planned(known, state, last),
        follow_ups=_follow_ups(known),
        missing=_missing(last) if state is State.COUNT_MISSING else None,
        sources=_sources(known, last, aim),
        draft=is_draft(library, "", lang, today),
    )


def _rest(known: Known) -> tuple[frozenset[date], Eligibility | None]:
    """Every day closed by an earlier outing, and what the last outing leads to.

    Only what can reach the days shown is looked at, so years of log cost no more than
    a season of it.
    """
    bands = [band.rest for rules in known.sets for row in rules.groups for band in row.bands]
    reach = known.start - timedelta(days=max([WEEK, *bands]))
    recent = [o for o in known.log if o.day >= reach - timedelta(days=LONGEST_REST)]
    closed: set[date] = set()
    found: Eligibility | None = None
    for day, total in known.totals.items():
        if total.pitched and day >= reach:
            found = _after(known, [o for o in recent if o.day <= day])
            closed.update(found.rest_on if found else ())
    return frozenset(closed), found


def _after(known: Known, outings: Sequence[Outing]) -> Eligibility | None:
    """What the tables say after these outings; None where none fits or no age is known."""
    try:
        return eligibility(known.sets, known.who, outings)
    except ValueError:
        return None


def _state(known: Known, last: Eligibility | None) -> State:
    every = (known.family.talk, *(member.talk for member in known.family.members))
    talks = [talk for talk in every if talk.athlete in ("", known.athlete.id)]
    checks = (
        (State.HOLD, known.hold_since() is not None),
        (State.WAITING, any(talk.tier is Tier.ASK for talk in talks)),
        (State.DAY_OFF, any(talk.off_on == known.today for talk in talks)),
        (State.OFF_SEASON, known.in_off_season(known.today)),
        (State.NO_TABLE, not known.sets),
        (State.NO_AGE, age_span(known.who, known.today) is None),
        (State.NO_TABLE, known.limit(known.today) is None),
    )
    for state, holds in checks:
        if holds:
            return state
    if not any(total.pitched for day, total in known.totals.items() if day >= known.start):
        return State.EMPTY if _allowed(known, known.today) else State.NOT_ALLOWED
    return State.NO_TABLE if last is None else _by_table(known, last)


def _by_table(known: Known, last: Eligibility) -> State:
    rules = {reason.rule for reason in (*last.flags, *last.binding)}
    if _missing(last) is not None:
        return State.COUNT_MISSING
    if Rule.BEYOND_TABLE in rules:
        return State.BEYOND
    if not (last.confirmed and _allowed(known, max(last.first_eligible, known.today))):
        return State.NOT_ALLOWED
    return State.REST if last.first_eligible > known.today else State.FREE


def _allowed(known: Known, day: date) -> bool:
    """Whether every table that fits allows pitching on ``day``, by figures read in print."""
    try:
        return may_pitch(known.sets, known.who, known.log, day).allowed
    except ValueError:
        return False


def _missing(last: Eligibility | None) -> date | None:
    """The last day without a count that the first day to pitch hangs on."""
    found = [r for r in (last.binding if last else ()) if r.rule is Rule.COUNT_MISSING]
    days = [day for reason in found if isinstance(day := reason.facts.get("day"), date)]
    return max(days, default=None)


def _first(known: Known, state: State, last: Eligibility | None) -> date | None:
    """The first day to pitch again, where one may be named and is not past."""
    if state not in (State.REST, State.FREE) or last is None:
        return None
    day = last.first_eligible
    return None if day < known.today or known.in_off_season(day) else day


def _days(
    known: Known, rest: frozenset[date], first: date | None, state: State
) -> tuple[DayShown, ...]:
    """Whole weeks up to today's, and one more where rest reaches into it."""
    sunday = known.today + timedelta(days=WEEK - 1 - known.today.weekday())
    ahead = [day for day in (*rest, first) if day is not None and day > sunday]
    length = WEEK * (WEEKS + bool(ahead and state is not State.HOLD))
    marks = _Marks(
        rest=rest,
        holds=tuple(known.holds()),
        planned=frozenset(p.day for p in known.family.planned if p.athlete == known.athlete.id),
        sport=frozenset(o.day for o in known.log if o.kind is OutingKind.OVERHEAD_SPORT),
    )
    return tuple(_day(known, known.start + timedelta(days=n), marks) for n in range(length))


@dataclass(frozen=True, slots=True)
class _Marks:
    """What is on which day besides the throwing itself."""

    rest: frozenset[date]
    holds: tuple[tuple[date, date | None], ...]
    planned: frozenset[date]
    sport: frozenset[date]

    def held(self, day: date) -> bool:
        """Whether a hold was, or is and stays, on the athlete on ``day``."""
        return any(first <= day and (last is None or day <= last) for first, last in self.holds)


def _day(known: Known, day: date, marks: _Marks) -> DayShown:
    total = known.totals.get(day, DayTotal(day))
    held = marks.held(day)
    return DayShown(
        day=day,
        pitches=total.known if total.pitched else None,
        counted=total.pitches is not None,
        practice=total.practice if total.practised else None,
        caught=total.caught > 0,
        other_sport=day in marks.sport,
        limit=known.limit(day),
        rest=day in marks.rest and not (held and day >= known.today),
        hold=held,
        off_season=known.in_off_season(day),
        planned=day in marks.planned and day >= known.today and not held,
    )


def _months(known: Known, count: MonthsCount) -> tuple[MonthShown, ...]:
    uses = {Arm.PITCHED: count.pitched, Arm.LOADED: count.loaded, Arm.OFF: count.off}
    days = [(d.year, d.month) for d, total in known.totals.items() if total.pitched]
    return tuple(
        MonthShown(
            month,
            next((use for use, months in uses.items() if month in months), Arm.UNKNOWN),
            days.count(month),
        )
        for month in count.months
    )


def _aim(known: Known, count: MonthsCount) -> MonthsAim | None:
    age = age_span(known.who, known.today)
    check = months_check(known.library.season.months_off, age, count) if age else None
    if check is None or not known.sets:
        return None
    row = check.row
    source = row.off_months.cite.source
    return MonthsAim(check.off, check.run, check.needed, check.run_needed, row.off_from, source)


def _planned(known: Known, state: State, last: Eligibility | None) -> tuple[PlannedDay, ...]:
    own = {p.day for p in known.family.planned if p.athlete == known.athlete.id}
    horizon = known.today + timedelta(days=_AHEAD)
    coming = sorted(day for day in own if known.today <= day <= horizon)
    return tuple(PlannedDay(day, _plan(known, day, state, last)) for day in coming)


def _plan(known: Known, day: date, state: State, last: Eligibility | None) -> Plan:
    """What stands against a planned day: more days without throwing only ever free it."""
    if state is State.HOLD:
        return Plan.UNSURE
    if known.in_off_season(day):
        return Plan.OFF_SEASON
    if last is not None and day < last.first_eligible:
        return Plan.REST
    open_states = (State.REST, State.FREE, State.EMPTY)
    return Plan.OPEN if state in open_states else Plan.UNSURE


def _follow_ups(known: Known) -> tuple[date, ...]:
    """The days from today on that ask whether the arm was looked at, while on hold."""
    since = known.hold_since()
    if since is None:
        return ()
    rule = known.library.reminders.follow_ups
    asked = (rule.first_day.value + n * rule.every_days.value for n in range(rule.most.value))
    days = (since + timedelta(days=ahead) for ahead in asked)
    return tuple(day for day in days if day >= known.today)


def _sources(known: Known, last: Eligibility | None, aim: MonthsAim | None) -> tuple[str, ...]:
    """Keys of the sources behind the limits, the rest days and the months advised."""
    rules = known.library.rules
    used = [rules[a.ruleset_id].source for a in (last.by_set if last else ()) if a.confirmed]
    if known.limit(known.today) is not None:
        used = used or [rules[GUIDELINE].source]
    return tuple(dict.fromkeys([*used, *([aim.source] if aim else [])]))
