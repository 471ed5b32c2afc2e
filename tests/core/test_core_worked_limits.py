"""Worked examples beside the rest tables: catching, days running, caps, innings, two games."""

from __future__ import annotations

from datetime import timedelta

from core_support import aged, caught, examples, game, library, on, outs_of, season

from armbot.core.ages import Who, choose_group
from armbot.core.answers import Reason, Rule
from armbot.core.bars import later_day_limit
from armbot.core.catching import innings_counted, may_catch
from armbot.core.log import by_day
from armbot.core.season import check_cap
from armbot.core.view import View
from armbot.core.workload import eligibility, may_pitch, rest_for
from armbot.model.people import AgeSpan

DAY = on("2027-04-05")


def found(reasons: tuple[Reason, ...], rule: Rule) -> Reason:
    """The reason of that rule; the test fails where there is none."""
    return next(reason for reason in reasons if reason.rule is rule)


def test_pitcher_to_catcher() -> None:
    """W30, W31: 41 pitches close catching for the day, 40 do not; both are advised against."""
    rules = [library()["little_league"]]
    for name in ("W30", "W31"):
        example = examples()[name]
        verdict = may_catch(rules, aged(12), [game(DAY, example.given["pitches_today"])], DAY)
        assert verdict.allowed is example.expected["may_catch_today"]
    both = [library()["mlb_usab"], library()["little_league"]]
    advised = may_catch(both, aged(12), [game(DAY, 40)], DAY)
    assert found(advised.flags, Rule.AVOID_CATCHING).ruleset_id == "mlb_usab"


def test_pitcher_to_catcher_after_the_last_batter() -> None:
    """W32: 43 with 40 reached during the last batter keep the way to catcher open."""
    example = examples()["W32"]
    log = [game(DAY, example.given["pitches_today"], last_batter=4)]
    verdict = may_catch([library()["little_league"]], aged(12), log, DAY)
    assert verdict.allowed is example.expected["may_catch_today"]
    untold = may_catch([library()["little_league"]], aged(12), [game(DAY, 43)], DAY)
    assert not untold.allowed


def test_catcher_to_pitcher() -> None:
    """W33: four innings caught close the mound for the day."""
    example = examples()["W33"]
    log = [caught(DAY, example.given["innings_caught"])]
    verdict = may_pitch([library()["little_league"]], aged(12), log, DAY)
    assert verdict.allowed is example.expected["may_pitch_today"]
    assert found(verdict.reasons, Rule.CATCHER_TO_PITCHER).facts["innings_caught"] == 4
    assert may_pitch([library()["little_league"]], aged(12), log, DAY + timedelta(days=1)).allowed


def test_a_live_pitch_makes_an_inning_caught() -> None:
    """W34, W35: one live pitch in the fourth counts as four, warm-ups do not."""
    for name in ("W34", "W35"):
        example = examples()[name]
        live = example.given["live_pitches_in_4th"] > 0
        innings = innings_counted(example.given["innings_caught_full"], live_pitch_in_next=live)
        assert innings == example.expected["innings_counted"]
        log = [caught(DAY, innings)]
        verdict = may_pitch([library()["little_league"]], aged(12), log, DAY)
        assert verdict.allowed is example.expected["may_pitch_today"]


def test_catching_adds_up_over_the_day() -> None:
    """W36: three innings in game one and one in game two are four."""
    example = examples()["W36"]
    log = [
        caught(DAY, example.given["game_1_innings_caught"]),
        caught(DAY, example.given["game_2_innings_caught"]),
    ]
    verdict = may_pitch([library()["little_league"]], aged(10), log, DAY)
    assert verdict.allowed is example.expected["may_pitch_today"]
    counted = found(verdict.reasons, Rule.CATCHER_TO_PITCHER).facts["innings_caught"]
    assert counted == example.expected["innings_counted"]


