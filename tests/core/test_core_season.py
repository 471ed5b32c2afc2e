"""The long view: innings in 12 months, months off, pitch caps, innings without counts."""

from __future__ import annotations

from datetime import date

import pytest
from core_support import aged, caught, examples, game, on, outs_of, pitch_types, season

from armbot.core.pitch_types import open_pitches, pitch_advice
from armbot.core.season import (
    check_cap,
    count_months,
    innings_check,
    innings_in_12_months,
    innings_only_rest,
    months_check,
    week_checks,
    window_12_months,
)
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import AgeSpan

MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def age(years: int) -> AgeSpan:
    """An exact age."""
    return AgeSpan(years, years)


@pytest.mark.parametrize("name", ["W59", "W60", "W61"])
def test_innings_against_the_limit(name: str) -> None:
    """The sum over teams and seasons is held against the limit of the age, thirds exact."""
    example = examples()[name]
    given = example.given["innings"]
    parts = list(given.values() if isinstance(given, dict) else given)
    log = [game(date(2027, 2 + n, 5), outs=outs_of(part)) for n, part in enumerate(parts)]
    total = innings_in_12_months(log, on("2027-12-01"), log_from=on("2026-01-01"))
    check = innings_check(season().innings, age(example.given["row"]), total.outs)
    assert check is not None
    assert total.outs == outs_of(example.expected["total"])
    assert total.complete
    assert check.limit_outs == outs_of(example.expected["limit"])
    assert check.over_by_outs == outs_of(example.expected.get("over_by", 0))
    assert check.left_outs == outs_of(example.expected.get("left", 0))


def test_innings_drop_off_the_window() -> None:
    """W62: asked on 1 June, the window opens on 2 June of the year before."""
    example = examples()["W62"]
    log = [game(on(day), outs=outs_of(part)) for day, part in example.given["innings"].items()]
    asks = on(example.given["asks_on"])
    total = innings_in_12_months(log, asks)
    assert (total.first_day, total.last_day) == (on("2026-06-02"), asks)
    assert total.outs == outs_of(example.expected["counted"])
    everything = sum(outing.outs or 0 for outing in log)
    assert everything - total.outs == outs_of(example.expected["dropped"])


def test_window_over_a_leap_day() -> None:
    """The window ending on a leap day is 366 days long, the one before it 365."""
    first, last = window_12_months(on("2028-02-29"))
    assert ((last - first).days + 1, first) == (366, on("2027-03-01"))
    first, last = window_12_months(on("2028-02-28"))
    assert ((last - first).days + 1, first) == (365, on("2027-03-01"))
    assert window_12_months(on("2027-12-31"))[0] == on("2027-01-01")


def test_innings_without_a_full_log_are_a_floor() -> None:
    """A log that starts late, or a game without innings, leaves the total incomplete."""
    log = [game(on("2027-05-01"), 40, outs=9)]
    late = innings_in_12_months(log, on("2027-06-01"), log_from=on("2027-01-01"))
    assert not late.complete
    log.append(game(on("2027-05-08"), 30))
    gap = innings_in_12_months(log, on("2027-06-01"), log_from=on("2026-01-01"))
    assert (gap.complete, gap.missing) == (False, (on("2027-05-08"),))


def months_log(names: list[str], last: date) -> list[Outing]:
    """One game in each named month of the 12 months ending with ``last``."""
    log = []
    for name in names:
        number = MONTHS.index(name) + 1
        log.append(game(date(last.year - (number > last.month), number, 5), 20, outs=3))
    return log


@pytest.mark.parametrize(("name", "last"), [("W63", "2028-02-29"), ("W64", "2027-12-31")])
def test_months_off_throwing(name: str, last: str) -> None:
    """Months without any throwing are counted, and the longest run of them."""
    example, day = examples()[name], on(last)
    log = months_log(example.given["months_thrown"], day)
    count = count_months(log, day, log_from=on("2026-01-01"))
    check = months_check(season().months_off, age(example.given["row"]), count)
    assert check is not None
    assert len(count.off) == example.expected["months_off"]
    assert count.longest_run == example.expected["longest_run"]
    assert check.ok is example.expected["ok"]


def test_months_off_pitching_at_sixteen() -> None:
    """W65: at 16 the four months are months off pitching, the run is off all throwing."""
    example, day = examples()["W65"], on("2028-01-31")
    log = months_log(example.given["months_pitching"], day)
    count = count_months(log, day, log_from=on("2026-01-01"))
    check = months_check(season().months_off, age(example.given["row"]), count)
    assert check is not None
    assert len(count.off_pitching) == example.expected["months_off_pitching"]
    assert count.longest_run == max(example.expected["runs"])
    assert check.ok is example.expected["ok"]
    swum = [
        *log,
        Outing("s1", on("2027-11-03"), OutingKind.OVERHEAD_SPORT),
        Outing("s2", on("2027-12-03"), OutingKind.OVERHEAD_SPORT),
        Outing("s3", on("2028-01-03"), OutingKind.OVERHEAD_SPORT),
    ]
    loaded = count_months(swum, day, log_from=on("2026-01-01"))
    again = months_check(season().months_off, age(16), loaded)
    assert again is not None
    assert len(loaded.off_pitching) == 4
    assert not again.ok


