"""Pitches only asked for are not thrown; what was thrown answers from the log."""

from __future__ import annotations

import pytest
from conversation import TODAY, after, new_family, say

from armbot.model.family import Family
from armbot.model.talk import Turn


def thrown(family: Family) -> list[int | None]:
    """The pitches of every outing in the log."""
    return [outing.pitches for _, outing in family.outings]


def values(turn: Turn) -> dict[str, object]:
    """The values of an answer about one child."""
    assert not isinstance(turn.values, tuple)
    return dict(turn.values)


LOGGED = "my 12yo threw 60 yesterday"


@pytest.mark.parametrize(
    "text",
    [
        "is it ok if he throws 20 tomorrow",
        "can he throw 20 today?",
        "can he throw 20?",
        "coach wants him to throw 25 tomorrow",
        "coach says he only gotta throw 15 tomorrow is that ok",
        "if he throws 20 tomorrow how many days rest",
        "what if it was 20, can he go thursday",
        "can he do 20 in relief tomorrow",
    ],
)
def test_a_count_asked_for_takes_nothing_back(text: str) -> None:
    """After 60 yesterday three days are owed, whatever is wished for tomorrow."""
    decision = say(after(LOGGED), text)
    assert thrown(decision.family) == [60]
    assert not values(decision.turn).get("may_pitch")


@pytest.mark.parametrize("text", ["puede lanzar 20 mañana?", "y si tira 20 mañana?"])
def test_a_count_asked_for_in_spanish(text: str) -> None:
    """The same in Spanish."""
    decision = say(after("mi hijo de 12 tiró 60 ayer"), text)
    assert thrown(decision.family) == [60]
    assert values(decision.turn)["may_pitch"] is False


def test_a_correction_still_corrects() -> None:
    """A "sorry 20" says that 60 was wrong."""
    assert thrown(say(after(LOGGED), "sorry 20. can he go thursday").family) == [20]


@pytest.mark.parametrize(
    ("text", "limit", "over"),
    [
        ("can a 12 year old throw 100 pitches", 85, True),
        ("can my 10 year old throw 70 pitches in a game", 75, False),
        ("¿puede un niño de 12 lanzar más de 85?", 85, True),
    ],
)
def test_a_count_asked_for_is_held_against_the_limit(text: str, limit: int, *, over: bool) -> None:
    """Nothing was thrown, so nothing is logged; the daily limit is the answer.

    Source: MLB/USA Baseball guideline, daily maximum by age.
    """
    decision = say(new_family(), text)
    assert thrown(decision.family) == []
    got = values(decision.turn)
    assert (got["daily_max"], got["over_daily_max"]) == (limit, over)


def test_a_count_for_a_day_asks_for_the_last_outing() -> None:
    """Whether he may throw 40 today depends on what he threw before."""
    turn = say(new_family(), "can he throw 40 today? hes 12").turn
    assert turn.asks == "pitches; day thrown"


@pytest.mark.parametrize(
    "text", ["can he pitch tomorrow", "may he pitch friday?", "can he throw 20 tomorrow?"]
)
@pytest.mark.parametrize("between", ["thanks", "good morning"])
def test_the_log_answers_after_other_talk(between: str, text: str) -> None:
    """What was logged need not be told again."""
    turn = say(after(LOGGED, between), text).turn
    assert values(turn)["may_pitch"] is False


def test_an_outing_the_log_does_not_know_is_asked_for() -> None:
    """He threw again today: the count of yesterday does not answer for it."""
    turn = say(after(LOGGED, "hello"), "he threw today, can he pitch friday").turn
    assert "pitches" in (turn.asks or "")
    assert TODAY.isoformat() not in str(values(turn).get("first_eligible"))
