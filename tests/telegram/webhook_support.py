"""A webhook at work, and Telegram's side of it, for the tests of webhook mode."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from io import BytesIO
from typing import TYPE_CHECKING, Any

import aiohttp

from armbot.channels.telegram.receiving import Tries
from armbot.channels.telegram.webhook import SECRET_HEADER, Webhook

if TYPE_CHECKING:
    from receiving_support import Station

SECRET = "a-secret-of-the-webhook"  # noqa: S105 - of no real bot
TRIES = Tries(timeout=0.2, pauses=(0.01, 0.01), hangs=2)


@dataclass
class Caller:
    """Telegram's side: posts updates to the webhook, as itself or as somebody else."""

    session: aiohttp.ClientSession
    url: str
    answers: list[int] = field(default_factory=list)

    async def post(self, update: Mapping[str, Any]) -> int:
        """Send one update as Telegram does; the status of the answer."""
        return await self.send(json.dumps(update).encode())

    async def send(self, body: bytes, secret: str = SECRET, kind: str = "application/json") -> int:
        """Send any body; "" for no secret."""
        headers = {"Content-Type": kind} | ({SECRET_HEADER: secret} if secret else {})
        async with self.session.post(self.url, data=BytesIO(body), headers=headers) as answer:
            self.answers.append(answer.status)
            return answer.status

    async def insist(self, update: Mapping[str, Any]) -> int:
        """Send it until it is taken, as Telegram does; how often that was."""
        for count in range(1, 20):
            if await self.post(update) == 200:
                return count
        raise AssertionError("never taken")


@asynccontextmanager
async def calling(station: Station, tries: Tries = TRIES) -> AsyncIterator[tuple[Caller, Webhook]]:
    """A webhook that runs, and somebody who calls it."""
    webhook = Webhook(station.handle, station.set_aside, secret=SECRET, tries=tries)
    port = await webhook.start("127.0.0.1", 0)
    async with aiohttp.ClientSession() as session:
        try:
            yield Caller(session, f"http://127.0.0.1:{port}/telegram"), webhook
        finally:
            await webhook.stop(0.1)


def numbered(number: int, update: dict[str, Any]) -> dict[str, Any]:
    """An update with that number."""
    return {"update_id": number, **update}
