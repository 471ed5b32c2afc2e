"""Planned outings, limits of the season, and the questions after a report.

Sources: MLB/USA Baseball (rest, no third day running, one team at a time; innings in 12
months: 80 at 9 to 12, 100 at 13 to 18); USA Baseball's table of 2006 (100 pitches a week at
11 and 12); AJSM 2006 (over 8 months of pitching); the Japan Rubber Baseball Association
(at most 6 practice days a week).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from conversation import dates_in
from reminder_clock import guardian, library, own_chat
from reminder_family import (
    KAI,
    LUZ,
    TUESDAY,
    at,
    comes,
    family_of,
    game,
    held,
    look,
    only,
    other,
    said,
)

from armbot.core.reminders import settled
from armbot.model.family import Athlete, Family, OffSeason, Planned, Report, Talk
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import BirthMonth
from armbot.model.reports import Tier

THURSDAY = date(2026, 6, 11)
EVE = "2026-06-10 18:00"
GAME = game(TUESDAY, 62)


def planning(*outings: Outing, day: date = THURSDAY, **changes: Any) -> Family:
    """A family with a game planned; the kinds around it turned off."""
    muted = ("rest", "arm", "eligible", "limits")
    return family_of(*outings, planned=(Planned("a1", day),), muted=muted, **changes)


def test_a_planned_outing_in_the_rest_days_is_told_the_evening_before() -> None:
    """62 on Tuesday and a game on Thursday: not before Saturday."""
    text = only(planning(GAME), EVE)
    assert text.startswith("**No pitching for Kai on Thu 11 June.**")
    assert "62 pitches on Tue 9 June" in text
    assert "First day to pitch again, by the chart: **Sat 13 June**" in text
    assert "Please tell the coach." in text
    assert "(Major League Baseball" in text


def test_a_third_day_running_is_told_as_such() -> None:
    """Two days with few pitches: the third one is out whatever the counts."""
    family = planning(game(TUESDAY, 10), game(date(2026, 6, 10), 10))
    assert "third day running" in only(family, EVE)


def test_a_league_rule_is_named() -> None:
    """A second game on a day is out by the guideline: the rule set is named."""
    family = planning(game(THURSDAY, 15))
    assert "MLB/USA Baseball" in only(family, "2026-06-11 08:00")


def test_a_planned_outing_that_is_fine_is_not_mentioned() -> None:
    """Silence where nothing is broken, in the evening and in the morning."""
    family = planning(game(TUESDAY, 20))
    assert said(family, EVE) == []
    assert said(look(family, EVE), "2026-06-11 08:00") == []


def test_what_breaks_the_plan_overnight_is_told_in_the_morning() -> None:
    """Fine on Wednesday at six; 40 pitches that night; Thursday at eight it is told, once."""
    before = look(planning(), EVE)
    assert before.outbox == ()
    logged = replace(before, outings=(("a1", game(date(2026, 6, 10), 40)),))
    comes(logged, "2026-06-11 08:00", "2026-06-10 21:30")
    told = look(logged, "2026-06-11 08:00")
    assert [message.key for message in told.outbox] == ["planned.a1.2026-06-11"]
    assert said(told, "2026-06-11 09:00") == []


def test_what_was_told_in_the_evening_is_not_told_again() -> None:
    """One key, one message."""
    assert said(look(planning(GAME), EVE), "2026-06-11 08:00") == []


def test_a_planned_outing_in_the_off_season_is_a_clash() -> None:
    """One of the two has to move; the bot does not say which."""
    family = planning(off_seasons=(OffSeason("a1", date(2026, 6, 1), date(2026, 9, 30)),))
    assert "lies in Kai's off-season" in only(family, EVE)


@pytest.mark.parametrize("lang", ["en", "es"])
def test_on_hold_a_planned_outing_is_off_without_a_date(lang: str) -> None:
    """Hold, and tell the coach: no day is named."""
    found = said(planning(GAME, members=(guardian(101, lang),), **held()), EVE)
    assert len(found) == 1
    assert ("on hold" if lang == "en" else "en pausa") in found[0].text
    assert dates_in(found[0].text, lang) == []
    assert not found[0].grants


def test_no_date_is_told_where_the_row_itself_forbids_it() -> None:
    """At six the table has no row: nothing published says from when on."""
    six = replace(KAI, birth=BirthMonth(2020, 3))
    found = said(planning(athletes=(six,)), EVE)
    assert "No pitching for Kai on Thu 11 June" in found[0].text
    assert "First day" not in found[0].text
    assert not found[0].grants


def test_no_date_is_told_while_a_safety_question_is_open() -> None:
    """The plan is off; from when on depends on the answer."""
    found = said(planning(GAME, talk=Talk(tier=Tier.ASK, athlete="a1")), EVE)
    assert "No pitching for Kai on Thu 11 June" in found[0].text
    assert "First day" not in found[0].text
    assert not found[0].grants


def test_a_plan_taken_back_is_silent() -> None:
    """Not pitching after all."""
    assert said(replace(planning(GAME), planned=()), EVE) == []


# Limits of the season: in the evening of the day after an outing.


def limits(*outings: Outing, athlete: Athlete = KAI, **changes: Any) -> Family:
    """A family of which only the limits are told."""
    muted = ("rest", "arm", "eligible", "planned", "off", "seen")
    return family_of(*outings, athletes=(athlete,), muted=muted, **changes)


LIMITS = "2026-06-10 20:00"


def innings(total: int) -> tuple[Outing, ...]:
    """So many innings in games a month apart, the last one on Tuesday with 20 pitches."""
    days = [TUESDAY - timedelta(days=28 * n) for n in range(5)]
    share, rest = divmod(total, len(days))
    return tuple(game(day, 20, outs=3 * (share + (rest if day == TUESDAY else 0))) for day in days)


@pytest.mark.parametrize(
    ("total", "told"),
    [
        (71, ""),
        (72, "72 of 80 innings in the last twelve months, at age 11. 8 left."),
        (80, "80 of 80 innings in the last twelve months, at age 11. 0 left."),
        (83, "83 innings in the last twelve months: 3 over the 80 for age 11."),
    ],
)
def test_innings_are_told_from_nine_tenths_of_the_limit(total: int, told: str) -> None:
    """80 innings in 12 months at 9 to 12; near is 72."""
    found = said(limits(*innings(total)), LIMITS)
    assert bool(found) == bool(told)
    assert all(told in message.text for message in found)


def test_passing_a_limit_is_news_after_coming_close_and_told_once_in_four_weeks() -> None:
    """Near on the 10th, over on the 17th, silent on the 24th, told again in July."""
    family = look(limits(*innings(78)), LIMITS)
    assert "78 of 80" in family.outbox[0].text
    over = with_game(family, date(2026, 6, 16))
    over = look(over, "2026-06-17 20:00")
    assert "1 over the 80" in over.outbox[0].text
    silent = look(with_game(over, date(2026, 6, 23)), "2026-06-24 20:00")
    assert silent.outbox == ()
    again = look(with_game(silent, date(2026, 7, 14)), "2026-07-15 20:00")
    assert len(again.outbox) == 1


def with_game(family: Family, day: date) -> Family:
    """One more game of three innings and 20 pitches."""
    return replace(family, outings=(*family.outings, ("a1", game(day, 20, outs=9))))


def test_the_strictest_weekly_cap_of_the_age_is_told() -> None:
    """At 11: 100 a week by the table of 2006, 110 by ten per year of age."""
    family = limits(game(date(2026, 6, 4), 50), game(TUESDAY, 55))
    text = only(family, LIMITS)
    assert "105 pitches in the last seven days, over the 100" in text
    assert "USA Baseball Medical" in text
    assert said(limits(game(date(2026, 6, 4), 30), game(TUESDAY, 55)), LIMITS) == []


@pytest.mark.parametrize(("months", "told"), [(7, ""), (8, "in 8 of"), (9, "Plan time off now")])
def test_months_of_pitching_are_told_from_the_most_advised(months: int, told: str) -> None:
    """Over 8 months a year went with more arm surgery in one study."""
    days = [date(2025, 10, 15), date(2025, 11, 15), date(2025, 12, 15)]
    days += [date(2026, month, 15) for month in range(1, 6)] + [TUESDAY]
    found = said(limits(*(game(day, 20) for day in days[-months:])), LIMITS)
    assert bool(found) == bool(told)
    assert all(told in message.text for message in found)
    assert all("rem:limits:a1:20260610:plan" in str(m.buttons) for m in found)


def test_six_days_of_throwing_in_a_row_ask_for_a_free_one() -> None:
    """Practice counts; five do not."""
    six = [other(TUESDAY - timedelta(days=n), OutingKind.PRACTICE) for n in range(6)]
    assert "6 days in a row with throwing" in only(limits(*six), LIMITS)
    assert said(limits(*six[:5]), LIMITS) == []


def test_two_teams_in_a_week_are_told() -> None:
    """One team at a time is the guideline's advice."""
    family = limits(game(date(2026, 6, 5), 10, team="school"), game(TUESDAY, 10, team="club"))
    assert "2 teams in one week" in only(family, LIMITS)


