"""The colours of the picture, and what each is used on.

The hues are those of Okabe and Ito, "Color Universal Design" (2008): made to be told apart
with any kind of colour vision. Colour is never the only sign: every state of a day or a
month also has its own word, mark or hatching.
"""

from __future__ import annotations

from dataclasses import dataclass

BLACK = "#000000"
BLUE = "#0072B2"
GREEN = "#009E73"
VERMILLION = "#D55E00"
ORANGE = "#E69F00"
WHITE = "#FFFFFF"
PAPER = WHITE
"""The picture's own ground, so that a dark chat shows it as a light one does."""
FRAME = "#767676"
"""Around the picture: a grey to be seen on a white and on a black ground."""
QUIET = "#595959"
"""Small print and the outlines of empty days."""
REST = "#E3EEF6"
"""The ground of a rest day: a tint of the blue."""
OFF = "#EDEDED"
"""The ground of a day in the off-season."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A colour laid on another, and the least contrast between them.

    WCAG 2.2, success criteria 1.4.3 and 1.4.11: 4.5 for text, 3 for shapes that carry
    meaning.
    """

    ink: str
    ground: str
    least: float


TEXT, SHAPE = 4.5, 3.0
PAIRS = (
    Pair(BLACK, PAPER, TEXT),
    Pair(BLACK, REST, TEXT),
    Pair(BLACK, OFF, TEXT),
    Pair(BLACK, ORANGE, TEXT),
    Pair(QUIET, PAPER, TEXT),
    Pair(QUIET, REST, TEXT),
    Pair(QUIET, OFF, TEXT),
    Pair(WHITE, BLUE, TEXT),
    Pair(WHITE, BLACK, TEXT),
    Pair(BLUE, PAPER, SHAPE),
    Pair(BLUE, REST, SHAPE),
    Pair(BLUE, OFF, SHAPE),
    Pair(VERMILLION, PAPER, SHAPE),
    Pair(VERMILLION, REST, SHAPE),
    Pair(VERMILLION, OFF, SHAPE),
    Pair(GREEN, PAPER, SHAPE),
    Pair(FRAME, WHITE, SHAPE),
    Pair(FRAME, BLACK, SHAPE),
)
"""Every pair the picture uses."""
