"""Short replies to what the bot asked: a yes is a report, a no is not, "no idea" is neither."""

from __future__ import annotations

import pytest
from conversation import after, phrase, say

from armbot.engine.decide import Decision
from armbot.model.reports import Tier

PAIN_ASKED = {"en": "does he need an mri", "es": "¿necesita una resonancia?"}
"""Answered, with the question whether the arm hurts now."""


def reply(*texts: str) -> Decision:
    """The decision on the last of these messages."""
    return say(after(*texts[:-1]), texts[-1])


@pytest.mark.parametrize(
    ("lang", "yes"),
    [("en", "yes"), ("en", "yeah"), ("en", "a little"), ("en", "yep when he throws"),
     ("en", "it does"), ("en", "sometimes"), ("en", "Yes!!"),
     ("es", "sí"), ("es", "un poco"), ("es", "si, cuando tira"), ("es", "a veces"),
     ("es", "tantito")],
)  # fmt: skip
def test_a_yes_to_pain_stops_and_holds(lang: str, yes: str) -> None:
    """As much a report as a whole sentence: hold, safety message, and the clinic learns."""
    decision = reply(PAIN_ASKED[lang], yes)
    assert decision.turn.tier == "stop"
    assert decision.turn.hold
    assert decision.turn.reply.startswith(phrase(lang, "safety_stop"))
    assert decision.alert is not None


@pytest.mark.parametrize(
    ("lang", "no"),
    [("en", "no"), ("en", "nope"), ("en", "no pain"), ("en", "nothing"), ("es", "no"),
     ("es", "nada"), ("es", "no le duele")],
)  # fmt: skip
def test_a_no_to_pain_is_noted_and_no_more(lang: str, no: str) -> None:
    """No hold; what to do if that changes; and no answer to something nobody asked."""
    turn = reply(PAIN_ASKED[lang], no).turn
    assert (turn.tier, turn.hold) == ("none", False)
    assert turn.reply.startswith(phrase(lang, "no_pain_noted"))


@pytest.mark.parametrize(
    ("lang", "unsure"),
    [("en", "idk"), ("en", "no idea"), ("en", "not sure"), ("es", "no sé"), ("es", "ni idea")],
)
def test_not_knowing_is_no_denial(lang: str, unsure: str) -> None:
    """The safety question comes, and throwing waits."""
    turn = reply(PAIN_ASKED[lang], unsure).turn
    assert turn.tier == "ask"
    assert turn.reply.startswith(phrase(lang, "safety_ask"))


def test_not_knowing_leaves_an_open_safety_question_open() -> None:
    """A question about a tired arm is not settled by "no idea"; throwing answers wait."""
    family = after("his arm is kinda tired", "no idea", "no clue really")
    turn = say(family, "he threw 40 today, hes 12. can he pitch saturday").turn
    assert turn.reply.startswith(phrase("en", "safety_ask"))
    assert "2026-06-13" not in str(turn.values)


@pytest.mark.parametrize("reported", ["his elbow hurts", "me duele el hombro"])
def test_a_yes_to_the_questions_after_a_report_raises_it(reported: str) -> None:
    """Asked about numbness, motion and a pop at once: yes is taken for the worst of them."""
    assert reply(reported, "yes" if "his" in reported else "sí").turn.tier == "stop_urgent"


def test_a_no_to_the_questions_after_a_report_lowers_nothing() -> None:
    """The hold stays until a clinician clears it."""
    turn = reply("his elbow hurts", "no").turn
    assert turn.hold


def test_a_yes_to_soreness_is_asked_about() -> None:
    """After an outing over the limit the bot asks how the arm feels."""
    turn = reply("he's 10 and threw 90 today", "a little").turn
    assert turn.tier in ("ask", "stop")


def test_a_yes_that_a_clinician_cleared_it_settles_the_past() -> None:
    """Pain of last month, gone: asked whether it was seen; yes settles it, without leave."""
    turn = reply("he had elbow pain last month, its gone now", "yes").turn
    assert (turn.tier, turn.hold) == ("none", False)
    assert turn.reply.startswith(phrase("en", "ask_resolved").split(".")[0])


def test_a_yes_to_anything_else_is_no_report() -> None:
    """Without a question about signs a yes means what it meant."""
    assert reply("how many pitches for a 12 year old", "yes").turn.tier == "none"


@pytest.mark.parametrize(("said", "where"), [("he says it hurts", "elbow"), ("ouch", "el hombro")])
def test_where_it_hurts_is_answered_by_a_body_part(said: str, where: str) -> None:
    """Asked where it hurts, the elbow is where it hurts."""
    assert reply(said, where).turn.tier in ("stop", "stop_urgent")


@pytest.mark.parametrize(
    "told",
    [
        ("his arm is tired", "no", "he is 12 and threw 20 monday, can he pitch today"),
        ("trae el brazo cansado", "no", "tiene 12 tiró 20 el lunes, ¿puede hoy?"),
        ("le pegó la bola en la cabeza", "tiene 12 tiró 20 el lunes, ¿puede hoy?"),
    ],
)
def test_no_throwing_today_holds_for_the_day(told: tuple[str, ...]) -> None:
    """What was said is not taken back a message later."""
    turn = reply(*told).turn
    assert not isinstance(turn.values, tuple)
    assert turn.values.get("may_pitch") is not True
    assert turn.reply.startswith(phrase(turn.lang, "ask_resolved").split(".")[0])


def test_a_no_to_where_it_hurts_settles_nothing() -> None:
    """It was said that it hurts: "no" may mean "not when throwing"."""
    family = after("le duele", "no")
    turn = say(family, "¿puede hoy? 12 años tiró 20 el lunes").turn
    assert turn.reply.startswith(phrase("es", "safety_ask"))
    assert turn.values == {}


def test_pain_that_nobody_has_looked_at_holds() -> None:
    """Asked whether a clinician has seen it: no."""
    decision = reply("le dolió en el calentamiento pero se le quitó", "no")
    assert (decision.turn.tier, decision.turn.hold) == ("stop", True)


def test_an_age_is_no_yes() -> None:
    """An age in place of an answer affirms nothing."""
    assert reply("his arm is tired", "he is 12").turn.tier == "ask"


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("me truena el codo", "no le digas a mi mamá"),
        ("me truena el codo", "no quiero parar"),
        ("siento el brazo cansado", "no me va a dejar jugar"),
        ("his arm is kinda tired", "no way im sitting out"),
        ("his arm is kinda tired", "dont tell my mom"),
    ],
)
def test_a_no_to_something_else_settles_nothing(asked: str, said: str) -> None:
    """A child who hides it has not said that nothing hurts: the question stays open."""
    decision = reply(asked, said)
    assert decision.family.talk.tier is Tier.ASK
    assert "2026" not in str(decision.turn.values)


@pytest.mark.parametrize("said", ["no", "no, nada", "no nada", "no le duele", "no, está bien"])
def test_a_spanish_no_still_settles_it(said: str) -> None:
    """Alone, with a stop behind it, or with the sign it denies."""
    assert reply("siento el brazo cansado", said).family.talk.tier is Tier.NONE
