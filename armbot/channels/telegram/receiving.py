"""Long polling that loses nothing: an update is confirmed after what it caused is on disk.

Telegram forgets every update below the ``offset`` of a getUpdates, and keeps the others for
24 hours (Bot API, "Getting updates"). So the offset sent is the lowest id that is still in
hand. Updates come as plain JSON, one answer holds 100 at most, and what is fetched again
while in hand is passed over; that bounds the memory, however many wait at the server.
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from typing import TYPE_CHECKING, Any, Final

from armbot.channels.telegram.lanes import Job, Lanes, Recent
from armbot.channels.telegram.parsing import KINDS, chat_of
from armbot.channels.telegram.tending import Handle, SetAside, Tending, Tries
from armbot.channels.telegram.trouble import AnotherPoller, TokenRefused, Trouble

if TYPE_CHECKING:
    import telegram

__all__ = ["AnotherPoller", "Polling", "Receiver", "Success", "TokenRefused", "Tries"]

BATCH: Final = 100
"""The most updates that one answer holds (Bot API, getUpdates, limit)."""
MOST_IN_HAND: Final = 2 * BATCH

_GET_UPDATES: Final = "get__updates"
"""getUpdates, spelled so that the library does not advise its own wrapper: that parses all
of a batch at once, and one update that it cannot read would stop every other."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Polling:
    """How updates are fetched; all times in seconds.

    ``hold`` is how long the server may keep a request open while nothing comes, in whole
    seconds; ``answer``
    is how much longer than that its answer may take. ``first_pause`` comes after the first
    fault, doubled up to 30. ``give_up_after`` is how long nothing but 409, or nothing but
    401 and 404, is borne. ``breath`` is the shortest time between two requests while
    something is in hand, ``longest_breath`` the longest.
    """

    hold: int = 25
    answer: float = 5.0
    first_pause: float = 1.0
    give_up_after: float = 60.0
    breath: float = 0.05
    longest_breath: float = 0.5


@dataclass(frozen=True, slots=True)
class Success:
    """When updates were last fetched: in monotonic seconds, and by the clock on the wall."""

    monotonic: float
    wall: datetime


