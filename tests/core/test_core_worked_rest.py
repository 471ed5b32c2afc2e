"""Worked examples of rest after a count: every table, its bands and its dates."""

from __future__ import annotations

import pytest
from core_support import Example, aged, examples, game, library, on

from armbot.core.ages import Who, choose_group
from armbot.core.answers import Rule
from armbot.core.workload import applicable_sets, eligibility, first_day_after, may_pitch, rest_for

HEALTH = [f"W{number:02}" for number in range(1, 17)]
LEAGUE = {
    "little_league": ["W18", "W19", "W20", "W29"],
    "babe_ruth": ["W40", "W41", "W42"],
    "hs_minnesota": ["W43", "W44"],
    "hs_north_carolina": ["W45"],
    "hs_ohio": ["W46"],
    "baseball_canada": ["W47", "W48"],
    "baseball_alberta": ["W49"],
}
LAST_BATTER = {"W21": 6, "W22": 5, "W23": 1, "W24": 5, "W25": 3, "W26": 1}
"""Pitches to the last batter: pitches minus lookup_pitch plus one."""


def who_of(example: Example) -> Who:
    """The athlete as the example names the row."""
    row = str(example.given["row"])
    if row.isdigit():
        return aged(int(row))
    if row[:1].isdigit() and "-" in row:
        first, last = row.split("-")
        return aged(int(first), int(last))
    if row[:1].isdigit():
        return Who(division=row)
    return Who(level=row)


def rest_dates(example: Example) -> tuple[str, ...]:
    """The rest days the example expects."""
    return tuple(example.expected["rest_dates"])


@pytest.mark.parametrize("name", HEALTH)
def test_health_guideline(name: str) -> None:
    """The health guideline gives the example's rest, days, first day and over-maximum flag."""
    example = examples()[name]
    day, pitches = on(example.given["date"]), example.given["pitches"]
    answer = eligibility([library()["mlb_usab"]], who_of(example), [game(day, pitches)])
    assert answer.rest_days == example.expected["rest_days"]
    assert tuple(map(str, answer.rest_on)) == rest_dates(example)
    assert str(answer.first_eligible) == example.expected["first_eligible"]
    over = any(flag.rule is Rule.OVER_DAILY_MAX for flag in answer.flags)
    assert over is example.expected["over_daily_max"]


def test_two_versions_of_the_table_give_the_stricter() -> None:
    """W17: 78 pitches at 17 owe 4 days, and the version from memory is named beside it."""
    example = examples()["W17"]
    answer = eligibility(
        applicable_sets(library()), aged(17), [game(on(example.given["date"]), 78)]
    )
    by_set = {one.ruleset_id: one.rest.rest for one in answer.by_set if one.rest}
    assert by_set["mlb_usab"] == example.expected["seen_table_rest"]
    assert by_set["mlb_usab_later"] == example.expected["later_table_rest_memory"]
    assert answer.rest_days == example.expected["use"]
    assert str(answer.first_eligible) == example.expected["first_eligible"]


@pytest.mark.parametrize(("name", "set_id"), [(n, s) for s, names in LEAGUE.items() for n in names])
def test_league_table(name: str, set_id: str) -> None:
    """A league's own table gives the example's rest and dates when it stands alone."""
    example = examples()[name]
    day, pitches = on(example.given["date"]), example.given["pitches"]
    answer = eligibility([library()[set_id]], who_of(example), [game(day, pitches)])
    assert answer.rest_days == example.expected["rest_days"]
    assert tuple(map(str, answer.rest_on)) == rest_dates(example)
    assert str(answer.first_eligible) == example.expected["first_eligible"]


@pytest.mark.parametrize("name", ["W40", "W41", "W42", "W46", "W48"])
def test_looser_league_is_overruled_by_the_guideline(name: str) -> None:
    """Where a league asks less than the guideline, the guideline's rest answers, both named."""
    example = examples()[name]
    expected = next(v for k, v in example.expected.items() if k.startswith("mlb_usab_"))
    set_id = next(s for s, names in LEAGUE.items() if name in names)
    ages = {"W40": 10, "W41": 11, "W42": 14, "W46": 17, "W48": 18}
    level = "high school" if name == "W46" else None
    who = Who(age=aged(ages[name]).age, level=level, division="18U" if name == "W48" else None)
    day = on(example.given["date"])
    sets = [library()["mlb_usab"], library()[set_id]]
    answer = eligibility(sets, who, [game(day, example.given["pitches"])])
    assert answer.rest_days == expected
    assert {reason.ruleset_id for reason in answer.binding} == {"mlb_usab", set_id}
    assert answer.binding[0].ruleset_id == "mlb_usab"


