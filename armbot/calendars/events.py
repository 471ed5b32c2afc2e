"""What stands in a family's calendar: plain values, one event after the other.

While no day to throw may be named, none is. And because a calendar that was imported
earlier goes on showing what it was told, the events that named such a day are then given
again under the same identity, with words that take them back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from armbot.engine.overview_values import Overview, Plan, PlannedDay, State
from armbot.engine.overview_words import capital, off_season_until
from armbot.engine.say import Voice, sentence
from armbot.model.family import OffSeason


@dataclass(frozen=True, slots=True)
class Event:
    """One day in the calendar.

    ``identity`` is the same whenever the same thing is told again, be it on another day
    or in other words: a calendar then changes the event instead of adding one.
    """

    identity: str
    day: date
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class _Teller:
    """Whose events, in which words."""

    shown: Overview
    voice: Voice
    discreet: bool

    def event(self, identity: str, on: date, key: str, *more: str, **values: object) -> Event:
        """An event on a day, with the title and text of ``key``, filled in with ``values``."""
        title = key if self.discreet else f"{key}_plain"
        made = self.voice.say("calendar_made", day=self.voice.day(self.shown.today))
        draft = self.voice.say("draft") if self.shown.draft else ""
        return Event(
            identity=f"{self.shown.athlete}/{identity}",
            day=on,
            title=self.voice.say(title, name=capital(self.shown.name)),
            text=sentence(self.voice.say(f"{key}_more", **values), *more, made, draft),
        )


def events(shown: Overview, voice: Voice, *, discreet: bool) -> tuple[Event, ...]:
    """Every event of one athlete, from today on, in the order of their days.

    No identity comes twice: of two off-seasons with the same first day the longer counts.
    ``discreet``: titles without a word on the body, for locked screens and shared calendars.
    """
    teller = _Teller(shown, voice, discreet)
    found = [
        *_rest_days(teller),
        *_standing(teller),
        *(_planned(teller, planned) for planned in shown.planned),
        *(event for off in shown.off_seasons for event in _off_season(teller, off)),
        *_follow_ups(teller),
    ]
    single = {event.identity: event for event in found}
    return tuple(sorted(single.values(), key=lambda event: (event.day, event.identity)))


def nothing(voice: Voice, today: date) -> Event:
    """What a calendar holds that would else be empty, which RFC 5545 does not allow."""
    made = voice.say("calendar_made", day=voice.day(today))
    return Event("empty", today, voice.say("calendar_empty"), made)


def _rest_days(teller: _Teller) -> Iterator[Event]:
    for day in teller.shown.rest_ahead:
        source = teller.voice.sources(teller.shown.sources)
        yield teller.event(f"rest/{day}", day, "calendar_rest", source)


_WAITS = (
    State.WAITING, State.DAY_OFF, State.COUNT_MISSING, State.BEYOND, State.NOT_ALLOWED,
)  # fmt: skip
"""States in which an earlier calendar may name a day that no longer holds."""


def _standing(teller: _Teller) -> Iterator[Event]:
    """The first day to pitch again; or, on today, that there is none."""
    shown, voice, identity = teller.shown, teller.voice, "standing"
    if shown.state is State.HOLD:
        yield teller.event(identity, shown.today, "calendar_hold")
    elif shown.first is not None:
        source = voice.sources(shown.sources)
        normal = voice.say("if_normal")
        yield teller.event(identity, shown.first, "calendar_first", normal, source)
    elif (until := off_season_until(shown)) is not None:
        yield teller.event(identity, shown.today, "calendar_off", day=voice.day(until))
    elif shown.state in _WAITS or shown.rest_ahead:
        yield teller.event(identity, shown.today, "calendar_wait")


def _planned(teller: _Teller, planned: PlannedDay) -> Event:
    identity = f"planned/{planned.day}"
    if teller.shown.state is State.HOLD:
        return teller.event(identity, planned.day, "calendar_hold")
    keys = {Plan.OPEN: "calendar_planned", Plan.UNSURE: "calendar_wait"}
    key = keys.get(planned.plan, "calendar_planned_no")
    normal = teller.voice.say("if_normal") if planned.plan is Plan.OPEN else ""
    return teller.event(identity, planned.day, key, normal)


def _off_season(teller: _Teller, off: OffSeason) -> Iterator[Event]:
    """Its first and its last day, so far as they are to come; on hold no way back is told."""
    shown, identity = teller.shown, f"off/{off.first}"
    if off.first >= shown.today:
        until = teller.voice.day(off.last)
        yield teller.event(f"{identity}/start", off.first, "calendar_off_start", day=until)
    if off.last >= shown.today:
        key = "calendar_hold" if shown.state is State.HOLD else "calendar_off_end"
        yield teller.event(f"{identity}/end", off.last, key)


def _follow_ups(teller: _Teller) -> Iterator[Event]:
    for day in teller.shown.follow_ups:
        yield teller.event(f"follow-up/{day}", day, "calendar_follow_up")
