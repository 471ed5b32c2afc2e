"""Counts told as a bound, a rough ten or so many an inning: the most rest is owed."""

from __future__ import annotations

import pytest
from conversation import facts, new_family, say
from reading_support import reading


@pytest.mark.parametrize(
    ("text", "pitches"),
    [
        ("threw 3 innings 15 pitches each yesterday, he is 12", 45),
        ("threw 20 pitches per inning for 3 innings yesterday, he is 11", 60),
        ("4 innings, about 20 pitches an inning today, he is 12", 80),
        ("12yo threw 4 innings about 20 an inning today", 80),
        ("he's 11, 3 innings around 15 an inning yesterday", 45),
        ("averaging 14 a frame over 6 frames today age 15", 84),
        ("4 innings 12 to 15 an inning today, he is 11", 60),
        ("tiene 12, lanzó 4 entradas como 20 por entrada hoy", 80),
        ("tiene 10, 3 entradas a 18 por inning ayer", 54),
        ("2 games yesterday 40 pitches each, he is 12", 80),
        ("tiró 3 entradas de 15 lanzamientos cada una ayer, tiene 12", 45),
        ("threw more than 50 yesterday, he is 12", 51),
        ("threw over 65 pitches yesterday, he is 12", 66),
        ("threw 50+ pitches yesterday, he is 12", 51),
        ("lanzó más de 50 ayer, tiene 12", 51),
        ("he threw sixty something yesterday, he is 12", 69),
        ("tiró sesenta y pico ayer, tiene 12", 69),
        ("threw 40 over 2 innings yesterday, he is 12", 40),
        ("over the weekend he threw 45, he is 12", 45),
        ("both threw 30 each friday, they are 11", 30),
    ],
)
def test_the_total_is_the_count_that_owes_most(text: str, pitches: int) -> None:
    """The row of the chart is never one that a likely count lies above."""
    assert [c.pitches for c in reading(text).counts] == [pitches]


@pytest.mark.parametrize(
    "text",
    [
        "12yo threw 4 innings about 20 an inning today",
        "tiene 12, lanzó 4 entradas como 20 por entrada hoy",
    ],
)
def test_innings_told_with_their_pitches_are_an_outing(text: str) -> None:
    """No limit of innings was asked about: 80 pitches go to the log and ask for 4 days.

    Source: MLB/USA Baseball guideline, 66 and more at 12: 4 days.
    """
    decision = say(new_family(), text)
    assert decision.turn.topic in ("log_outing", "rest_days")
    assert facts(decision.turn.values)[0]["rest_days"] == 4
    assert [outing.pitches for _, outing in decision.family.outings] == [80]


def test_innings_asked_about_are_no_outing() -> None:
    """A question with innings in it stays a question of limits."""
    decision = say(new_family(), "he's 12. how many innings can he throw at 15 an inning?")
    assert not decision.family.outings


def test_a_count_an_inning_alone_is_no_total() -> None:
    """Nobody says how many innings: nothing was counted, so the bot asks."""
    found = reading("threw 20 pitches per inning yesterday, he is 11")
    assert not [c for c in found.counts if c.pitches is not None]
