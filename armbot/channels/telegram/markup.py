"""The bot's ``**bold**`` text as Telegram shows it: cleaned, escaped and split; rows of buttons.

Lengths are those of the Bot API (telegram.constants, from the library's 22.8): they count
UTF-16 units of what is shown, after the tags are read (from memory; the stand-in server of
the tests counts so too).
"""

from __future__ import annotations

import html
import re
import unicodedata
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from armbot.model.outbox import Button

TEXT_LIMIT = 4096
"""UTF-16 units of one message (Bot API, sendMessage)."""
CAPTION_LIMIT = 1024
"""UTF-16 units below a photo or a document (Bot API, sendPhoto, sendDocument)."""

LABEL_LIMIT = 40
"""Characters of a button's label: what a phone 360 points wide shows of a button that has
the row for itself (common practice)."""
ROWS_LIMIT = 8
"""Rows of buttons below one message: more would push the message off a phone's screen."""
ROW_WIDTH = 26
"""Characters that fit side by side, of all labels of a row together (common practice)."""
IN_A_ROW = 3
"""Buttons side by side while there is room for them below each other."""
MOST_IN_A_ROW = 8
"""Buttons side by side that Telegram draws (telegram.constants, from memory)."""

_BOLD = re.compile(r"\*\*(?=\S)((?:(?!\n\n)[^*])+)(?<=\S)\*\*")
"""Two stars, words of one paragraph without a star in them, two stars."""

_PARAGRAPH = re.compile(r"\n\s*\n")
_LINE = re.compile(r"\n")
_SENTENCE = re.compile(r"""(?:(?<=[.!?…])|(?<=[.!?…]["'\u201d\u2019)\]]))(?=\s)""")
_WORD = re.compile(r"\s+")
_BREAKS = (_PARAGRAPH, _LINE, _SENTENCE, _WORD)
"""Where a long text may be cut, the best first."""

_DROPPED = {"Cc", "Cf", "Cs"}
"""Unicode categories without a shape of their own: control characters, marks that join, hide
or turn the direction of writing, halves of surrogate pairs."""
_LINE_ENDS = str.maketrans({"\u2028": "\n", "\u2029": "\n", "\x85": "\n"})


@dataclass(frozen=True, slots=True)
class _Shown:
    """A text without its stars, and where it is bold: (start, end) in order."""

    text: str
    bold: tuple[tuple[int, int], ...]


def cleaned(text: str) -> str:
    """``text`` without characters that hide, reorder or steer; line ends become one kind.

    Names are free text of people we do not know: a mark that turns the direction of writing
    could make "54" read as "45".
    """
    if text.replace("\n", "").isprintable():
        return text
    lines = text.replace("\r\n", "\n").replace("\r", "\n").translate(_LINE_ENDS)
    kept = (c for c in lines if c in "\n\t" or unicodedata.category(c) not in _DROPPED)
    return "".join(kept).replace("\t", " ")


def units(text: str) -> int:
    """The length of ``text`` as the Bot API counts it: UTF-16 code units."""
    return len(text) if text.isascii() else len(text) + sum(c > "\uffff" for c in text)


def plain(text: str) -> str:
    """``text`` without bold, for when Telegram refuses the formatting."""
    return _BOLD.sub(r"\1", cleaned(text))


def rich(text: str) -> str:
    """``text`` as Telegram's HTML: bold as ``<b>``, and everything else escaped."""
    return _BOLD.sub(r"<b>\1</b>", html.escape(cleaned(text), quote=False))


def parts(text: str, limit: int = TEXT_LIMIT) -> tuple[str, ...]:
    """``text`` as messages of at most ``limit`` UTF-16 units shown each.

    Cut between paragraphs where one ends within the limit, else between lines, sentences,
    words, and only a longer word is cut in the middle. No cut falls inside bold words, unless
    these alone are longer than a message: then both parts are bold. Space at a cut is
    dropped; no other character is. An empty text has no parts. Raises ValueError for a limit
    below 2, in which not every character fits.
    """
    if limit < 2:
        raise ValueError(f"a limit of {limit} units: at least 2 are needed for any character")
    shown = _read(cleaned(text))
    return tuple(_marked(shown, start, end) for start, end in _spans(shown, limit))


