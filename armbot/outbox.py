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
import logging
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Protocol

from armbot.channels.telegram import outcomes
from armbot.channels.telegram.limits import Limiter
from armbot.channels.telegram.markup import CAPTION_LIMIT, parts, plain, units
from armbot.channels.telegram.sending import Attachment, Sender
from armbot.engine.say import paragraphs
from armbot.model.outbox import Outgoing, Ready, Urgency
from armbot.queues import Item, Queues

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
class Counts:
    """What became of messages since the start, for whoever watches the program."""

    sent: int = 0
    repeated: int = 0
    let_go: int = 0
    refused: int = 0
    unreachable: int = 0


def _pieces(text: str, file: Attachment | None) -> list[tuple[str, bool]]:
    """What is sent one after the other: words, and whether the file goes with them.

    Words that do not fit below a file come after it.
    """
    if file is None:
        return [(part, False) for part in parts(text)]
    words = paragraphs(file.caption, text)
    if units(plain(words)) <= CAPTION_LIMIT:
        return [(words, True)]
    return [("", True), *((part, False) for part in parts(words))]


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
        self._queues = Queues(limiter)
        self._known: set[tuple[str, str]] = set()
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
            self._queues.add(ready.family, message, stored=ready.stored)
            self._wake.set()

    @property
    def waiting(self) -> int:
        """Messages not done with."""
        return len(self._known)

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
        while len(self._running) < _TOGETHER and not self._closing:
            found = self._queues.take(now)
            if found is None:
                break
            self._start(*found)
        look = self._queues.next_look()
        return None if look is None else max(look - time.monotonic(), 0.001)

    def _start(self, item: Item, chat: int) -> None:
        task = asyncio.get_running_loop().create_task(self._one(item, chat))
        self._running.add(task)
        task.add_done_callback(self._running.discard)

    async def _one(self, item: Item, chat: int) -> None:
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
            self._queues.free(chat)
            self._wake.set()

    async def _try(self, item: Item, chat: int) -> None:
        message = await self._still(item)
        if message is None:
            self._done(item)
            return
        item.message = message
        file = None
        if message.attach:
            file = await asyncio.to_thread(self._attach, item.family, message)
        pieces = _pieces(message.text, file)
        file = replace(file, caption="") if file else None
        while item.part < len(pieces):
            if item.part:
                await self._turn(chat, message.urgency)
            words, with_file = pieces[item.part]
            last = item.part == len(pieces) - 1
            outcome = await self._sender.send(
                chat,
                words,
                message.buttons if last else (),
                lambda act: self._payload(chat, act),
                file if with_file else None,
            )
            item.tries += 1
            if not isinstance(outcome, outcomes.Sent | outcomes.Refused):
                await self._trouble(item, chat, outcome)
                return
            self.counts.refused += isinstance(outcome, outcomes.Refused)
            item.part += 1
        self.counts.sent += 1
        self._done(item)

    async def _turn(self, chat: int, urgency: Urgency) -> None:
        """Wait until a further part may go."""
        while (wait := self._limiter.wait(chat, urgency, time.monotonic())) > 0:  # noqa: ASYNC110
            await asyncio.sleep(wait)
        self._limiter.took(chat, urgency, time.monotonic())

    async def _still(self, item: Item) -> Outgoing | None:
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

    async def _trouble(self, item: Item, chat: int, outcome: outcomes.Outcome) -> None:
        match outcome:
            case outcomes.Wait(seconds):
                self._limiter.refused(chat, seconds, time.monotonic())
                self._queues.put_back(item, chat)
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
                self._queues.put_back(item, chat)
                raise TokenRefused
            case _:
                await self._unknown(item, chat)

    async def _unknown(self, item: Item, chat: int) -> None:
        """It may have arrived: the stated rule decides."""
        if item.tries < _MOST_UNKNOWN.get(item.message.urgency, 1):
            self.counts.repeated += 1
            self._again(item, chat)
            return
        self.counts.let_go += 1
        _log.warning("a message may not have arrived and was let go (%s)", item.message.urgency)
        self._done(item)

    def _again(self, item: Item, chat: int) -> None:
        """Into the queue again, and nothing to this chat for a pause."""
        pause = _PAUSES[min(max(item.tries, 1), len(_PAUSES)) - 1]
        self._queues.pause(chat, time.monotonic() + pause)
        self._queues.put_back(item, chat)

    async def _gone(self, item: Item, chat: int) -> None:
        await asyncio.to_thread(self._shelf.unreachable, item.family, chat)
        for other in self._queues.drop(chat):
            self._known.discard((other.family, other.message.key))
        self._known.discard((item.family, item.message.key))

    def _done(self, item: Item) -> None:
        if item.stored:
            keys = frozenset((item.message.key,))
            self._shelf.remove(item.family, keys)
        self._known.discard((item.family, item.message.key))