def test_more_than_eight_months() -> None:
    """W66: nine months of pitching are above the study's line of eight."""
    example = examples()["W66"]
    log = months_log(MONTHS[: example.given["months_pitching"]], on("2027-12-31"))
    count = count_months(log, on("2027-12-31"), log_from=on("2027-01-01"))
    over = len(count.pitched) > season().pitching_months_most.value
    assert over is example.expected["over_8"]
    finding = next(one for one in season().findings if one.id == "over_8_months")
    assert finding.multiple == "about 5"


def test_other_overhead_sports_are_no_months_off() -> None:
    """Swimming, catching and lessons load the arm: their months are not off."""
    day = on("2027-12-31")
    rested = count_months([game(on("2027-01-05"), 20)], day, log_from=on("2027-01-01"))
    assert len(rested.off) == 11
    used = [
        game(on("2027-01-05"), 20),
        Outing("swim", on("2027-06-10"), OutingKind.OVERHEAD_SPORT),
        Outing("lesson", on("2027-08-10"), OutingKind.LESSON, pitches=30),
        caught(on("2027-10-10"), 3),
    ]
    count = count_months(used, day, log_from=on("2027-01-01"))
    assert len(count.off) == 8
    assert len(count.off_pitching) == 11
    assert count.longest_run == 4


def test_unlogged_and_unfinished_months_are_unknown() -> None:
    """Months before the log begins and the month still running are not called off."""
    count = count_months([game(on("2027-05-10"), 20)], on("2027-09-15"))
    assert count.off == ((2027, 6), (2027, 7), (2027, 8))
    assert (2027, 9) in count.unknown
    assert (2026, 12) in count.unknown
    assert count.months[0] == (2026, 10)


def test_season_pitches() -> None:
    """W67: 640 in a season are over the 2002 advice of 600 and under 1000 of 2006."""
    example = examples()["W67"]
    caps = {cap.id: cap for cap in season().caps}
    who = age(example.given["row"])
    advice = check_cap(caps["study_2002_season"], who, example.given["pitches"])
    older = check_cap(caps["usab_2006_season"], who, example.given["pitches"])
    assert advice is not None
    assert older is not None
    assert (advice.over_by > 0) is example.expected["over_600"]
    assert (older.over_by > 0) is example.expected["over_2006_season_1000"]


def test_ten_times_the_age() -> None:
    """W68: 115 pitches in a week at 11 are 5 over ten times the age."""
    example = examples()["W68"]
    log = [game(on("2027-05-03"), 60), game(on("2027-05-08"), 55)]
    checks = week_checks(season().caps, age(example.given["row"]), log, on("2027-05-09"))
    ten = next(check for check in checks if check.cap.id == "ten_times_age_week")
    assert ten.thrown == example.given["week_pitches"]
    assert ten.limit == example.expected["limit"]
    assert ten.over_by == example.expected["over_by"]
    room = [check.limit - check.thrown for check in checks]
    assert room == sorted(room)
    later = week_checks(season().caps, age(11), log, on("2027-05-10"))
    assert all(check.thrown == 55 for check in later if not check.cap.counts_practice)


def test_innings_without_counts_only_ask_for_rest() -> None:
    """Common practice: from four innings three days under 13, a couple of days when older."""
    rows = season().innings_rest
    young = innings_only_rest(rows, age(12), 12)
    older = innings_only_rest(rows, age(14), 15)
    assert young is not None
    assert older is not None
    assert (young.rest.value, older.rest.value, older.most_outs) == (3, 2, 15)
    assert innings_only_rest(rows, age(12), 11) is None
    straddling = innings_only_rest(rows, AgeSpan(12, 13), 12)
    assert straddling is not None
    assert straddling.rest.value == 3


@pytest.mark.parametrize(
    ("pitch", "careful"),
    [
        ("fastball", 8),
        ("change_up", 10),
        ("curveball", 14),
        ("knuckleball", 15),
        ("slider", 16),
        ("forkball", 16),
        ("splitter", 16),
        ("screwball", 17),
    ],
)
def test_pitch_ages(pitch: str, careful: int) -> None:
    """The careful ages are those of the 1996 expert survey (splitter: common practice)."""
    kind = pitch_types()[pitch]
    assert pitch_advice(kind, age(careful - 1)).wait
    assert not pitch_advice(kind, age(careful)).wait
    assert pitch_advice(kind, AgeSpan(careful - 1, careful)).years_to_wait == 1


def test_twelve_and_under_throw_fastball_and_change_up_only() -> None:
    """mlb-usab-u8-12: no other pitch is open at 12."""
    assert [pitch.id for pitch in open_pitches(pitch_types(), age(12))] == ["fastball", "change_up"]
    assert aged(12).age == age(12)
