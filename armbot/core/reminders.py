"""When a reminder comes, and what became of it: no words, no content, no clock.

An item is something that may be said. It has a few moments at which it may be said, and one
after which it is of no use. The family's record remembers three things of it, all under
``Family.done``: that it was sent ("<key>"), that it was of no use ("not.<key>"), and that it
waits for a moment of its own ("wait.<key>@<moment>").

``Family.due`` is the other half of that memory: everything before it was looked at. An item
whose moment lies before it came into being too late (an outing told in the night), and waits
for its next moment, if there is one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from armbot.core.local_time import after_quiet, moment
from armbot.model.family import Done, Quiet
from armbot.model.reminders import KindSettings, ReminderKind

_NOT, _WAIT, _AT = "not.", "wait.", "@"


@dataclass(frozen=True, slots=True)
class Item:
    """Something that may be said.

    ``day`` is the family's date that its key carries; ``times`` are the moments at which it
    may be said, first to last, all outside quiet hours and none after ``until``. ``part``
    says what of its kind it is, ``about`` the day or days it speaks of.
    """

    kind: ReminderKind
    athlete: str
    day: date
    times: tuple[datetime, ...]
    until: datetime
    part: str = ""
    about: tuple[date, ...] = ()

    @property
    def key(self) -> str:
        """Unique in the family's record: "<kind>.<athlete>.<date>"."""
        return key_of(self.kind, self.athlete, self.day)


def key_of(kind: ReminderKind, athlete: str, day: date) -> str:
    """The key under which a reminder is remembered."""
    return f"{kind}.{athlete}.{day.isoformat()}"


@dataclass(frozen=True, slots=True)
class Where:
    """The family's clock: its zone and quiet hours."""

    zone: str
    quiet: Quiet


def times_of(
    where: Where, settings: KindSettings, day: date
) -> tuple[tuple[datetime, ...], datetime]:
    """The moments of a reminder first due on ``day``, and until when it is of use.

    At its hour on that day, at its second hour on the next day, and at its hour on each
    later day while it is of use. Quiet hours move a moment to their end.
    """
    first = moment(day, settings.hour.value, where.zone)
    until = first + timedelta(hours=settings.useful_hours.value)
    hours = [first]
    if settings.again_hour is not None:
        hours.append(moment(day + timedelta(days=1), settings.again_hour.value, where.zone))
    days = (until - first).days
    hours += [
        moment(day + timedelta(days=ahead), settings.hour.value, where.zone)
        for ahead in range(1, days + 1)
    ]
    moved = {after_quiet(hour, where.quiet, where.zone) for hour in hours}
    return tuple(sorted(at for at in moved if at <= until)), until


def settled(done: Iterable[Done]) -> frozenset[str]:
    """The keys of everything dealt with: sent, or of no use any more."""
    return frozenset(entry.key.removeprefix(_NOT) for entry in done)


def waiting(done: Iterable[Done], key: str) -> datetime | None:
    """The moment that an item waits for apart from its own ones."""
    start = f"{_WAIT}{key}{_AT}"
    found = (entry.key for entry in done if entry.key.startswith(start))
    return next((datetime.fromisoformat(text.removeprefix(start)) for text in found), None)


def with_wait(done: Sequence[Done], key: str, at: datetime, today: date) -> tuple[Done, ...]:
    """The record with the item waiting for that moment, and for no other."""
    return (*without_wait(done, key), Done(f"{_WAIT}{key}{_AT}{at.isoformat()}", today))


def without_wait(done: Iterable[Done], key: str) -> tuple[Done, ...]:
    """The record without what that item waited for."""
    start = f"{_WAIT}{key}{_AT}"
    return tuple(entry for entry in done if not entry.key.startswith(start))


def with_sent(done: Sequence[Done], key: str, today: date) -> tuple[Done, ...]:
    """The record with the reminder sent."""
    return (*without_wait(done, key), Done(key, today))


def with_no_use(done: Sequence[Done], key: str, today: date) -> tuple[Done, ...]:
    """The record with the reminder of no use any more."""
    return (*without_wait(done, key), Done(_NOT + key, today))


def sent_on(done: Iterable[Done], today: date) -> tuple[str, ...]:
    """The athletes reminders were sent about that day, one entry for each reminder."""
    kinds = frozenset(ReminderKind)
    split = (entry.key.split(".") for entry in done if entry.day == today)
    return tuple(parts[1] for parts in split if parts[0] in kinds and len(parts) == 3)


def kept(done: Iterable[Done], today: date, days: int) -> tuple[Done, ...]:
    """The record without what was dealt with longer ago than ``days``."""
    oldest = today - timedelta(days=days)
    return tuple(entry for entry in done if entry.day >= oldest)


def moments(item: Item, done: Iterable[Done]) -> tuple[datetime, ...]:
    """Every moment of an item, what it waits for included, first to last."""
    waits = waiting(done, item.key)
    return tuple(sorted({*item.times, *([waits] if waits else [])}))


def open_since(
    item: Item, done: Iterable[Done], since: datetime | None, now: datetime
) -> datetime | None:
    """The last moment of the item that has come and was not looked at yet.

    ``since`` is the family's due time: what lies before it was looked at, or came too late.
    None means that nothing was due. What an item waits for is open whenever it has come,
    since the wait is struck out once it was looked at.
    """
    waits = waiting(done, item.key)
    found = [at for at in item.times if since is not None and since <= at <= now]
    found += [waits] if waits is not None and waits <= now else []
    return max(found, default=None)


def coming(item: Item, done: Iterable[Done], now: datetime) -> datetime | None:
    """The item's next moment after ``now``."""
    return next((at for at in moments(item, done) if at > now), None)


def first_due(
    items: Iterable[Item], done: Sequence[Done], since: datetime | None, now: datetime
) -> datetime | None:
    """The next moment at which any item not dealt with has to be looked at.

    It lies in the past for one that should have been looked at already.
    """
    over = settled(done)
    found = []
    for item in items:
        if item.key not in over:
            found += [at for at in moments(item, done) if at > now]
            opened = open_since(item, done, since, now)
            found += [opened] if opened is not None else []
    return min(found, default=None)


def by_importance(items: Iterable[Item]) -> list[Item]:
    """The most important first; of one kind the oldest last, since the newer one counts."""
    order = {kind: place for place, kind in enumerate(ReminderKind)}
    newest = sorted(items, key=lambda item: (item.day, item.athlete), reverse=True)
    return sorted(newest, key=lambda item: order[item.kind])


def shifted(
    before: Iterable[Item], after: Iterable[Item], done: Sequence[Done], where: Where, now: datetime
) -> tuple[Done, ...]:
    """The record after the family's clock was changed at ``now``.

    What was still to come by the old clock and has no moment left by the new one, though it
    is still of use, waits for the first moment outside quiet hours.
    """
    over, record = settled(done), tuple(done)
    was_coming = {item.key for item in before if coming(item, done, now)}
    today = now.date()
    for item in after:
        lost = item.key in was_coming and item.key not in over and not coming(item, record, now)
        at = after_quiet(now, where.quiet, where.zone)
        if lost and at <= item.until:
            record = with_wait(record, item.key, at, today)
    return record
