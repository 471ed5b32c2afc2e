"""Eligibility and may-pitch: the log as a whole, several sets, and every doubt careful."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from core_support import aged, bullpen, caught, game, library, on

from armbot.core.ages import AgeNeeded, Who
from armbot.core.answers import Rule
from armbot.core.catching import may_catch
from armbot.core.workload import applicable_sets, eligibility, may_pitch, rest_for
from armbot.model.cite import Cite, Seen
from armbot.model.outings import Outing
from armbot.model.people import BirthMonth
from armbot.model.rules import SecondGame

TUESDAY = on("2027-06-01")
BASEBALL = applicable_sets(library())


def test_answer_names_days_and_source() -> None:
    """62 on Tuesday at 11: rest Wednesday to Friday, back on Saturday, from the 11-12 row."""
    answer = eligibility(BASEBALL, aged(11), [game(TUESDAY, 62)])
    assert answer.rest_on == (on("2027-06-02"), on("2027-06-03"), on("2027-06-04"))
    assert answer.first_eligible == on("2027-06-05")
    (reason,) = answer.binding
    assert (reason.rule, reason.cite.source) == (Rule.REST, "mlb-usab")
    assert reason.facts["first_count"] == 51
    assert reason.facts["last_count"] == 65
    assert reason.facts["group"] == "11-12"


def test_outing_on_a_rest_day_must_satisfy_both() -> None:
    """60 on Sunday closes to Wednesday; 10 on Monday do not bring that forward, and are said."""
    log = [game(on("2027-06-06"), 60), game(on("2027-06-07"), 10)]
    answer = eligibility(BASEBALL, aged(12), log)
    assert answer.first_eligible == on("2027-06-10")
    broken = [flag for flag in answer.flags if flag.rule is Rule.REST_BROKEN]
    assert [flag.facts["day"] for flag in broken] == [on("2027-06-07")]


def test_teams_are_added_up() -> None:
    """Two teams on one day are one arm: 20 and 20 owe what 40 owe, and both are said."""
    log = [game(TUESDAY, 20, team="club"), game(TUESDAY, 20, team="school")]
    answer = eligibility(BASEBALL, aged(12), log)
    assert answer.rest_days == 2
    assert Rule.SEVERAL_TEAMS in {flag.rule for flag in answer.flags}


def test_missing_count_keeps_the_longest_rest() -> None:
    """A game without a count is asked for, and never opens earlier than the top band."""
    answer = eligibility(BASEBALL, aged(12), [game(TUESDAY)])
    assert answer.missing_counts == (TUESDAY,)
    assert answer.binding[0].rule is Rule.COUNT_MISSING
    assert answer.rest_days == 4


def test_missing_count_may_lie_beyond_the_table() -> None:
    """At 8 the table ends at 50: an unknown count keeps the longest rest of the older rows."""
    answer = eligibility(BASEBALL, aged(8), [game(TUESDAY)])
    assert answer.rest_days == 4
    assert answer.missing_counts == (TUESDAY,)


def test_one_missing_game_makes_the_day_missing() -> None:
    """A known count beside an unknown one the same day does not hide the unknown."""
    answer = eligibility(BASEBALL, aged(12), [game(TUESDAY, 10), game(TUESDAY, outs=3)])
    assert answer.missing_counts == (TUESDAY,)
    assert answer.rest_days == 4


def test_bullpen_opens_nothing_and_is_said() -> None:
    """A bullpen moves no table date but is flagged as load on the arm."""
    log = [game(TUESDAY, 40), bullpen(on("2027-06-02"), 30)]
    answer = eligibility(BASEBALL, aged(12), log)
    assert answer.first_eligible == on("2027-06-04")
    flag = next(
        flag
        for flag in eligibility(BASEBALL, aged(12), [*log, game(on("2027-06-04"), 10)]).flags
        if flag.rule is Rule.MOUND_WORK
    )
    assert flag.facts["pitches"] == 30


def test_bullpen_counts_toward_a_weekly_cap() -> None:
    """Full-effort practice throws fill the Japanese society's 200 a week."""
    rules = [library()["japan_society"]]
    log = [game(TUESDAY, 50), bullpen(on("2027-06-02"), 150)]
    verdict = may_pitch(rules, aged(11), log, on("2027-06-03"))
    assert Rule.WEEK_MAX in {reason.rule for reason in verdict.reasons}
    assert may_pitch(rules, aged(11), log[:1], on("2027-06-03")).pitches_left == 50


