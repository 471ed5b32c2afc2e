"""One athlete's weeks and months as a picture that can be read on a phone.

From the top: where the athlete stands today in words, the last weeks day by day, the last
twelve months, and what the picture rests on. What may not be said is not in the overview,
so no picture of an athlete on hold names a day to throw.
"""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

from armbot.engine.overview_words import capital, headline, standing_note
from armbot.engine.say import Voice, sentence
from armbot.pictures.lettering import cut, paragraph, plain
from armbot.pictures.months import draw_months
from armbot.pictures.palette import BLACK, FRAME, PAPER, QUIET
from armbot.pictures.plotting import Box, Sheet, width_of
from armbot.pictures.weeks import draw_weeks

if TYPE_CHECKING:
    from armbot.engine.overview_values import Overview
    from armbot.model.library import Library

WIDTH = 1080
"""Width in pixels: about that of a phone's screen held upright."""
_MARGIN = 34
_TITLE, _HEADLINE, _NOTE, _SECTION, _SMALL = 46, 38, 32, 36, 28
"""Sizes of letters in pixels; at the width of a phone 28 are about 10 points."""


def draw(overview: Overview, library: Library, lang: str) -> bytes:
    """The picture as a PNG, its texts in ``lang``; the same bytes for the same input."""
    sheet, height = compose(overview, library, lang)
    return sheet.png(height)


def compose(shown: Overview, library: Library, lang: str) -> tuple[Sheet, int]:
    """The sheet with everything on it, and its height in pixels."""
    voice = Voice(library, lang)
    body = Sheet(WIDTH)
    page = Box(_MARGIN, _MARGIN - 6, WIDTH - 2 * _MARGIN, 0)
    top = _draw_head(body, page, shown, voice)
    title = voice.say("picture_weeks_head", n=shown.weeks)
    top = _draw_section(body, page, top + 18, title, _limit_line(shown, voice))
    top = draw_weeks(body, Box(page.left, top, page.width, 0), shown, voice)
    title = voice.say("picture_months_head", n=len(shown.months))
    top = _draw_section(body, page, top + 18, title, "")
    top = draw_months(body, Box(page.left, top, page.width, 0), shown, voice)
    height = ceil(_draw_foot(body, page, top + 12, shown, voice) + _MARGIN / 2)
    sheet = Sheet(WIDTH)
    sheet.box(Box(0, 0, WIDTH, height), fill=PAPER, round_by=0)
    sheet.box(Box(3, 3, WIDTH - 6, height - 6), fill=PAPER, edge=FRAME, line=6, round_by=0)
    sheet.artists += body.artists
    return sheet, height


def _draw_head(sheet: Sheet, page: Box, shown: Overview, voice: Voice) -> float:
    """Who and when, and where the athlete stands; returns where it ends."""
    when = plain(voice.day(shown.today))
    sheet.text(
        (page.left + page.width, page.top + 34), when, size=_NOTE, color=QUIET, align="right"
    )
    name = plain(shown.name) or voice.say("picture_nameless")
    who = cut(capital(name), page.width - 340, _TITLE, bold=True)
    sheet.text((page.left, page.top + 34), who, size=_TITLE, color=BLACK, bold=True)
    top = page.top + 68
    strong, note = _split(headline(shown, voice))
    for text, size, bold in (
        (strong, _HEADLINE, True),
        (sentence(note, standing_note(shown, voice)), _NOTE, False),
    ):
        top = paragraph(
            sheet, (page.left, top), text, page.width, size=size, color=BLACK, bold=bold
        )
    return top


def _split(text: str) -> tuple[str, str]:
    """The bold part that a phrase opens with, and the rest."""
    _, strong, rest = text.split("**", 2) if text.startswith("**") else ("", "", text)
    return strong, rest


def _draw_section(sheet: Sheet, page: Box, top: float, title: str, beside: str) -> float:
    """A title, with a text beside it where that fits and else below; returns the end."""
    room = page.width - width_of(title, _SECTION, bold=True) - 30
    end = paragraph(
        sheet, (page.left, top), title, page.width, size=_SECTION, color=BLACK, bold=True
    )
    if width_of(beside, _NOTE) > room:
        end = paragraph(sheet, (page.left, end), beside, page.width, size=_NOTE, color=BLACK)
    elif beside:
        place = (page.left + page.width, (top + end) / 2)
        sheet.text(place, plain(beside), size=_NOTE, color=BLACK, align="right")
    return end + 6


def _limit_line(shown: Overview, voice: Voice) -> str:
    """The limit of today: left out on a day that is for no throwing at all."""
    if shown.limit is None or shown.age is None or shown.closed:
        return ""
    return voice.say("picture_limit", age=voice.age(shown.age), limit=shown.limit)


def _draw_foot(sheet: Sheet, page: Box, top: float, shown: Overview, voice: Voice) -> float:
    """What the picture rests on; returns where it ends."""
    lines = (
        voice.say("picture_logged"),
        voice.sources(shown.sources),
        voice.say("draft") if shown.draft else "",
    )
    for line in lines:
        top = paragraph(sheet, (page.left, top), line, page.width, size=_SMALL, color=QUIET)
    return top
