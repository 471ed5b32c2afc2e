"""One job, every few seconds: look at what is due, family by family.

The library's own job store and misfire rules are not used: what is due lies in the records.
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable

from apscheduler.schedulers.asyncio import AsyncIOScheduler

from armbot.model.outbox import Ready
from armbot.service import Service

_log = logging.getLogger("armbot.ticker")
_AT_ONCE = 50
"""Families looked at before others get their turn."""
_PAUSE = 300.0
"""Seconds before a family whose record made trouble is tried again."""


class Ticker:
    """Wakes up, asks what is due, and offers what follows to the outbox."""

    def __init__(
        self, service: Service, offer: Callable[[Ready], None], seconds: float = 5.0
    ) -> None:
        self._service = service
        self._offer = offer
        self._scheduler = AsyncIOScheduler(timezone="UTC")
        self._scheduler.add_job(
            self.tick,
            "interval",
            seconds=seconds,
            coalesce=True,
            max_instances=1,
            misfire_grace_time=None,
        )
        self._trouble: dict[str, float] = {}

    def start(self) -> None:
        """Begin; needs a running event loop."""
        logging.getLogger("apscheduler").setLevel(logging.ERROR)
        self._scheduler.start()

    def stop(self) -> None:
        """No further tick; one under way is not waited for."""
        if self._scheduler.running:
            self._scheduler.shutdown(wait=False)

    async def tick(self) -> None:
        """Everything that is due now, in small batches; never raises."""
        await asyncio.to_thread(self._service.tidy, _AT_ONCE)
        seen: set[str] = set()
        while True:
            due = await asyncio.to_thread(self._due, len(seen) + len(self._trouble))
            fresh = [family for family in due if family not in seen]
            if not fresh:
                return
            for family in fresh:
                seen.add(family)
                await self._one(family)

    def _due(self, known: int) -> list[str]:
        return self._service.due(_AT_ONCE + known)

    async def _one(self, family: str) -> None:
        if self._trouble.get(family, 0.0) > time.monotonic():
            return
        try:
            self._offer(await asyncio.to_thread(self._service.tick, family))
        except Exception as error:  # noqa: BLE001 - one record's trouble must not stop the others
            _log.error("a family's reminders failed (%s)", type(error).__name__)
            self._trouble[family] = time.monotonic() + _PAUSE
        else:
            self._trouble.pop(family, None)
