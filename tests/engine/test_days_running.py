"""Outings on days running: the chart's rest is one thing, the third day in a row another."""

from __future__ import annotations

from datetime import timedelta

import pytest
from conversation import TODAY, facts, new_family, phrase, say

MONDAY, TUESDAY = TODAY - timedelta(days=2), TODAY - timedelta(days=1)


@pytest.mark.parametrize(
    ("text", "lang", "pitches", "age"),
    [
        ("he's 12. 20 pitches monday and 20 tuesday. rest days?", "en", 20, "age 12"),
        ("my 11 yr old threw 16 monday and 15 yesterday, how much rest", "en", 15, "age 11"),
        ("tiene 12, tiró 20 el lunes y 18 el martes. cuántos días descansa", "es", 18, "12 años"),
    ],
)
def test_a_third_day_is_out_though_no_rest_is_owed(
    text: str, lang: str, pitches: int, age: str
) -> None:
    """Two short outings owe 0 days by the chart; the next day is out as the third running.

    Source: MLB/USA Baseball guideline, 1-20 pitches: 0 days; no three consecutive days.
    """
    turn = say(new_family(), text).turn
    row = facts(turn.values)[0]
    assert row["rest_days"] == 0
    assert row["first_eligible"] == (TODAY + timedelta(days=1)).isoformat()
    assert phrase(lang, "rest_zero_run", pitches=pitches, age=age) in turn.reply


def test_a_rest_owed_is_the_charts_number_and_names_the_third_day() -> None:
    """30 on Tuesday owe one day by themselves; that it would be the third is said beside it.

    Source: MLB/USA Baseball guideline, 21-35 pitches: 1 day; no three consecutive days.
    """
    turn = say(new_family(), "he's 12. 20 pitches monday and 30 tuesday. rest days?").turn
    assert facts(turn.values)[0]["rest_days"] == 1
    assert phrase("en", "third_day") in turn.reply


def test_the_third_day_asked_about_is_refused() -> None:
    """No rest owed is no leave for a third day."""
    turn = say(new_family(), "he's 12. 20 monday, 20 tuesday. can he pitch today?").turn
    row = facts(turn.values)[0]
    assert (row["rest_days"], row["may_pitch"]) == (0, False)


@pytest.mark.parametrize(
    "text", ["15 mon, 10 tue, hes 11. when again", "tiene 11. 15 el lunes, 10 el martes. cuándo"]
)
def test_a_small_count_in_a_list_by_days_is_an_outing(text: str) -> None:
    """Ten pitches are an outing like any other where a list gives each day its number."""
    family = say(new_family(), text).family
    assert [(o.day, o.pitches) for _, o in family.outings] == [(MONDAY, 15), (TUESDAY, 10)]
