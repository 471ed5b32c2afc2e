"""Killing the program at random moments under traffic, and what must be true afterwards.

The stand-in server lives on, as Telegram does. Between a kill and the next start reminders
and broadcasts are laid into the records, as a tick would have left them.
"""

from __future__ import annotations

import random
import re
import time
from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import stand_in_support as said
from served import Program, family, kept, prepare, program, server, until

from armbot.model.family import Family
from armbot.model.outbox import Outgoing, Urgency
from armbot.store.records import columns_of, family_from, to_document
from armbot.store.tiny import TinyStore

if TYPE_CHECKING:
    from stand_in_control import Remote

STAFF = 900
_FIRST_CHAT = 100
_SETTINGS = (
    "trial: true\n"
    "rates: {overall: 5000, chat: 1000, group: 1000}\n"
    f"staff: [{{chat: {STAFF}, role: physician}}]\n"
)
_MONTHS = (
    "january february march april may june july august september october november december"
).split()
_WHILE_STARTING = 0.25
"""Share of kills that may come before the program serves; the others come in full traffic."""
_BACK = 150
"""Days before today at which a chat's outings begin: of a date without a year, the nearest
is meant."""


@dataclass
class Traffic:
    """What was sent to the bot, by chat: days and counts of outings, and who reported."""

    outings: dict[int, dict[date, int]] = field(default_factory=dict)
    reported: set[int] = field(default_factory=set)
    once: list[str] = field(default_factory=list)
    """Texts of reminders and broadcasts laid ready."""
    messages: int = 0


@dataclass
class Result:
    """What was counted at the end."""

    kills: int
    messages: int
    lost_outings: list[str]
    doubled_outings: list[str]
    lost_reports: list[int]
    doubled_reports: list[int]
    unanswered: list[str]
    unalerted: list[int]
    repeated_replies: int
    most_repeats_of_one: int
    repeated_once_only: list[str]
    sent_once_only: int
    laid_once_only: int
    unreadable: int
    left_waiting: int

    def faults(self) -> list[str]:
        """Everything that must not have happened."""
        found: list[object] = [*self.lost_outings, *self.doubled_outings, *self.unanswered]
        found += [*self.lost_reports, *self.doubled_reports, *self.unalerted]
        found += self.repeated_once_only
        if self.unreadable or self.left_waiting:
            found.append(f"{self.unreadable} unreadable, {self.left_waiting} left waiting")
        return [str(fault) for fault in found]


def run(folder: Path, kills: int, chats: int, seed: int, delay: float = 0.0) -> Result:
    """``kills`` kills under traffic in ``chats`` families, then a quiet end, then the count.

    ``delay`` is how many seconds the server takes to answer a send: the longer, the more
    messages are under way at a kill.
    """
    chance = random.Random(seed)  # noqa: S311 - moments, not secrets
    traffic = Traffic({_FIRST_CHAT + n: {} for n in range(chats)})
    prepare(folder, [family(f"f-{chat}", chat) for chat in traffic.outings])
    wait = server("--delay", f"sendMessage={delay}")
    with wait as (remote, url), program(url, folder, settings=_SETTINGS) as running:
        polls = 0
        for _ in range(kills):
            _write_some(remote, traffic, chance)
            if chance.random() < _WHILE_STARTING:
                time.sleep(chance.uniform(0, 2))
            else:
                until(lambda before=polls: remote.ask("state")["polls"] > before, 60)
                _write_some(remote, traffic, chance)
                time.sleep(chance.uniform(0, 0.4))
            running.kill()
            _lay_ready(folder, traffic, chance)
            polls = remote.ask("state")["polls"]
            running.start()
        until(lambda: remote.ask("state")["polls"] > polls, 60)
        _come_to_rest(remote, running)
        sent = remote.ask("sent")
        return _counted(kills, traffic, sent, kept(folder), running)


def _write_some(remote: Remote, traffic: Traffic, chance: random.Random) -> None:
    """A burst of messages: most tell an outing on a day of its own, a few report a sign."""
    updates = []
    for _ in range(chance.randint(1, 12)):
        chat = chance.choice(list(traffic.outings))
        told = traffic.outings[chat]
        if chat not in traffic.reported and chance.random() < 0.03:
            traffic.reported.add(chat)
            updates.append(said.text(chat, "his elbow hurts on the inside when he throws"))
            continue
        day = datetime.now(tz=UTC).date() + timedelta(days=len(told) - _BACK)
        if len(told) > _BACK - 5:
            continue
        told[day] = 20 + len(told) % 40
        words = f"{_MONTHS[day.month - 1]} {day.day} he threw {told[day]} pitches"
        updates.append(said.text(chat, words))
    traffic.messages += len(updates)
    remote.tell("push", {"updates": updates})


