"""The weeks of the picture: seven days a row, with what the signs in them mean."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from armbot.engine.overview_values import DayShown
from armbot.pictures.cells import draw_bar, draw_day, draw_first, draw_ground
from armbot.pictures.legend import Key, Sample, draw_legend, letter
from armbot.pictures.palette import BLACK, GREEN, QUIET
from armbot.pictures.plotting import Box

if TYPE_CHECKING:
    from armbot.engine.overview_values import Overview
    from armbot.engine.say import Voice
    from armbot.pictures.plotting import Sheet

_DAYS = 7
_GUTTER = 72
"""Room for the names of months, left of the days."""
_HEAD, _ROW, _GAP = 42, 118, 8
_SIZE = 30


def draw_weeks(sheet: Sheet, page: Box, shown: Overview, voice: Voice) -> float:
    """Put the weeks and their legend at the top of ``page``; return where they end."""
    wide = (page.width - _GUTTER) / _DAYS
    for column, name in enumerate(voice.say("weekdays").split(",")):
        across = page.left + _GUTTER + (column + 0.5) * wide
        sheet.text((across, page.top + 18), name, size=_SIZE, color=QUIET, align="center")
    for number, day in enumerate(shown.days):
        row, column = divmod(number, _DAYS)
        left, top = page.left + _GUTTER + column * wide, page.top + _HEAD + row * _ROW
        box = Box(left + _GAP / 2, top, wide - _GAP, _ROW - _GAP)
        draw_day(sheet, box, day, voice, shown.today)
        if day.day == shown.first:
            draw_first(sheet, box)
    _draw_months(sheet, page, shown.days, voice)
    bottom = page.top + _HEAD + len(shown.days) // _DAYS * _ROW
    return draw_legend(sheet, Box(page.left, bottom + 8, page.width, 0), _keys(shown, voice))


def _draw_months(sheet: Sheet, page: Box, days: tuple[DayShown, ...], voice: Voice) -> None:
    """The month's name beside the first week, and beside each week a month begins in."""
    for row in range(len(days) // _DAYS):
        week = days[row * _DAYS : (row + 1) * _DAYS]
        months = [week[0].day.month] if row == 0 else []
        months += [day.day.month for day in week if day.day.day == 1]
        middle = page.top + _HEAD + (row + 0.5) * _ROW - _GAP / 2
        for line, month in enumerate(dict.fromkeys(months)):
            place = (page.left, middle + (line - (len(set(months)) - 1) / 2) * 40)
            sheet.text(place, voice.month(month)[:3], size=_SIZE, color=QUIET)


def _keys(shown: Overview, voice: Voice) -> list[Key]:
    """What the signs in these weeks mean: only of those that are in them."""
    days = shown.days
    found: list[tuple[bool, Sample, str]] = [
        (any(d.pitched for d in days), _bar(pitches=3), "pitches"),
        (any(d.over for d in days), _bar(pitches=6), "over"),
        (any(_only_practice(d) for d in days), _bar(pitches=None), "practice"),
        (any(d.rest and not d.hold for d in days), _ground(rest=True), "rest"),
        (any(d.hold for d in days), _ground(hold=True), "hold"),
        (any(d.off_season and not d.hold for d in days), _ground(off_season=True), "off"),
        (any(d.day == shown.first for d in days), _ring, "first"),
        (True, _today, "today"),
        (any(d.breach for d in days), letter("!"), "breach"),
        (any(d.pitched and not d.counted for d in days), letter("?"), "open"),
    ]
    for sign in ("caught", "other_sport", "planned"):
        name = "sport" if sign == "other_sport" else sign
        is_in = any(getattr(day, sign) for day in days)
        found.append((is_in, letter(voice.say(f"picture_sign_{name}")), name))
    return [Key(sample, voice.say(f"picture_key_{name}")) for is_in, sample, name in found if is_in]


def _only_practice(day: DayShown) -> bool:
    return day.practice is not None and not day.pitched


def _bar(*, pitches: int | None) -> Sample:
    """A bar of so many pitches out of five; of a practice where there are none."""
    day = DayShown(date.min, pitches=pitches, limit=5)

    def draw(sheet: Sheet, box: Box) -> None:
        bar = Box(box.left, box.top + 8, box.width, box.height - 16)
        draw_bar(sheet, bar, day, games=pitches is not None)

    return draw


def _ground(*, rest: bool = False, hold: bool = False, off_season: bool = False) -> Sample:
    day = DayShown(date.min, rest=rest, hold=hold, off_season=off_season)

    def draw(sheet: Sheet, box: Box) -> None:
        draw_ground(sheet, box.inset(2), day)

    return draw


def _ring(sheet: Sheet, box: Box) -> None:
    sheet.ring(box.middle, 14, edge=GREEN, line=6)


def _today(sheet: Sheet, box: Box) -> None:
    sheet.box(box.inset(3), fill="none", edge=BLACK, line=6)
