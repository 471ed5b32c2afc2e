"""Counts told as a bound, a rough ten or so many an inning: the most rest is owed."""

from __future__ import annotations

import pytest
from reading_support import reading


@pytest.mark.parametrize(
    ("text", "pitches"),
    [
        ("threw 3 innings 15 pitches each yesterday, he is 12", 45),
        ("threw 20 pitches per inning for 3 innings yesterday, he is 11", 60),
        ("4 innings, about 20 pitches an inning today, he is 12", 80),
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


def test_a_count_an_inning_alone_is_no_total() -> None:
    """Nobody says how many innings: nothing was counted, so the bot asks."""
    found = reading("threw 20 pitches per inning yesterday, he is 11")
    assert not [c for c in found.counts if c.pitches is not None]
