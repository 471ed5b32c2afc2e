"""Telegram's formatting: nothing a family typed can steer it, and nothing is lost in a split.

Lengths and tags are those of the Bot API ("sendMessage", "HTML style"); the stand-in server
reads the tags independently of ours.
"""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from stand_in_rules import RefusedError, check_text, shown, units

from armbot.channels.telegram import markup
from armbot.channels.telegram.markup import cleaned, parts, plain, rich, rows
from armbot.model.outbox import Button

PIECES = st.sampled_from(
    [
        *("arm", "elbow", "é", "ñ", "👨‍👩‍👧", "😀", "a" * 30),
        *(" ", "  ", "\n", "\n\n", "\n \n", ". ", "? ", '." ', "… "),
        *("*", "**", "***", "<b>", "</b>", "<", ">", "&", "&amp;", "&lt"),
        *("\u202e", "\u200b", "\x00", "\ud83d", "\udc00", "\r\n", "\t", "\u2028", "\xa0"),
    ]
)
TEXTS = st.lists(PIECES, max_size=60).map("".join) | st.text(max_size=200)


@pytest.mark.parametrize(
    ("text", "html"),
    [
        ("**Not Friday.** Saturday.", "<b>Not Friday.</b> Saturday."),
        ("a **b** c **d**", "a <b>b</b> c <b>d</b>"),
        ("**two\nlines**", "<b>two\nlines</b>"),
        ("1 < 2 & 3 > 2", "1 &lt; 2 &amp; 3 &gt; 2"),
        ("**<i>Sam</i>**", "<b>&lt;i&gt;Sam&lt;/i&gt;</b>"),
        ("&lt;b&gt;", "&amp;lt;b&amp;gt;"),
        ('say "ow"', 'say "ow"'),
        ("left ** alone", "left ** alone"),
        ("** not bold **", "** not bold **"),
        ("****", "****"),
        ("one **\n\ntwo** three", "one **\n\ntwo** three"),
        ("2*3 and 4*5", "2*3 and 4*5"),
        ("¿Le duele el **codo**?", "¿Le duele el <b>codo</b>?"),
    ],
)
def test_bold_becomes_a_tag_and_all_else_is_escaped(text: str, html: str) -> None:
    """Only a pair of double stars around words of one paragraph means anything."""
    assert rich(text) == html


@pytest.mark.parametrize(
    ("text", "shown_text"),
    [
        ("he threw \u202e54", "he threw 54"),
        ("\u2066Sam\u2069 \u200e\u200f\u061c", "Sam "),
        ("S\u200ba\u200cm\u200d\u2060\ufeff\u00ad", "Sam"),
        ("a\x00b\x1b[31mc\x7f\x9b", "ab[31mc"),
        ("half \ud83d of \udc4d", "half  of "),
        ("one\r\ntwo\rthree\u2028four", "one\ntwo\nthree\nfour"),
        ("a\tb", "a b"),
        ("niño, 62 °C\xa0…", "niño, 62 °C\xa0…"),
        ("👍🏽 ❤️", "👍🏽 ❤️"),
    ],
)
def test_marks_that_hide_or_turn_are_taken_out(text: str, shown_text: str) -> None:
    """A name is free text: what reorders or hides words does not get through (G01, G03)."""
    assert cleaned(text) == shown_text
    assert plain(text) == shown_text


@QUICK
@given(TEXTS)
def test_telegram_never_refuses_our_tags(text: str) -> None:
    """Whatever the text, its tags are complete and what is shown is the plain text."""
    assert shown(rich(text), "HTML") == plain(text)


def test_the_other_reader_does_refuse_broken_tags() -> None:
    """The check above can fail: a name put in unescaped is refused."""
    with pytest.raises(RefusedError, match="parse entities"):
        check_text("<b>Sam</i>", "HTML")


@QUICK
@given(TEXTS, st.sampled_from([2, 3, 7, 20, 60, 4096]))
def test_every_part_fits_and_no_word_is_lost(text: str, limit: int) -> None:
    """Each part is within the limit as Telegram counts it; only space at cuts is dropped."""
    split = parts(text, limit)
    for part in split:
        assert 1 <= units(shown(rich(part), "HTML")) <= limit
        assert plain(part) == plain(part).strip()
    assert "".join("".join(map(plain, split)).split()) == "".join(plain(text).split())


@QUICK
@given(TEXTS, st.sampled_from([7, 20, 60]))
def test_bold_words_stay_bold_in_every_part(text: str, limit: int) -> None:
    """A cut neither loses a star's partner nor makes other words bold."""
    assert [c for part in parts(text, limit) for c in _bold(part)] == _bold(text)


