"""What pressing a button below a reminder does.

An answer that is a report (the arm hurts, is sore) is not handled here: it is put into the
words it stands for, which the caller gives to the safety check as if they had been typed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from armbot.engine.off_season_texts import ALL_FINE, WRONG
from armbot.engine.reminder_items import ANSWERED, report_name, report_of
from armbot.engine.reminder_limits import PLAN
from armbot.engine.reminder_people import Tongue, tongue_for
from armbot.engine.reminder_said import OK, STOP
from armbot.engine.reminder_texts import (
    BOOKED,
    DROPPED,
    FINE,
    GONE,
    HURTS,
    LATER,
    MORE,
    NORMAL,
    NOT_TODAY,
    NOT_YET,
    SEEN,
    SORE,
    STILL,
    TIRED,
)
from armbot.engine.reminder_view import SORE as SORE_MARK
from armbot.engine.reminder_view import mark, view_of, waits_for_an_answer
from armbot.engine.say import paragraphs, sentence
from armbot.model.family import Athlete, Done, Family, Member, Talk
from armbot.model.library import Library
from armbot.model.reminders import ReminderKind
from armbot.model.reports import Tier

_DATE = "%Y%m%d"


@dataclass(frozen=True, slots=True)
class ReminderAnswer:
    """The family after the button, and either a reply or the words it stands for.

    Where ``says`` is not empty it has to go through the engine's safety check as if typed,
    and that reply is the answer; ``text`` is empty then.
    """

    family: Family
    text: str = ""
    says: str = ""


@dataclass(frozen=True, slots=True)
class _Press:
    """One button, read and put into its surroundings."""

    family: Family
    library: Library
    athlete: Athlete | None
    owner: str
    kind: ReminderKind
    day: date
    today: date
    now: datetime
    tongue: Tongue
    chat: int
    asked: bool
    """Whether a safety question is open in this chat."""


def answer(
    family: Family, member: Member, act: str, library: Library, now: datetime
) -> ReminderAnswer:
    """What the button with that act brings about; ``now`` is aware.

    An act that cannot be read, or is about an athlete who is gone, changes nothing and says
    so. A report is passed on however old its button is; any other old button is told to be.
    """
    press, choice = _read(family, member, act, library, now)
    if press is None:
        tongue = tongue_for(member, None, library)
        return ReminderAnswer(family, tongue.say("rem_stale"))
    if choice in _SAYS:
        return _report(press, choice)
    if choice == STOP:
        return _muted(press)
    if choice in _TODAY_ONLY and press.day != press.today:
        return ReminderAnswer(family, press.tongue.say("rem_stale"))
    return _BY_CHOICE[choice](press)


def _read(
    family: Family, member: Member, act: str, library: Library, now: datetime
) -> tuple[_Press | None, str]:
    """The button in its surroundings, and its answer; no button where it makes no sense."""
    parts = act.split(":")
    if len(parts) != _PARTS or parts[0] != "rem" or parts[1] not in list(ReminderKind):
        return None, ""
    kind, owner, written, choice = ReminderKind(parts[1]), *parts[2:]
    athlete = family.athlete(owner)
    known = athlete is not None or (not owner and kind is ReminderKind.SEEN)
    if not known or choice not in {*_SAYS, *_BY_CHOICE, STOP}:
        return None, ""
    try:
        day = datetime.strptime(written, _DATE).date()  # noqa: DTZ007 - a date, no moment
    except ValueError:
        return None, ""
    tongue = tongue_for(member, athlete, library)
    today = now.astimezone(ZoneInfo(family.zone)).date()
    asked = Tier.ASK in (member.talk.tier, family.talk.tier)
    press = _Press(
        family, library, athlete, owner, kind, day, today, now, tongue, member.chat, asked
    )
    return press, choice


_PARTS = len(("rem", "kind", "athlete", "date", "answer"))


def _report(press: _Press, choice: str) -> ReminderAnswer:
    """The words a report stands for; soreness is also remembered for the next morning."""
    family = _fresh_talk(press.family, press.chat)
    if choice in (SORE, STILL, TIRED):
        family = _marked(family, mark(SORE_MARK, press.owner), press.today)
    return ReminderAnswer(family, says=_as_typed(press, _SAYS[choice]))


def _fresh_talk(family: Family, chat: int) -> Family:
    """The family with a new exchange begun in that chat: a button answers the reminder.

    Read together with last night's "58 pitches" a little soreness would be more than it is.
    A talk in which a sign was told or asked about goes on: that must not be forgotten.
    """
    members = tuple(
        replace(m, talk=_fresh(m.talk)) if m.chat == chat else m for m in family.members
    )
    return replace(family, members=members, talk=_fresh(family.talk))


def _fresh(talk: Talk) -> Talk:
    return Talk(off_on=talk.off_on) if talk.tier is Tier.NONE else talk


def _as_typed(press: _Press, key: str) -> str:
    """The words an answer stands for; the nickname in them tells whose arm it is."""
    name = press.athlete.name if press.athlete else ""
    tail = "" if name else "_own" if press.tongue.own else "_child"
    return press.tongue.voice.say(key + tail, name=name)


_SAYS: Mapping[str, str] = {
    SORE: "rem_says_sore",
    STILL: "rem_says_still",
    HURTS: "rem_says_hurts",
    TIRED: "rem_says_tired",
    WRONG: "rem_says_wrong",
}
"""Answers that are reports, and the phrase for the words they stand for."""

_TODAY_ONLY = frozenset({FINE, GONE, NORMAL, ALL_FINE, NOT_TODAY})
"""Answers about how the arm is: of a button of another day they say nothing of today."""


def _marked(family: Family, key: str, day: date) -> Family:
    kept = tuple(entry for entry in family.done if entry.key != key)
    return replace(family, done=(*kept, Done(key, day)))


def _muted(press: _Press) -> ReminderAnswer:
    """No more of this kind, until the settings turn it on again."""
    muted = tuple(dict.fromkeys((*press.family.muted, str(press.kind))))
    name = press.library.reminders.kinds[press.kind].names[press.tongue.voice.lang]
    text = press.tongue.say("rem_a_stop", kind=name)
    return ReminderAnswer(replace(press.family, muted=muted), text)


def _plain(key: str) -> Callable[[_Press], ReminderAnswer]:
    """An answer that is only taken note of."""
    return lambda press: ReminderAnswer(press.family, press.tongue.say(key))


def _well(key: str) -> Callable[[_Press], ReminderAnswer]:
    """A good answer that must not be heard as leave to throw while that waits."""

    def reply(press: _Press) -> ReminderAnswer:
        held = press.family.hold_of(press.owner) is not None
        waits = press.athlete is not None and waits_for_an_answer(
            view_of(press.family, press.library, press.athlete, press.now)
        )
        if held:
            return ReminderAnswer(press.family, press.tongue.say("hold_on"))
        return ReminderAnswer(press.family, press.tongue.say("rem_a_fine" if waits else key))

    return reply


def _gone(press: _Press) -> ReminderAnswer:
    """The soreness is over: the rule still keeps its days free, the careful number of them.

    Where it was asked about and the question is open still, this is its answer.
    """
    rule, tongue = press.library.reminders.soreness, press.tongue
    if press.asked:
        return ReminderAnswer(press.family, says=_as_typed(press, "rem_says_gone"))
    if press.family.hold_of(press.owner) is not None:
        return ReminderAnswer(press.family, tongue.say("hold_on"))
    sources = tongue.voice.sources((rule.least.cite.source, rule.strict.cite.source))
    free = press.day - timedelta(days=1) + timedelta(days=rule.strict.value - 1)
    more = tongue.say("rem_a_gone_today") if free >= press.today else ""
    text = paragraphs(
        tongue.say("rem_a_gone"),
        sentence(
            tongue.say("rem_arm_rule", least=rule.least.value, strict=rule.strict.value), more
        ),
        sources,
    )
    return ReminderAnswer(press.family, text)


def _dropped(press: _Press) -> ReminderAnswer:
    """The planned day is off the plan."""
    family = press.family
    rest = (p for p in family.planned if (p.athlete, p.day) != (press.owner, press.day))
    text = press.tongue.say("rem_a_dropped", day=press.tongue.voice.day(press.day))
    return ReminderAnswer(replace(family, planned=tuple(rest)), text)


def _seen(key: str, *, ends: bool) -> Callable[[_Press], ReminderAnswer]:
    """After a report: what was answered; only the clinic's clearance ends a hold."""

    def reply(press: _Press) -> ReminderAnswer:
        family, tongue = press.family, press.tongue
        hold = next((h for h in family.holds if h.athlete == press.owner), None)
        if hold is None:
            return ReminderAnswer(family, tongue.say("rem_a_ok"))
        if ends:
            name = report_name(hold, report_of(family, hold))
            family = _marked(family, mark(ANSWERED, name), press.today)
        return ReminderAnswer(family, tongue.say(key))

    return reply


_BY_CHOICE: Mapping[str, Callable[[_Press], ReminderAnswer]] = {
    OK: _plain("rem_a_ok"),
    FINE: _well("rem_a_fine"),
    LATER: _plain("rem_a_later"),
    MORE: _plain("rem_a_more"),
    PLAN: _plain("rem_a_plan"),
    NOT_TODAY: _plain("rem_a_ok"),
    NORMAL: _well("rem_a_normal"),
    ALL_FINE: _well("rem_a_allfine"),
    GONE: _gone,
    DROPPED: _dropped,
    SEEN: _seen("rem_a_seen", ends=True),
    BOOKED: _seen("rem_a_booked", ends=False),
    NOT_YET: _seen("rem_a_notyet", ends=False),
}
