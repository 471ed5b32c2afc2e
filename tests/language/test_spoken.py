"""Which language a short message is answered in."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conversation import after, new_family, say


@pytest.mark.parametrize(
    ("first", "text", "lang"),
    [
        ("12", "62 ayer", "es"),
        ("12", "y el viernes?", "es"),
        ("12", "hola cuantos dias", "es"),
        ("hi", "gracias", "es"),
        ("hi", "¿mañana puede?", "es"),
        ("hi", "60 lanzamientos", "es"),
        ("hi", "sin dolor", "es"),
        ("hola", "62 yesterday", "en"),
        ("hola", "and friday?", "en"),
        ("hola", "he is 12", "en"),
        ("hola", "thanks", "en"),
    ],
)
def test_a_short_message_is_answered_in_its_own_language(first: str, text: str, lang: str) -> None:
    """No choice was made, so one word of a language decides."""
    assert say(after(first), text).turn.lang == lang


@pytest.mark.parametrize("text", ["45", "ok", "no", "kai", "?", "y?"])
@pytest.mark.parametrize(("first", "lang"), [("hi there", "en"), ("hola buenas", "es")])
def test_what_belongs_to_neither_keeps_the_language(first: str, text: str, lang: str) -> None:
    """A number, a name or a word of both languages changes nothing."""
    assert say(after(first), text).turn.lang == lang


@pytest.mark.parametrize("text", ["62 ayer", "y el viernes?", "gracias"])
def test_a_chosen_language_stays(text: str) -> None:
    """A family that chose English is answered in English."""
    family = replace(new_family(), lang="en", lang_chosen=True)
    assert say(family, text).turn.lang == "en"


def test_two_languages_in_one_message_keep_the_one_before() -> None:
    """Half and half is no reason to change."""
    assert say(after("hola"), "mi hijo threw 40 yesterday").turn.lang == "es"
