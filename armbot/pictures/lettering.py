"""Lines of text that fit: wrapped at words, or cut with a mark that something is missing."""

from __future__ import annotations

from armbot.pictures.plotting import Align, Sheet, drawable, width_of

_LEADING = 1.32
"""Height of a line as a part of the letters' size."""


def plain(text: str) -> str:
    """A phrase without its bold marks, as far as the font can show it."""
    return drawable(text.replace("**", ""))


def cut(text: str, room: float, size: float, *, bold: bool = False) -> str:
    """``text``, or as much of it as ``room`` pixels hold, with an ellipsis."""
    if width_of(text, size, bold=bold) <= room:
        return text
    kept = text
    while kept and width_of(f"{kept}…", size, bold=bold) > room:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def wrapped(text: str, room: float, size: float, *, bold: bool = False) -> list[str]:
    """``text`` in lines that fit ``room`` pixels; a word that does not is cut."""
    lines: list[str] = []
    space, used = width_of(" ", size, bold=bold), room
    for word in text.split():
        wide = width_of(word, size, bold=bold)
        if lines and used + space + wide <= room:
            lines[-1] += f" {word}"
            used += space + wide
        else:
            lines.append(cut(word, room, size, bold=bold))
            used = wide
    return lines


def paragraph(  # noqa: PLR0913  # a text, its place and its looks
    sheet: Sheet,
    place: tuple[float, float],
    text: str,
    room: float,
    *,
    size: float,
    color: str,
    bold: bool = False,
    align: Align = "left",
) -> float:
    """Put ``text`` on the sheet in lines from ``place`` down; return where it ends."""
    left, top = place
    for line in wrapped(plain(text), room, size, bold=bold):
        middle = top + _LEADING * size / 2
        sheet.text((left, middle), line, size=size, color=color, bold=bold, align=align)
        top += _LEADING * size
    return top
