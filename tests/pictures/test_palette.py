"""Colours that everybody can tell apart, and that stand out from what they lie on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from conversation import grammar
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.colors import to_hex, to_rgba
from matplotlib.patches import Ellipse, FancyBboxPatch
from matplotlib.text import Text
from shown_families import FAMILIES, shown

from armbot.pictures import palette
from armbot.pictures.chart import WIDTH, compose
from armbot.pictures.palette import PAIRS, Pair

if TYPE_CHECKING:
    from matplotlib.transforms import Bbox

OKABE_ITO = {
    "black": "#000000", "orange": "#E69F00", "sky blue": "#56B4E9", "bluish green": "#009E73",
    "yellow": "#F0E442", "blue": "#0072B2", "vermillion": "#D55E00", "reddish purple": "#CC79A7",
}  # fmt: skip
"""Okabe and Ito, "Color Universal Design (CUD)", 2008: the set of eight, by its RGB values."""

_DRAWN = ("busy season with two teams", "on hold", "off-season", "count missing")
"""Families whose pictures hold every colour between them."""


def luminance(color: str) -> float:
    """Relative luminance, by the definition in WCAG 2.2."""
    parts = [int(color[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, by the definition in WCAG 2.2: 1 (none) to 21 (black on white)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_published_ends() -> None:
    """21 to 1 for black on white; #767676 on white is the grey that just passes for text."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: f"{pair.ink} on {pair.ground}")
def test_each_pair_has_the_contrast_it_needs(pair: Pair) -> None:
    """4.5 for text and 3 for shapes (WCAG 2.2, 1.4.3 and 1.4.11)."""
    assert contrast(pair.ink, pair.ground) >= pair.least
    assert pair.least in (3.0, 4.5)


def test_hues_are_those_of_okabe_and_ito() -> None:
    """Made to be told apart by people with any kind of colour vision."""
    hues = (palette.BLACK, palette.BLUE, palette.GREEN, palette.VERMILLION, palette.ORANGE)
    assert set(hues) <= set(OKABE_ITO.values())


@pytest.mark.parametrize("name", _DRAWN)
def test_every_text_stands_out_from_the_ground_under_it(name: str) -> None:
    """For each text of a picture: the filled shape drawn last under it, and the pair listed."""
    sheet, height = compose(shown(FAMILIES[name]), grammar().library, "en")
    renderer = RendererAgg(WIDTH, height, 72)  # type: ignore[no-untyped-call]
    sheet.figure(height)
    listed = {(pair.ink, pair.ground) for pair in PAIRS if pair.least >= 4.5}
    grounds: list[tuple[Bbox, str]] = []
    for artist in sheet.artists:
        if isinstance(artist, FancyBboxPatch):
            if is_seen(artist.get_facecolor()):
                grounds.append((artist.get_window_extent(renderer), hexed(artist.get_facecolor())))
        elif isinstance(artist, Text):
            middle = artist.get_window_extent(renderer)
            across, down = (middle.x0 + middle.x1) / 2, (middle.y0 + middle.y1) / 2
            under = [color for box, color in grounds if box.contains(across, down)]
            assert (hexed(artist.get_color()), under[-1]) in listed


@pytest.mark.parametrize("name", _DRAWN)
def test_no_colour_is_used_that_was_not_measured(name: str) -> None:
    """Every fill, outline and hatch is one of the palette's."""
    known = {color for pair in PAIRS for color in (pair.ink, pair.ground)}
    sheet, _ = compose(shown(FAMILIES[name]), grammar().library, "en")
    used = set()
    for artist in sheet.artists:
        if isinstance(artist, Text):
            used.add(hexed(artist.get_color()))
        elif isinstance(artist, FancyBboxPatch | Ellipse):
            colors = [artist.get_facecolor(), artist.get_edgecolor()]
            colors += [artist.get_hatchcolor()] if artist.get_hatch() else []
            used |= {hexed(color) for color in colors if is_seen(color)}
    assert used <= known


def is_seen(color: object) -> bool:
    """Whether a colour is there at all."""
    return to_rgba(color)[3] > 0  # type: ignore[arg-type]


def hexed(color: object) -> str:
    """A colour as it is written in the palette."""
    return to_hex(color).upper()  # type: ignore[arg-type]