def _bold(text: str) -> list[tuple[str, bool]]:
    """Every visible character and whether it is bold, by the tags alone."""
    found = []
    for number, piece in enumerate(rich(text).replace("</b>", "<b>").split("<b>")):
        seen = shown(piece, "HTML")
        found += [(c, number % 2 == 1) for c in seen if not c.isspace()]
    return found


@pytest.mark.parametrize(
    ("text", "limit", "expected"),
    [
        ("One. Two.\n\nThree. Four.", 20, ("One. Two.", "Three. Four.")),
        ("One.\n\nTwo.\n\nThree.", 12, ("One.\n\nTwo.", "Three.")),
        ("One. Two. Three. Four.", 12, ("One. Two.", "Three. Four.")),
        ("- one thing\n- two. More", 18, ("- one thing", "- two. More")),
        ('He said "no." Then he sat.', 16, ('He said "no."', "Then he sat.")),
        ("one two three four", 9, ("one two", "three", "four")),
        ("abcdefghij", 4, ("abcd", "efgh", "ij")),
        ("😀😀😀", 4, ("😀😀", "😀")),
        ("a😀😀", 4, ("a😀", "😀")),
        ("see **the whole arm** now", 12, ("see", "**the whole**", "**arm** now")),
        ("go on **stop it** ok", 12, ("go on", "**stop it** ok")),
        ("**one two three**", 8, ("**one two**", "**three**")),
        ("  padded  ", 4096, ("padded",)),
        ("", 4096, ()),
        (" \n\u200b ", 4096, ()),
    ],
)
def test_a_long_text_is_cut_where_a_reader_would_pause(
    text: str, limit: int, expected: tuple[str, ...]
) -> None:
    """Paragraphs before lines before sentences before words, bold pairs kept whole."""
    assert parts(text, limit) == expected


def test_lengths_are_counted_in_utf16_units() -> None:
    """A family of three is 8 units and a face is 2, however few they look (G06)."""
    family = "\U0001f468\u200d\U0001f469\u200d\U0001f467"
    assert markup.units(family * 100) == units(family * 100) == 800
    assert len(parts("😀" * 2048)) == 1
    assert [units(p) for p in parts("😀" * 2049)] == [4096, 2]
    assert [len(p) for p in parts("a" * 4097)] == [4096, 1]
    assert [len(p) for p in parts("a" * 1025, markup.CAPTION_LIMIT)] == [1024, 1]


def test_bold_marks_do_not_count() -> None:
    """4096 bold letters are one message, for the stars are not shown."""
    assert len(parts(f"**{'a' * 4096}**")) == 1


def test_a_limit_in_which_nothing_fits_is_an_error() -> None:
    """One unit cannot hold every character."""
    with pytest.raises(ValueError, match="at least 2"):
        parts("a", 1)


def test_a_hostile_text_is_split_in_no_time() -> None:
    """Stars and stops by the ten thousand do not make the reader slow."""
    began = time.process_time()
    for piece in ("**", "**a", "*a* ", ". ", "\n \n", "a\n", "**a** ", "😀\u202e"):
        split = parts(piece * 20_000)
        assert "".join("".join(split).split()).replace("*", "") == "".join(
            cleaned(piece * 20_000).split()
        ).replace("*", "")
    assert time.process_time() - began < 2


def _labels(*labels: str) -> list[list[str]]:
    buttons = [Button(label, f"answer:{n}") for n, label in enumerate(labels)]
    return [[button.label for button in row] for row in rows(buttons)]


def test_short_labels_share_a_row_and_long_ones_do_not() -> None:
    """Yes and No side by side; a sentence has the row for itself."""
    assert _labels("Yes", "No") == [["Yes", "No"]]
    long = "Remind me on Saturday at nine"
    assert _labels("Yes", long, "No", "Later") == [["Yes"], [long], ["No", "Later"]]
    assert _labels("1", "2", "3", "4") == [["1", "2", "3"], ["4"]]


def test_never_more_than_eight_rows() -> None:
    """Many buttons are spread evenly over eight rows, and all are there."""
    labels = [f"Somewhere far away {n}" for n in range(20)]
    found = _labels(*labels)
    assert len(found) <= 8
    assert [label for row in found for label in row] == labels
    assert sum(map(len, _labels(*map(str, range(100))))) == 64


def test_labels_are_cleaned_and_cut_at_40_characters() -> None:
    """A nickname in a label can neither steer it nor make it endless; an empty one is none."""
    assert _labels("Sam\u202e\n**now**", "\u200b", "") == [["Sam now"]]
    assert _labels("x" * 41) == [["x" * 39 + "…"]]
    assert _labels("x" * 40) == [["x" * 40]]


def test_a_button_keeps_its_act() -> None:
    """Only labels change."""
    assert rows([Button(" a ", "read:r3")]) == ((Button("a", "read:r3"),),)
