"""The off-season: proposed from the log, planned, told at its stations, guarded.

MLB/USA Baseball (content/season/months_off.yaml): to 14, four months off throwing a year, two
to three of them in a row; 15 to 18 the same off pitching; 19 to 22 three months, four weeks in
a row. That it usually begins in November is common practice.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from conversation import dates_in
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from reminder_clock import guardian, library, own_chat
from reminder_family import KAI, family_of, game, held, look, only, other, said

from armbot.core.season import count_months, months_check
from armbot.engine.off_season import (
    dropped,
    is_short,
    no_proposal_text,
    plan,
    planned_text,
    proposal_text,
    propose,
)
from armbot.engine.reminder_people import tongue_for
from armbot.model.family import Family, OffSeason
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import BirthMonth

OFF = OffSeason("a1", date(2026, 11, 1), date(2027, 1, 31))


def monthly(first: date, months: int) -> list[Outing]:
    """A game on the tenth of each month."""
    days = [(first.year * 12 + first.month - 1 + n) for n in range(months)]
    return [game(date(n // 12, n % 12 + 1, 10), 40) for n in days]


def proposed(family: Family, today: date) -> OffSeason | None:
    """The proposal for the first athlete."""
    return propose(family, family.athletes[0], library(), today)


@pytest.mark.parametrize(
    ("first", "months", "today", "told"),
    [
        # Nothing is known of the months before: all four are planned, from November on.
        (date(2026, 6, 1), 3, date(2026, 8, 20), (date(2026, 11, 1), date(2027, 2, 28))),
        # Months off lie behind already: only the run in a row is missing.
        (date(2025, 11, 1), 1, date(2026, 8, 20), (date(2026, 11, 1), date(2027, 1, 31))),
        # Pitched every month since January: eight are full at the end of August.
        (date(2026, 1, 1), 8, date(2026, 8, 20), (date(2026, 9, 1), date(2026, 12, 31))),
    ],
)
def test_the_proposal_reaches_the_months_off_and_the_run(
    first: date, months: int, today: date, told: tuple[date, date]
) -> None:
    """The usual month, or earlier where the months of pitching are used up."""
    found = proposed(family_of(*monthly(first, months)), today)
    assert found == OffSeason("a1", *told)


def test_in_the_usual_months_it_runs_from_the_day_after_the_last_throw() -> None:
    """Thrown on 3 December: from the 4th, and whole months from January on."""
    family = family_of(game(date(2026, 12, 3), 30))
    found = proposed(family, date(2026, 12, 10))
    assert found == OffSeason("a1", date(2026, 12, 4), date(2027, 4, 30))


def test_a_leap_february_ends_on_its_last_day() -> None:
    """November 2027 to February 2028."""
    found = proposed(family_of(), date(2027, 9, 1))
    assert found == OffSeason("a1", date(2027, 11, 1), date(2028, 2, 29))


def test_there_is_no_proposal_without_an_age_or_beside_a_plan() -> None:
    """Both are said."""
    nameless = family_of(athletes=(replace(KAI, birth=None),))
    assert proposed(nameless, date(2026, 9, 1)) is None
    tongue = tongue_for(guardian(101), nameless.athletes[0], library())
    told = no_proposal_text(nameless, nameless.athletes[0], tongue, date(2026, 9, 1))
    assert "How old" in told
    planned = family_of(off_seasons=(OFF,))
    assert proposed(planned, date(2026, 9, 1)) is None
    assert "Sun 1 November to Sun 31 January" in no_proposal_text(
        planned, KAI, tongue, date(2026, 9, 1)
    )
    assert proposed(planned, date(2027, 9, 1)) is not None, "that one is over"


@QUICK
@given(
    birth=st.integers(2008, 2017),
    used=st.lists(st.dates(date(2025, 9, 1), date(2026, 9, 30)), max_size=30),
    today=st.dates(date(2026, 10, 1), date(2027, 9, 30)),
)
def test_a_proposal_kept_meets_the_guideline(birth: int, used: list[date], today: date) -> None:
    """At its end the log shows the months off and the run that the row asks for."""
    athlete = replace(KAI, birth=BirthMonth(birth, 3))
    family = family_of(*(game(day, 30) for day in used), athletes=(athlete,))
    found = proposed(family, today)
    assert found is not None
    month = today.replace(day=1)
    until = []
    while month < found.first:
        until.append(game(max(month, today), 20))
        month = (month + timedelta(days=32)).replace(day=1)
    counted = count_months([*family.outings_of("a1"), *until], found.last)
    age = athlete.span_on(today)
    assert age is not None
    check = months_check(library().season.months_off, age, counted)
    assert check is not None
    assert check.ok
    assert check.run >= (check.row.run_months[1].value if check.row.run_months else 1)


def test_a_plan_takes_the_place_of_what_it_overlaps() -> None:
    """One dates change; another year's and another child's stay."""
    other_child = replace(OFF, athlete="a2")
    last_year = OffSeason("a1", date(2025, 11, 1), date(2026, 1, 31))
    family = family_of(off_seasons=(last_year, OFF, other_child))
    later = OffSeason("a1", date(2026, 12, 1), date(2027, 2, 28))
    assert plan(family, later).off_seasons == (last_year, other_child, later)


def test_an_off_season_cannot_end_before_it_begins() -> None:
    """Refused with both dates."""
    with pytest.raises(ValueError, match="2026-10-01 before it begins 2026-11-01"):
        plan(family_of(), OffSeason("a1", date(2026, 11, 1), date(2026, 10, 1)))


def test_dropping_a_plan_keeps_what_is_over() -> None:
    """The past is the log's."""
    last_year = OffSeason("a1", date(2025, 11, 1), date(2026, 1, 31))
    family = family_of(off_seasons=(last_year, OFF))
    assert dropped(family, "a1", date(2026, 11, 20)).off_seasons == (last_year,)


