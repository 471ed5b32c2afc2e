"""What the signs of the picture mean: a sample and a few words, line after line."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from armbot.pictures.lettering import cut, plain
from armbot.pictures.palette import BLACK
from armbot.pictures.plotting import Box, Sheet, width_of

SIZE = 30
"""Size of the words, in pixels."""
_LINE, _SAMPLE, _SPACE = 46, 46, 34
"""Height of a line, width of a sample, and room between two keys."""

Sample = Callable[[Sheet, Box], None]
"""Draws a sign, small, into a box."""


@dataclass(frozen=True, slots=True)
class Key:
    """One sign: how it looks and what it means."""

    sample: Sample
    meaning: str


def letter(text: str) -> Sample:
    """A sample that is a letter or a mark."""

    def draw(sheet: Sheet, box: Box) -> None:
        sheet.text(box.middle, text, size=SIZE, color=BLACK, bold=True, align="center")

    return draw


def draw_legend(sheet: Sheet, page: Box, keys: Iterable[Key]) -> float:
    """Put the keys at the top of ``page``, as many on a line as fit; return where they end."""
    left, top = page.left, page.top
    right = page.left + page.width
    for key in keys:
        words = cut(plain(key.meaning), page.width - _SAMPLE - 12, SIZE)
        wide = _SAMPLE + 12 + width_of(words, SIZE)
        if left > page.left and left + wide > right:
            left, top = page.left, top + _LINE
        key.sample(sheet, Box(left, top + 5, _SAMPLE, _LINE - 10))
        place = (left + _SAMPLE + 12, top + _LINE / 2)
        sheet.text(place, words, size=SIZE, color=BLACK)
        left += wide + _SPACE
    return top + _LINE