def test_catch_pitch_catch() -> None:
    """W37, W38: caught, then 21 pitches (31 from 15) close the way back to catcher."""
    for name, innings in (("W37", "innings_caught"), ("W38", "innings_caught")):
        example = examples()[name]
        log = [caught(DAY, example.given[innings]), game(DAY, example.given["then_pitches"])]
        who = aged(example.given["row"])
        verdict = may_catch([library()["little_league"]], who, log, DAY)
        assert verdict.allowed is example.expected["may_return_to_catcher_today"]
    log = [caught(DAY, 2), game(DAY, 31)]
    assert not may_catch([library()["little_league"]], aged(15), log, DAY).allowed


def test_three_days_running() -> None:
    """W39: two short outings owe no rest by count, but a third day running is barred."""
    example = examples()["W39"]
    log = [game(on(day), pitches) for day, pitches in example.given["outings"].items()]
    rules, asks = [library()["mlb_usab"]], on(example.given["asks"])
    verdict = may_pitch(rules, aged(12), log, asks)
    assert verdict.allowed is example.expected["may_pitch"]
    assert [reason.rule for reason in verdict.reasons] == [Rule.CONSECUTIVE_DAYS]
    answer = eligibility(rules, aged(12), log, asking=asks)
    assert str(answer.first_eligible) == example.expected["first_eligible"]


def test_four_day_cap() -> None:
    """W50: 120 in three days are 5 over the cap of 115 in four."""
    example = examples()["W50"]
    log = [game(DAY + timedelta(days=n), p) for n, p in enumerate(example.given["outings"])]
    rules = [library()["baseball_alberta"]]
    verdict = may_pitch(rules, Who(division="11U"), log, DAY + timedelta(days=3))
    cap = found(verdict.reasons, Rule.FOUR_DAY_MAX).facts
    assert cap["thrown"] == example.expected["total"]
    assert cap["limit"] == example.expected["cap"]
    assert example.expected["total"] - example.expected["cap"] == example.expected["over_by"]


def test_japanese_elementary_week() -> None:
    """W53: 185 of 200 throws, each day within 50, but four days where three are allowed."""
    example = examples()["W53"]
    throws = example.given["full_effort_throws"]
    log = [game(DAY + timedelta(days=n), p) for n, p in enumerate(throws)]
    verdict = may_pitch(
        [library()["japan_society"]], aged(10), log, DAY + timedelta(days=len(throws))
    )
    days = found(verdict.reasons, Rule.THROWING_DAYS).facts
    assert days["limit"] == example.expected["days_cap"]
    assert days["days"] == example.expected["days_cap"] + example.expected["days_over"]
    assert Rule.WEEK_MAX not in {reason.rule for reason in verdict.reasons}
    assert not any(flag.rule is Rule.OVER_DAILY_MAX for flag in verdict.flags)
    cap = next(cap for cap in season().caps if cap.id == "japan_society_week_elementary")
    check = check_cap(cap, AgeSpan(10, 10), sum(throws))
    assert check is not None
    assert (check.thrown, check.limit) == (example.expected["total"], example.expected["cap"])
    assert check.left == example.expected["room"]


def test_japanese_high_school_week() -> None:
    """W54: 495 stay within 500 a week, though each day breaks the society's 100."""
    example = examples()["W54"]
    pitches = example.given["pitches"]
    log = [game(DAY + timedelta(days=n), p) for n, p in enumerate(pitches)]
    day = DAY + timedelta(days=len(pitches))
    verdict = may_pitch(
        [library()["japan_hs_federation"], library()["japan_society"]], aged(17), log, day
    )
    assert verdict.allowed is example.expected["weekly_cap_ok"]
    assert found(verdict.reasons, Rule.WEEK_MAX).facts["left"] == example.expected["room"]
    broken = [flag for flag in verdict.flags if flag.rule is Rule.OVER_DAILY_MAX]
    assert len(broken) == example.expected["society_daily_100_broken_days"]
    cap = next(cap for cap in season().caps if cap.id == "japan_society_week_high_school")
    check = check_cap(cap, AgeSpan(17, 17), sum(pitches))
    assert check is not None
    assert check.left == example.expected["room"]