def test_double_header_is_added_up() -> None:
    """W40: 42 and 33 on one Saturday are 75, as one outing would be."""
    example = examples()["W40"]
    day = on(example.given["date"])
    answer = eligibility([library()["babe_ruth"]], aged(10), [game(day, 42), game(day, 33)])
    assert str(answer.first_eligible) == example.expected["first_eligible"]
    assert not any(flag.rule is Rule.OVER_DAILY_MAX for flag in answer.flags)


def test_hours_do_not_count() -> None:
    """W20: 90 hours after a Tuesday night the fourth rest day is not over."""
    example = examples()["W20"]
    verdict = may_pitch(
        [library()["little_league"]], aged(11), [game(on("2027-04-06"), 70)], on("2027-04-10")
    )
    assert verdict.allowed is example.expected["sat_2_pm_after_tue_8_pm_allowed"]


@pytest.mark.parametrize("name", sorted(LAST_BATTER))
def test_finish_the_batter(name: str) -> None:
    """Little League looks up the first pitch of the last batter; the careful reading the total."""
    example = examples()[name]
    rules, day = library()["little_league"], on(example.given["date"])
    choice = choose_group(rules, who_of(example), day)
    assert choice is not None
    pitches, last = example.given["pitches"], LAST_BATTER[name]
    own = rest_for(rules, choice.group, pitches, last_batter_pitches=last)
    careful = rest_for(rules, choice.group, pitches)
    assert own is not None
    assert careful is not None
    assert own.lookup_count == example.given["lookup_pitch"]
    assert own.rest == example.expected["rest_days"]
    assert str(first_day_after(day, own.whole_days)) == example.expected["first_eligible"]
    assert careful.rest == example.expected.get("cautious_rest_by_total", own.rest)
    assert careful.rest >= own.rest


def test_no_further_batter_beyond_the_maximum() -> None:
    """W24: 76 at age 10 passed the maximum with a batter in progress, and ends the day."""
    example = examples()["W24"]
    day = on(example.given["date"])
    verdict = may_pitch([library()["little_league"]], aged(10), [game(day, 76)], day)
    assert verdict.allowed is example.expected["may_face_another_batter"]
    assert Rule.DAILY_MAX in {reason.rule for reason in verdict.reasons}
    assert library()["little_league"].side.finish_batter is not None


@pytest.mark.parametrize("name", ["W27", "W28"])
def test_suspended_game(name: str) -> None:
    """The pitches stay with the day thrown: resuming needs their rest to be over."""
    example = examples()[name]
    log = [game(on(example.given["date"]), example.given["pitches"])]
    resumes = on(example.given["resumes"])
    verdict = may_pitch([library()["little_league"]], aged(12), log, resumes)
    assert verdict.allowed is example.expected["may_pitch"]
    if "first_eligible" in example.expected:
        assert str(verdict.first_eligible) == example.expected["first_eligible"]


def test_nights_are_one_fewer_whole_days() -> None:
    """W51: three nights after a Sunday end on Wednesday, with two whole days between."""
    example = examples()["W51"]
    rules, day = library()["baseball_bc_nights"], on(example.given["date"])
    answer = eligibility([rules], Who(division="11U"), [game(day, 41)])
    rest = answer.by_set[0].rest
    assert rest is not None
    assert rest.rest == example.given["nights_required"]
    assert str(answer.first_eligible) == example.expected["first_eligible"]
    assert answer.rest_days == example.expected["whole_calendar_rest_days"]


def test_two_games_under_the_nights_rule() -> None:
    """W52: 30 and 40 on one day are 70: two nights, one whole day."""
    example = examples()["W52"]
    day = on(example.given["date"])
    log = [game(day, example.given["game_1"]), game(day, example.given["game_2"])]
    who = Who(division="15U single season")
    answer = eligibility([library()["baseball_bc_nights"]], who, log)
    rest = answer.by_set[0].rest
    assert rest is not None
    assert rest.lookup_count == example.expected["day_total"]
    assert rest.rest == example.expected["nights"]
    assert answer.rest_days == example.expected["whole_rest_days"]
    assert str(answer.first_eligible) == example.expected["first_eligible"]