def test_dates_shorter_than_the_guideline_are_kept_and_said_to_be_short() -> None:
    """It is the family's choice; the bot says what the guideline asks."""
    short = OffSeason("a1", date(2026, 12, 1), date(2026, 12, 31))
    family = family_of(off_seasons=(short,))
    tongue = tongue_for(guardian(101), KAI, library())
    assert is_short(family, short, library())
    text = planned_text(family, short, tongue)
    assert "Tue 1 December to Thu 31 December" in text
    assert "shorter than the guideline asks" in text
    assert "2-3 months of that in a row" in text
    assert "(Major League Baseball" in text
    assert "shorter" not in planned_text(plan(family, OFF), OFF, tongue)


@pytest.mark.parametrize("lang", ["en", "es"])
def test_on_hold_no_off_season_text_names_a_day(lang: str) -> None:
    """The end of an off-season could be heard as a day to throw."""
    family = family_of(**held())
    tongue = tongue_for(guardian(101, lang), KAI, library())
    for text in (planned_text(family, OFF, tongue), proposal_text(family, OFF, tongue)):
        assert dates_in(text, lang) == []


def test_a_proposal_asks_and_says_why() -> None:
    """A question with dates, what rests means, and the guideline."""
    text = proposal_text(family_of(), OFF, tongue_for(guardian(101), KAI, library()))
    assert text.startswith("**An off-season for Kai: Sun 1 November to Sun 31 January?**")
    assert "At least 4 months off throwing" in text


STATIONS = {
    "2026-11-01 17:00": "Kai's off-season starts today. The arm rests until Sun 31 January.",
    "2026-12-01 17:00": "Off-season: Kai's arm rests until Sun 31 January.",
    "2027-01-01 17:00": "Off-season: Kai's arm rests until Sun 31 January.",
    "2027-01-18 17:00": "Kai's off-season ends on Sun 31 January. Then the way back is slow.",
    "2027-01-31 17:00": "The off-season ends today. Check Kai's arm before the first throw:",
}


