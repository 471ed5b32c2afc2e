"""Clean-up: one plain form for the many ways a phone can send the same words."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from reading_support import mended, tokens

from armbot.language.normal import LIMIT, clean


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        ("ELBOW", "elbow"),
        ("codo adolorído", "codo adolorido"),
        (unicodedata.normalize("NFD", "tronó"), "trono"),
        ("he\u200bllo", "hello"),
        ("\uff45\uff4c\uff42\uff4f\uff57", "elbow"),
        ("\u0435\u04cfbow", "elbow"),
        ("don\u2019t", "don't"),
        ("“pop”", '"pop"'),
        ("٦٢ pitches", "62 pitches"),
        ("2½ innings", "2 1/2 innings"),
        ("3⅓", "3 1/3"),
        ("a  b\t c", "a b c"),
        ("one\r\ntwo", "one\ntwo"),
        ("", ""),
        ("   ", ""),
        ("e̷l̶b̴o̵w̸", "elbow"),
    ],
)
def test_one_plain_form(typed: str, plain: str) -> None:
    """Case, accents, look-alikes, invisible marks and odd digits come to one form."""
    assert clean(typed).text == plain


def test_an_emoji_parts_words() -> None:
    """An emoji never glues the words on its two sides together."""
    assert clean("elbow🔥hurts").text.split() == ["elbow", "hurts"]


@QUICK
@given(st.text(max_size=300))
def test_cleaning_twice_changes_nothing(text: str) -> None:
    """The plain form of a plain form is itself."""
    once = clean(text).text
    assert clean(once).text == once


@QUICK
@given(st.text(max_size=200))
def test_only_plain_characters_are_left(text: str) -> None:
    """Whatever comes in, ASCII goes out."""
    assert clean(text).text.isascii()


def test_a_long_text_is_cut_and_says_so() -> None:
    """More than a chat message can hold is cut, and the cut is told."""
    found = clean("a " * LIMIT)
    assert found.cut
    assert len(found.text) <= LIMIT


@pytest.mark.parametrize("mark", list("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"))
def test_direction_marks_make_digits_doubtful(mark: str) -> None:
    """A number beside an invisible direction mark may not be the number that was seen."""
    assert clean(f"{mark}26 pitches").doubtful
    assert not clean(f"{mark}no number").doubtful


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("he's 11yr old", ["hes", "11", "yr", "old"]),
        ("10u", ["10", "u"]),
        ("33p", ["33", "p"]),
        ("2.2 innings", ["2.2", "innings"]),
        ("side-arm", ["side", "arm"]),
        ("elbow - sore", ["elbow", "-", "sore"]),
        ("6/5", ["6/5"]),
        ("hurts...bad", ["hurts", ".", "bad"]),
        ("hurts!now", ["hurts", "!", "now"]),
        ("13-14", ["13", "-", "14"]),
    ],
)
def test_words_numbers_and_stops(text: str, words: list[str]) -> None:
    """Text falls into words, numbers and stops; letters glued to a number stand alone."""
    assert [token.word for token in tokens(text)] == words


@QUICK
@given(st.text(max_size=200))
def test_every_token_is_where_it_says(text: str) -> None:
    """A token's place in the plain text is where its word stands."""
    plain = clean(text).text
    last = 0
    for token in tokens(text):
        assert last <= token.start < token.end <= len(plain)
        last = token.end


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("elbwo", "elbow"), ("shouldr", "shoulder"), ("swolen", "swollen"),
        ("tingeling", "tingling"), ("hombrro", "hombro"), ("soooore", "sore"),
    ],
)  # fmt: skip
def test_a_slip_in_a_danger_word_is_mended_or_known(typed: str, meant: str) -> None:
    """One slip does not hide a word of the sign lists: it is mended or matched as it is."""
    found = mended(typed)[0]
    assert found in (meant, typed)


@pytest.mark.parametrize("word", ["below", "armor", "pop", "showed", "sword", "popular", "form"])
def test_an_everyday_word_is_never_mended(word: str) -> None:
    """A common word close to a danger word stays what it is."""
    assert mended(word) == [word]
