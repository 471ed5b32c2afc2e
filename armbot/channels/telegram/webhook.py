"""Webhook mode: Telegram calls us, and hears 200 only after the update is on disk.

Whatever else is answered, Telegram sends the update again, in the order of its chat. TLS
ends in front of this server; the secret of setWebhook, sent in a header with each update,
tells Telegram's calls from everybody else's (Bot API, setWebhook, secret_token).
"""

from __future__ import annotations

import asyncio
import hmac
import json
import time
from collections.abc import Callable, Hashable, Mapping
from datetime import UTC, datetime
from http import HTTPStatus
from typing import Any, Final

from aiohttp import web

from armbot.channels.telegram.lanes import Job, Lanes
from armbot.channels.telegram.parsing import chat_of
from armbot.channels.telegram.receiving import MOST_IN_HAND, Success
from armbot.channels.telegram.tending import Handle, SetAside, Tending, Tries

SECRET_HEADER: Final = "X-Telegram-Bot-Api-Secret-Token"  # noqa: S105 - the header's name
BODY_BYTES: Final = 2**20
"""An update is some kilobytes; what is larger is not one."""
BODY_SECONDS: Final = 10.0
"""How long a body may take to come: whoever sends a byte a second is not Telegram."""
ANSWER_SECONDS: Final = 50.0
"""Telegram waits 60 s for an answer (tdlib/telegram-bot-api, WebhookActor)."""


class Webhook:
    """A server that takes updates at one path; ``handle`` and the others as in Receiver.

    ``secret`` is that of setWebhook; raises ValueError where it is empty, since everybody
    could send updates then.
    """

    def __init__(  # noqa: PLR0913 - all that one server needs, each exchangeable in a test
        self,
        handle: Handle,
        set_aside: SetAside,
        *,
        secret: str,
        path: str = "/telegram",
        key_of: Callable[[Mapping[str, Any]], Hashable] = chat_of,
        tries: Tries | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        if not secret:
            raise ValueError("webhook mode needs a secret, or anybody could send updates")
        self._secret = secret.encode()
        self._path = path
        self._key_of = key_of
        self._clock = clock
        self._tending = Tending(handle, set_aside, tries or Tries())
        self._lanes = Lanes(self._tending.once)
        self._stopping = False
        self._runner: web.AppRunner | None = None
        self._began = clock()
        self.last_success: Success | None = None

    @property
    def in_hand(self) -> int:
        """How many updates came and are not dealt with yet."""
        return len(self._lanes.in_hand)

    def silent_for(self) -> float:
        """Seconds since the last update was dealt with, or since the beginning.

        Nobody calls while no family writes, so silence alone is no fault here.
        """
        since = self.last_success.monotonic if self.last_success else self._began
        return self._clock() - since

    def stuck_for(self) -> float:
        """Seconds that the oldest update in hand has been there; 0 when none is."""
        since = next((job.since for job in self._lanes.in_hand.values()), self._clock())
        return self._clock() - since

    async def start(self, host: str, port: int) -> int:
        """Listen, and give the port: a free one for 0. Raises OSError where it is taken."""
        app = web.Application(client_max_size=BODY_BYTES)
        app.router.add_post(self._path, self._called)
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=1.0)
        await self._runner.setup()
        await web.TCPSite(self._runner, host, port).start()
        return int(self._runner.addresses[0][1])

    async def stop(self, grace: float) -> None:
        """Take no more, finish what is in hand within ``grace`` seconds, let go of the rest."""
        self._stopping = True
        await self._lanes.idle(grace)
        await self._lanes.cancel()
        if self._runner:
            await self._runner.cleanup()
            self._runner = None

    async def _called(self, request: web.Request) -> web.Response:
        """One call, from the cheapest check to the dearest."""
        given = request.headers.get(SECRET_HEADER, "").encode("utf-8", "surrogateescape")
        if not hmac.compare_digest(given, self._secret):
            return _answer(HTTPStatus.FORBIDDEN)
        if request.content_type != "application/json":
            return _answer(HTTPStatus.UNSUPPORTED_MEDIA_TYPE)
        if self._stopping:
            return _answer(HTTPStatus.SERVICE_UNAVAILABLE)
        try:
            async with asyncio.timeout(BODY_SECONDS):
                body = await request.read()
        except TimeoutError:
            return _answer(HTTPStatus.REQUEST_TIMEOUT)
        return _answer(await self._take(body))

    async def _take(self, body: bytes) -> HTTPStatus:
        """What to say to an update, once it was dealt with or failed."""
        try:
            raw = json.loads(body)
        except (ValueError, RecursionError):
            return self._nameless({"body": body.decode("utf-8", "replace")}, "no JSON")
        number = raw.get("update_id") if isinstance(raw, dict) else None
        if not isinstance(number, int):
            return self._nameless({"update": raw}, "no update_id")
        if number in self._lanes.recent:
            return HTTPStatus.OK
        job = self._lanes.in_hand.get(number)
        if job is None:
            if self.in_hand >= MOST_IN_HAND or self._stopping:
                return HTTPStatus.SERVICE_UNAVAILABLE
            job = Job(number, raw, self._key(raw, number), self._clock())
            self._lanes.put(job)
        return await self._ended(job)

    async def _ended(self, job: Job) -> HTTPStatus:
        """The end of a job; it goes on where the caller will not wait that long."""
        try:
            async with asyncio.timeout(ANSWER_SECONDS):
                dealt_with = await asyncio.shield(job.ended)
        except TimeoutError:
            return HTTPStatus.SERVICE_UNAVAILABLE
        if not dealt_with:
            return HTTPStatus.INTERNAL_SERVER_ERROR
        self.last_success = Success(self._clock(), datetime.now(UTC))
        return HTTPStatus.OK

    def _nameless(self, raw: Mapping[str, Any], why: str) -> HTTPStatus:
        """What no repetition would make readable is set aside and taken."""
        kept = self._tending.set_aside(0, raw, why)
        return HTTPStatus.OK if kept else HTTPStatus.INTERNAL_SERVER_ERROR

    def _key(self, raw: Mapping[str, Any], number: int) -> Hashable:
        """What keeps its order; an update of no known shape has a lane for itself."""
        try:
            return self._key_of(raw)
        except Exception:  # noqa: BLE001 - it is the update's fault, which will be found out
            return ("update", number)


def _answer(status: HTTPStatus) -> web.Response:
    return web.Response(status=status)