@pytest.mark.parametrize("moment", STATIONS)
def test_the_stations_of_an_off_season(moment: str) -> None:
    """Its start, each month, two weeks before its end, and its last day."""
    found = said(family_of(off_seasons=(OFF,)), moment)
    assert [message.text.split("**")[1] for message in found] == [STATIONS[moment]]
    assert found[0].grants, "the end of it is a day on which throwing may begin"


def test_the_way_back_is_general_and_marked_as_common_practice() -> None:
    """Slowly, the mound last, no figures; only with a normal arm; no plan after an injury."""
    text = only(family_of(off_seasons=(OFF,)), "2027-01-18 17:00")
    for words in ("short, easy catch", "The mound comes last", "Only if the arm feels normal"):
        assert words in text
    assert "After an injury only the clinic's plan counts" in text
    assert "(Common practice)" in text


def test_a_station_missed_by_a_day_is_told_as_it_then_is() -> None:
    """Not "today" on the day after."""
    family = family_of(off_seasons=(OFF,))
    assert "starts today" not in only(family, "2026-11-02 17:00")
    assert "is over" in only(family, "2027-02-01 17:00")


def test_a_month_with_throwing_in_it_is_told_not_to_count() -> None:
    """Only the last month is spoken of."""
    family = family_of(other(date(2026, 12, 15), OutingKind.PRACTICE), off_seasons=(OFF,))
    assert "does not count as off" in only(family, "2027-01-01 17:00")
    assert "no throwing was logged" in only(family, "2026-12-01 17:00")


@pytest.mark.parametrize(
    ("kind", "note", "what"),
    [
        (OutingKind.OVERHEAD_SPORT, "swimming", "Swimming on Wed 18 November"),
        (OutingKind.OVERHEAD_SPORT, "unheard of", "Overhead sport on Wed 18 November"),
        (OutingKind.CATCHING, "", "Catching on Wed 18 November"),
        (OutingKind.PRACTICE, "", "Throwing on Wed 18 November"),
    ],
)
def test_use_of_the_arm_in_the_off_season_is_warned_of(
    kind: OutingKind, note: str, what: str
) -> None:
    """That evening, once in two weeks."""
    family = family_of(other(date(2026, 11, 18), kind, note), off_seasons=(OFF,))
    told = look(family, "2026-11-18 17:00")
    assert what in told.outbox[0].text
    assert not told.outbox[0].grants
    again = (*told.outings, ("a1", other(date(2026, 11, 25), kind, note)))
    assert said(replace(told, outings=again), "2026-11-25 17:00") == []
    later = (*told.outings, ("a1", other(date(2026, 12, 2), kind, note)))
    assert len(said(replace(told, outings=later), "2026-12-02 17:00")) == 1


def test_on_hold_the_end_of_an_off_season_says_hold() -> None:
    """The other stations are silent."""
    family = family_of(off_seasons=(OFF,), **held())
    kinds = {moment: said(family, moment) for moment in STATIONS}
    assert [bool(found) for found in kinds.values()] == [False, False, False, True, True]
    for found in kinds.values():
        assert all("on hold" in message.text for message in found)
        assert all(dates_in(message.text, "en") == [] for message in found)


def test_on_hold_throwing_logged_in_an_off_season_is_not_commented_on() -> None:
    """The hold has been told when it was logged."""
    swam = other(date(2026, 11, 18), OutingKind.OVERHEAD_SPORT, "swimming")
    assert said(family_of(swam, off_seasons=(OFF,), **held()), "2026-11-18 17:00") == []


def test_an_off_season_taken_back_is_silent() -> None:
    """Other dates were planned since."""
    moved = OffSeason("a1", date(2026, 12, 1), date(2027, 3, 31))
    assert said(family_of(off_seasons=(moved,)), "2026-11-01 17:00") == []


def test_the_child_is_told_in_its_own_words() -> None:
    """It says your off-season, not Kai's."""
    family = family_of(off_seasons=(OFF,), members=(own_chat(102, "a1"),))
    assert only(family, "2026-11-01 17:00").startswith("**Your off-season starts today.")
