"""A receiver at work on the stand-in server, with short times, for the tests of receiving."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from typing import Any

from stand_in import TOKEN, StandIn

from armbot.channels.telegram.client import make_bot
from armbot.channels.telegram.receiving import Polling, Receiver, Tries

POLLING = Polling(
    hold=1, answer=0.3, first_pause=0.05, give_up_after=30, breath=0.01, longest_breath=0.05
)
TRIES = Tries(timeout=0.3, hurried=0.1, pauses=(0.01, 0.02, 0.03), again=0.1)

Update = Mapping[str, Any]


def words_of(raw: Update) -> str:
    """What an update of the tests says."""
    return str(raw["message"]["text"])


@dataclass
class Station:
    """What the receiver handed on (by ``words``) and set aside (id and reason), so far."""

    server: StandIn
    serve: Callable[[Update], Awaitable[None]] | None = None
    words: list[str] = field(default_factory=list)
    aside: list[tuple[int, str]] = field(default_factory=list)
    disk_full: bool = False
    running: asyncio.Task[None] | None = None
    """The receiver's loop."""

    async def handle(self, raw: Update) -> None:
        """Serve an update as the test says, then note it as served."""
        if self.serve:
            await self.serve(raw)
        self.words.append(words_of(raw))

    def set_aside(self, update_id: int, _raw: Update, reason: str) -> None:
        """Note it, or fail as a full disk does."""
        if self.disk_full:
            raise OSError(28, "No space left on device")
        self.aside.append((update_id, reason))

    @asynccontextmanager
    async def receiving(
        self, tries: Tries = TRIES, polling: Polling = POLLING
    ) -> AsyncIterator[Receiver]:
        """A receiver that runs; at the end it is killed, not stopped."""
        async with make_bot(TOKEN, self.server.url, 4) as bot:
            receiver = Receiver(bot, self.handle, self.set_aside, tries=tries, polling=polling)
            running = self.running = asyncio.create_task(receiver.run())
            try:
                yield receiver
            finally:
                running.cancel()
                await asyncio.wait({running})
                await receiver._lanes.cancel()  # noqa: SLF001 - as a killed process would


async def until(condition: Callable[[], object], seconds: float = 5.0) -> float:
    """Wait until it holds and give the seconds that took; AssertionError when it never does."""
    began = time.monotonic()
    while not condition():
        assert time.monotonic() - began < seconds, "it did not come about in time"
        await asyncio.sleep(0.005)
    return time.monotonic() - began
