"""The reminders of a season: what is due now, and when to look again.

Pure: the family's record, the content and the time go in, the family comes out. Nothing is
fixed beforehand: what to say is worked out at the moment of sending, by the functions that
answer questions, so a reminder never contradicts an answer given a minute ago.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from armbot.core.local_time import after_quiet, is_quiet, local_day, next_quiet
from armbot.core.reminders import (
    Item,
    Where,
    by_importance,
    coming,
    first_due,
    kept,
    open_since,
    sent_on,
    settled,
    shifted,
    with_no_use,
    with_sent,
    with_wait,
    without_wait,
)
from armbot.engine.reminder_items import items_of
from armbot.engine.reminder_people import is_own, recipients, tongue_for
from armbot.engine.reminder_said import Said, buttons_of
from armbot.engine.reminder_texts import said, seen_said
from armbot.engine.reminder_view import view_of
from armbot.model.family import Done, Family, Member
from armbot.model.library import Library
from armbot.model.outbox import Outgoing, Urgency
from armbot.model.reminders import ReminderKind


def remind(family: Family, library: Library, now: datetime) -> Family:
    """The family with every reminder that is due at ``now`` (aware) in its outbox.

    What is due and true goes to each member it concerns; what is dealt with, sent or of no
    use any more, is remembered under ``done``; ``due`` is when to look again. Twice at the
    same moment changes nothing more.
    """
    moment = _Moment(library, now, local_day(now, family.zone))
    items = items_of(family, library, now)
    done = kept(family.done, moment.today, library.reminders.kept_days.value)
    family = replace(family, done=done)
    over = settled(done)
    since = family.due
    for item in by_importance(items):
        opened = None if item.key in over else open_since(item, done, since, now)
        if opened is not None:
            family = _dealt_with(family, item, opened, moment)
    family = _without_the_past(family, items, moment)
    return replace(family, due=first_due(items_of(family, library, now), family.done, None, now))


def next_due(family: Family, library: Library, now: datetime) -> datetime | None:
    """When a reminder has to be looked at next; None when nothing is coming.

    To be asked after every change of a family, while ``due`` still is what it was: that is
    how something overdue (it lies in the past then) is told from an outing logged too late
    for its evening.
    """
    return first_due(items_of(family, library, now), family.done, family.due, now)


def rescheduled(before: Family, after: Family, library: Library, now: datetime) -> Family:
    """The family after a change of its zone or quiet hours, with ``due`` set.

    A reminder that was still to come by the old clock, and whose hour is already over by
    the new one, is not lost while it is of use: it comes now, or when quiet hours end.
    """
    where = Where(after.zone, after.quiet)
    was, now_is = items_of(before, library, now), items_of(after, library, now)
    moved = replace(after, done=shifted(was, now_is, after.done, where, now))
    return replace(moved, due=next_due(moved, library, now))


@dataclass(frozen=True, slots=True)
class _Moment:
    library: Library
    now: datetime
    today: date


def _dealt_with(family: Family, item: Item, opened: datetime, moment: _Moment) -> Family:
    """The family once an item whose time has come was looked at."""
    family = replace(family, done=without_wait(family.done, item.key))
    if moment.now > item.until:
        return replace(family, done=with_no_use(family.done, item.key, moment.today))
    if is_quiet(moment.now, family.quiet, family.zone):
        return _put_off(family, item, after_quiet(moment.now, family.quiet, family.zone), moment)
    if _stands_back(family, item, opened, moment):
        return family
    return _sent(family, item, moment)


def _put_off(family: Family, item: Item, at: datetime, moment: _Moment) -> Family:
    """The family with the item waiting for the end of quiet hours, if it is of use then."""
    if at > item.until:
        return replace(family, done=with_no_use(family.done, item.key, moment.today))
    return replace(family, done=with_wait(family.done, item.key, at, moment.today))


def _stands_back(family: Family, item: Item, opened: datetime, moment: _Moment) -> bool:
    """Whether the item lets others go first: it waits for its next moment, if it has one.

    Of several late ones a family gets one a day; kinds that can wait do so on a full day,
    and when another one about the same athlete goes out at the very moment.
    """
    settings = moment.library.reminders
    sent = sent_on(family.done, moment.today)
    if sent and moment.now - opened > timedelta(minutes=settings.in_time_minutes.value):
        return True
    if not settings.kinds[item.kind].can_wait:
        return False
    own = (m for m in family.outbox if m.at == moment.now and m.urgency is Urgency.REMINDER)
    just_now = any(message.key.split(".")[1] == item.athlete for message in own)
    return just_now or sent.count(item.athlete) >= settings.most_a_day.value


def _sent(family: Family, item: Item, moment: _Moment) -> Family:
    """The family with the item in its outbox, once for each listener; as it was if untrue."""
    outgoing: list[Outgoing] = []
    marks: dict[str, None] = {}
    for member in recipients(family, item.athlete):
        words = _words(family, item, member, moment)
        if words is None:
            return family
        outgoing.append(_outgoing(family, item, member, words, moment, bare=not outgoing))
        marks |= dict.fromkeys(words.marks)
    done = with_sent(family.done, item.key, moment.today)
    done = (*_without(done, marks), *(Done(key, moment.today) for key in marks))
    return replace(family, outbox=(*family.outbox, *outgoing), done=done)


def _without(done: Sequence[Done], keys: dict[str, None]) -> tuple[Done, ...]:
    return tuple(entry for entry in done if entry.key not in keys)


def _words(family: Family, item: Item, member: Member, moment: _Moment) -> Said | None:
    athlete = family.athlete(item.athlete)
    tongue = tongue_for(member, athlete, moment.library)
    if athlete is None:
        return seen_said(None, item, tongue) if item.kind is ReminderKind.SEEN else None
    return said(view_of(family, moment.library, athlete, moment.now), item, tongue)


def _outgoing(  # noqa: PLR0913 - one message is made of all these
    family: Family, item: Item, member: Member, words: Said, moment: _Moment, *, bare: bool
) -> Outgoing:
    """One message; the first guardian's has the bare key, every other one its chat's."""
    athlete = family.athlete(item.athlete)
    tongue = tongue_for(member, athlete, moment.library)
    own = is_own(member, item.athlete)
    ends = next_quiet(moment.now, family.quiet, family.zone)
    return Outgoing(
        key=item.key if bare and not own else f"{item.key}.{member.chat}",
        chat=member.chat,
        urgency=Urgency.REMINDER,
        text=words.text,
        at=moment.now,
        buttons=buttons_of(item, words, tongue),
        grants=words.grants,
        until=min(item.until, ends) if ends else item.until,
    )


def _without_the_past(family: Family, items: Sequence[Item], moment: _Moment) -> Family:
    """The family with every item that has no moment left remembered as of no use."""
    done = family.done
    for item in items:
        if item.key not in settled(done) and coming(item, done, moment.now) is None:
            done = with_no_use(done, item.key, moment.today)
    return replace(family, done=done)
