"""The one door to matplotlib: a sheet of boxes, rings and lines of text, in pixels.

Only its object-oriented interface is used: no pyplot, no figure that outlives its picture,
no settings changed, and one bundled font read from its file, so that the same input gives
the same bytes on any machine with the same version.
"""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from dataclasses import dataclass
from functools import cache, lru_cache
from io import BytesIO
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from matplotlib.artist import Artist

_HOME = "MPLCONFIGDIR"


def _import_quietly() -> None:
    """Import matplotlib so that its list of fonts goes to a folder that ends with the process.

    It would else write to the user's home, or complain where there is none. A folder that
    the operator named is left to be used.
    """
    if _HOME in os.environ:
        return
    folder = tempfile.mkdtemp(prefix="armbot-fonts-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    os.environ[_HOME] = folder
    try:
        import matplotlib.font_manager  # noqa: F401, PLC0415  # reads the variable when loaded
    finally:
        del os.environ[_HOME]


_import_quietly()

import matplotlib as mpl  # noqa: E402  # only once the folder is set
from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: E402
from matplotlib.figure import Figure  # noqa: E402
from matplotlib.font_manager import FontProperties, get_font  # noqa: E402
from matplotlib.patches import Ellipse, FancyBboxPatch  # noqa: E402
from matplotlib.text import Text  # noqa: E402
from matplotlib.transforms import Affine2D  # noqa: E402

Align = Literal["left", "center", "right"]

_DPI = 72
"""Dots per inch at which a point, the unit of matplotlib's sizes, is one pixel."""
_FONTS = Path(mpl.get_data_path()) / "fonts" / "ttf"
_FACES = {False: _FONTS / "DejaVuSans.ttf", True: _FONTS / "DejaVuSans-Bold.ttf"}
"""The font that comes with matplotlib, plain and bold."""
_CAPITALS = 0.729
"""Height of a capital letter in that font, as a part of its size."""
_UNIT = 64
"""Parts of a pixel in which the font is measured."""
_DRAWING = Lock()
"""One picture at a time: the font library underneath is not made for several at once."""


@cache
def _shapes() -> frozenset[int]:
    """The code points that both faces have a shape for."""
    plain, bold = (get_font(face).get_charmap().keys() for face in _FACES.values())
    return frozenset(plain & bold)


def drawable(text: str) -> str:
    """``text`` without the characters that the font has no shape for, emoji for one."""
    return " ".join("".join(char for char in text if ord(char) in _shapes()).split())


@lru_cache(maxsize=2048)
def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """The width of one line of text, in pixels."""
    font = get_font(_FACES[bold])
    font.set_size(size, _DPI)
    font.set_text(text)
    return font.get_width_height()[0] / _UNIT


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the sheet, in pixels from its upper left corner."""

    left: float
    top: float
    width: float
    height: float

    @property
    def middle(self) -> tuple[float, float]:
        """Its centre."""
        return self.left + self.width / 2, self.top + self.height / 2

    def inset(self, by: float) -> Box:
        """The box that much smaller on every side."""
        return Box(self.left + by, self.top + by, self.width - 2 * by, self.height - 2 * by)


class Sheet:
    """A page of a fixed width on which things are put one after the other.

    Places are pixels from the upper left corner; what is put later lies above.
    """

    def __init__(self, width: int) -> None:
        self.width = width
        self.artists: list[Artist] = []

    def box(  # noqa: PLR0913  # a box and its looks
        self,
        box: Box,
        *,
        fill: str,
        edge: str = "none",
        line: float = 0,
        hatch: str = "",
        hatch_color: str = "",
        dashed: bool = False,
        round_by: float = 8,
    ) -> None:
        """A filled rectangle with round corners; ``line`` is the width of its outline."""
        patch = FancyBboxPatch(
            (box.left, box.top),
            box.width,
            box.height,
            boxstyle=f"round,pad=0,rounding_size={min(round_by, box.width / 2, box.height / 2)}",
            facecolor=fill,
            edgecolor=edge,
            linewidth=line,
            linestyle=(0, (3, 2)) if dashed else "solid",
            hatch=hatch or None,
        )
        if hatch:
            patch.set_hatchcolor(hatch_color)
            patch.set_hatch_linewidth(5)
        self.artists.append(patch)

    def ring(self, center: tuple[float, float], radius: float, *, edge: str, line: float) -> None:
        """An open circle."""
        self.artists.append(
            Ellipse(
                center, 2 * radius, 2 * radius, facecolor="none", edgecolor=edge, linewidth=line
            )
        )

    def text(  # noqa: PLR0913  # a line of text and its looks
        self,
        place: tuple[float, float],
        text: str,
        *,
        size: float,
        color: str,
        bold: bool = False,
        align: Align = "left",
    ) -> None:
        """One line of text, the middle of its capitals at the height of ``place``."""
        across, down = place
        self.artists.append(
            Text(
                across,
                down + _CAPITALS * size / 2,
                text,
                color=color,
                horizontalalignment=align,
                verticalalignment="baseline",
                fontproperties=FontProperties(fname=str(_FACES[bold]), size=size),
                parse_math=False,
                usetex=False,
            )
        )

    def figure(self, height: int) -> Figure:
        """Everything on the sheet as a figure of its width and ``height`` pixels."""
        figure = Figure(figsize=(self.width / _DPI, height / _DPI), dpi=_DPI, facecolor="none")
        FigureCanvasAgg(figure)
        downward = Affine2D().scale(1, -1).translate(0, height)
        for artist in self.artists:
            artist.set_transform(downward)
            figure.add_artist(artist)
        return figure

    def png(self, height: int) -> bytes:
        """The sheet as a PNG of its width and ``height`` pixels. A sheet is drawn once."""
        with _DRAWING:
            figure = self.figure(height)
            image = BytesIO()
            canvas = figure.canvas
            assert isinstance(canvas, FigureCanvasAgg)  # noqa: S101  # set two lines above
            canvas.print_png(image, metadata={"Software": None})  # type: ignore[no-untyped-call]
            return image.getvalue()
