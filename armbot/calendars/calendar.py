"""A family's calendar as an iCalendar file (RFC 5545), for any calendar program.

Whole days only, so no time zone is needed: a day is a day wherever the phone is.
"""

from __future__ import annotations

import unicodedata
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from icalendar import Calendar
from icalendar import Event as Entry

from armbot.calendars.events import Event, events, nothing
from armbot.engine.overview import overview
from armbot.engine.say import Voice
from armbot.model.family import Athlete

if TYPE_CHECKING:
    from armbot.model.family import Family
    from armbot.model.library import Library

PRODUCT = "-//armbot//family calendar//EN"
_OURS = uuid5(NAMESPACE_URL, "armbot:calendar")
"""The space of names in which events have their identities."""
_MINUTE = 60
_NOBODY = Athlete(id="")
"""Whom a report is about before any athlete is known: a hold is shown all the same."""


def write(
    family: Family, library: Library, lang: str, now: datetime, *, discreet: bool = True
) -> bytes:
    """The calendar of every athlete of the family, its words in ``lang``.

    ``now`` must be aware; the day it falls on where the family lives is today.
    ``discreet`` leaves the body out of the titles. Raises ValueError for a naive time.
    """
    if now.tzinfo is None:
        raise ValueError("a calendar needs a time with its offset")
    today, voice = now.astimezone(ZoneInfo(family.zone)).date(), Voice(library, lang)
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    for key in ("name", "x-wr-calname"):  # RFC 7986, and what was in use before it
        calendar.add(key, voice.say("calendar_name"))
    told = [
        event
        for athlete in family.athletes or (_NOBODY,)
        for event in events(
            overview(family, athlete, library, lang, today), voice, discreet=discreet
        )
    ]
    for event in told or [nothing(voice, today)]:
        calendar.add_component(_entry(event, family.id, now.astimezone(UTC)))
    written: bytes = calendar.to_ical()
    return written


def _entry(event: Event, family: str, now: datetime) -> Entry:
    """One event of the file.

    Its identity names nobody: a hash of the family's and the event's own. A later file
    counts as a later revision of the same event, by the minute.
    """
    entry = Entry()
    entry.add("uid", f"{uuid5(_OURS, f'{family}/{event.identity}')}@armbot")
    entry.add("dtstamp", now.replace(microsecond=0))
    entry.add("sequence", int(now.timestamp()) // _MINUTE)
    entry.add("dtstart", event.day)
    entry.add("dtend", event.day + timedelta(days=1))
    entry.add("summary", plain(event.title))
    entry.add("description", plain(event.text))
    entry.add("class", "PRIVATE")
    entry.add("transp", "TRANSPARENT")
    return entry


def plain(text: str) -> str:
    """``text`` without bold marks and without characters that RFC 5545 keeps out of texts."""
    kept = (char for char in text.replace("**", "") if unicodedata.category(char) not in _KEPT_OUT)
    return " ".join("".join(kept).split())


_KEPT_OUT = ("Cc", "Cs", "Zl", "Zp")
"""Control characters, halves of surrogate pairs, and separators of lines and paragraphs."""