def test_limits_that_need_an_age_wait_for_it() -> None:
    """Innings and weeks go by age; months in a year do not."""
    nameless = replace(KAI, birth=None)
    assert said(limits(*innings(90), athlete=nameless), LIMITS) == []


def test_limits_are_silent_on_hold() -> None:
    """Nothing about throwing more or less."""
    assert said(limits(*innings(90), **held()), LIMITS) == []


def test_limits_stand_back_on_a_full_day() -> None:
    """The morning's question and the evening's rest days are two: limits come a day later."""
    outings = (*innings(78), game(date(2026, 6, 10), 40))
    family = look(family_of(*outings), "2026-06-10 08:00")
    family = look(family, "2026-06-10 19:00")
    assert len(family.outbox) == 1
    family = look(family, "2026-06-10 20:00")
    assert family.outbox == ()
    morning = look(family, "2026-06-11 08:00")
    assert "season so far" in only(morning, "2026-06-11 20:00")


# After a report.


def test_after_a_report_the_question_comes_next_day_then_every_three_at_most_four_times() -> None:
    """Reported on Tuesday evening: Wednesday, Saturday, Tuesday, Friday, and no more."""
    family = family_of(GAME, **held())
    days = []
    for day in range(10, 31):
        moment = f"2026-06-{day} 10:00"
        family = look(family, moment)
        days += [day for _ in family.outbox]
    assert days == [10, 13, 16, 19]
    assert family.due is None


