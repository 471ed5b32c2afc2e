"""Turns that lean on one another: what was told is not asked for again, nor logged twice."""

from __future__ import annotations

from datetime import timedelta

import pytest
from conversation import NOW, TODAY, after, facts, grammar, say

from armbot.engine.decide import decide
from armbot.model.reports import Tier
from armbot.model.talk import Turn


def last(*texts: str) -> Turn:
    """The answer to the last of these messages."""
    return say(after(*texts[:-1]), texts[-1], NOW).turn


def values(turn: Turn) -> dict[str, object]:
    """The values of an answer about one child."""
    assert not isinstance(turn.values, tuple)
    return dict(turn.values)


def days_ago(days: int) -> str:
    """The date so many days before the clock's day."""
    return (TODAY - timedelta(days=days)).isoformat()


def test_the_day_thrown_is_asked_for_and_taken() -> None:
    """A date needs the day; a bare day then is the day thrown, not one to pitch on."""
    asked = last("when can he pitch again", "12, threw 33")
    assert asked.asks == "day thrown"
    told = last("when can he pitch again", "12, threw 33", "monday's game")
    assert values(told)["first_eligible"] == TODAY.isoformat()
    assert "ask_day" not in told.entities


def test_a_question_leans_on_the_outing_just_told() -> None:
    """After "50 pitches, 13" the question for Sunday needs no second count."""
    turn = last("my 13 year old threw 50 on tuesday", "can he go sunday")
    assert (values(turn)["rest_days"], values(turn)["may_pitch"]) == (2, True)


def test_another_childs_question_does_not_lean() -> None:
    """A count told for one child is not taken for another age's question about a limit."""
    turn = last("my 13 year old threw 50 on tuesday", "how many can my 10 year old throw in a day")
    assert values(turn)["daily_max"] == 75


@pytest.mark.parametrize("word", ["me equivoque, fueron 57", "perdón, 57", "corrijo, fueron 57"])
def test_a_correction_replaces_and_keeps_the_day(word: str) -> None:
    """The second number takes the place of the first, on the same day, logged once."""
    family = after("tiene 17, lanzó 75 ayer")
    decision = say(family, word)
    got = values(decision.turn)
    assert (got["rest_days"], got["rest_on"]) == (2, [days_ago(0), days_ago(-1)])
    assert [o.pitches for _, o in decision.family.outings] == [57]


def test_no_count_known_is_an_answer_to_how_many() -> None:
    """An honest "no clue" stays with the question and opens no other topic."""
    turn = last("how much rest after going 5 innings", "no clue on the count. he's 15")
    assert turn.topic == "rest_days"


@pytest.mark.parametrize(
    ("text", "pitches"),
    [
        ("He threw 22 in the early game and 16 in the late game today. he's 11", [22, 16]),
        ("threw 30 in the first game then 9 in the second game today, hes 10", [30, 9]),
    ],
)
def test_the_second_games_count_is_read(text: str, pitches: list[int]) -> None:
    """Both games of a day count, the small one too."""
    turn = last(text)
    assert [turn.entities["pitches"], turn.entities["pitches2"]] == pitches
    assert values(turn)["rest_days"] == 2


@pytest.mark.parametrize(
    ("text", "pitches"),
    [
        ("he threw 60 or 70 yesterday, hes 12", [70]),
        ("threw 60 maybe 70 pitches yesterday, he is 12", [70]),
        ("54 or 45 pitches yesterday, he is 12", [54]),
        ("tiró 45 o 54 lanzamientos ayer, tiene 12 años", [54]),
        ("threw 30 and then 40 pitches yesterday, he is 12", [30, 40]),
    ],
)
def test_a_count_not_sure_of_is_the_higher(text: str, pitches: list[int]) -> None:
    """One outing of "60 or 70" owes the rest of the higher of the two."""
    decision = say(after(), text, NOW)
    assert sorted(o.pitches or 0 for _, o in decision.family.outings) == pitches


def test_a_day_belongs_to_its_own_sentence() -> None:
    """43 on Friday and 11 more on Saturday are two outings, the second on a rest day."""
    text = (
        "friday night he starts, goes 43 pitches. saturday he threw 11 more. he's 12. how long off"
    )
    turn = last(text)
    assert turn.entities["thrown"] == days_ago(5)
    assert turn.entities["thrown2"] == days_ago(4)


