"""Order: the updates of one chat one after the other, those of different chats side by side."""

from __future__ import annotations

import asyncio
from collections import OrderedDict, deque
from collections.abc import Awaitable, Callable, Hashable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

REMEMBERED: Final = 2000
"""How many ended updates are remembered: twenty times what one answer of the server holds."""


@dataclass(eq=False, slots=True)
class Job:
    """One update in hand: as it came, whose it is, and since when (monotonic seconds).

    ``hurried`` is set while everybody waits for it. ``ended`` tells whether it was dealt
    with, once its turn is over; an update that was not is not to be confirmed.
    """

    update_id: int
    raw: Mapping[str, Any]
    key: Hashable
    since: float
    hurried: bool = False
    ended: asyncio.Future[bool] = field(
        default_factory=lambda: asyncio.get_running_loop().create_future()
    )


class Recent:
    """The last numbers added, and no more of them than ``size``."""

    def __init__(self, size: int = REMEMBERED) -> None:
        self._size = size
        self._numbers: OrderedDict[int, None] = OrderedDict()

    def __contains__(self, number: int) -> bool:
        return number in self._numbers

    def add(self, number: int) -> None:
        """Remember it, and forget the oldest where there are too many."""
        self._numbers[number] = None
        if len(self._numbers) > self._size:
            self._numbers.popitem(last=False)


class Lanes:
    """Runs ``tend`` for each job: in order of arrival within a key, keys side by side.

    ``tend`` says whether the update was dealt with. Nobody waits here for a place: whoever
    puts jobs in bounds their number, by what ``in_hand`` holds.
    """

    def __init__(self, tend: Callable[[Job], Awaitable[bool]]) -> None:
        self._tend = tend
        self._queues: dict[Hashable, deque[Job]] = {}
        self._runners: set[asyncio.Task[None]] = set()
        self._changed = asyncio.Event()
        self.in_hand: dict[int, Job] = {}
        """The jobs that have not ended, by update id, in order of arrival."""
        self.recent = Recent()
        """The ids of updates that were dealt with."""

    def known(self, update_id: int) -> bool:
        """Whether this update is in hand, or was dealt with not long ago."""
        return update_id in self.in_hand or update_id in self.recent

    def put(self, job: Job) -> None:
        """Let the job run when those before it in its lane have ended."""
        self.in_hand[job.update_id] = job
        waiting = self._queues.get(job.key)
        if waiting is not None:
            waiting.append(job)
            return
        self._queues[job.key] = deque([job])
        runner = asyncio.create_task(self._run(job.key))
        self._runners.add(runner)
        runner.add_done_callback(self._runners.discard)

    async def idle(self, seconds: float) -> bool:
        """Wait until nothing is in hand, for so long at most; whether that came."""
        try:
            async with asyncio.timeout(seconds):
                while self.in_hand:
                    self._changed.clear()
                    await self._changed.wait()
        except TimeoutError:
            return not self.in_hand
        return True

    async def cancel(self) -> None:
        """Give up everything that is in hand; it counts as not dealt with."""
        runners = tuple(self._runners)
        for runner in runners:
            runner.cancel()
        await asyncio.gather(*runners, return_exceptions=True)
        for job in tuple(self.in_hand.values()):
            self._end(job, dealt_with=False)
        self._queues.clear()

    async def _run(self, key: Hashable) -> None:
        waiting = self._queues[key]
        while waiting:
            dealt_with = await self._tend(waiting[0])
            self._end(waiting.popleft(), dealt_with=dealt_with)
        del self._queues[key]

    def _end(self, job: Job, *, dealt_with: bool) -> None:
        self.in_hand.pop(job.update_id, None)
        if dealt_with:
            self.recent.add(job.update_id)
        if not job.ended.done():
            job.ended.set_result(dealt_with)
        self._changed.set()