def test_second_game_on_a_day() -> None:
    """Never by the guideline, even where a league would allow it within the maximum."""
    rules = [library()["mlb_usab"], library()["babe_ruth"]]
    verdict = may_pitch(rules, aged(14), [game(TUESDAY, 18)], TUESDAY)
    assert not verdict.allowed
    assert [reason.ruleset_id for reason in verdict.reasons] == ["mlb_usab"]
    league = may_pitch(rules[1:], aged(14), [game(TUESDAY, 18)], TUESDAY)
    assert (league.allowed, league.pitches_left) == (True, 77)


@pytest.mark.parametrize(("first", "allowed"), [(30, True), (31, False)])
def test_second_game_after_a_short_first(first: int, allowed: bool) -> None:  # noqa: FBT001
    """legion-junior-2022: game two is open after 30 in game one, closed after 31."""
    verdict = may_pitch([library()["legion_junior"]], aged(16), [game(TUESDAY, first)], TUESDAY)
    assert verdict.allowed is allowed


def test_second_game_from_memory_opens_nothing() -> None:
    """The same league rule, were it only remembered, would keep game two closed."""
    rules = library()["legion_junior"]
    recalled = Cite("legion-junior-2022", "pitching note", "2022", Seen.MEMORY)
    side = replace(rules.side, second_game_cite=recalled)
    assert side.second_game is SecondGame.IF_FIRST_AT_MOST
    verdict = may_pitch([replace(rules, side=side)], aged(16), [game(TUESDAY, 10)], TUESDAY)
    assert not verdict.allowed


def test_two_appearances_in_three_days() -> None:
    """legion-junior-2022: a third appearance within three calendar days is barred."""
    rules = [library()["legion_junior"]]
    log = [game(TUESDAY, 10), game(on("2027-06-02"), 10)]
    third = may_pitch(rules, aged(16), log, on("2027-06-03"))
    assert [reason.rule for reason in third.reasons] == [Rule.APPEARANCES]
    assert may_pitch(rules, aged(16), log, on("2027-06-04")).allowed
    assert not may_pitch(rules, aged(16), [game(TUESDAY, 5), game(TUESDAY, 5)], log[1].day).allowed


def test_day_off_after_two_days_running() -> None:
    """dixie-2021 and mn-2017: two days running are followed by a whole day off."""
    log = [game(TUESDAY, 10), game(on("2027-06-02"), 10)]
    for name in ("dixie", "hs_minnesota"):
        answer = eligibility([library()[name]], aged(16), log)
        assert answer.first_eligible == on("2027-06-04")


def test_long_outing_bars_the_next_day() -> None:
    """on-2017-peewee: more than 55 in a day bar the next, 55 do not."""
    rules, day = [library()["baseball_ontario_2017"]], on("2027-06-02")
    barred = may_pitch(rules, aged(12), [game(TUESDAY, 56)], day)
    assert Rule.NEXT_DAY_BAR in {reason.rule for reason in barred.reasons}
    at_limit = may_pitch(rules, aged(12), [game(TUESDAY, 55)], day)
    assert Rule.NEXT_DAY_BAR not in {reason.rule for reason in at_limit.reasons}


def test_never_pitch_and_catch() -> None:
    """on-2017-peewee: having caught closes the mound, having pitched closes catching."""
    rules = [library()["baseball_ontario_2017"]]
    pitch = may_pitch(rules, aged(12), [caught(TUESDAY, 1)], TUESDAY)
    catch = may_catch(rules, aged(12), [game(TUESDAY, 5)], TUESDAY)
    assert Rule.PITCH_AND_CATCH in {reason.rule for reason in pitch.reasons}
    assert not catch.allowed


