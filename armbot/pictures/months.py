"""The months of the picture: which were pitched and which were off, and what is advised."""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.engine.overview_values import Arm
from armbot.engine.overview_words import aim_line, spent_line
from armbot.pictures.legend import Key, Sample, draw_legend
from armbot.pictures.lettering import paragraph
from armbot.pictures.palette import BLACK, BLUE, ORANGE, PAPER, QUIET, WHITE
from armbot.pictures.plotting import Box

if TYPE_CHECKING:
    from armbot.engine.overview_values import MonthShown, Overview
    from armbot.engine.say import Voice
    from armbot.pictures.plotting import Sheet

_COLUMNS = 6
_ROW, _GAP = 90, 8
_LABEL, _WORD, _LINE = 28, 32, 32
_LOOKS = {
    Arm.PITCHED: (BLUE, BLUE, WHITE),
    Arm.LOADED: (ORANGE, BLACK, BLACK),
    Arm.OFF: (PAPER, BLACK, BLACK),
    Arm.UNKNOWN: (PAPER, QUIET, BLACK),
}
"""Ground, outline and letters of a month by its use; one not known is dashed as well."""


def draw_months(sheet: Sheet, page: Box, shown: Overview, voice: Voice) -> float:
    """Put the months, their legend and two lines at the top of ``page``; return the end."""
    wide = page.width / _COLUMNS
    for number, month in enumerate(shown.months):
        row, column = divmod(number, _COLUMNS)
        box = Box(
            page.left + column * wide + _GAP / 2, page.top + row * _ROW, wide - _GAP, _ROW - _GAP
        )
        named = number == 0 or month.month[1] == 1
        _draw_month(sheet, box, month, voice, with_year=named)
    rows = -(-len(shown.months) // _COLUMNS)
    place = Box(page.left, page.top + rows * _ROW + 2, page.width, 0)
    top = draw_legend(sheet, place, _keys(shown, voice)) + 6
    for line in (spent_line(shown, voice), aim_line(shown, voice)):
        top = paragraph(sheet, (page.left, top), line, page.width, size=_LINE, color=BLACK)
    return top


def _draw_month(
    sheet: Sheet, box: Box, month: MonthShown, voice: Voice, *, with_year: bool
) -> None:
    ground, edge, letters = _LOOKS[month.use]
    sheet.box(box, fill=ground, edge=edge, line=2, dashed=month.use is Arm.UNKNOWN)
    year, number = month.month
    label = voice.month(number)[:3] + (f" {year}" if with_year else "")
    sheet.text((box.left + 12, box.top + 20), label, size=_LABEL, color=letters)
    place = (box.left + box.width / 2, box.top + 57)
    word = month_word(month, voice)
    sheet.text(place, word, size=_WORD, color=letters, bold=True, align="center")


def month_word(month: MonthShown, voice: Voice) -> str:
    """What a month was, in a word or a number of days pitched."""
    if month.use is Arm.PITCHED:
        return voice.say(
            "picture_month_day" if month.days == 1 else "picture_month_days", n=month.days
        )
    words = {Arm.OFF: "picture_month_off", Arm.LOADED: "picture_month_loaded"}
    return voice.say(words[month.use]) if month.use in words else "?"


def _keys(shown: Overview, voice: Voice) -> list[Key]:
    uses = {month.use for month in shown.months}
    known = {Arm.PITCHED: "pitched", Arm.LOADED: "loaded", Arm.UNKNOWN: "unknown"}
    return [
        Key(_sample(use), voice.say(f"picture_key_month_{name}"))
        for use, name in known.items()
        if use in uses
    ]


def _sample(use: Arm) -> Sample:
    ground, edge, _ = _LOOKS[use]

    def draw(sheet: Sheet, box: Box) -> None:
        sheet.box(box.inset(4), fill=ground, edge=edge, line=2, dashed=use is Arm.UNKNOWN)

    return draw