def _lay_ready(folder: Path, traffic: Traffic, chance: random.Random) -> None:
    """Reminders and broadcasts in some records, as a tick leaves them."""
    with TinyStore(folder) as store:
        for chat in chance.sample(list(traffic.outings), 2):
            stored = store.load(f"f-{chat}")
            assert stored is not None
            one = family_from(stored.document)
            text = f"once only {len(traffic.once)}"
            traffic.once.append(text)
            urgency = chance.choice((Urgency.REMINDER, Urgency.BROADCAST))
            message = Outgoing(text, chat, urgency, text, datetime.now(tz=UTC))
            one = replace(one, outbox=(*one.outbox, message))
            store.commit(one.id, to_document(one), stored.version, columns_of(one))


def _come_to_rest(remote: Remote, running: Program) -> None:
    """Until nothing waits at the server and nothing new is sent for a while."""
    until(lambda: not remote.ask("state")["pending"], 120)
    last, since = -1, time.monotonic()
    while time.monotonic() - since < 1.5:
        now = remote.ask("state")["sent"]
        if now != last:
            last, since = now, time.monotonic()
        time.sleep(0.1)
    assert running.stop() == 0, running.log


def _counted(
    kills: int,
    traffic: Traffic,
    sent: list[dict[str, object]],
    records: dict[str, Family],
    running: Program,
) -> Result:
    """Compare what was written with the records and with what was answered."""
    result = Result(kills, traffic.messages, [], [], [], [], [], [], 0, 0, [], 0, 0, 0, 0)
    replies: Counter[tuple[int, str]] = Counter()
    for one in sent:
        replies[int(str(one["chat"])), str(one["shown"])] += 1
    for chat, told in traffic.outings.items():
        _count_outings(result, chat, told, records[f"f-{chat}"], replies)
        _count_reports(result, chat, chat in traffic.reported, records[f"f-{chat}"], replies)
    # Every answer to an outing names its own day, so the same text again is a repeat.
    extra = [n - 1 for (_, text), n in replies.items() if n > 1 and text.startswith("Logged")]
    result.repeated_replies = sum(extra)
    result.most_repeats_of_one = max(extra, default=0)
    once = Counter(
        text for (_, text), n in replies.items() for _ in range(n) if "once only" in text
    )
    result.repeated_once_only = [text for text, n in once.items() if n > 1]
    result.sent_once_only, result.laid_once_only = len(once), len(traffic.once)
    result.left_waiting = sum(len(record.outbox) for record in records.values())
    result.unreadable = len(list(running.folder.rglob("*.damaged")))
    return result


def _count_outings(
    result: Result,
    chat: int,
    told: dict[date, int],
    record: Family,
    replies: Counter[tuple[int, str]],
) -> None:
    logged = Counter((o.day, o.pitches) for _, o in record.outings)
    answered = [text for (to, text) in replies if to == chat]
    for day, pitches in told.items():
        name = f"{chat} {day} {pitches}"
        if not logged[day, pitches]:
            result.lost_outings.append(name)
        if logged[day, pitches] > 1:
            result.doubled_outings.append(name)
        shown = re.compile(rf"\b{day.day} {_MONTHS[day.month - 1].capitalize()}\b")
        if chat not in _held(record) and not any(shown.search(t) for t in answered):
            result.unanswered.append(name)
    if len(record.outings) != len(told):
        result.doubled_outings.append(f"{chat}: {len(record.outings)} of {len(told)}")


def _held(record: Family) -> set[int]:
    """The chats of a family that is on hold: its answers name no day."""
    return {member.chat for member in record.members} if record.holds else set()


def _count_reports(
    result: Result,
    chat: int,
    reported: bool,  # noqa: FBT001 - what the traffic says
    record: Family,
    replies: Counter[tuple[int, str]],
) -> None:
    if reported and not (record.reports and record.holds):
        result.lost_reports.append(chat)
    if len(record.reports) > int(reported):
        result.doubled_reports.append(chat)
    if reported:
        told = [t for (to, t) in replies if to == chat and t.startswith("No throwing today")]
        if not told:
            result.unanswered.append(f"{chat} report")
        if not any(to == STAFF for (to, _) in replies):
            result.unalerted.append(chat)
