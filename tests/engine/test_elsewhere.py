"""What is not about a throwing arm: sent on to the right help, urgently where that is due.

Head injury and what makes it an emergency: the published child head-injury advice named in
content/symptoms/tiers.yaml is common practice there; no clinician has reviewed it yet.
"""

from __future__ import annotations

import pytest
from conversation import new_family, phrase, say


@pytest.mark.parametrize(
    ("lang", "text"),
    [
        ("en", "his knee hurts from running"),
        ("en", "her ankle is swollen since practice"),
        ("es", "le duele la rodilla de correr"),
        ("es", "trae hinchado el tobillo"),
    ],
)
def test_another_body_part_is_sent_to_a_clinician(lang: str, text: str) -> None:
    """No arm, so no tier and no hold; the reply says whom to call."""
    turn = say(new_family(), text).turn
    assert (turn.tier, turn.hold) == ("none", False)
    assert turn.reply.startswith(phrase(lang, "other_body")), turn.reply


@pytest.mark.parametrize(
    ("lang", "text"),
    [("en", "took a pitch off the helmet, seems ok, can he pitch tomorrow"),
     ("es", "le dieron un pelotazo en la cabeza, ¿puede lanzar mañana?")],
)  # fmt: skip
def test_a_hit_to_the_head_is_checked_today(lang: str, text: str) -> None:
    """Whether he may pitch is not answered; a check today comes first."""
    turn = say(new_family(), text).turn
    assert phrase(lang, "head") in turn.reply
    assert not turn.values.get("may_pitch") if isinstance(turn.values, dict) else True


@pytest.mark.parametrize(
    ("lang", "text"),
    [
        ("en", "line drive to the head and now he is throwing up"),
        ("en", "they went head to head at first, hes confused and sleepy"),
        ("en", "got hit in the helmet, passed out for a bit"),
        ("es", "se pegó en la cabeza con el poste y está vomitando"),
        ("es", "le dieron en el casco y ve doble"),
    ],
)
def test_a_head_injury_that_gets_worse_is_an_emergency(lang: str, text: str) -> None:
    """Emergency care, with what to do for the child and not for an arm."""
    turn = say(new_family(), text).turn
    assert turn.tier == "emergency", text
    assert phrase(lang, "do_body") in turn.reply
    assert phrase(lang, "do_emergency") not in turn.reply


@pytest.mark.parametrize(
    ("lang", "text"),
    [
        ("en", "everybody would be better off without me"),
        ("en", "he says he wants to die since he got cut"),
        ("en", "my son talks about killing himself"),
        ("es", "dice que ya no quiere vivir"),
        ("es", "mi hijo se quiere matar"),
    ],
)
def test_a_child_who_may_harm_itself_comes_before_all(lang: str, text: str) -> None:
    """Stay, call, tell somebody: and not a word on arms or pitching."""
    turn = say(new_family(), text).turn
    assert turn.tier == "emergency", text
    assert phrase(lang, "do_self_harm") in turn.reply
    assert phrase(lang, "do_emergency") not in turn.reply


@pytest.mark.parametrize(
    "text", ["he's killing it out there, 40 pitches", "me muero de hambre, ¿cuánto falta?"]
)
def test_a_figure_of_speech_is_no_alarm(text: str) -> None:
    """Killing it, dying of hunger: nobody is in danger."""
    assert say(new_family(), text).turn.tier == "none"