def test_the_question_says_what_holds_and_the_last_one_that_it_is_the_last() -> None:
    """No throwing, whom to call, when it cannot wait; never a day to throw."""
    family = family_of(**held())
    text = only(family, "2026-06-10 10:00")
    assert text.startswith("**Has a clinician looked at Kai's arm yet?**")
    assert "555-0100" in text
    assert "no games, practice or catch" in text
    assert "I will not ask again" not in text
    assert "I will not ask again" in only(family, "2026-06-19 10:00")


def test_a_report_about_nobody_in_particular_is_asked_of_the_guardians() -> None:
    """With two children and no name told."""
    people = (guardian(101), own_chat(102, "a1"))
    family = family_of(athletes=(KAI, LUZ), members=people, **held(""))
    found = said(family, "2026-06-10 10:00")
    assert [(m.chat, m.key) for m in found] == [(101, "seen..2026-06-10")]
    assert found[0].buttons[0].act == "rem:seen::20260610:yes"


def test_the_end_of_the_hold_ends_the_questions() -> None:
    """A clearance was recorded."""
    family = family_of(**held())
    assert said(replace(family, holds=()), "2026-06-10 10:00") == []


def test_a_new_report_starts_the_questions_anew() -> None:
    """Told again on the 15th: asked on the 16th, counted from there."""
    family = family_of(**held())
    second = Report(at("2026-06-15 12:00"), "a1", Tier.STOP, (), "again", id="r2")
    family = replace(family, reports=(*family.reports, second))
    assert [m.key for m in said(family, "2026-06-16 10:00")] == ["seen.a1.2026-06-16"]
    assert "I will not ask again" in only(family, "2026-06-25 10:00")


def test_every_figure_kept_outlives_what_may_repeat() -> None:
    """What is remembered 42 days cannot repeat after it was forgotten."""
    settings = library().reminders
    repeats = [figure.value for figure in settings.limits.repeat_days.values()]
    assert settings.kept_days.value > max(repeats)
    family = look(limits(*innings(78)), LIMITS)
    later = look(family, "2026-07-21 20:00")
    assert "limits.a1.2026-06-10" in settled(later.done)
    assert "limits.a1.2026-06-10" not in settled(look(later, "2026-07-24 20:00").done)
