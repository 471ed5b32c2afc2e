"""What a reminder says at the moment it is sent; nothing where it is no longer true.

While an athlete is on hold every throwing reminder is silent or says hold.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from itertools import zip_longest

from armbot.core.answers import Eligibility, Reason, Rule, Verdict
from armbot.core.reminders import Item
from armbot.engine.frames import GUIDELINE
from armbot.engine.off_season_texts import off_said
from armbot.engine.reminder_items import AGAIN, LAST
from armbot.engine.reminder_limits import limits_said
from armbot.engine.reminder_people import Tongue
from armbot.engine.reminder_said import OK, STOP, Said
from armbot.engine.reminder_view import (
    View,
    cleared_since,
    eligible,
    most_in_a_day,
    off_season_on,
    slots_of,
    sore_until,
    verdict,
    waits_for_an_answer,
)
from armbot.engine.rest_notes import notes_beside, sources_of
from armbot.engine.say import Voice, paragraphs, sentence
from armbot.model.family import Planned
from armbot.model.reminders import ReminderKind

FINE, SORE, HURTS, LATER = "fine", "sore", "hurts", "later"
GONE, STILL = "gone", "still"
NORMAL, TIRED, NOT_TODAY = "normal", "tired", "nottoday"
MORE, DROPPED = "more", "dropped"
SEEN, BOOKED, NOT_YET = "yes", "booked", "notyet"
"""Answers, by their last part in an act."""

_NO_DATE = frozenset({Rule.MAY_NOT_PITCH, Rule.BELOW_TABLE, Rule.NOT_CONFIRMED})
"""Reasons that lie in the athlete's row itself: then no first day may be told."""
_OF_REST = frozenset({Rule.REST, Rule.COUNT_MISSING, Rule.BEYOND_TABLE})


def said(view: View, item: Item, tongue: Tongue) -> Said | None:
    """What the reminder says to this listener now; None where there is nothing true to say."""
    return _BY_KIND[item.kind](view, item, tongue)


def _rest(view: View, item: Item, tongue: Tongue) -> Said | None:
    """The evening of an outing: the rest days that follow, with their dates."""
    day = item.about[0]
    result = eligible(view)
    if _no_dates(view) or result is None or _last_pitched(view) != day:
        return None
    if day in result.missing_counts:
        text = sentence(tongue.say("rem_rest_count", day=tongue.voice.day(day)))
        return Said(text, (OK, STOP))
    if view.today >= result.first_eligible or not result.rest_days:
        return None
    if any(r.rule is Rule.BEYOND_TABLE for r in (*result.flags, *result.binding)):
        return Said(_beyond(view, result, day, tongue), (OK, MORE, STOP))
    return Said(_rest_text(view, result, day, tongue), (OK, MORE, STOP), grants=True)


def _last_pitched(view: View) -> date | None:
    days = [day for day, total in view.days.items() if total.pitched]
    return days[-1] if days else None


def _no_dates(view: View) -> bool:
    """Whether nothing may name a day to throw: on hold, or while a sign was just told."""
    return view.hold is not None or waits_for_an_answer(view)


def _rest_text(view: View, result: Eligibility, day: date, tongue: Tongue) -> str:
    voice = tongue.voice
    pitches, limit = view.days[day].known, most_in_a_day(view, voice, day)
    slots = slots_of(view, day)
    notes = notes_beside(view.scene(voice), view.frame, slots, result, limit, pitches)
    return paragraphs(
        tongue.say("rem_rest", days=days_text(result.rest_on, voice)),
        sentence(
            tongue.say("rem_pitched", pitches=pitches, day=voice.day(day)),
            voice.say("next_day", day=voice.day(result.first_eligible)),
            voice.say("if_normal"),
        ),
        notes,
        sentence(
            tongue.say("rem_rest_catch"), voice.sources(sources_of(view.scene(voice), result))
        ),
    )


def days_text(days: Sequence[date], voice: Voice) -> str:
    """Days in a row in words, each month named once: "Sun 20, Mon 21 and Tue 22 September"."""
    names = [
        voice.day(day)
        if following is None or following.month != day.month
        else f"{voice.weekday(day)} {day.day}"
        for day, following in zip_longest(days, days[1:])
    ]
    return voice.listing(names)


def _beyond(view: View, result: Eligibility, day: date, tongue: Tongue) -> str:
    """More pitches than any band knows: no date, and a call to the clinic."""
    voice = tongue.voice
    age = voice.age(view.age) if view.age else ""
    pitches, limit = view.days[day].known, most_in_a_day(view, voice, day)
    over = ""
    if limit is not None and pitches > limit:
        over = voice.say("over_max", over=pitches - limit, limit=limit, age=age)
    return paragraphs(
        sentence(tongue.say("rem_pitched", pitches=pitches, day=voice.day(day)), over),
        voice.say("beyond_table", age=age, rest=voice.rest(result.rest_days)),
        voice.sources(sources_of(view.scene(voice), result)),
    )


def _arm(view: View, item: Item, tongue: Tongue) -> Said | None:
    """The morning after: how is the arm? Silent where a report was made since."""
    day = item.about[0]
    if view.hold is not None or _reported_since(view, day):
        return None
    if item.part == AGAIN:
        return _arm_again(view, tongue)
    text = paragraphs(tongue.say("rem_arm"), tongue.say("rem_arm_hint"))
    return Said(text, (FINE, SORE, HURTS, LATER))


def _reported_since(view: View, day: date) -> bool:
    zone = view.now.tzinfo
    own = (r for r in view.family.reports if r.athlete in ("", view.athlete.id))
    return any(report.at.astimezone(zone).date() >= day for report in own)