def test_no_catching_on_a_rest_day() -> None:
    """Common practice: a day of rest from pitching is a day without catching."""
    log = [game(TUESDAY, 62)]
    verdict = may_catch(BASEBALL, aged(11), log, on("2027-06-03"))
    assert (verdict.allowed, verdict.first_eligible) == (False, on("2027-06-05"))
    assert verdict.reasons[0].cite.seen is Seen.COMMON
    assert may_catch(BASEBALL, aged(11), log, on("2027-06-05")).allowed


def test_count_beyond_the_published_table() -> None:
    """55 at 8: no published band reaches it; the top band is a floor, the older row's is kept."""
    rules, row = library()["mlb_usab"], library()["mlb_usab"].groups[0]
    answer = rest_for(rules, row, 55)
    assert answer is not None
    assert (answer.rest, answer.beyond_table, answer.over_daily_max) == (2, True, True)
    dated = eligibility(BASEBALL, aged(8), [game(TUESDAY, 55)])
    assert dated.rest_days == 3
    assert {Rule.OVER_DAILY_MAX, Rule.BEYOND_TABLE} <= {flag.rule for flag in dated.flags}
    assert dated.binding[0].facts["group"] == "9-10"


def test_fifth_day_from_memory_restricts() -> None:
    """C01: 110 at 20 owe four days in print, and the recalled fifth day is kept besides."""
    answer = eligibility(BASEBALL, aged(20), [game(TUESDAY, 110)])
    assert answer.rest_days == 5
    assert answer.binding[0].cite.seen is Seen.MEMORY
    assert {one.ruleset_id: one.rest.rest for one in answer.by_set if one.rest} == {
        "mlb_usab": 4,
        "mlb_usab_later": 5,
    }


def test_memory_alone_never_says_yes() -> None:
    """Softball rows known from memory alone give no yes; the row read in print may."""
    rules = applicable_sets(library(), sport="softball")
    recalled = may_pitch(rules, aged(11), [], TUESDAY)
    assert not recalled.allowed
    assert [reason.rule for reason in recalled.reasons] == [Rule.NOT_CONFIRMED]
    assert may_pitch(rules, aged(13), [], TUESDAY).allowed
    assert not eligibility(rules, aged(11), [game(TUESDAY, 50)]).confirmed


def test_softball_takes_no_baseball_chart() -> None:
    """A softball pitcher is never measured by the baseball guideline."""
    assert {rules.sport for rules in applicable_sets(library(), sport="softball")} == {"softball"}


def test_too_young_for_any_table() -> None:
    """At 6 nothing published permits pitching; PONY says so outright."""
    verdict = may_pitch(applicable_sets(library(), ["pony"]), aged(6), [], TUESDAY)
    rules = {reason.rule for reason in verdict.reasons}
    assert {Rule.BELOW_TABLE, Rule.MAY_NOT_PITCH} <= rules
    assert not verdict.allowed
    assert not eligibility(BASEBALL, aged(6), [game(TUESDAY, 30)]).confirmed


def test_league_without_a_row_is_said() -> None:
    """A league whose table starts older is named as not covering, and the guideline answers."""
    sets = applicable_sets(library(), ["baseball_alberta"])
    answer = eligibility(sets, aged(8), [game(TUESDAY, 30)])
    assert answer.uncovered == ("baseball_alberta",)
    assert answer.rest_days == 1


def test_adult_is_not_covered() -> None:
    """Above every table there is no yes and no date."""
    with pytest.raises(ValueError, match="covers"):
        eligibility(BASEBALL, aged(30), [game(TUESDAY, 30)])
    assert not may_pitch(BASEBALL, aged(30), [], TUESDAY).allowed


