"""The words about an off-season: its plan, its stations, and throwing logged in it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta

from armbot.core.reminder_months import plus_months
from armbot.core.reminders import Item
from armbot.engine.reminder_items import MONTHLY, NOTICE, READY, START, WARN
from armbot.engine.reminder_people import Tongue
from armbot.engine.reminder_said import OK, STOP, Said
from armbot.engine.reminder_view import (
    View,
    mark,
    marked_on,
    most_in_a_day,
    off_season_on,
    waits_for_an_answer,
)
from armbot.engine.say import paragraphs, sentence
from armbot.model.family import OffSeason
from armbot.model.outings import Outing, OutingKind

ALL_FINE, WRONG = "allfine", "wrong"
"""Answers to the check before the first throw."""
WARNED = "warned"
"""Name of the mark that throwing in an off-season was spoken of."""


def off_said(view: View, item: Item, tongue: Tongue) -> Said | None:
    """What is said at a station of an off-season that is still planned as it was."""
    if item.part == WARN:
        return _warn(view, item, tongue)
    first, last = item.about
    off = OffSeason(view.athlete.id, first, last)
    if off not in view.family.off_seasons:
        return None
    if view.hold is not None:
        return _on_hold(item, tongue)
    return _STATIONS[item.part](view, item.day, off, tongue)


def _on_hold(item: Item, tongue: Tongue) -> Said | None:
    """On hold the way back is no way back; the rest of the off-season goes without saying."""
    if item.part not in (NOTICE, READY):
        return None
    return Said(sentence(tongue.say("hold_on"), tongue.say("rem_off_hold")), (OK,))


def _start(view: View, day: date, off: OffSeason, tongue: Tongue) -> Said:
    key = "rem_off_start" if view.today == day else "rem_off_monthly"
    text = paragraphs(
        tongue.say(key, last=tongue.voice.day(off.last)),
        sentence(tongue.say("rem_off_what"), tongue.say("rem_off_coach")),
    )
    return Said(text, (OK, STOP), grants=True)


def _monthly(view: View, day: date, off: OffSeason, tongue: Tongue) -> Said:
    since = plus_months(day, -1)
    used = any(since <= outing.day <= view.today for outing in view.log)
    text = paragraphs(
        tongue.say("rem_off_monthly", last=tongue.voice.day(off.last)),
        tongue.say("rem_off_used" if used else "rem_off_clean"),
    )
    return Said(text, (OK, STOP), grants=True)


def _notice(view: View, _day: date, off: OffSeason, tongue: Tongue) -> Said | None:
    """The way back, in the general terms that are published: slowly, and the mound last."""
    if waits_for_an_answer(view):
        return None
    voice = tongue.voice
    cite = view.library.reminders.off.notice_days.cite
    text = paragraphs(
        tongue.say("rem_off_notice", last=voice.day(off.last)),
        tongue.say("rem_off_ramp", first=voice.day(off.last + timedelta(days=1))),
        voice.say("if_normal"),
        sentence(tongue.say("rem_off_no_plan"), voice.sources((cite.source,))),
    )
    return Said(text, (OK, STOP), grants=True)


def _ready(view: View, day: date, off: OffSeason, tongue: Tongue) -> Said | None:
    """Its last day: what to look at before the first throw, and the limit of the age then."""
    if waits_for_an_answer(view):
        return None
    voice, after = tongue.voice, off.last + timedelta(days=1)
    span, limit = view.athlete.span_on(after), most_in_a_day(view, voice, after)
    most = ""
    if limit is not None and span is not None:
        source, age = view.rulesets[0].source, voice.age(span)
        most = sentence(tongue.say("rem_off_most", limit=limit, age=age), voice.sources((source,)))
    key = "rem_off_ready" if view.today == day else "rem_off_over"
    text = paragraphs(tongue.say(key), tongue.say("rem_off_checks"), most)
    return Said(text, (ALL_FINE, WRONG, OK), grants=True)


_STATIONS: Mapping[str, Callable[[View, date, OffSeason, Tongue], Said | None]] = {
    START: _start,
    MONTHLY: _monthly,
    NOTICE: _notice,
    READY: _ready,
}


def _warn(view: View, item: Item, tongue: Tongue) -> Said | None:
    """Throwing or overhead sport was logged in the off-season; not said again for a while."""
    day = item.about[0]
    off = off_season_on(view.family, view.athlete.id, day)
    outings = [outing for outing in view.log if outing.day == day]
    told = marked_on(view.family, WARNED, view.athlete.id)
    again = timedelta(days=view.library.reminders.off.warn_again_days.value)
    lately = told is not None and view.today - told < again
    if off is None or not outings or lately or view.hold is not None:
        return None
    text = paragraphs(
        tongue.say("rem_off_warn", what=_what(view, outings[0], tongue), day=tongue.voice.day(day)),
        tongue.say("rem_off_again"),
    )
    return Said(text, (OK, STOP), marks=(mark(WARNED, view.athlete.id),))


def _what(view: View, outing: Outing, tongue: Tongue) -> str:
    """What was logged, in a word."""
    if outing.kind is OutingKind.OVERHEAD_SPORT:
        names = {s.id: s.names[tongue.voice.lang] for s in view.library.season.sports}
        return names.get(outing.note, tongue.say("rem_off_sport"))
    if outing.kind is OutingKind.CATCHING:
        return tongue.say("rem_off_catching")
    return tongue.say("rem_off_throwing")
