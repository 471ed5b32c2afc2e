"""How old an athlete is for a rule set, and which row that names."""

from __future__ import annotations

import pytest
from core_support import aged, library, on

from armbot.core.ages import (
    AgeNeeded,
    Who,
    age_span,
    choose_group,
    division_span,
    grade_span,
    league_age,
)
from armbot.model.people import AgeSpan, BirthMonth


@pytest.mark.parametrize(
    ("day", "age"), [("2027-05-31", 12), ("2027-06-01", 12), ("2027-06-30", 12), ("2027-07-01", 13)]
)
def test_birthday_month_counts_as_the_younger_age(day: str, age: int) -> None:
    """Only month and year are known, so the new age holds from the month after."""
    assert age_span(Who(birth=BirthMonth(2014, 6)), on(day)) == AgeSpan(age, age)


def test_birthday_moves_the_row() -> None:
    """Born June 2014: 11-12 through June 2027, 13-14 from July."""
    who, rules = Who(birth=BirthMonth(2014, 6)), library()["mlb_usab"]
    rows = [choose_group(rules, who, on(day)) for day in ("2027-06-30", "2027-07-01")]
    assert [row.group.id for row in rows if row] == ["11-12", "13-14"]


@pytest.mark.parametrize(
    ("month", "age"), [(7, AgeSpan(12, 12)), (8, AgeSpan(12, 12)), (9, AgeSpan(11, 11))]
)
def test_league_age_on_a_month_end(month: int, age: AgeSpan) -> None:
    """ll-age-date: 31 August ends its month, so each birth month has one league age."""
    assert league_age(BirthMonth(2015, month), (8, 31), 2027) == age


def test_league_age_within_the_cutoff_month_is_open() -> None:
    """A cut-off inside a month leaves both ages possible for a birthday in it."""
    assert league_age(BirthMonth(2015, 5), (5, 1), 2027) == AgeSpan(11, 12)


def test_league_age_differs_from_age_today() -> None:
    """In April an August child is 10 by the guideline and 11 by league age."""
    who, day = Who(birth=BirthMonth(2016, 8)), on("2027-04-10")
    today = choose_group(library()["mlb_usab"], who, day)
    league = choose_group(library()["little_league"], who, day)
    assert today is not None
    assert league is not None
    assert (today.group.id, league.group.id) == ("9-10", "11-12")


@pytest.mark.parametrize(
    ("label", "ages"),
    [
        ("10U", (9, 10)),
        ("u12", (11, 12)),
        ("14-u", (13, 14)),
        ("8 and under", (7, 8)),
        ("11U", (10, 11)),
        ("15u aaa", (14, 15)),
    ],
)
def test_division_is_two_years(label: str, ages: tuple[int, int]) -> None:
    """A division label names its top age and the one below, however it is typed."""
    assert division_span(label) == AgeSpan(*ages)


@pytest.mark.parametrize("label", ["majors", "", "10 pitches", "0u", "up"])
def test_other_words_are_no_division(label: str) -> None:
    """What is no "under" label gives no age."""
    assert division_span(label) is None


def test_school_grade() -> None:
    """Common practice: grade 7 is 12 to 13, and grades end at 12."""
    assert grade_span(7) == AgeSpan(12, 13)
    assert grade_span(0) == AgeSpan(5, 6)
    with pytest.raises(ValueError, match="13"):
        grade_span(13)


def test_straddling_age_takes_every_row_and_names_the_younger() -> None:
    """An 11U team is 10 or 11: both rows stay candidates, the younger is named."""
    choice = choose_group(library()["mlb_usab"], Who(division="11U"), on("2027-05-01"))
    assert choice is not None
    assert choice.straddles
    assert [group.id for group in choice.candidates] == ["9-10", "11-12"]
    assert choice.group.id == "9-10"


def test_real_age_beats_the_division_played_in() -> None:
    """An 8-year-old playing up in 10U is 8 for the guideline."""
    who = Who(age=AgeSpan(8, 8), division="10U")
    choice = choose_group(library()["mlb_usab"], who, on("2027-05-01"))
    assert choice is not None
    assert choice.group.id == "7-8"


def test_division_rules_go_by_the_division() -> None:
    """In a league with division tables the division decides, told in any spelling."""
    for label in ("13U", "u13", "13 and under"):
        who = Who(age=AgeSpan(11, 11), division=label)
        choice = choose_group(library()["baseball_canada"], who, on("2027-05-01"))
        assert choice is not None
        assert choice.group.id == "13u"


def test_school_level_not_told_keeps_every_row() -> None:
    """Without a level the strictest of all school rows answers."""
    choice = choose_group(library()["hs_minnesota"], aged(16), on("2027-05-01"))
    assert choice is not None
    assert [group.id for group in choice.candidates] == ["lower levels", "varsity"]
    level = choose_group(library()["hs_minnesota"], Who(level="Varsity"), on("2027-05-01"))
    assert level is not None
    assert level.group.id == "varsity"


def test_unknown_age_is_asked_for() -> None:
    """With nothing known the set is named that needs an age: never a guess."""
    with pytest.raises(AgeNeeded, match="mlb_usab"):
        choose_group(library()["mlb_usab"], Who(level="varsity"), on("2027-05-01"))


def test_outside_the_table() -> None:
    """Above the oldest row nothing covers; below the guideline's youngest, that row is a floor."""
    day = on("2027-05-01")
    assert choose_group(library()["mlb_usab"], aged(23), day) is None
    assert choose_group(library()["mlb_usab_later"], aged(12), day) is None
    below = choose_group(library()["mlb_usab"], aged(6), day)
    assert below is not None
    assert (below.group.id, below.below_table) == ("7-8", True)
