"""What a family on hold asks gets the fitting answer, and never leave to throw."""

from __future__ import annotations

import pytest
from conversation import after, new_family, phrase, say
from granting import grants_in, without_report_day
from states import family_in

from armbot.model.family import Family

ASKED = {
    "en": {
        "who lifts the hold": "hold_who",
        "who can clear him": "hold_who",
        "how do we get it lifted": "hold_who",
        "when will it end": "hold_end",
        "how long is the hold": "hold_end",
        "is the hold over yet": "hold_end",
        "can he bat": "hold_bat",
        "is hitting off a tee ok": "hold_bat",
        "can he swim": "hold_bat",
        "can he run": "hold_run",
        "what about leg day": "hold_run",
        "can he play first base": "hold_position",
        "can he throw lightly": "hold_position",
        "he saw the doctor": "hold_seen",
        "the doctor said its fine": "hold_seen",
    },
    "es": {
        "quién quita la pausa": "hold_who",
        "a quién le llamo": "hold_who",
        "cuándo se acaba": "hold_end",
        "cuánto dura la pausa": "hold_end",
        "puede batear": "hold_bat",
        "puede nadar": "hold_bat",
        "puede correr": "hold_run",
        "puede jugar primera base": "hold_position",
        "ya lo vio el doctor": "hold_seen",
        "la doctora dijo que está bien": "hold_seen",
    },
}
CASES = [(lang, text, key) for lang, rows in ASKED.items() for text, key in rows.items()]


def held(lang: str) -> Family:
    """A family whose only athlete is on hold for pain."""
    text = "his elbow hurts when he throws" if lang == "en" else "le duele el codo al lanzar"
    return after(text)


@pytest.mark.parametrize(("lang", "text", "key"), CASES)
def test_the_question_asked_is_the_one_answered(lang: str, text: str, key: str) -> None:
    """Right after the report, and in a conversation of its own."""
    for family in (held(lang), family_in("one athlete: on hold", lang)):
        turn = say(family, text).turn
        assert phrase(lang, key) in turn.reply, turn.reply
        assert turn.tier == "none"
        assert turn.hold


@pytest.mark.parametrize(("lang", "text", "key"), CASES)
def test_no_answer_about_a_hold_grants_or_ends_it(lang: str, text: str, key: str) -> None:
    """The hold stands as it was, no report is added, and no throw is allowed."""
    assert key
    family = held(lang)
    decision = say(family, text)
    assert decision.family.holds == family.holds
    assert decision.family.reports == family.reports
    assert not grants_in(decision.turn, without_report_day(decision.turn, decision.family))


@pytest.mark.parametrize(("lang", "text"), [("en", "what can he do"), ("es", "qué sí puede hacer")])
def test_what_is_fine_meanwhile_names_both_sides(lang: str, text: str) -> None:
    """What waits and what need not, from the topic's own text on holds."""
    reply = say(held(lang), text).turn.reply
    assert phrase(lang, "hold_bat") in reply
    assert phrase(lang, "hold_run") in reply


@pytest.mark.parametrize(
    ("told", "text", "lang"),
    [
        ("he felt a pop and his fingers are numb", "can he run", "en"),
        ("sintió un tronido y se le durmieron los dedos", "puede correr", "es"),
    ],
)
def test_with_urgent_signs_nothing_is_fine_before_it_is_looked_at(
    told: str, text: str, lang: str
) -> None:
    """In doubt the more careful answer: running waits as well (common practice)."""
    assert phrase(lang, "hold_run_later") in say(after(told), text).turn.reply


@pytest.mark.parametrize("lang", ["en", "es"])
def test_the_choices_of_the_hold_reply_are_understood(lang: str) -> None:
    """Each question offered is answered when it is sent back."""
    asked = "can he pitch friday?" if lang == "en" else "¿puede lanzar el viernes?"
    first = say(held(lang), asked)
    assert len(first.turn.choices) == 3
    replies = {say(first.family, choice).turn.reply for choice in first.turn.choices}
    assert len(replies) == 3
    assert first.turn.reply not in replies


@pytest.mark.parametrize(
    ("lang", "text"),
    [
        ("en", "can he bat and his fingers are numb now"),
        ("en", "who ends the hold, his elbow is swollen"),
        ("es", "puede batear, ya se le hinchó el codo"),
    ],
)
def test_a_new_sign_beside_the_question_comes_first(lang: str, text: str) -> None:
    """More of the report is a report, whatever is asked beside it."""
    turn = say(held(lang), text).turn
    assert turn.tier == "stop_urgent"
    assert turn.reply.startswith(phrase(lang, "safety_stop_urgent"))


def test_a_family_without_a_hold_is_not_told_of_one() -> None:
    """The same words of a free athlete are answered as before."""
    assert phrase("en", "hold_bat") not in say(new_family(), "can he bat").turn.reply
