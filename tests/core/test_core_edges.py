"""The exact edge of each limit: one below is open, the limit itself is not."""

from __future__ import annotations

from datetime import timedelta

import pytest
from core_support import aged, bullpen, game, library, on, season

from armbot.core.answers import Rule
from armbot.core.catching import may_catch
from armbot.core.season import check_cap, count_months
from armbot.core.workload import may_pitch
from armbot.model.people import AgeSpan

TUESDAY = on("2027-06-01")
JAPAN = [library()["japan_society"]]


def rules_of(ahead: int, *counts: int, pen: int = 0) -> set[Rule]:
    """What bars an 11-year-old by the Japanese society, so many days after Tuesday's first."""
    log = [game(TUESDAY + timedelta(days=n), count) for n, count in enumerate(counts)]
    if pen:
        log.append(bullpen(TUESDAY, pen))
    verdict = may_pitch(JAPAN, aged(11), log, TUESDAY + timedelta(days=ahead))
    return set() if verdict.allowed else {reason.rule for reason in verdict.reasons}


def test_weekly_limit_is_reached_at_its_number() -> None:
    """200 throws close the days up to the seventh after them, practice included; 199 leave one."""
    assert Rule.WEEK_MAX in rules_of(2, 200)
    assert Rule.WEEK_MAX not in rules_of(2, 199)
    assert Rule.WEEK_MAX in rules_of(2, pen=200)
    assert Rule.WEEK_MAX in rules_of(6, 200)
    assert rules_of(7, 200) == set()


def test_throwing_days_are_reached_at_their_number() -> None:
    """Three throwing days in seven close the next; two do not."""
    assert rules_of(3, 10, 10, 10) == {Rule.THROWING_DAYS}
    assert rules_of(2, 10, 10) == set()


@pytest.mark.parametrize(("thrown", "left"), [(94, 1), (95, 0), (96, 0)])
def test_daily_maximum_is_reached_at_its_number(thrown: int, left: int) -> None:
    """Babe Ruth at 14: 94 of 95 leave one pitch for a second game, 95 leave none."""
    verdict = may_pitch([library()["babe_ruth"]], aged(14), [game(TUESDAY, thrown)], TUESDAY)
    assert verdict.pitches_left == left
    assert verdict.allowed is (left > 0)


@pytest.mark.parametrize(("last", "allowed"), [(6, True), (5, False), (1, False)])
def test_last_batter_must_begin_by_the_fortieth(last: int, allowed: bool) -> None:  # noqa: FBT001
    """45 pitches keep catching open only if the last batter began at the 40th or before."""
    log = [game(TUESDAY, 45, last_batter=last)]
    verdict = may_catch([library()["little_league"]], aged(12), log, TUESDAY)
    assert verdict.allowed is allowed


def test_straddling_age_takes_the_lower_maximum() -> None:
    """Known only as 10 or 11, the athlete has the 75 of the younger row."""
    verdict = may_pitch([library()["mlb_usab"]], aged(10, 11), [], TUESDAY)
    assert verdict.pitches_left == 75
    assert [flag.rule for flag in verdict.flags] == [Rule.STRADDLES]


def test_straddling_age_takes_the_younger_cap() -> None:
    """Ten pitches a week per year of age: at 10 or 11 the cap is 100."""
    cap = next(cap for cap in season().caps if cap.id == "ten_times_age_week")
    check = check_cap(cap, AgeSpan(10, 11), 101)
    assert check is not None
    assert (check.limit, check.over_by) == (100, 1)
    assert check_cap(cap, AgeSpan(19, 19), 101) is None


def test_month_in_which_the_log_begins_is_unknown() -> None:
    """A log begun on 10 March says nothing of the first days of March."""
    count = count_months([], on("2027-06-30"), log_from=on("2027-03-10"))
    assert count.off == ((2027, 4), (2027, 5), (2027, 6))
    assert (2027, 3) in count.unknown
