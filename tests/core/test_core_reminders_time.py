"""Hours of the family's day as moments: clock changes, quiet hours, sums with months.

The dates of clock changes are those of the IANA time zone database for the United States
(second Sunday of March, first Sunday of November), Australia and Samoa.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK

from armbot.core.local_time import after_quiet, is_quiet, local_day, moment, next_quiet
from armbot.core.reminder_months import month_end, plus_months, whole_months
from armbot.model.family import Quiet

EAST = "America/New_York"
ZONES = st.sampled_from(sorted(available_timezones()))
DAYS = st.dates(date(2026, 1, 1), date(2031, 12, 31))
MOMENTS = st.datetimes(datetime(2026, 1, 1), datetime(2031, 12, 31), timezones=st.just(UTC))  # noqa: DTZ001
QUIETS = st.builds(Quiet, st.integers(0, 23), st.integers(0, 23))


@pytest.mark.parametrize(
    ("day", "hour", "zone", "told"),
    [
        (date(2027, 3, 14), 2, EAST, "03:00 EDT"),
        (date(2027, 3, 14), 1, EAST, "01:00 EST"),
        (date(2027, 3, 14), 3, EAST, "03:00 EDT"),
        (date(2026, 11, 1), 1, EAST, "01:00 EDT"),
        (date(2026, 11, 1), 2, EAST, "02:00 EST"),
        (date(2026, 10, 4), 2, "Australia/Lord_Howe", "02:30 +11"),
        (date(2027, 4, 4), 1, "Australia/Lord_Howe", "01:00 +11"),
    ],
)
def test_an_hour_in_a_gap_comes_after_it_and_a_doubled_hour_first(
    day: date, hour: int, zone: str, told: str
) -> None:
    """02:00 on the spring day is 03:00, once; 01:00 on the autumn day is the first of two."""
    assert f"{moment(day, hour, zone).astimezone(ZoneInfo(zone)):%H:%M %Z}" == told


def test_a_day_that_a_zone_left_out_falls_on_the_next() -> None:
    """Samoa had no 30 December 2011: what was meant for it comes at that hour of the 31st."""
    at = moment(date(2011, 12, 30), 19, "Pacific/Apia")
    assert f"{at.astimezone(ZoneInfo('Pacific/Apia')):%Y-%m-%d %H:%M}" == "2011-12-31 19:00"


@QUICK
@given(day=DAYS, hour=st.integers(0, 23), zone=ZONES)
def test_a_moment_shows_its_hour_unless_the_clocks_jumped_over_it(
    day: date, hour: int, zone: str
) -> None:
    """Going from a moment back to the wall gives the day and hour, or the end of a gap."""
    at = moment(day, hour, zone)
    wall = at.astimezone(ZoneInfo(zone))
    if (wall.date(), wall.hour, wall.minute) == (day, hour, 0):
        assert wall.fold == 0
        return
    before = (at - timedelta(hours=2)).astimezone(ZoneInfo(zone))
    assert before.utcoffset() != wall.utcoffset()
    assert wall.replace(tzinfo=None) > datetime.combine(day, datetime.min.time()).replace(hour=hour)


@QUICK
@given(now=MOMENTS, quiet=QUIETS, zone=ZONES)
def test_after_quiet_is_never_quiet_nor_early_nor_a_day_late(
    now: datetime, quiet: Quiet, zone: str
) -> None:
    """Quiet hours move a moment to their end: a loud one stays, none waits over two days."""
    at = after_quiet(now, quiet, zone)
    assert not is_quiet(at, quiet, zone)
    assert now <= at <= now + timedelta(days=2)
    if not is_quiet(now, quiet, zone):
        assert at == now
    else:
        assert all(
            is_quiet(now + timedelta(minutes=step), quiet, zone)
            for step in range(0, int((at - now).total_seconds() // 60), 15)
        )


@QUICK
@given(now=MOMENTS, quiet=QUIETS, zone=ZONES)
def test_next_quiet_is_the_first_begin_after_now(now: datetime, quiet: Quiet, zone: str) -> None:
    """From a loud moment up to the next begin of quiet hours everything is loud."""
    begins = next_quiet(now, quiet, zone)
    if quiet.first == quiet.last:
        assert begins is None
        return
    assert begins is not None
    assert begins > now
    if not is_quiet(now, quiet, zone):
        minutes = int((begins - now).total_seconds() // 60)
        assert not any(
            is_quiet(now + timedelta(minutes=step), quiet, zone) for step in range(0, minutes, 15)
        )


def test_the_local_day_is_the_familys() -> None:
    """Two in the morning in London is still yesterday in New York."""
    assert local_day(datetime(2026, 6, 10, 2, tzinfo=UTC), EAST) == date(2026, 6, 9)


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        (date(2026, 11, 1), 4, date(2027, 3, 1)),
        (date(2027, 10, 31), 4, date(2028, 2, 29)),
        (date(2026, 10, 31), 4, date(2027, 2, 28)),
        (date(2028, 2, 29), 12, date(2029, 2, 28)),
        (date(2027, 1, 31), -2, date(2026, 11, 30)),
    ],
)
def test_months_later_stay_within_their_month(day: date, months: int, later: date) -> None:
    """The same day of the month, or its last day; leap days included."""
    assert plus_months(day, months) == later


@pytest.mark.parametrize(
    ("first", "last", "months"),
    [
        (date(2026, 11, 1), date(2027, 2, 28), 4),
        (date(2027, 11, 1), date(2028, 2, 28), 3),
        (date(2027, 11, 1), date(2028, 2, 29), 4),
        (date(2026, 11, 2), date(2027, 1, 31), 2),
        (date(2026, 11, 2), date(2027, 1, 30), 1),
        (date(2026, 11, 2), date(2026, 11, 29), 0),
    ],
)
def test_whole_months_are_counted_whole(first: date, last: date, months: int) -> None:
    """A month counts only from its first to its last day: 28 February ends no leap February."""
    assert whole_months(first, last) == months


@QUICK
@given(first=DAYS, months=st.integers(1, 24))
def test_whole_months_undo_plus_months(first: date, months: int) -> None:
    """From the first of a month to the end of the n-th there are n whole months."""
    begin = first.replace(day=1)
    assert whole_months(begin, month_end(plus_months(begin, months - 1))) == months
