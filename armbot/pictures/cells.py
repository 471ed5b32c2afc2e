"""One day of the picture: its ground, its number, its bar and its marks.

Each state of a day has a word or a shape of its own besides its colour.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from armbot.pictures.palette import (
    BLACK,
    BLUE,
    GREEN,
    OFF,
    PAPER,
    QUIET,
    REST,
    VERMILLION,
    WHITE,
)
from armbot.pictures.plotting import Box, width_of

if TYPE_CHECKING:
    from armbot.engine.overview_values import DayShown
    from armbot.engine.say import Voice
    from armbot.pictures.plotting import Sheet

DAY, NUMBER, WORD = 29, 44, 30
"""Sizes of the day of the month and the marks, of the pitches, and of a word; in pixels."""
HOLD_HATCH = "/"


def draw_ground(sheet: Sheet, box: Box, day: DayShown) -> None:
    """The ground of a day: hold, off-season, rest, or nothing in particular."""
    if day.hold:
        sheet.box(
            box, fill=PAPER, edge=VERMILLION, line=4, hatch=HOLD_HATCH, hatch_color=VERMILLION
        )
    elif day.off_season:
        sheet.box(box, fill=OFF, edge=QUIET, line=2, dashed=True)
    elif day.rest:
        sheet.box(box, fill=REST, edge=BLUE, line=3)
    else:
        sheet.box(box, fill=PAPER, edge=QUIET, line=1)


def ground_of(day: DayShown) -> str:
    """The colour that words lie on."""
    if day.hold or not (day.off_season or day.rest):
        return PAPER
    return OFF if day.off_season else REST


def draw_day(sheet: Sheet, box: Box, day: DayShown, voice: Voice, today: date) -> None:
    """One day in its box; the edge of today is drawn black and thick."""
    draw_ground(sheet, box, day)
    if day.day == today:
        sheet.box(box.inset(-1), fill="none", edge=BLACK, line=6)
    _draw_top(sheet, box, day, voice, today)
    if day.pitched or day.practice is not None:
        _draw_throwing(sheet, box, day)
    elif word := cell_word(day, voice):
        _on_ground(sheet, box, word, WORD, day)


def cell_word(day: DayShown, voice: Voice) -> str:
    """The word of a day on which nobody throws; none for an ordinary one."""
    if day.hold:
        return voice.say("picture_cell_hold")
    if day.off_season:
        return voice.say("picture_cell_off")
    return voice.say("picture_cell_rest") if day.rest else ""


def _draw_top(sheet: Sheet, box: Box, day: DayShown, voice: Voice, today: date) -> None:
    """The day of the month at the left, the marks at the right."""
    number, line = str(day.day.day), box.top + 23
    if day.day == today:
        plate = Box(box.left + 5, box.top + 5, width_of(number, DAY, bold=True) + 14, 36)
        sheet.box(plate, fill=BLACK)
        sheet.text((plate.left + 7, line), number, size=DAY, color=WHITE, bold=True)
    else:
        if day.hold:
            plate = Box(box.left + 5, box.top + 5, width_of(number, DAY) + 14, 36)
            sheet.box(plate, fill=PAPER)
        sheet.text((box.left + 12, line), number, size=DAY, color=BLACK)
    _draw_marks(sheet, box, marks(day, voice), on_hatch=day.hold)


def marks(day: DayShown, voice: Voice) -> str:
    """The letters at the upper right of a day."""
    signs = (
        (day.planned, voice.say("picture_sign_planned")),
        (day.caught, voice.say("picture_sign_caught")),
        (day.other_sport, voice.say("picture_sign_sport")),
        (day.breach, "!"),
    )
    return "".join(sign for shown, sign in signs if shown)


def _draw_marks(sheet: Sheet, box: Box, text: str, *, on_hatch: bool) -> None:
    if not text:
        return
    right, wide = box.left + box.width - 10, width_of(text, DAY, bold=True)
    if on_hatch:
        sheet.box(Box(right - wide - 5, box.top + 5, wide + 10, 36), fill=PAPER)
    sheet.text((right, box.top + 23), text, size=DAY, color=BLACK, bold=True, align="right")


def _draw_throwing(sheet: Sheet, box: Box, day: DayShown) -> None:
    """The number of pitches, and how much of the day's limit they are."""
    games = day.pitched
    number = str(day.pitches if games else day.practice)
    if games and not day.counted:
        number = f"{day.pitches}+?" if day.pitches else "?"
    _on_ground(sheet, box, number, NUMBER, day, bold=games)
    bar = Box(box.left + 10, box.top + box.height - 27, box.width - 20, 18)
    draw_bar(sheet, bar, day, games=games)


def draw_bar(sheet: Sheet, bar: Box, day: DayShown, *, games: bool) -> None:
    """Full at the day's limit; hatched beyond it; hollow where the limit does not count."""
    sheet.box(bar, fill=PAPER, edge=BLUE, line=3, dashed=not games, round_by=4)
    if not games or day.limit is None or not day.pitches:
        return
    part = min(day.pitches / day.limit, 1)
    fill = Box(bar.left, bar.top, max(bar.width * part, 6), bar.height)
    if day.over:
        sheet.box(
            fill, fill=VERMILLION, edge=BLACK, line=3, hatch="\\\\", hatch_color=BLACK, round_by=4
        )
    else:
        sheet.box(fill, fill=BLUE, edge=BLUE, line=3, round_by=4)


def _on_ground(  # noqa: PLR0913  # a word, its place and its looks
    sheet: Sheet, box: Box, text: str, size: float, day: DayShown, *, bold: bool = True
) -> None:
    """A word or number in the middle of a day, on a plain plate where the day is hatched."""
    across, down = box.left + box.width / 2, box.top + (59 if size == NUMBER else 66)
    if day.hold:
        wide = width_of(text, size, bold=bold) + 14
        sheet.box(Box(across - wide / 2, down - size / 2, wide, size), fill=ground_of(day))
    sheet.text((across, down), text, size=size, color=BLACK, bold=bold, align="center")


def draw_first(sheet: Sheet, box: Box) -> None:
    """The mark of the first day to pitch again."""
    sheet.ring((box.left + box.width / 2, box.top + 70), 26, edge=GREEN, line=7)
