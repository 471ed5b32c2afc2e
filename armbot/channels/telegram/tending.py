"""One update until it is dealt with: tried, timed out, tried again, and set aside at last.

Nothing is ever lost here by failing: an update that cannot be handled is written to the
dead letters, and one that cannot even be written there stays in hand, unconfirmed.
"""

from __future__ import annotations

import asyncio
import logging
import time
import traceback
from collections import OrderedDict
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from armbot.channels.telegram.lanes import REMEMBERED, Job
from armbot.channels.telegram.parsing import MalformedUpdate

Handle = Callable[[Mapping[str, Any]], Awaitable[None]]
"""Serves one raw update; returns only when all that it caused is on disk."""
SetAside = Callable[[int, Mapping[str, Any], str], None]
"""Writes an update (id, as it came, why) to the dead letters; raises when it cannot."""

_LOOK: Final = 0.25
"""Seconds between looks at an update that takes long: whether others wait for it by now."""
_LET_GO: Final = 1.0
"""Seconds that a cancelled attempt gets to end; then it is left behind."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Tries:
    """How patient to be with one update; all times in seconds.

    ``timeout`` is for one attempt; ``hurried`` instead while everybody else waits for it.
    ``pauses`` come between attempts of what raises, so there are one more of those than
    pauses; ``hangs`` is how many attempts may time out before the update is set aside.
    ``side_by_side`` attempts run at once. ``again`` is the pause before all begins anew
    where the update could not be set aside either, as on a full disk.
    """

    timeout: float = 30.0
    hurried: float = 10.0
    pauses: tuple[float, ...] = (1.0, 4.0, 15.0)
    hangs: int = 2
    side_by_side: int = 64
    again: float = 30.0


@dataclass(slots=True)
class _Failures:
    """How often one update failed so far, and how the last time."""

    raised: int = 0
    hung: int = 0
    why: str = ""
    hopeless: bool = False

    @property
    def count(self) -> int:
        return self.raised + self.hung


class Tending:
    """Serves updates by ``handle``, and sets aside what it cannot serve."""

    def __init__(self, handle: Handle, set_aside: SetAside, tries: Tries) -> None:
        self._handle = handle
        self._write = set_aside
        self._tries = tries
        self._slots = asyncio.Semaphore(tries.side_by_side)
        self._failed: OrderedDict[int, _Failures] = OrderedDict()
        self._left_behind: set[asyncio.Future[None]] = set()
        self._cannot_write = False

    async def until_done(self, job: Job) -> bool:
        """Stay with the update until it is handled or set aside; always True."""
        while True:
            if await self.once(job):
                return True
            await asyncio.sleep(self._pause(job))

    async def once(self, job: Job) -> bool:
        """One attempt; True when the update was handled, or set aside as often enough tried."""
        failures = self._failed.pop(job.update_id, None) or _Failures()
        if await self._handled(job, failures):
            return True
        if self._tried_enough(failures) and self.set_aside(job.update_id, job.raw, failures.why):
            return True
        self._failed[job.update_id] = failures
        if len(self._failed) > REMEMBERED:
            self._failed.popitem(last=False)
        return False

    def set_aside(self, update_id: int, raw: Mapping[str, Any], why: str) -> bool:
        """Write an update to the dead letters; whether that worked."""
        try:
            self._write(update_id, raw, why)
        except Exception as error:  # noqa: BLE001 - whatever it is, the update is not lost
            if not self._cannot_write:  # one line, however long it lasts
                _log.error("updates stay waiting, none can be set aside: %s", place(error))
            self._cannot_write = True
            return False
        self._cannot_write = False
        _log.error("update %d set aside: %s", update_id, why)
        return True

    async def _handled(self, job: Job, failures: _Failures) -> bool:
        """One attempt; what went wrong is added to ``failures``."""
        async with self._slots:
            attempt = asyncio.ensure_future(self._handle(job.raw))
            try:
                ended = await self._ends(attempt, job)
            finally:
                if not attempt.done():
                    self._leave_behind(attempt)
        if not ended:
            failures.hung += 1
            failures.why = f"did not end in time, {failures.hung} times"
            return False
        error = _error_of(attempt)
        if error is None:
            return True
        failures.raised += 1
        failures.hopeless = isinstance(error, MalformedUpdate)
        failures.why = f"{place(error)}, {failures.raised} times"
        return False

    async def _ends(self, attempt: asyncio.Future[None], job: Job) -> bool:
        """Whether the attempt ends in the time it has; it is cancelled when not."""
        began = time.monotonic()
        while True:
            allowed = self._tries.hurried if job.hurried else self._tries.timeout
            left = began + allowed - time.monotonic()
            if left <= 0:
                break
            await asyncio.wait({attempt}, timeout=min(left, _LOOK))
            if attempt.done():
                return True
        attempt.cancel()
        await asyncio.wait({attempt}, timeout=_LET_GO)
        return attempt.done() and not attempt.cancelled()

    def _leave_behind(self, attempt: asyncio.Future[None]) -> None:
        """Let go of what will not end; its end is taken note of, so that none is reported."""
        attempt.cancel()
        self._left_behind.add(attempt)
        attempt.add_done_callback(self._left_behind.discard)
        attempt.add_done_callback(_error_of)

    def _tried_enough(self, failures: _Failures) -> bool:
        return (
            failures.hopeless
            or failures.hung >= self._tries.hangs
            or failures.count > len(self._tries.pauses)
        )

    def _pause(self, job: Job) -> float:
        """Seconds until the next attempt, which grow."""
        failures = self._failed[job.update_id]
        if self._tried_enough(failures):
            return self._tries.again
        return self._tries.pauses[failures.count - 1]


def _error_of(attempt: asyncio.Future[None]) -> BaseException | None:
    """What the attempt ended with; None where it ended well."""
    return asyncio.CancelledError() if attempt.cancelled() else attempt.exception()


def place(error: BaseException) -> str:
    """The kind of an error and where it came from, without its words.

    Those may quote what a family wrote, or hold the token.
    """
    kind = error.reason if isinstance(error, MalformedUpdate) else type(error).__name__
    frames = traceback.extract_tb(error.__traceback__)
    if not frames:
        return kind
    return f"{kind} at {Path(frames[-1].filename).name}:{frames[-1].lineno}"