@pytest.mark.parametrize(
    "text", ["coach says 85 pitches a day for my 10 year old, is that right",
             "is the limit really 85 pitches per game at age 10"]
)  # fmt: skip
def test_a_rule_told_is_no_outing(text: str) -> None:
    """85 pitches a day is a limit somebody named; nobody threw them."""
    turn = last(text)
    assert "pitches" not in turn.entities
    assert values(turn)["daily_max"] == 75


def test_a_sound_is_no_number() -> None:
    """The 4 of "b4" is neither an age nor a count."""
    turn = last("im 16, threw 92 last night. how many days b4 i start again")
    assert (values(turn)["rest_days"], turn.entities["age"]) == (4, 16)


@pytest.mark.parametrize(
    ("told", "text", "lang"),
    [
        ("12, threw 40 today", "what is uv light", "en"),
        ("12, threw 40 today", "whats the capital of france", "en"),
        ("12, threw 40 today", "do you like pizza", "en"),
        ("how many days rest for 40 at 12", "what is uv light", "en"),
        ("tiene 12, tiró 40 hoy", "qué es la luz uv", "es"),
        ("tiene 12, tiró 40 hoy", "te gusta la pizza", "es"),
    ],
)
def test_a_question_of_something_else_does_not_repeat_the_answer(
    told: str, text: str, lang: str
) -> None:
    """Nothing ties it to throwing nor to the turn before: there is no signed answer."""
    decision = say(after(told), text)
    assert (decision.turn.topic, decision.turn.lang) == ("unknown", lang)
    assert not facts(decision.turn.values)[0]


@pytest.mark.parametrize(
    "text",
    ["rest?", "how long", "is that ok", "when can he again", "and his rest?", "are you sure"],
)
def test_a_question_about_the_outing_just_told_still_leans(text: str) -> None:
    """A few words that refer to it are answered from it."""
    turn = say(after("12, threw 40 today"), text).turn
    assert facts(turn.values)[0]["rest_days"] == 2


def test_an_empty_message_after_a_topic_is_answered() -> None:
    """Signs that clean to nothing do not break the thread."""
    assert last("he has little league elbow", "\u200d\u200b").reply


@pytest.mark.parametrize(
    ("text", "topics"),
    [
        ("what is the max pitches for a 12 yo? and can he throw a curveball?",
         {"daily_max": 85, "min_age": 14}),
        ("how many months off should he take, hes 13, and does volleyball count as rest",
         {"months_off": 4}),
    ],
)  # fmt: skip
def test_two_questions_get_two_answers(text: str, topics: dict[str, object]) -> None:
    """The second question is answered below the first, with its figures and its source."""
    turn = last(text)
    got = values(turn)
    assert {name: got.get(name) for name in topics} == topics
    assert len(turn.sources) > 1


def test_a_second_question_beside_a_report_is_not_answered() -> None:
    """A report stops everything else."""
    turn = last("his elbow hurts. what is the max for 12? and can he throw a curveball?")
    assert turn.tier == "stop"
    assert "85" not in turn.reply


@pytest.mark.parametrize("text", ["threw 40 yesterday, he's 12, can he catch today",
                                  "lanzó 40 ayer, tiene 12, ¿puede cachar mañana?"])  # fmt: skip
def test_nobody_catches_on_a_rest_day(text: str) -> None:
    """Forty pitches ask for two days; catching on either is a no (common practice)."""
    turn = last(text)
    assert turn.topic == "catcher_rule"
    assert turn.reply.startswith(("**Not on ", "**El "))


def test_another_outing_is_added_and_corrects_nothing() -> None:
    """A further count of another day, or "more", is one more outing; the longer rest holds."""
    other_day = last("12 yo 60 pitches yesterday", "he threw another 15 today")
    assert values(other_day)["first_eligible"] == days_ago(-3)
    same_day = last("tiene 12 tiró 40 hoy", "y luego metió 20 más", "¿cuándo puede?")
    assert (values(same_day)["rest_days"], values(same_day)["first_eligible"]) == (3, days_ago(-4))
    spanish = last("mi hijo de 12 tiró 70 el sábado", "también tiró 20 el domingo", "¿puede hoy?")
    assert values(spanish)["may_pitch"] is False


def test_ten_more_are_pitches_and_no_age() -> None:
    """A known age is not changed by a count."""
    turn = last("hes 14 and threw 60 on sunday", "and 10 more today")
    assert turn.entities["age"] == 14


