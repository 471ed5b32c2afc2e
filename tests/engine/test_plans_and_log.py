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


@pytest.mark.parametrize(
    "text",
    [
        "20 pitches thursday ok? he's 12",
        "plan is 25 pitches friday. ok? he's 12",
        "coach wants 35 friday. he's 12",
        "is 40 pitches on sunday too much? he's 12",
        "can he go 30 pitches saturday, 12",
        "what about 25 pitches saturday, hes 12",
        "friday 30 pitches ok? 12yo",
        "20 lanzamientos el jueves está bien? tiene 12",
        "el plan es 25 el viernes, tiene 12",
        "puede con 30 el sábado? tiene 12",
        "30 el sábado es mucho? tiene 12",
    ],
)
def test_a_count_for_a_weekday_to_come_is_a_plan(text: str) -> None:
    """A weekday beside a count that is only asked for is the next one; nothing is logged."""
    decision = say(new_family(), text)
    assert thrown(decision.family) == []
    assert decision.turn.asks == "pitches; day thrown"
    assert decision.turn.entities["ask_day"] >= TODAY.isoformat()  # type: ignore[operator]


def test_a_plan_for_a_weekday_is_answered_from_the_log() -> None:
    """After 60 yesterday 20 on Thursday come too early."""
    decision = say(after(LOGGED), "20 pitches thursday ok?")
    assert thrown(decision.family) == [60]
    assert values(decision.turn)["may_pitch"] is False


@pytest.mark.parametrize(
    ("text", "pitches"),
    [
        ("hes 12 and threw 50 pitches saturday, is that too much", 50),
        ("12. went 70 last saturday is that ok", 70),
        ("45 pitches monday, can he pitch? 12", 45),
        ("tiró 40 el lunes, está bien? tiene 12", 40),
    ],
)
def test_a_count_thrown_is_no_plan(text: str, pitches: int) -> None:
    """A verb of throwing, or no "ok" right behind the day, leaves the count as thrown."""
    assert say(new_family(), text).turn.entities["pitches"] == pitches


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


@pytest.mark.parametrize(
    ("between", "text"),
    [
        ("what is a growth plate", "can he pitch tomorrow?"),
        ("is his growth plate at risk?", "can he pitch tomorrow"),
        ("explain little league elbow", "may he pitch thursday?"),
        ("whats tommy john surgery", "on thursday can he pitch?"),
        ("whats an mri", "is he ok for tomorrow?"),
        ("qué es la placa de crecimiento", "¿puede lanzar mañana?"),
        ("para qué sirve una resonancia", "¿puede lanzar mañana?"),
    ],
)
def test_the_log_answers_after_something_was_explained(between: str, text: str) -> None:
    """A question about nobody in particular leaves the log and the chart as they were."""
    turn = say(after(LOGGED, between), text).turn
    assert (turn.topic, values(turn)["may_pitch"]) == ("can_pitch_date", False)


@pytest.mark.parametrize(
    ("told", "text"),
    [
        ("he had tommy john surgery in march", "can he pitch saturday?"),
        ("he's on step 4 of the return to throw program", "can he pitch saturday?"),
        ("ucl sprain grade 1", "can he pitch saturday?"),
    ],
)
def test_what_was_told_of_the_own_arm_stays_the_matter(told: str, text: str) -> None:
    """After an injury of the child's own the chart gives no day, whatever the log holds."""
    turn = say(after("my 12yo threw 20 two days ago", told), text).turn
    assert not values(turn).get("may_pitch")
    assert not values(turn).get("first_eligible")


@pytest.mark.parametrize(
    ("question", "text"),
    [
        ("what is a growth plate", "can he pitch tomorrow?"),
        ("qué es la placa de crecimiento", "¿puede lanzar mañana?"),
    ],
)
def test_a_day_after_an_explanation_asks_for_age_and_pitches(question: str, text: str) -> None:
    """Without a log the question is the chart's, not the one explained."""
    assert say(after(question), text).turn.asks == "age; pitches"


def test_an_outing_the_log_does_not_know_is_asked_for() -> None:
    """He threw again today: the count of yesterday does not answer for it."""
    turn = say(after(LOGGED, "hello"), "he threw today, can he pitch friday").turn
    assert "pitches" in (turn.asks or "")
    assert TODAY.isoformat() not in str(values(turn).get("first_eligible"))
