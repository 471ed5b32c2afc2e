"""Sending what lies ready in families' records: in order, within the limits, never for ever.

What is urgent goes first; in one chat messages keep their order of urgency and then of
writing; one message at a time is under way to a chat. What happens to each outcome:

* arrived, refused, of no use any more: out of the record;
* too many: nothing to that chat (or to any) for as long as told;
* blocked, gone: nothing more to that chat until it speaks again;
* moved: on under the new number;
* never left: again, later each time;
* may have arrived: again if it is a safety message, an alert or a reply (it may be said
  twice); a reminder or a broadcast is let go (it may be lost, and is never said twice).
"""

from __future__ import annotations

import asyncio
import heapq
import itertools
import logging
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from typing import Protocol

from armbot.channels.telegram import outcomes
from armbot.channels.telegram.limits import Limiter
from armbot.channels.telegram.markup import parts
from armbot.channels.telegram.sending import Attachment, Sender
from armbot.model.outbox import Outgoing, Ready, Urgency

_log = logging.getLogger("armbot.outbox")
_TOGETHER = 64
"""Messages under way at once, each to another chat."""
_PAUSES = (1.0, 2.0, 5.0, 10.0, 30.0)
"""Seconds before a message goes again, the last for every further time."""
_MOST_UNKNOWN = {Urgency.SAFETY: 6, Urgency.ALERT: 6, Urgency.REPLY: 3}
"""Times that a message which may have arrived is sent in all, by urgency; others once."""


class TokenRefused(Exception):  # noqa: N818 - says what happened
    """The server does not accept the bot's token any more."""


class Shelf(Protocol):
    """Where messages lie until they are sent; each call is on disk when it returns."""

    def ready(self, family_id: str) -> Ready:
        """What lies ready for a family."""

    def claim(self, family_id: str, key: str) -> Outgoing | None:
        """Mark a message as being sent for the only time; None when it is gone."""

    def current(self, family_id: str, key: str) -> Outgoing | None:
        """The message as it stands now."""

    def remove(self, family_id: str, keys: frozenset[str]) -> None:
        """These messages are done with; quick enough for the event loop."""

    def done_with(self, family_id: str, key: str) -> bool:
        """Whether a message was removed, though its record may not show it yet."""

    def unreachable(self, family_id: str, chat: int) -> None:
        """The chat is blocked or gone."""

    def moved(self, family_id: str, chat: int, new: int) -> None:
        """The chat goes on under a new number."""


@dataclass(slots=True)
class _Item:
    """One message on its way: which part is next, and how often it was tried."""

    family: str
    message: Outgoing
    stored: bool
    order: tuple[int, int]
    part: int = 0
    tries: int = 0
    claimed: bool = False


@dataclass(slots=True)
class _Queue:
    """What is to go to one chat, the most urgent first; whether something is on its way."""

    items: list[tuple[tuple[int, int], _Item]] = field(default_factory=list)
    busy: bool = False


@dataclass(slots=True)
class Counts:
    """What became of messages since the start, for whoever watches the program."""

    sent: int = 0
    repeated: int = 0
    let_go: int = 0
    refused: int = 0
    unreachable: int = 0