def rows(buttons: Sequence[Button]) -> tuple[tuple[Button, ...], ...]:
    """Buttons as rows: short labels side by side, a long one in a row of its own.

    Labels are cleaned and cut at LABEL_LIMIT characters; a button without a label is left
    out. More than ROWS_LIMIT rows are spread evenly over as many; what is beyond
    ROWS_LIMIT times MOST_IN_A_ROW has no place and is left out.
    """
    labelled = [Button(_label(b.label), b.act) for b in buttons]
    kept = [b for b in labelled if b.label][: ROWS_LIMIT * MOST_IN_A_ROW]
    flowing = _flow(kept)
    if len(flowing) <= ROWS_LIMIT:
        return flowing
    across = -(-len(kept) // ROWS_LIMIT)
    return tuple(tuple(kept[i : i + across]) for i in range(0, len(kept), across))


def _flow(buttons: Sequence[Button]) -> tuple[tuple[Button, ...], ...]:
    flowing: list[list[Button]] = []
    for button in buttons:
        row = flowing[-1] if flowing else []
        width = sum(len(b.label) for b in row) + len(button.label)
        if row and len(row) < IN_A_ROW and width <= ROW_WIDTH:
            row.append(button)
        else:
            flowing.append([button])
    return tuple(tuple(row) for row in flowing)


def _label(text: str) -> str:
    words = " ".join(plain(text).split())
    return words if len(words) <= LABEL_LIMIT else words[: LABEL_LIMIT - 1].rstrip() + "…"


def _read(text: str) -> _Shown:
    pieces: list[str] = []
    bold: list[tuple[int, int]] = []
    length = last = 0
    for match in _BOLD.finditer(text):
        before, inside = text[last : match.start()], match[1]
        pieces += [before, inside]
        length += len(before)
        bold.append((length, length + len(inside)))
        length += len(inside)
        last = match.end()
    return _Shown("".join([*pieces, text[last:]]), tuple(bold))


def _marked(shown: _Shown, start: int, end: int) -> str:
    """The text from ``start`` to ``end`` with the stars of its bold words."""
    pieces: list[str] = []
    at = start
    for first, last in shown.bold:
        inside = _stripped(shown.text, max(first, start), min(last, end))
        if inside:
            pieces += [shown.text[at : inside[0]], "**", shown.text[inside[0] : inside[1]], "**"]
            at = inside[1]
    return "".join([*pieces, shown.text[at:end]])


def _stripped(text: str, start: int, end: int) -> tuple[int, int] | None:
    """The span without white space at its ends; None where nothing is left."""
    while start < end and text[start].isspace():
        start += 1
    while start < end and text[end - 1].isspace():
        end -= 1
    return (start, end) if start < end else None


def _spans(shown: _Shown, limit: int) -> Iterator[tuple[int, int]]:
    """The parts of the text, each within the limit and without white space at its ends."""
    rest = _stripped(shown.text, 0, len(shown.text))
    while rest:
        start, end = rest
        fits = _fitting(shown.text, start, end, limit)
        cut = end if fits == end else _cut(shown, start, fits)
        part = _stripped(shown.text, start, cut)
        if part:
            yield part
        rest = _stripped(shown.text, cut, end)


def _fitting(text: str, start: int, end: int, limit: int) -> int:
    """The furthest place up to which the text is at most ``limit`` units long."""
    place = min(end, start + limit)
    while (over := units(text[start:place]) - limit) > 0:
        place -= (over + 1) // 2  # a character is at most two units
    return place


def _cut(shown: _Shown, start: int, fits: int) -> int:
    """The best place to cut after ``start``: at ``fits`` or before it."""
    window = shown.text[start : fits + 1]  # a space right after what fits is a fair place too
    inside = [(first, last) for first, last in shown.bold if first < fits and last > start]
    for breaks in _BREAKS:
        places = [start + match.start() for match in breaks.finditer(window)]
        open_places = [p for p in places if start < p <= fits and not _within(inside, p)]
        if open_places:
            return open_places[-1]
    crossing = next((span for span in inside if span[0] < fits < span[1]), None)
    if crossing is None:
        return fits
    if crossing[0] > start:
        return crossing[0]
    words = [start + match.start() for match in _WORD.finditer(window) if match.start()]
    return words[-1] if words else fits


def _within(spans: Sequence[tuple[int, int]], place: int) -> bool:
    """Whether the place is inside one of the spans, which are in order and apart."""
    before = bisect_left(spans, (place, 0)) - 1
    return before >= 0 and place < spans[before][1]
