"""Which reminders a family's record holds: what may be said, and when; not yet whether."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from armbot.core.log import is_appearance
from armbot.core.reminder_months import plus_months
from armbot.core.reminders import Item, Where, times_of
from armbot.core.season import WEEK
from armbot.engine.reminder_people import recipients
from armbot.engine.reminder_view import (
    SORE,
    View,
    eligible,
    last_pitched,
    marked_on,
    off_season_on,
    sore_until,
    view_of,
)
from armbot.model.family import Family, Hold, OffSeason, Planned, Report
from armbot.model.library import Library
from armbot.model.outings import Outing, OutingKind
from armbot.model.reminders import ReminderKind
from armbot.model.rules import LONGEST_REST

_DAY = timedelta(days=1)

AGAIN = "again"
"""The arm once more, the morning after it was sore."""
START, MONTHLY, NOTICE, READY, WARN = "start", "monthly", "notice", "ready", "warn"
"""Parts of an off-season: its first day, each month, the way back, its last day, a breach."""
LAST = "last"
"""The last question after a report."""


def items_of(family: Family, library: Library, now: datetime) -> tuple[Item, ...]:
    """Everything that may have to be said about now or later, each key once.

    Nothing for kinds turned off, nor about an athlete whom no chat hears of.
    """
    found: dict[str, Item] = {}
    for item in _all(family, library, now):
        wanted = item.kind not in family.muted and item.times
        if wanted and recipients(family, item.athlete):
            found.setdefault(item.key, item)
    return tuple(found.values())


def _all(family: Family, library: Library, now: datetime) -> Iterator[Item]:
    make = _Maker(family, library)
    for athlete in family.athletes:
        view = view_of(family, library, athlete, now)
        # The first of two with one key stays: a station of the off-season before a warning.
        yield from _season_off(make, view)
        yield from _after_soreness(make, view)
        for day in _recent_days(view):
            yield from _after_outings(make, view, day)
        yield from _first_day(make, view)
    yield from _plans(make, family, now)
    yield from _follow_ups(make, family, now)


class _Maker:
    """Makes items by the settings and the family's clock."""

    def __init__(self, family: Family, library: Library) -> None:
        self.settings = library.reminders
        self.where = Where(family.zone, family.quiet)

    def item(  # noqa: PLR0913 - an item is made of all these
        self,
        kind: ReminderKind,
        athlete: str,
        day: date,
        *,
        starts: date | None = None,
        part: str = "",
        about: tuple[date, ...] = (),
    ) -> Item:
        """The item of that day; its moments begin on ``starts`` where that is another."""
        times, until = times_of(self.where, self.settings.kinds[kind], starts or day)
        return Item(kind, athlete, day, times, until, part, about)


def _recent_days(view: View) -> list[date]:
    """Days with anything logged, from a week ago on."""
    return sorted({o.day for o in view.log if o.day >= view.today - timedelta(days=WEEK)})


def _after_outings(make: _Maker, view: View, day: date) -> Iterator[Item]:
    outings = [outing for outing in view.log if outing.day == day]
    athlete, next_day = view.athlete.id, day + _DAY
    if any(is_appearance(outing) for outing in outings):
        yield make.item(ReminderKind.REST, athlete, day, about=(day,))
    if any(_asked_about(make, outing) for outing in outings):
        yield make.item(ReminderKind.ARM, athlete, next_day, about=(day,))
    if off_season_on(view.family, athlete, day) is not None:
        yield make.item(ReminderKind.OFF, athlete, day, part=WARN, about=(day,))
    yield make.item(ReminderKind.LIMITS, athlete, next_day, about=(day,))


def _asked_about(make: _Maker, outing: Outing) -> bool:
    """Whether the next morning asks how the arm is."""
    if outing.kind not in make.settings.arm_after:
        return False
    return outing.kind is not OutingKind.GAME or is_appearance(outing)


def _after_soreness(make: _Maker, view: View) -> Iterator[Item]:
    sore = marked_on(view.family, SORE, view.athlete.id)
    if sore is not None:
        day = sore + _DAY
        yield make.item(ReminderKind.ARM, view.athlete.id, day, part=AGAIN, about=(sore,))


def _first_day(make: _Maker, view: View) -> Iterator[Item]:
    """The day the charts allow pitching again, after at least one day of rest."""
    last = last_pitched(view)
    if last is None or last < view.today - timedelta(days=LONGEST_REST + WEEK):
        return
    result = eligible(view)
    if result is None or not result.rest_days:
        return
    day, sore = result.first_eligible, sore_until(view)
    if sore is not None and last <= sore:
        day = max(day, sore + _DAY)
    yield make.item(ReminderKind.ELIGIBLE, view.athlete.id, day, about=(last,))


def _season_off(make: _Maker, view: View) -> Iterator[Item]:
    oldest = view.today - timedelta(days=WEEK)
    for off in view.family.off_seasons:
        if off.athlete == view.athlete.id and off.last + _DAY >= oldest:
            for day, part in _stations(make, off):
                if day >= oldest:
                    about = (off.first, off.last)
                    yield make.item(ReminderKind.OFF, off.athlete, day, part=part, about=about)


def _stations(make: _Maker, off: OffSeason) -> Iterator[tuple[date, str]]:
    """The days of an off-season on which something is said, the more important first."""
    notice = off.last + _DAY - timedelta(days=make.settings.off.notice_days.value)
    yield off.first, START
    if notice > off.first:
        yield notice, NOTICE
    yield off.last, READY
    month = 1
    while (day := plus_months(off.first, month)) < notice:
        yield day, MONTHLY
        month += 1


def _plans(make: _Maker, family: Family, now: datetime) -> Iterator[Item]:
    """The evening before a planned day, and that morning."""
    today = now.astimezone(ZoneInfo(family.zone)).date()
    for planned in family.planned:
        if planned.day >= today and family.athlete(planned.athlete) is not None:
            yield _plan(make, planned)


def _plan(make: _Maker, planned: Planned) -> Item:
    kind, before = ReminderKind.PLANNED, planned.day - _DAY
    return make.item(kind, planned.athlete, planned.day, starts=before, about=(planned.day,))


def _follow_ups(make: _Maker, family: Family, now: datetime) -> Iterator[Item]:
    """The questions after the last report of everybody on hold."""
    oldest = now.astimezone(ZoneInfo(family.zone)).date() - timedelta(days=WEEK)
    plan = make.settings.follow_ups
    for hold in family.holds:
        reported = report_of(family, hold)
        zone = ZoneInfo(family.zone)
        day = (reported.at if reported else hold.since).astimezone(zone).date()
        if marked_on(family, ANSWERED, report_name(hold, reported)) is not None:
            continue
        for number in range(plan.most.value):
            asks = day + timedelta(days=plan.first_day.value + number * plan.every_days.value)
            part = LAST if number == plan.most.value - 1 else ""
            if asks >= oldest:
                yield make.item(ReminderKind.SEEN, hold.athlete, asks, part=part, about=(day,))


ANSWERED = "answered"
"""Name of the mark that a question after a report needs no repeating."""


def report_of(family: Family, hold: Hold) -> Report | None:
    """The last report that a hold rests on."""
    own = [report for report in family.reports if report.athlete == hold.athlete]
    return own[-1] if own else None


def report_name(hold: Hold, report: Report | None) -> str:
    """What the mark of an answer names: the report, or the hold where there is none."""
    return report.id if report and report.id else f"{hold.athlete}-{hold.since.date().isoformat()}"
