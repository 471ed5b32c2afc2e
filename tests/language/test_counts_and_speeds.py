"""A list of counts by days is no lost speed; a speed compared with an earlier one is."""

from __future__ import annotations

import pytest
from conversation import after, new_family, say
from reading_support import reported


@pytest.mark.parametrize(
    ("first", "second", "counts"),
    [
        ("my 12 yo throws 60 today", "45 on monday", [60, 45]),
        ("my boy throws 60 today and feels great", "45 on monday", [60, 45]),
        ("she's 13 throwing 55 today", "40 on saturday", [55, 40]),
        ("she had 55 today she's 12", "38 on sunday", [55, 38]),
        ("mi hijo de 12 tiró 60 hoy", "45 el lunes", [60, 45]),
    ],
)
def test_two_counts_in_two_turns_are_two_outings(
    first: str, second: str, counts: list[int]
) -> None:
    """The turns read as one hold a list by days, and nobody is stopped for it."""
    decision = say(after(first), second)
    assert decision.turn.tier == "none"
    assert [outing.pitches for _, outing in decision.family.outings] == counts


@pytest.mark.parametrize(
    "text",
    [
        "he throws 60 mph today, 70 on monday",
        "he throws 72 today, 65 mph on sunday",
        "he was at 72 saturday, sitting 65 today",
        "he usually throws 72 but today 65",
        "he throws 72 on saturday, only 65 today",
        "threw 72 on the gun saturday and now 65 today",
    ],
)
def test_a_speed_compared_is_still_a_lost_speed(text: str) -> None:
    """A word of speed or of comparing leaves the careful reading."""
    assert "velocity_loss" in reported(text)


def test_a_sign_told_between_two_counts_stops() -> None:
    """Counts by days silence nothing that is said between them."""
    family = new_family()
    assert say(family, "he throws 60 today and his elbow hurts, 45 on monday").turn.hold
