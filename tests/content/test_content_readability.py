"""The reading measures, held against the published formulas and a published example."""

from __future__ import annotations

import pytest

from armbot.content.prose import fill, has_digit, has_loose_brace, placeholders, utf16_units
from armbot.content.readability import reading_level, too_hard


@pytest.mark.parametrize(
    ("text", "words", "sentences", "syllables"),
    [
        ("The cat sat on the mat.", 6, 1, 6),
        ("Stop all throws now. Put ice on the arm. Call the clinic.", 12, 3, 13),
        ("No throwing while it hurts.", 5, 1, 6),
    ],
)
def test_english_grade_is_flesch_kincaid(
    text: str, words: int, sentences: int, syllables: int
) -> None:
    """0.39 words a sentence + 11.8 syllables a word - 15.59 (Kincaid and others 1975).

    Words, sentences and syllables were counted by hand.
    """
    grade = 0.39 * words / sentences + 11.8 * syllables / words - 15.59
    assert reading_level(text, "en") == pytest.approx(grade, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "words", "sentences", "syllables"),
    [
        ("Los perros comen. Los gatos saltan mucho.", 7, 2, 12),
        ("El perro corre en el campo. La gata duerme en la cama.", 12, 2, 18),
    ],
)
def test_spanish_ease_is_fernandez_huerta(
    text: str, words: int, sentences: int, syllables: int
) -> None:
    """206.84 - 60 syllables a word - 1.02 words a sentence (Fernandez Huerta 1959).

    Words, sentences and syllables were counted by hand; the formula is from memory.
    """
    ease = 206.84 - 60 * syllables / words - 1.02 * words / sentences
    assert reading_level(text, "es") == pytest.approx(ease, abs=1e-6)


def test_a_published_hard_sentence_is_hard() -> None:
    """A sentence in print with a grade of 11.3 is far above the limit.

    The encyclopedia article on the Flesch-Kincaid tests gives it (from memory). The
    library splits words by hyphenation and finds fewer syllables, hence a lower grade.
    """
    text = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."
    assert 8 < reading_level(text, "en") <= 11.3
    assert too_hard(text, "en", 6)


def test_the_limit_itself_is_allowed() -> None:
    """Only what lies beyond the limit is too hard: above a grade, below an ease."""
    for text, language, step in (("The cat sat.", "en", 0.1), ("El gato come pan.", "es", -0.1)):
        level = reading_level(text, language)
        assert not too_hard(text, language, level)
        assert too_hard(text, language, level - step)


def test_languages_do_not_leak_into_each_other() -> None:
    """Measuring Spanish in between leaves an English grade as it was."""
    text = "The elbow hurts after a throw."
    before = reading_level(text, "en")
    reading_level("El codo duele.", "es")
    reading_level.cache_clear()
    reading_level("El codo duele.", "es")
    assert reading_level(text, "en") == before


def test_a_language_without_a_measure_is_refused() -> None:
    """No silent guess for a language nobody chose a measure for."""
    with pytest.raises(KeyError):
        reading_level("Le coude.", "fr")


def test_placeholders_are_filled_and_others_stay() -> None:
    """A known name is replaced, an unknown one is left visible."""
    assert fill("Call {clinic_phone} or {who}.", {"clinic_phone": "555"}) == "Call 555 or {who}."
    assert placeholders("{a} and {b_2}, not {C}") == {"a", "b_2"}


def test_digits_and_braces_are_seen_only_outside_placeholders() -> None:
    """A digit in a placeholder's name is no digit in the prose; a bad brace is seen."""
    assert not has_digit("{innings_8} innings")
    assert has_digit("8 innings")
    assert not has_loose_brace("{innings_8} innings")
    for text in ("{Innings}", "{innings", "innings}", "{}"):
        assert has_loose_brace(text)


def test_message_length_counts_as_telegram_does() -> None:
    """A character outside the basic plane is two UTF-16 units (from memory)."""
    assert utf16_units("ñ") == 1
    assert utf16_units("⚾🔥") == 3
