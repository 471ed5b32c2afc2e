"""What a member of staff may do from a report: say it was read, clear, or keep the hold."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from armbot.desk.alerts import tell
from armbot.engine.clearance import ClearanceRefused, NothingToClear, RoleRefused, clear
from armbot.engine.say import Voice, paragraphs
from armbot.model.family import Family, Report, Role, Talk
from armbot.model.incoming import Incoming
from armbot.model.library import Library
from armbot.model.outbox import Button, Outgoing, Urgency
from armbot.model.staff import Staff

PREFIX = "st:"
"""What the acts of staff buttons begin with."""


@dataclass(frozen=True, slots=True)
class Press:
    """One staff button pressed, and all it is answered with."""

    family: Family
    report: Report
    person: Staff
    incoming: Incoming
    library: Library
    now: datetime

    @property
    def voice(self) -> Voice:
        """The bot in the staff member's language."""
        return Voice(self.library, self.person.lang)


def family_of(act: str) -> str:
    """The id of the family a staff act is about; "" where it is none."""
    parts = act.split(":")
    return parts[2] if len(parts) == 4 and act.startswith(PREFIX) else ""


def press(
    family: Family, person: Staff, incoming: Incoming, library: Library, now: datetime
) -> Family:
    """The family after a staff button; the staff member is always told what came of it.

    A button of a report that is gone changes nothing.
    """
    if incoming.id in family.seen:
        return family
    family = replace(family, seen=(*family.seen, incoming.id))
    _, verb, _, number = incoming.text.split(":")
    report = next((r for r in family.reports if r.id == number), None)
    if report is None or verb not in _VERBS:
        return _to_staff(family, person, incoming, Voice(library, person.lang).say("button_stale"))
    return _VERBS[verb](Press(family, report, person, incoming, library, now))


def _read(pressed: Press) -> Family:
    """Read: the family learns that somebody at the clinic knows."""
    first = pressed.report.read_at is None
    family = _as_read(pressed)
    if first:
        family = _to_family(family, pressed, "clinic_read")
    return _to_staff(family, pressed.person, pressed.incoming, pressed.voice.say("staff_was_read"))


def _ask_clear(pressed: Press) -> Family:
    """Clearing lets an arm throw again: it is asked once more, and only of who may."""
    voice, person = pressed.voice, pressed.person
    if person.role not in pressed.library.clinic.who_may_clear:
        return _refused(pressed, RoleRefused(person.role, pressed.library.clinic.who_may_clear))
    act = f"{PREFIX}sure:{pressed.family.id}:{pressed.report.id}"
    keep = f"{PREFIX}keep:{pressed.family.id}:{pressed.report.id}"
    buttons = (
        Button(voice.say("staff_clear_sure"), act),
        Button(voice.say("staff_keep"), keep),
    )
    text = voice.say("staff_clear_ask", name=_name(pressed, voice))
    return _to_staff(pressed.family, person, pressed.incoming, text, buttons)


def _clear(pressed: Press) -> Family:
    """A clearance, unless something newer was reported that this report does not hold."""
    family, report, now = pressed.family, pressed.report, pressed.now
    newer = [r for r in family.reports if r.at > report.at and r.athlete in (report.athlete, "")]
    if any(r.read_at is None for r in newer):
        family = tell(family, newer[-1].id, pressed.library, [pressed.person], now)
        text = pressed.voice.say("staff_newer")
        return _to_staff(family, pressed.person, pressed.incoming, text)
    try:
        cleared = clear(family, report.athlete, pressed.person.role, now, pressed.library.clinic)
    except ClearanceRefused as error:
        return _refused(pressed, error)
    members = tuple(replace(m, talk=Talk()) for m in cleared.members)
    after = _as_read(replace(pressed, family=replace(cleared, members=members)))
    after = _to_family(after, pressed, "clinic_cleared", Urgency.REPLY)
    text = pressed.voice.say("staff_cleared", name=_name(pressed, pressed.voice))
    return _to_staff(after, pressed.person, pressed.incoming, text)


def _keep(pressed: Press) -> Family:
    """The hold stays: said so to the family, since they may be waiting for the other word."""
    family = _as_read(pressed)
    if family.hold_of(pressed.report.athlete) is not None:
        family = _to_family(family, pressed, "clinic_keeps")
    return _to_staff(family, pressed.person, pressed.incoming, pressed.voice.say("staff_kept"))


_VERBS: Mapping[str, Callable[[Press], Family]] = {
    "read": _read,
    "clear": _ask_clear,
    "sure": _clear,
    "keep": _keep,
}


def _as_read(pressed: Press) -> Family:
    report = replace(pressed.report, read_at=pressed.report.read_at or pressed.now)
    family = pressed.family
    reports = tuple(report if r.id == report.id else r for r in family.reports)
    # What was still to be sent about it need not be.
    stem = f"alert.{report.id}."
    outbox = tuple(o for o in family.outbox if not o.key.startswith(stem))
    return replace(family, reports=reports, outbox=outbox)


def _refused(pressed: Press, error: ClearanceRefused) -> Family:
    voice = pressed.voice
    if isinstance(error, RoleRefused):
        roles = ", ".join(role.replace("_", " ") for role in error.may_clear)
        text = voice.say("cleared_role", role=error.role.replace("_", " "), roles=roles)
    elif isinstance(error, NothingToClear):
        text = voice.say("cleared_none")
    else:
        text = voice.say("button_stale")
    return _to_staff(pressed.family, pressed.person, pressed.incoming, text)


def _to_staff(
    family: Family,
    person: Staff,
    incoming: Incoming,
    text: str,
    buttons: tuple[Button, ...] = (),
) -> Family:
    key = f"u{incoming.id}.s"
    message = Outgoing(key, person.chat, Urgency.REPLY, text, incoming.at, buttons)
    return replace(family, outbox=(*family.outbox, message))


def _to_family(
    family: Family, pressed: Press, phrase: str, urgency: Urgency = Urgency.SAFETY
) -> Family:
    """A word to every member it concerns: guardians, and the athlete's own chat."""
    for number, member in enumerate(family.members):
        concerned = member.role is Role.GUARDIAN or member.athlete == pressed.report.athlete
        if not (concerned and member.reachable):
            continue
        voice = Voice(pressed.library, member.lang)
        text = paragraphs(
            voice.say(phrase, name=_name(pressed, voice)),
            voice.say("nobody_watches"),
        )
        key = f"u{pressed.incoming.id}.f{number}"
        message = Outgoing(key, member.chat, urgency, text, pressed.now)
        family = replace(family, outbox=(*family.outbox, message))
    return family


def _name(pressed: Press, voice: Voice) -> str:
    athlete = pressed.family.athlete(pressed.report.athlete)
    return athlete.name if athlete and athlete.name else voice.say("the_athlete")
