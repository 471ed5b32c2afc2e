"""A count that no outing reaches is asked about before anything rests on it."""

from __future__ import annotations

import pytest
from conversation import TODAY, after, facts, grammar, new_family, phrase, say

MOST = grammar().library.clinic.doubtful_pitches


@pytest.mark.parametrize(
    ("text", "lang", "count", "likely"),
    [
        ("12, threw 400 pitches today", "en", 400, ["40 pitches"]),
        ("my 10yo threw 250 yesterday", "en", 250, ["25 pitches", "20 pitches"]),
        ("he threw 182 pitches saturday, 14. when can he pitch", "en", 182, ["18 pitches"]),
        ("tiene 12 y tiró 400 ayer", "es", 400, []),
        ("apunta 250 lanzamientos para hoy", "es", 250, []),
    ],
)
def test_a_doubtful_count_is_asked_about(
    text: str, lang: str, count: int, likely: list[str]
) -> None:
    """Nothing is logged or computed; what was likely meant is there to choose.

    The threshold is common practice: content/clinic.yaml.
    """
    decision = say(new_family(), text)
    assert phrase(lang, "doubtful_count", n=count) in decision.turn.reply
    assert decision.turn.asks == "pitches"
    assert not decision.family.outings
    assert not facts(decision.turn.values)[0].get("first_eligible")
    assert set(likely) <= set(decision.turn.choices)
    assert phrase(lang, "doubtful_yes", n=count) in decision.turn.choices


@pytest.mark.parametrize("reply", ["40", "40 pitches", "sorry 40", "no it was 40"])
def test_the_right_count_takes_its_place(reply: str) -> None:
    """Age and day told before are kept."""
    decision = say(after("12, threw 400 pitches today"), reply)
    assert [(o.day, o.pitches) for _, o in decision.family.outings] == [(TODAY, 40)]
    assert facts(decision.turn.values)[0]["rest_days"] == 2


@pytest.mark.parametrize(
    ("text", "reply"),
    [
        ("12, threw 400 pitches today", "yes"),
        ("12, threw 400 pitches today", "Yes, 400"),
        ("12, threw 400 pitches today", "400 pitches"),
        ("tiene 12, tiró 400 lanzamientos hoy", "Sí, 400"),
    ],
)
def test_a_count_said_twice_is_believed(text: str, reply: str) -> None:
    """What is confirmed is logged, with the longest rest; it is not asked a third time."""
    decision = say(after(text), reply)
    assert [o.pitches for _, o in decision.family.outings] == [400]
    assert facts(decision.turn.values)[0]["over_daily_max"] is True
    later = say(decision.family, "can he pitch friday?").turn
    assert facts(later.values)[0]["may_pitch"] is False


def test_a_count_up_to_the_threshold_is_believed() -> None:
    """A count far over the limit may be true, and is logged as it was told."""
    family = say(new_family(), f"my 14yo threw {MOST} pitches yesterday").family
    assert [o.pitches for _, o in family.outings] == [MOST]


@pytest.mark.parametrize("text", ["12yo 600 pitches this season, too many?", "1200 pitches a year"])
def test_a_total_is_no_count_of_a_day(text: str) -> None:
    """Pitches of a season may well be that many."""
    assert say(new_family(), text).turn.topic == "season_total"


def test_a_sign_beside_a_doubtful_count_comes_first() -> None:
    """Pain holds, whatever was thrown."""
    turn = say(new_family(), "threw 400 pitches yesterday and his elbow hurts, 12").turn
    assert turn.hold