@pytest.mark.parametrize(
    "told",
    [
        ("emma 9 threw 48 yesterday", "noah 14 threw 15 yesterday", "can emma pitch today"),
        ("anota que Diego de 12 tiró 70 ayer", "y Mateo de 9 tiró 18 ayer",
         "¿puede tirar Diego mañana?"),
    ],
)  # fmt: skip
def test_two_children_are_kept_apart(told: tuple[str, ...]) -> None:
    """Each has its own log; a name that is not known is asked for, never guessed."""
    family = after(*told[:2])
    assert [o.pitches for _, o in family.outings if o] == [
        int(word) for text in told[:2] for word in text.split() if word in ("48", "15", "70", "18")
    ]
    assert len({owner for owner, _ in family.outings}) == 2
    turn = say(family, told[2]).turn
    assert values(turn)["may_pitch"] is None
    assert "which child" in (turn.asks or "")


def test_one_more_day_asked_about_moves_no_outing() -> None:
    """After a day was asked about, "and thursday" asks about thursday."""
    turn = last("my son 12 pitched 50 on saturday", "can he pitch today", "and thursday")
    assert (turn.entities["thrown"], turn.entities["ask_day"]) == (days_ago(4), days_ago(-1))


@pytest.mark.parametrize(
    ("first", "hours", "then", "pitches"),
    [
        ("he threw 61 pitches today", 12, "sorry 16 not 61", [16]),
        ("he threw 61 pitches today", 24 * 60, "log swimming today", [61, None]),
        ("lanzó 61 hoy", 24 * 60, "anota natación hoy", [61, None]),
    ],
)
def test_a_conversation_ends_when_nobody_goes_on_with_it(
    first: str, hours: int, then: str, pitches: list[int | None]
) -> None:
    """The next morning it can be corrected; two months later nothing leans on it."""
    family = after(f"kit is 11, {first}")
    later = decide(family, then, grammar(), NOW + timedelta(hours=hours)).family
    assert [outing.pitches for _, outing in later.outings] == pitches


@pytest.mark.parametrize(
    "told",
    [
        ("he's 11, threw 58 tues", "can he go friday", "and if he only threw 50"),
        ("he's 11, threw 58 tues", "and if it was 40?"),
        ("11, threw 60 yesterday", "wait it was more like 45"),
        ("tiene 11, tiró 58 el martes", "¿y si nada más tiró 50?"),
        ("tiene 12 y tiró 62 ayer", "y con 40 cuántos días"),
        ("she threw 55 today shes 12", "what about 35"),
    ],
)
def test_a_lower_count_is_no_lost_speed(told: tuple[str, ...]) -> None:
    """Numbers that go down from turn to turn are counts: nothing was reported."""
    family = after(*told)
    assert family.holds == ()
    assert family.reports == ()


@pytest.mark.parametrize(
    "told",
    [
        ("he's 14, usually throws 68 mph", "now hes at 61"),
        ("he's 14, he lost 5 mph since june", "is that normal"),
    ],
)
def test_a_speed_that_goes_down_is_still_heard(told: tuple[str, ...]) -> None:
    """Whatever it is told in, it is asked about or stops."""
    family = after(*told)
    assert family.talk.tier is not Tier.NONE or family.holds


@pytest.mark.parametrize(
    ("told", "log"),
    [
        (("he's 11, threw 58 tues", "and if he only threw 50"), [58]),
        (("he's 11, threw 58 tues", "and if he only threw 50", "can he go saturday"), [58]),
        (("11, threw 62 tuesday", "what if it was 75 pitches", "and if hes 13?"), [62]),
        (("tiene 11, tiró 58 el martes", "¿y si nada más tiró 50?", "¿y si tiene 13?"), [58]),
        (("he's 11, threw 58 tues", "actually it was 50 not 58"), [50]),
        (("he's 11, threw 58 tues", "and if he threw 50", "sorry 55 not 58"), [55]),
    ],
)
def test_what_is_only_supposed_is_not_logged(told: tuple[str, ...], log: list[int]) -> None:
    """The log keeps what was told until it is corrected; nobody else comes into it."""
    family = after(*told)
    assert [outing.pitches for _, outing in family.outings] == log
    assert len(family.athletes) == 1


def test_the_answer_is_about_what_is_supposed() -> None:
    """And the next question is about what was told again.

    Source: MLB/USA Baseball guideline, ages 11-12: 36-50 pitches 2 days, 51-65 pitches 3.
    """
    family = after("he's 11, threw 58 tues")
    supposed = say(family, "and if he only threw 50")
    assert facts(supposed.turn.values)[0]["rest_days"] == 2
    told = say(supposed.family, "can he pitch friday?")
    assert facts(told.turn.values)[0]["rest_days"] == 3
