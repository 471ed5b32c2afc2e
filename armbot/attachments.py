"""The files that a message names, made when it is sent, from the record as it is then."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from zoneinfo import ZoneInfo

from armbot.app import load_family
from armbot.calendars.calendar import write
from armbot.channels.telegram.sending import Attachment
from armbot.engine.overview import overview, overview_text
from armbot.engine.record import as_json
from armbot.engine.record_csv import as_csv
from armbot.model.family import Athlete, Family, Member
from armbot.model.library import Library
from armbot.model.outbox import Outgoing
from armbot.store.base import Store


class Attachments:
    """Makes "chart:<athlete id>", "calendar", "record" and "outings"."""

    def __init__(self, store: Store, library: Library, clock: Callable[[], datetime]) -> None:
        self._store = store
        self._library = library
        self._clock = clock

    def make(self, family_id: str, message: Outgoing) -> Attachment | None:
        """The file of a message; None where it names none that there is."""
        if self._store.load(family_id) is None:
            return None
        family, _ = load_family(self._store, Family(family_id))
        member = family.member(message.chat) or Member(message.chat)
        kind, _, athlete_id = message.attach.partition(":")
        if kind == "chart":
            athlete = family.athlete(athlete_id)
            return self._chart(family, member, athlete) if athlete else None
        if kind == "calendar":
            data = write(family, self._library, member.lang, self._clock())
            return Attachment("armbot.ics", data, "document")
        if kind == "record":
            return Attachment("armbot.json", as_json(family).encode(), "document")
        if kind == "outings":
            return Attachment("outings.csv", as_csv(family).encode(), "document")
        return None

    def _chart(self, family: Family, member: Member, athlete: Athlete) -> Attachment:
        """The picture, and the same in words below it."""
        from armbot.pictures.chart import draw  # noqa: PLC0415 - 60 MB, for those who ask

        today = self._clock().astimezone(ZoneInfo(family.zone)).date()
        shown = overview(family, athlete, self._library, member.lang, today)
        words = overview_text(shown, self._library, member.lang)
        data = draw(shown, self._library, member.lang)
        return Attachment("chart.png", data, "photo", words)
