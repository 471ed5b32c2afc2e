"""Hours of a family's day as moments, through clock changes, and around its quiet hours.

Moments are aware and in UTC: two of them then differ by what a clock on the wall cannot
show. The rule for a clock change is the one most calendars keep (common practice): an hour
that does not exist comes right after the gap, an hour that exists twice is the first one.
"""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from datetime import date

    from armbot.model.family import Quiet


def moment(day: date, hour: int, zone: str) -> datetime:
    """The moment, in UTC, at which the clocks of ``zone`` show ``hour`` (0 to 23) o'clock.

    In a gap it is the moment that lies as far behind the last one before it (02:00 on a
    day that jumps from 02:00 to 03:00 is 03:00); in an overlap the first of the two.
    """
    return datetime.combine(day, time(hour), ZoneInfo(zone)).astimezone(UTC)


def local_day(now: datetime, zone: str) -> date:
    """The date where the family lives."""
    return now.astimezone(ZoneInfo(zone)).date()


def is_quiet(now: datetime, quiet: Quiet, zone: str) -> bool:
    """Whether the moment lies in the quiet hours."""
    return quiet.covers(now.astimezone(ZoneInfo(zone)).hour)


def after_quiet(now: datetime, quiet: Quiet, zone: str) -> datetime:
    """The moment itself, or the end of the quiet hours that it lies in."""
    if not is_quiet(now, quiet, zone):
        return now
    local = now.astimezone(ZoneInfo(zone))
    ends = moment(local.date(), quiet.last, zone)
    while ends <= now or is_quiet(ends, quiet, zone):
        # Past this day's end already; or, in a gap, the clock passed over the last hour.
        local += timedelta(days=1)
        ends = moment(local.date(), quiet.last, zone)
    return ends


def next_quiet(now: datetime, quiet: Quiet, zone: str) -> datetime | None:
    """When quiet hours begin after ``now``; None for a family without any."""
    if quiet.first == quiet.last:
        return None
    day = local_day(now, zone)
    ahead = (moment(day + timedelta(days=days), quiet.first, zone) for days in range(3))
    return next((begins for begins in ahead if begins > now), None)
