"""What another athlete threw joins no log of ours."""

from __future__ import annotations

import pytest
from conversation import after, facts, new_family, phrase, say

from armbot.model.family import Family


def thrown(family: Family) -> list[int | None]:
    """The pitches of every outing in the log."""
    return [outing.pitches for _, outing in family.outings]


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("his friend threw 80 yesterday", "en"),
        ("my teammate threw 60 monday", "en"),
        ("their pitcher threw 95 today", "en"),
        ("the coach's son threw 100 last night", "en"),
        ("el amigo de mi hijo tiró 80 ayer", "es"),
        ("mi compañero lanzó 70 hoy", "es"),
        ("el pitcher del otro equipo tiró 90 hoy", "es"),
    ],
)
def test_an_outing_of_another_is_not_logged(text: str, lang: str) -> None:
    """The reply says so and asks for our own athlete's."""
    decision = say(new_family(), text)
    assert thrown(decision.family) == []
    assert phrase(lang, "others_outing").rstrip(".") in decision.turn.reply


@pytest.mark.parametrize(
    "told",
    ["his friend threw 80 yesterday", "his teammate had 70 monday", "their pitcher threw 95 today"],
)
def test_our_own_log_answers_after_anothers_outing(told: str) -> None:
    """It neither corrects the outing told before nor adds to it."""
    family = after("my 12yo threw 20 yesterday", told)
    assert thrown(family) == [20]
    assert facts(say(family, "can he pitch tomorrow?").turn.values)[0]["may_pitch"] is True


@pytest.mark.parametrize(
    ("text", "pitches"),
    [
        ("my 12yo threw 20 yesterday. his teammate threw 70. when can mine pitch", [20]),
        ("log 40 for my 12yo today, his buddy had 60", [40]),
        ("the other pitcher threw 55, mine threw 30 today hes 11", [30]),
        ("mi hijo de 12 tiró 30 ayer, su amigo tiró 70", [30]),
    ],
)
def test_of_two_outings_ours_is_logged(text: str, pitches: list[int]) -> None:
    """The count that stands behind another athlete is left out."""
    assert thrown(say(new_family(), text).family) == pitches


@pytest.mark.parametrize(
    "text",
    [
        "i threw 45 with my friend yesterday, im 13",
        "his friend says he threw 45 yesterday, he is 13",
        "my friend counted 45 pitches today, he's 13",
        "my brother threw 45 yesterday, he's 13",
        "my nephew threw 45 pitches yesterday, he's 13",
        "lanzó 45 contra su amigo ayer, tiene 13",
    ],
)
def test_in_doubt_the_outing_is_ours(text: str) -> None:
    """Somebody beside ours, or who told or counted it, takes no outing out of the log."""
    assert thrown(say(new_family(), text).family) == [45]