def _arm_again(view: View, tongue: Tongue) -> Said:
    """Soreness the day before: the published rule, and whether it is gone."""
    rule, voice = view.library.reminders.soreness, tongue.voice
    text = paragraphs(
        tongue.say("rem_arm_again"),
        tongue.say("rem_arm_rule", least=rule.least.value, strict=rule.strict.value),
        sentence(
            tongue.say("rem_arm_joint"),
            voice.sources((rule.least.cite.source, rule.strict.cite.source)),
        ),
    )
    return Said(text, (GONE, STILL, HURTS, LATER))


def _eligible(view: View, item: Item, tongue: Tongue) -> Said | None:
    """The first day to pitch again, when the charts allow it today and nothing else speaks."""
    result, today = eligible(view), verdict(view, view.today)
    if _no_dates(view) or result is None or today is None or item.day != view.today:
        return None
    sore = sore_until(view)
    quiet = (
        not (today.allowed and result.confirmed)
        or item.about[0] in result.missing_counts
        or view.days.get(view.today) is not None
        or off_season_on(view.family, view.athlete.id, view.today) is not None
        or cleared_since(view, item.about[0])
        or (sore is not None and sore >= view.today)
    )
    if quiet or any(r.rule is Rule.BEYOND_TABLE for r in (*result.flags, *result.binding)):
        return None
    return Said(
        _eligible_text(view, result, tongue), (NORMAL, TIRED, HURTS, NOT_TODAY), grants=True
    )


def _eligible_text(view: View, result: Eligibility, tongue: Tongue) -> str:
    voice, limit = tongue.voice, most_in_a_day(view, tongue.voice, view.today)
    most = ""
    if limit is not None and view.age is not None:
        most = tongue.say("rem_most", limit=limit, age=voice.age(view.age))
    return paragraphs(
        tongue.say("rem_eligible", day=voice.day(view.today)),
        sentence(voice.say("if_normal"), tongue.say("rem_if_hurts")),
        sentence(most, voice.sources(sources_of(view.scene(voice), result))),
    )


def _planned(view: View, item: Item, tongue: Tongue) -> Said | None:
    """A planned day that the rules, an off-season or a hold forbid; silent where none does."""
    day, voice = item.day, tongue.voice
    if Planned(view.athlete.id, day) not in view.family.planned:
        return None
    if view.hold is not None:
        text = sentence(tongue.say("hold_on"), tongue.say("rem_planned_hold"))
        return Said(text, (DROPPED, OK))
    if off_season_on(view.family, view.athlete.id, day) is not None:
        text = sentence(tongue.say("rem_planned_off", day=voice.day(day)))
        return Said(text, (DROPPED, OK))
    found = verdict(view, day)
    if found is None or found.allowed:
        return None
    return _planned_said(view, found, day, tongue)


def _planned_said(view: View, found: Verdict, day: date, tongue: Tongue) -> Said:
    voice = tongue.voice
    dated = not any(r.rule in _NO_DATE for r in found.reasons) and not waits_for_an_answer(view)
    reason = next((r for r in found.reasons if r.rule in _OF_REST), found.reasons[0])
    names = voice.listing(
        list(
            dict.fromkeys(
                view.library.rules[r.ruleset_id].short_names[voice.lang] for r in found.reasons
            )
        )
    )
    sources = dict.fromkeys(view.library.rules[r.ruleset_id].source for r in found.reasons)
    text = paragraphs(
        tongue.say("rem_planned", day=voice.day(day)),
        sentence(
            _because(reason, names, tongue),
            voice.say("next_day", day=voice.day(found.first_eligible)) if dated else "",
            voice.say("if_normal") if dated else "",
        ),
        sentence(tongue.say("rem_planned_tell"), voice.sources(sources or (GUIDELINE,))),
    )
    return Said(text, (DROPPED, OK, STOP), grants=dated)


def _because(reason: Reason, names: str, tongue: Tongue) -> str:
    """Why the rules forbid the day, in one sentence."""
    thrown = reason.facts.get("day")
    if reason.rule in _OF_REST and isinstance(thrown, date):
        key = "rem_planned_count" if reason.rule is Rule.COUNT_MISSING else "rem_planned_rest"
        pitches = reason.facts.get("pitches", 0)
        return tongue.say(key, pitches=pitches, day=tongue.voice.day(thrown))
    if reason.rule is Rule.CONSECUTIVE_DAYS:
        return tongue.voice.say("third_day")
    return tongue.say("rem_planned_rule", rules=names)


def _limits(view: View, _item: Item, tongue: Tongue) -> Said | None:
    return limits_said(view, tongue)


def seen_said(_view: View | None, item: Item, tongue: Tongue) -> Said:
    """After a report: has somebody looked? It needs no view, so it can be about nobody known."""
    voice = tongue.voice
    text = paragraphs(
        tongue.say("rem_seen"),
        tongue.say("rem_seen_until"),
        sentence(voice.say("worse"), tongue.say("rem_seen_last") if item.part == LAST else ""),
    )
    return Said(text, (SEEN, BOOKED, NOT_YET))


_BY_KIND: Mapping[ReminderKind, Callable[[View, Item, Tongue], Said | None]] = {
    ReminderKind.REST: _rest,
    ReminderKind.ARM: _arm,
    ReminderKind.ELIGIBLE: _eligible,
    ReminderKind.PLANNED: _planned,
    ReminderKind.LIMITS: _limits,
    ReminderKind.OFF: off_said,
    ReminderKind.SEEN: seen_said,
}