class Receiver:
    """Fetches updates and has each handled, in order within a chat.

    ``handle`` returns when all that an update caused is on disk; ``set_aside`` writes one
    that cannot be handled to the dead letters. ``key_of`` gives what keeps its order: the
    chat of an update, or the family it belongs to.
    """

    def __init__(  # noqa: PLR0913 - all that one loop needs, each exchangeable in a test
        self,
        bot: telegram.Bot,
        handle: Handle,
        set_aside: SetAside,
        *,
        key_of: Callable[[Mapping[str, Any]], Hashable] = chat_of,
        polling: Polling | None = None,
        tries: Tries | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._bot = bot
        self._key_of = key_of
        self._polling = polling or Polling()
        self._clock = clock
        self._tending = Tending(handle, set_aside, tries or Tries())
        self._lanes = Lanes(self._tending.until_done)
        self._stopping = asyncio.Event()
        self._fetching = asyncio.Lock()
        self._after: int | None = None
        self._nameless = Recent()
        self._breath = self._polling.breath
        self._began = clock()
        self.last_success: Success | None = None

    @property
    def in_hand(self) -> int:
        """How many updates were fetched and are not dealt with yet."""
        return len(self._lanes.in_hand)

    def silent_for(self) -> float:
        """Seconds since updates were last fetched, or since the beginning: its health."""
        since = self.last_success.monotonic if self.last_success else self._began
        return self._clock() - since

    def stuck_for(self) -> float:
        """Seconds that the oldest update in hand has been there; 0 when none is."""
        since = next((job.since for job in self._lanes.in_hand.values()), self._clock())
        return self._clock() - since

    async def run(self) -> None:
        """Receive until ``stop``; raises AnotherPoller or TokenRefused to end the process."""
        polling = self._polling
        trouble = Trouble("receiving", polling.give_up_after, polling.first_pause, self._clock)
        while not self._stopping.is_set():
            began = self._clock()
            try:
                batch = await self._fetched()
            except Exception as error:  # noqa: BLE001 - whatever it is, receiving goes on
                await self._rest(trouble.pause(error, self._clock() - began))
                continue
            if batch is None:
                return
            trouble.over()
            self.last_success = Success(self._clock(), datetime.now(UTC))
            fresh = self._take(batch)
            await self._breathe(batch, fresh=fresh, took=self._clock() - began)

    async def stop(self, grace: float) -> None:
        """Fetch no more, finish what is in hand within ``grace`` seconds, let go of the rest.

        What was not finished is not confirmed: Telegram will send it again.
        """
        self._stopping.set()
        async with self._fetching:  # the last request has ended
            pass
        if not await self._lanes.idle(grace):
            _log.warning("stopped with %d updates in hand; they will come again", self.in_hand)
        offset = self._offset()
        await self._lanes.cancel()
        if offset is not None:
            await self._confirm(offset)

    async def _fetched(self) -> Sequence[object] | None:
        """The next batch; None when stopped meanwhile. Raises whatever went wrong."""
        async with self._fetching:
            offset = self._offset()
            request = asyncio.ensure_future(self._ask(offset, self._polling.hold, BATCH))
            stopping = asyncio.ensure_future(self._stopping.wait())
            try:
                await asyncio.wait({request, stopping}, return_when=asyncio.FIRST_COMPLETED)
            finally:
                stopping.cancel()
                request.cancel()
            await asyncio.wait({request})
            if self._stopping.is_set() and (request.cancelled() or request.exception()):
                return None
            batch = request.result()
            if offset == self._after:
                # Confirmed now, and not to be said again: numbers may begin anew below it.
                self._after = None
            return None if self._stopping.is_set() else batch

    async def _ask(self, offset: int | None, hold: int, limit: int) -> Sequence[object]:
        """One getUpdates; an answer of another shape is a fault like any other."""
        said: dict[str, Any] = {"timeout": hold, "limit": limit, "allowed_updates": KINDS}
        if offset is not None:
            said["offset"] = offset
        longest = hold + self._polling.answer
        # The second limit is for answers that keep coming, a byte at a time.
        async with asyncio.timeout(longest + 3):
            batch = await self._bot.do_api_request(
                _GET_UPDATES, api_kwargs=said, read_timeout=longest
            )
        if not isinstance(batch, list):
            raise TypeError("getUpdates did not answer with a list")
        return batch

    def _offset(self) -> int | None:
        """What may be confirmed: everything below the lowest id in hand."""
        return min(self._lanes.in_hand, default=self._after)

    def _take(self, batch: Sequence[object]) -> bool:
        """Put the updates into their lanes; whether there were any that were not known."""
        fresh = False
        for raw in batch:
            number = raw.get("update_id") if isinstance(raw, Mapping) else None
            if not isinstance(raw, Mapping) or not isinstance(number, int):
                if not self._take_nameless(raw):
                    break
                continue
            if not self._lanes.known(number):
                if self.in_hand >= MOST_IN_HAND:
                    break
                fresh = True
                self._lanes.put(Job(number, raw, self._key(raw, number), self._clock()))
            self._after = number + 1
        return fresh

    def _key(self, raw: Mapping[str, Any], number: int) -> Hashable:
        """What keeps its order; an update of no known shape has a lane for itself."""
        try:
            return self._key_of(raw)
        except Exception:  # noqa: BLE001 - it is the update's fault, which will be found out
            return ("update", number)

    def _take_nameless(self, raw: object) -> bool:
        """Set aside, once, what has no id; only a later update's id can confirm it.

        False where that failed: then nothing after it may be taken, and so confirm it.
        """
        digest = int.from_bytes(sha256(repr(raw).encode("utf-8", "replace")).digest()[:8])
        whole = raw if isinstance(raw, Mapping) else {"update": raw}
        if digest in self._nameless:
            return True
        if not self._tending.set_aside(0, whole, "no update_id"):
            return False
        self._nameless.add(digest)
        return True

    async def _breathe(self, batch: Sequence[object], *, fresh: bool, took: float) -> None:
        """Wait a little wherever the server would answer at once again.

        It does as long as something is in hand, since that is not confirmed. Whatever
        ends meanwhile ends the wait.
        """
        if fresh or not batch:
            self._breath = self._polling.breath
        if self.in_hand:
            if len(batch) >= BATCH and not fresh:
                # Nothing beyond these is given out before the first of them has ended.
                self._lanes.in_hand[min(self._lanes.in_hand)].hurried = True
            await self._lanes.idle(self._breath)
        elif not fresh:
            await self._rest(self._breath - took)
        self._breath = min(self._breath * 2, self._polling.longest_breath)

    async def _rest(self, seconds: float) -> None:
        """Wait, unless stopped."""
        if seconds <= 0:
            return
        try:
            async with asyncio.timeout(seconds):
                await self._stopping.wait()
        except TimeoutError:
            return

    async def _confirm(self, offset: int) -> None:
        """Say what was dealt with, so that it does not come again; no matter if that fails."""
        try:
            async with asyncio.timeout(1):
                await self._ask(offset, 0, 1)
        except Exception as error:  # noqa: BLE001 - then it comes again, and is known
            _log.info("the last updates could not be confirmed (%s)", type(error).__name__)