class Outbox:
    """Sends for all families together. ``attach`` makes the file that a message names."""

    def __init__(  # noqa: PLR0913 - the parts it is put together from
        self,
        shelf: Shelf,
        sender: Sender,
        limiter: Limiter,
        payload: Callable[[int, str], str],
        attach: Callable[[str, Outgoing], Attachment | None],
        clock: Callable[[], datetime],
    ) -> None:
        self._shelf = shelf
        self._sender = sender
        self._limiter = limiter
        self._payload = payload
        self._attach = attach
        self._clock = clock
        self._queues: dict[int, _Queue] = {}
        self._known: set[tuple[str, str]] = set()
        self._open: list[tuple[tuple[int, int], int]] = []
        """A heap of chats that may be looked at: (order of their first item, chat)."""
        self._later: list[tuple[float, int]] = []
        """A heap of chats to look at again at a time of the monotonic clock."""
        self._paused: dict[int, float] = {}
        self._numbers = itertools.count()
        self._wake = asyncio.Event()
        self._running: set[asyncio.Task[None]] = set()
        self._failure: BaseException | None = None
        self._closing = False
        self.counts = Counts()

    def offer(self, ready: Ready) -> None:
        """Take up what lies ready; what is known already is passed over."""
        for message in ready.messages:
            key = (ready.family, message.key)
            if key in self._known or (ready.stored and self._shelf.done_with(*key)):
                continue
            self._known.add(key)
            order = (int(message.urgency), next(self._numbers))
            item = _Item(ready.family, message, ready.stored, order)
            heapq.heappush(self._queue(message.chat).items, (order, item))
            self._look_at(message.chat)

    @property
    def waiting(self) -> int:
        """Messages not done with."""
        return len(self._known)

    def _queue(self, chat: int) -> _Queue:
        return self._queues.setdefault(chat, _Queue())

    def _look_at(self, chat: int) -> None:
        queue = self._queues.get(chat)
        if queue is None:
            return
        if not queue.items:
            if not queue.busy:
                del self._queues[chat]
            return
        if not queue.busy:
            heapq.heappush(self._open, (queue.items[0][0], chat))
            self._wake.set()

    async def run(self) -> None:
        """Send until cancelled. Raises TokenRefused where the token is not accepted."""
        try:
            while True:
                pause = self._start_what_may_go()
                self._wake.clear()
                if self._failure is not None:
                    raise self._failure
                if pause is None or pause > 0:
                    await self._wait(pause)
                else:
                    await asyncio.sleep(0)
        finally:
            for task in self._running:
                task.cancel()

    async def finish(self, grace: float) -> None:
        """Start nothing more, and wait for what is under way, at most ``grace`` seconds."""
        self._closing = True
        if self._running:
            await asyncio.wait(self._running, timeout=grace)

    async def _wait(self, pause: float | None) -> None:
        # Not wait_for: that of Python 3.11 may swallow a cancellation that comes with a wake.
        with suppress(TimeoutError):
            async with asyncio.timeout(pause):
                await self._wake.wait()

    def _start_what_may_go(self) -> float | None:
        """Start every send that may start now; seconds until the next one may, None for never."""
        now = time.monotonic()
        while self._later and self._later[0][0] <= now:
            self._look_at(heapq.heappop(self._later)[1])
        while self._open and len(self._running) < _TOGETHER and not self._closing:
            order, chat = heapq.heappop(self._open)
            queue = self._queues.get(chat)
            if queue is None or queue.busy or not queue.items or queue.items[0][0] != order:
                continue
            item = queue.items[0][1]
            wait = max(
                self._limiter.wait(chat, item.message.urgency, now),
                self._paused.get(chat, 0.0) - now,
            )
            if wait > 0:
                heapq.heappush(self._later, (now + wait, chat))
                continue
            heapq.heappop(queue.items)
            self._paused.pop(chat, None)
            queue.busy = True
            self._limiter.took(chat, item.message.urgency, now)
            self._start(item, chat)
        return max(self._later[0][0] - time.monotonic(), 0.001) if self._later else None

    def _start(self, item: _Item, chat: int) -> None:
        task = asyncio.get_running_loop().create_task(self._one(item, chat))
        self._running.add(task)
        task.add_done_callback(self._running.discard)

    async def _one(self, item: _Item, chat: int) -> None:
        """One message from beginning to end of this try, then the chat's next."""
        try:
            await self._try(item, chat)
        except asyncio.CancelledError:
            raise
        except TokenRefused as error:
            self._failure = error
        except Exception as error:  # noqa: BLE001 - one family's trouble must not stop the others
            _log.error("sending failed (%s), tried again later", type(error).__name__)
            self._again(item, chat)
        finally:
            self._queue(chat).busy = False
            self._look_at(chat)
            self._wake.set()

    async def _try(self, item: _Item, chat: int) -> None:
        message = await self._still(item)
        if message is None:
            self._done(item)
            return
        item.message = message
        shown = parts(message.text)
        file = None
        if message.attach:
            file = await asyncio.to_thread(self._attach, item.family, message)
        while item.part < len(shown):
            last = item.part == len(shown) - 1
            outcome = await self._sender.send(
                chat,
                shown[item.part],
                message.buttons if last else (),
                lambda act: self._payload(chat, act),
                file if last else None,
            )
            item.tries += 1
            if not isinstance(outcome, outcomes.Sent | outcomes.Refused):
                await self._trouble(item, chat, outcome)
                return
            self.counts.refused += isinstance(outcome, outcomes.Refused)
            item.part += 1
        self.counts.sent += 1
        self._done(item)

    async def _still(self, item: _Item) -> Outgoing | None:
        """The message as it is to go now; None where it is not to go any more.

        One that is said once only is claimed on disk first; one that grants is looked at
        again, since a hold may have come in between.
        """
        message = item.message
        if message.until is not None and message.until <= self._clock():
            return None
        if not item.stored or item.claimed:
            return message
        if not message.urgency.repeatable:
            if message.claimed:
                self.counts.let_go += 1  # it was under way when the program ended
                return None
            item.claimed = True
            return await asyncio.to_thread(self._shelf.claim, item.family, message.key)
        if message.grants:
            return await asyncio.to_thread(self._shelf.current, item.family, message.key)
        return message

    async def _trouble(self, item: _Item, chat: int, outcome: outcomes.Outcome) -> None:
        match outcome:
            case outcomes.Wait(seconds):
                self._limiter.refused(chat, seconds, time.monotonic())
                self._back(item, chat)
            case outcomes.Blocked() | outcomes.NotFound():
                self.counts.unreachable += 1
                await self._gone(item, chat)
            case outcomes.Moved(new):
                await asyncio.to_thread(self._shelf.moved, item.family, chat, new)
                ready = await asyncio.to_thread(self._shelf.ready, item.family)
                self._known.discard((item.family, item.message.key))
                self.offer(ready)
            case outcomes.NeverLeft():
                self._again(item, chat)
            case outcomes.TokenBad():
                self._back(item, chat)
                raise TokenRefused
            case _:
                await self._unknown(item, chat)

    async def _unknown(self, item: _Item, chat: int) -> None:
        """It may have arrived: the stated rule decides."""
        if item.tries < _MOST_UNKNOWN.get(item.message.urgency, 1):
            self.counts.repeated += 1
            self._again(item, chat)
            return
        self.counts.let_go += 1
        _log.warning("a message may not have arrived and was let go (%s)", item.message.urgency)
        self._done(item)

    def _back(self, item: _Item, chat: int) -> None:
        """Into the queue again, in its old place."""
        heapq.heappush(self._queue(chat).items, (item.order, item))

    def _again(self, item: _Item, chat: int) -> None:
        """Into the queue again, and nothing to this chat for a pause."""
        pause = _PAUSES[min(max(item.tries, 1), len(_PAUSES)) - 1]
        self._paused[chat] = time.monotonic() + pause
        self._back(item, chat)

    async def _gone(self, item: _Item, chat: int) -> None:
        await asyncio.to_thread(self._shelf.unreachable, item.family, chat)
        queue = self._queue(chat)
        for _, other in queue.items:
            self._known.discard((other.family, other.message.key))
        queue.items.clear()
        self._known.discard((item.family, item.message.key))

    def _done(self, item: _Item) -> None:
        if item.stored:
            keys = frozenset((item.message.key,))
            self._shelf.remove(item.family, keys)
        self._known.discard((item.family, item.message.key))