def test_nothing_known_is_asked_for() -> None:
    """Without an age the guideline cannot answer: it asks."""
    with pytest.raises(AgeNeeded):
        may_pitch(BASEBALL, Who(), [], TUESDAY)
    with pytest.raises(ValueError, match="no rule set"):
        may_pitch([], aged(12), [], TUESDAY)
    with pytest.raises(ValueError, match="no day asked"):
        eligibility(BASEBALL, aged(12), [])


def test_later_day_asked_about() -> None:
    """Asked about a later day the answer is that day, and later outings do not count."""
    log = [game(TUESDAY, 40), game(on("2027-06-20"), 80)]
    answer = eligibility(BASEBALL, aged(12), log, asking=on("2027-06-10"))
    assert answer.first_eligible == on("2027-06-10")
    assert answer.rest_days == 2


def test_age_on_the_day_thrown_decides() -> None:
    """Thrown in the birthday month at 14, the younger band still holds in the next."""
    who = Who(birth=BirthMonth(2012, 6))
    answer = eligibility(BASEBALL, who, [game(on("2027-06-30"), 66)])
    assert answer.rest_days == 4
    older = eligibility(BASEBALL, who, [game(on("2027-07-01"), 66)])
    assert older.rest_days == 3


def test_verdict_leaves_room_by_the_strictest_limit() -> None:
    """17 in Ohio: 105 by the guideline, not the state's 125."""
    sets = applicable_sets(library(), ["hs_ohio"])
    verdict = may_pitch(sets, aged(17), [], TUESDAY)
    assert (verdict.allowed, verdict.pitches_left) == (True, 105)
    assert {r.ruleset_id for r in verdict.reasons} == {"mlb_usab", "mlb_usab_later", "hs_ohio"}


def test_memory_maximum_still_restricts() -> None:
    """Little League's remembered 105 at 17-18 caps, though it could permit nothing."""
    verdict = may_pitch([library()["little_league"]], aged(18), [], TUESDAY)
    assert verdict.pitches_left == 105


def test_softball_third_day_is_closed_by_the_stricter_memory() -> None:
    """Softball: two days running close the third, though the printed row would leave 80."""
    rules = applicable_sets(library(), sport="softball")
    log = [game(TUESDAY, 40), game(on("2027-06-02"), 40)]
    verdict = may_pitch(rules, aged(13), log, on("2027-06-03"))
    assert [reason.rule for reason in verdict.reasons] == [Rule.CONSECUTIVE_DAYS]


@pytest.mark.parametrize(
    ("field", "outing"),
    [
        ("pitches", Outing("o", TUESDAY, pitches=-1)),
        ("outs", Outing("o", TUESDAY, pitches=40, outs=-3)),
        ("innings_caught", Outing("o", TUESDAY, innings_caught=-1)),
        ("last_batter_pitches", Outing("o", TUESDAY, pitches=40, last_batter_pitches=50)),
    ],
)
def test_impossible_outing_is_named(field: str, outing: Outing) -> None:
    """Bad input is an error that names the outing and the field."""
    with pytest.raises(ValueError, match=f"outing 'o': {field}"):
        eligibility(BASEBALL, aged(12), [outing])


@pytest.mark.parametrize(("pitches", "last"), [(0, None), (-5, None), (10, 11), (10, 0)])
def test_impossible_count_is_refused(pitches: int, last: int | None) -> None:
    """A table starts at one pitch, and the last batter cannot take more than were thrown."""
    rules = library()["little_league"]
    with pytest.raises(ValueError, match="pitches is"):
        rest_for(rules, rules.groups[0], pitches, last_batter_pitches=last)


def test_unknown_league_is_refused() -> None:
    """A set the library does not hold is an error that lists what it holds."""
    with pytest.raises(ValueError, match="little_league"):
        applicable_sets(library(), ["no_such_league"])


def test_catching_is_not_pitching() -> None:
    """A game only caught owes no rest and is no missing count."""
    log = [Outing("c", TUESDAY, innings_caught=3), game(TUESDAY - timedelta(days=1), 20)]
    answer = eligibility([library()["mlb_usab"]], aged(12), log)
    assert answer.missing_counts == ()
    assert answer.first_eligible == TUESDAY