def test_innings_rule() -> None:
    """W55, W56: three innings leave the next day open and five more in three days; 3 1/3 do not."""
    rules, who = [library()["usssa"]], Who(division="12U")
    example = examples()["W55"]
    log = [game(DAY, outs=outs_of(example.given["day_1_innings"]))]
    verdict = may_pitch(rules, who, log, DAY + timedelta(days=1))
    assert verdict.allowed is example.expected["may_pitch_next_day"]
    assert verdict.outs_left == outs_of(example.expected["left_in_3_days"])
    example = examples()["W56"]
    log = [game(DAY, outs=outs_of(example.given["day_1_innings"]))]
    verdict = may_pitch(rules, who, log, DAY + timedelta(days=1))
    assert verdict.allowed is example.expected["may_pitch_next_day"]
    assert found(verdict.reasons, Rule.INNINGS_NEXT_DAY).facts["limit_outs"] == 9


def test_eight_innings_in_two_days() -> None:
    """W57: three and five innings are eight: the third day is closed."""
    example = examples()["W57"]
    log = [
        game(DAY, outs=outs_of(example.given["day_1"])),
        game(DAY + timedelta(days=1), outs=outs_of(example.given["day_2"])),
    ]
    verdict = may_pitch([library()["usssa"]], Who(division="12U"), log, DAY + timedelta(days=2))
    assert verdict.allowed is example.expected["third_day"]
    window = found(verdict.reasons, Rule.INNINGS_WINDOW).facts
    assert window["outs"] == outs_of(example.expected["total"])


def test_innings_are_not_pitches() -> None:
    """W58: six innings at the usual pace are more pitches than the guideline's maximum at 12."""
    example = examples()["W58"]
    estimated = example.given["innings"] * example.given["pitches_per_inning"]
    choice = choose_group(library()["mlb_usab"], aged(12), DAY)
    assert choice is not None
    assert choice.group.daily_max is not None
    assert round(estimated, 1) == example.expected["estimated_pitches"]
    assert choice.group.daily_max.value == example.expected["mlb_usab_max"]
    assert (estimated > choice.group.daily_max.value) is example.expected["exceeds"]


def test_double_header_within_the_first_band() -> None:
    """W69: 20 in game one at 10U leave game two open, up to the game's own 55."""
    example = examples()["W69"]
    rules, who = [library()["doubleheader_local"]], Who(division="10U")
    verdict = may_pitch(rules, who, [game(DAY, example.given["game_1"])], DAY)
    assert verdict.allowed is example.expected["game_2_allowed"]
    assert verdict.pitches_left == example.expected["game_2_max"]
    careful = may_pitch([library()["mlb_usab"], *rules], who, [game(DAY, 20)], DAY)
    assert not careful.allowed


def test_double_header_above_the_first_band() -> None:
    """W70: 25 owe a day, so there is no game two."""
    example = examples()["W70"]
    rules = library()["doubleheader_local"]
    verdict = may_pitch([rules], Who(division="10U"), [game(DAY, example.given["game_1"])], DAY)
    assert verdict.allowed is example.expected["game_2_allowed"]
    answer = rest_for(rules, rules.groups[0], example.given["game_1"])
    assert answer is not None
    assert answer.rest == example.expected["rest_days"]


def test_softball_days() -> None:
    """W71: 80, 115 and 80 at 13 lie within the society's daily table."""
    example = examples()["W71"]
    rules, who = library()["softball_society"], aged(13)
    counts = [example.given[f"day_{number}"] for number in (1, 2, 3)]
    log = [game(DAY + timedelta(days=n), pitches) for n, pitches in enumerate(counts)]
    limits = []
    for ahead in range(3):
        day = DAY + timedelta(days=ahead)
        choice = choose_group(rules, who, day)
        assert choice is not None
        limit = later_day_limit(View(rules, who, by_day(log), day, choice))
        assert limit is not None
        limits.append(limit[0].value)
    within = all(thrown <= limit for thrown, limit in zip(counts, limits, strict=True))
    assert within is example.expected["ok"]
    assert sum(counts) == example.expected["three_day_total"]
