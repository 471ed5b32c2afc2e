"""What picture, text and calendar show is what the tables and the log say, and no more."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest
from conversation import NOW, TODAY, facts, grammar, say
from hypothesis import given
from quick import QUICK
from shown_families import (
    BUSY,
    CLEARED,
    HELD,
    KAI,
    NONE,
    ONE,
    RESTING,
    UNCOUNTED,
    ago,
    families,
    family,
    held,
    shown,
    threw,
    today_of,
)

from armbot.core.ages import Who
from armbot.core.workload import applicable_sets, may_pitch
from armbot.engine.overview import overview
from armbot.engine.overview_values import Arm, DayShown, Overview, Plan, State
from armbot.model.family import Athlete, Family, Member, OffSeason, Planned, Talk
from armbot.model.outings import OutingKind
from armbot.model.people import BirthMonth
from armbot.model.reports import Tier


def on(view: Overview, day: date) -> DayShown:
    """The one day of an overview."""
    return next(found for found in view.days if found.day == day)


def test_sixty_two_pitches_at_eleven_owe_three_days() -> None:
    """Thrown on Tuesday: rest Wednesday to Friday, first day Saturday, of 85 a day.

    Major League Baseball with USA Baseball, 2014: ages 11-12, 51-65 pitches, 3 days; 85.
    """
    view = shown(ONE)
    assert view.state is State.REST
    assert view.rest_ahead == (ago(0), ago(-1), ago(-2))
    assert (view.first, view.limit) == (ago(-3), 85)
    assert [day.day for day in view.days if day.rest] == list(view.rest_ahead)


@pytest.mark.parametrize("pitches", [15, 30, 45, 62, 80])
def test_it_agrees_with_the_answer_in_the_chat(pitches: int) -> None:
    """The same log asked about in words gets the same first day to pitch."""
    asked = family(threw(2, pitches))
    told = facts(say(asked, "when can Kai pitch again?").turn.values)[0]["first_eligible"]
    view = shown(asked)
    first = view.first or view.today
    assert told == first.isoformat() or (told is not None and str(told) < view.today.isoformat())


def test_each_day_is_measured_by_the_limit_of_its_own_day() -> None:
    """A month of birth that is over moves the limit from the next day on, not before.

    Same guideline: 85 a day at 11-12, 95 at 13-14.
    """
    view = shown(family(who=replace(KAI, birth=BirthMonth(2013, 5))))
    assert (on(view, date(2026, 5, 31)).limit, on(view, date(2026, 6, 1)).limit) == (85, 95)


def test_weeks_are_whole_and_end_with_that_of_today() -> None:
    """From a Monday, day after day, to the Sunday after today."""
    days = [day.day for day in shown(ONE).days]
    assert days[0].weekday() == 0
    assert all(later - day == timedelta(days=1) for day, later in pairwise(days))
    assert (len(days), days[-1]) == (35, date(2026, 6, 14))


def test_a_week_is_added_where_rest_reaches_into_it() -> None:
    """Pitched on a Sunday: the rest of next week is to be seen."""
    view = shown(ONE, today=date(2026, 6, 14))
    late = shown(family(threw(-4, 62)), today=date(2026, 6, 14))
    assert (len(view.days), len(late.days)) == (35, 42)
    assert on(late, late.first or TODAY)


def test_pitches_of_all_teams_on_a_day_are_one_number() -> None:
    """One arm: 75 for one team and 15 for the other are 90, over the limit of 85."""
    day = on(shown(BUSY), ago(20))
    assert (day.pitches, day.over, day.breach) == (90, True, True)


@pytest.mark.parametrize("kind", [OutingKind.GAME, OutingKind.BULLPEN])
def test_throwing_on_a_rest_day_is_marked(kind: OutingKind) -> None:
    """The day after 62 pitches is one of rest; whatever is thrown then, it stays marked."""
    day = on(shown(family(threw(5, 62), replace(threw(4, 20), kind=kind))), ago(4))
    assert day.rest
    assert day.breach
    assert not day.over


def test_a_hold_leaves_no_day_to_throw() -> None:
    """From the day of the report on every day is on hold, those to come as well."""
    view = shown(HELD)
    assert (view.state, view.first, view.rest_ahead) == (State.HOLD, None, ())
    assert not view.grants
    assert all(day.hold is (day.day >= ago(4)) for day in view.days)
    assert {planned.plan for planned in view.planned} == {Plan.UNSURE}


def test_a_hold_on_nobody_in_particular_is_on_everybody() -> None:
    """A report that names no child stops every athlete of the family."""
    assert shown(held(ONE, owner="")).state is State.HOLD


def test_a_hold_begins_on_the_familys_own_date() -> None:
    """Reported at two in the night of London, it is still the day before in New York."""
    since = datetime(2026, 6, 6, 2, tzinfo=UTC)
    base = held(ONE)
    moved = replace(base, holds=(replace(base.holds[0], since=since),))
    assert shown(moved).hold_since == date(2026, 6, 5)


def test_a_hold_that_was_cleared_stays_to_be_seen() -> None:
    """Its days are marked up to the clearance; the days after are free again."""
    view = shown(CLEARED)
    assert [day.day for day in view.days if day.hold] == [ago(n) for n in range(12, 5, -1)]
    assert view.state is State.REST


def test_a_question_stops_the_child_that_it_is_about() -> None:
    """It stops the child that it is about, and every child where it names none."""
    about = replace(ONE, talk=Talk(tier=Tier.ASK, athlete="a1"))
    other = replace(ONE, talk=Talk(tier=Tier.ASK, athlete="a2"))
    assert (shown(about).state, shown(other).state) == (State.WAITING, State.REST)


@pytest.mark.parametrize(
    "talk", [Talk(tier=Tier.ASK), Talk(off_on=TODAY)], ids=["question open", "settled today"]
)
@pytest.mark.parametrize("whose", ["family", "member"])
def test_no_day_is_named_while_a_question_is_open(talk: Talk, whose: str) -> None:
    """Nor on the day on which a sign was settled, whichever chat it was asked in."""
    asked = (
        replace(ONE, talk=talk)
        if whose == "family"
        else replace(ONE, members=(Member(chat=1, talk=talk),))
    )
    view = shown(asked)
    assert view.state in (State.WAITING, State.DAY_OFF)
    assert view.first is None
    assert not view.grants


def test_in_the_off_season_no_day_is_named() -> None:
    """Neither inside one, nor where the first day by the table would fall into one."""
    assert shown(RESTING).state is State.OFF_SEASON
    ahead = replace(ONE, off_seasons=(OffSeason("a1", ago(-2), ago(-90)),))
    assert shown(RESTING).first is None
    assert (shown(ahead).state, shown(ahead).first) == (State.REST, None)
    assert shown(ahead).rest_ahead


def test_an_unknown_count_is_asked_for() -> None:
    """The longest rest is kept, and no day is named until the count is told."""
    view = shown(UNCOUNTED)
    assert (view.state, view.missing, view.first) == (State.COUNT_MISSING, ago(2), None)
    assert not on(view, ago(2)).counted


def test_a_count_above_the_table_names_no_day() -> None:
    """At eight the table ends at 50 pitches: nothing printed says when 70 are rested.

    Major League Baseball with USA Baseball, 2014: ages 7-8, 50 a day.
    """
    view = shown(family(threw(1, 70), who=replace(KAI, birth=BirthMonth(2018, 1))))
    assert (view.state, view.first) == (State.BEYOND, None)


@pytest.mark.parametrize(
    ("who", "state"),
    [
        (Athlete("a1", "Kai"), State.NO_AGE),
        (replace(KAI, sport="softball"), State.NO_TABLE),
        (replace(KAI, birth=BirthMonth(1990, 1)), State.NO_TABLE),
    ],
)
def test_without_age_or_table_nothing_is_computed(who: Athlete, state: State) -> None:
    """No limit, no rest day and no first day: the age is asked for, or the clinic named."""
    view = shown(family(threw(1, 62), who=who))
    assert (view.state, view.limit, view.first, view.rest_ahead) == (state, None, None, ())
    assert on(view, ago(1)).pitches == 62


def test_months_are_those_pitched_loaded_off_and_not_known() -> None:
    """Twelve months up to this one; before the log began nothing is known to be off."""
    months = {month.month: month for month in shown(RESTING).months}
    assert next(iter(months)) == (2025, 7)
    assert months[2026, 3].use is Arm.PITCHED
    assert months[2026, 5].use is Arm.OFF
    assert months[2026, 6].use is Arm.UNKNOWN
    assert months[2025, 7].use is Arm.UNKNOWN
    assert sum(month.days for month in months.values()) == 20
    assert shown(BUSY).months[-4].use is Arm.LOADED


def test_planned_days_say_what_stands_against_them() -> None:
    """Inside the rest of the last outing, in the off-season, or nothing."""
    days = (ago(-1), ago(-4), ago(-20))
    plans = tuple(Planned("a1", day) for day in (*days, ago(3)))
    asked = replace(ONE, planned=plans, off_seasons=(OffSeason("a1", ago(-15), ago(-30)),))
    found = [(planned.day, planned.plan) for planned in shown(asked).planned]
    assert found == list(zip(days, (Plan.REST, Plan.OPEN, Plan.OFF_SEASON), strict=True))


def test_follow_ups_come_as_the_settings_say_while_on_hold() -> None:
    """From the day after the report, every so many days, so often at most; then never."""
    rule = grammar().library.reminders.follow_ups
    expected = [
        ago(4) + timedelta(days=rule.first_day.value + n * rule.every_days.value)
        for n in range(rule.most.value)
    ]
    assert list(shown(HELD).follow_ups) == [day for day in expected if day >= TODAY]
    assert shown(CLEARED).follow_ups == ()


@QUICK
@given(of=families())
def test_no_day_is_named_that_the_tables_do_not_allow(of: Family) -> None:
    """The first day is allowed by every table that fits, and the rest days before are not."""
    for athlete in of.athletes:
        today = today_of(of)
        view = overview(of, athlete, grammar().library, "en", today)
        if view.state not in (State.REST, State.FREE):
            assert view.first is None
        if view.first is None:
            continue
        sets = applicable_sets(
            grammar().library.rules, [r for r in athlete.rules if r in grammar().library.rules]
        )
        log = [outing for outing in of.outings_of(athlete.id) if outing.day <= today]
        who = Who(birth=athlete.birth) if athlete.birth else Who(age=athlete.age)
        assert may_pitch(sets, who, log, view.first).allowed
        assert not any(may_pitch(sets, who, log, day).allowed for day in view.rest_ahead)


def test_nothing_logged_says_so() -> None:
    """An empty log is no leave: it asks for the pitches."""
    view = shown(NONE)
    assert (view.state, view.first, view.grants) == (State.EMPTY, None, False)
    assert NOW.date() == view.today
