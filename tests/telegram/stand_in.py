"""A stand-in for the Bot API server, on loopback: nothing here leaves the machine.

In a test: ``async with StandIn() as server: Bot(TOKEN, base_url=server.base_url)``. As a
process that outlives the bot: ``python stand_in.py --port 0``; it prints one line of JSON
with its addresses and is then steered through its door /control (stand_in_control.py).
"""

from __future__ import annotations

import argparse
import asyncio
import json
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Self

from aiohttp import web
from stand_in_control import control_routes
from stand_in_faults import Fault, Faults, How
from stand_in_rules import Limits, RefusedError
from stand_in_state import Files, Sent, Updates, World

TOKEN = "7000000001:AAstandInTokenThatOpensNothingAtAll000"  # noqa: S105 - of no real bot
LONGEST_POLL = 50.0
CONFLICT = (
    "Conflict: terminated by other getUpdates request; "
    "make sure that only one bot instance is running"
)
WEBHOOK_ACTIVE = (
    "Conflict: can't use getUpdates method while webhook is active; "
    "use deleteWebhook to delete the webhook first"
)


@dataclass(frozen=True)
class Call:
    """One request that reached the server; ``at`` is monotonic seconds."""

    method: str
    said: Mapping[str, Any] = field(repr=False)
    at: float = 0.0


class StandIn:
    """The server; it keeps what it knows over ``stop`` and ``start`` on the same port."""

    def __init__(self, token: str = TOKEN, limits: Limits | None = None, port: int = 0) -> None:
        self.token = token
        self.port = port
        self.world = World(limits=limits)
        self.faults = Faults()
        self.calls: list[Call] = []
        self._runner: web.AppRunner | None = None
        self._down = asyncio.Event()
        self._poll: asyncio.Event | None = None

    async def __aenter__(self) -> Self:
        await self.start()
        return self

    async def __aexit__(self, *_error: object) -> None:
        await self.stop()

    async def start(self) -> None:
        """Listen: on the port it had before, or on a free one. Raises OSError."""
        app = web.Application(client_max_size=60 * 2**20)
        app.router.add_route("*", "/bot{token}/{method}", self._called)
        app.router.add_get("/file/bot{token}/{path:.*}", self._download)
        app.add_routes(control_routes(self))
        self._down = asyncio.Event()
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=0.02)
        await self._runner.setup()
        site = web.TCPSite(self._runner, "127.0.0.1", self.port, reuse_address=True)
        await site.start()
        if not self.port:
            self.port = self._runner.addresses[0][1]

    async def stop(self) -> None:
        """Refuse connections from now on, and cut those that are open."""
        self._down.set()
        if self._runner:
            await self._runner.cleanup()
            self._runner = None

    @property
    def url(self) -> str:
        """The address of the server itself."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def base_url(self) -> str:
        """What the library takes as ``base_url``; the token is added to it."""
        return f"{self.url}/bot"

    @property
    def base_file_url(self) -> str:
        """What the library takes as ``base_file_url``."""
        return f"{self.url}/file/bot"

    @property
    def updates(self) -> Updates:
        """What waits for the bot."""
        return self.world.updates

    @property
    def sent(self) -> list[Sent]:
        """Every message that was accepted, in order."""
        return self.world.sent

    @property
    def pending(self) -> list[dict[str, Any]]:
        """The updates that were not confirmed yet."""
        return self.updates.pending

    @property
    def confirmed(self) -> list[int]:
        """The ids of the updates that were confirmed, in order."""
        return self.updates.confirmed

    def push(self, *updates: Mapping[str, Any]) -> list[int]:
        """Let updates wait for the bot; gives their ids."""
        return [self.updates.push(update) for update in updates]

    def fault(self, method: str, how: str = How.ERROR, **told: Any) -> Fault:
        """Let requests go wrong: see ``Faults.add``."""
        return self.faults.add(method, how, **told)

    def calls_of(self, method: str) -> list[Call]:
        """The requests for one method so far."""
        return [call for call in self.calls if call.method.lower() == method.lower()]

    async def _called(self, request: web.Request) -> web.StreamResponse:
        method = request.match_info["method"]
        said, files = await _read(request)
        self.calls.append(Call(method, said, time.monotonic()))
        chat = said.get("chat_id")
        fault = self.faults.of(method, chat if isinstance(chat, int) else None)
        if fault:
            return await self._gone_wrong(request, method, said, files, fault)
        if delay := self.faults.delay(method):
            await asyncio.sleep(delay)
        return await self._answer(request, method, said, files)

    async def _answer(
        self, request: web.Request, method: str, said: Mapping[str, Any], files: Files
    ) -> web.Response:
        try:
            self._check_token(request.match_info["token"])
            if method.lower() == "getupdates":
                result = await self._get_updates(said)
            else:
                result = self.world.carry_out(method, said, files)
        except RefusedError as refused:
            return _refusal(refused.code, refused.description, refused.parameters)
        return web.json_response({"ok": True, "result": result})

    async def _gone_wrong(
        self,
        request: web.Request,
        method: str,
        said: Mapping[str, Any],
        files: Files,
        fault: Fault,
    ) -> web.StreamResponse:
        if fault.how is How.ERROR:
            return _refusal(fault.code, fault.description, fault.parameters)
        if fault.how is How.PAGE:
            page = "<html><head><title>502 Bad Gateway</title></head></html>"
            return web.Response(status=fault.code or 502, text=page, content_type="text/html")
        if fault.how is How.GARBAGE:
            return web.Response(text='{"ok": true, "result": [{"upd', content_type="text/html")
        if fault.how is How.STRANGER:
            return web.json_response({"ok": True, "result": {"status": "up"}})
        if fault.how in (How.HANG, How.DROP):
            await self._answer(request, method, said, files)
        if fault.how in (How.HANG, How.DEAF):
            await self._until_gone(request)
        if request.transport:
            request.transport.abort()
        return web.Response()

    async def _until_gone(self, request: web.Request) -> None:
        """Wait until the caller gives up or the server stops."""
        while not self._down.is_set():
            if request.transport is None or request.transport.is_closing():
                return
            await asyncio.sleep(0.02)

    def _check_token(self, token: str) -> None:
        """A token of the right shape that is not ours gives 401, any other 404."""
        if token == self.token:
            return
        if token.partition(":")[0].isdigit() and ":" in token:
            raise RefusedError(401, "Unauthorized")
        raise RefusedError(404, "Not Found")

    async def _get_updates(self, said: Mapping[str, Any]) -> list[dict[str, Any]]:
        """Long polling; a second poll ends the one that is open with 409."""
        if self.world.webhook:
            raise RefusedError(409, WEBHOOK_ACTIVE)
        if self._poll:
            self._poll.set()
        ended = self._poll = asyncio.Event()
        try:
            self.updates.confirm(int(said.get("offset", 0)))
            limit = min(100, int(said.get("limit", 100)))
            until = time.monotonic() + min(LONGEST_POLL, float(said.get("timeout", 0)))
            while not (found := self.updates.first(limit)) and time.monotonic() < until:
                await self._wait(ended, until - time.monotonic())
            return found
        finally:
            if self._poll is ended:
                self._poll = None

    async def _wait(self, ended: asyncio.Event, seconds: float) -> None:
        """Until an update comes, the time is over or the server stops; 409 when replaced."""
        waits = [self.updates.arrived.wait(), ended.wait(), self._down.wait()]
        tasks = [asyncio.ensure_future(wait) for wait in waits]
        try:
            await asyncio.wait(tasks, timeout=seconds, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for task in tasks:
                task.cancel()
        if ended.is_set():
            raise RefusedError(409, CONFLICT)
        if self._down.is_set():
            raise RefusedError(500, "Internal Server Error: restart")

    async def _download(self, request: web.Request) -> web.StreamResponse:
        if fault := self.faults.of("download", None):
            return await self._gone_wrong(request, "download", {}, {}, fault)
        held = self.world.files.get(request.match_info["path"].rpartition("/")[2])
        if request.match_info["token"] != self.token or held is None:
            return _refusal(404, "Not Found", {})
        return web.Response(body=held, content_type="application/octet-stream")


def _refusal(code: int, description: str, parameters: Mapping[str, Any]) -> web.Response:
    body: dict[str, Any] = {"ok": False, "error_code": code, "description": description}
    if parameters:
        body["parameters"] = dict(parameters)
    return web.json_response(body, status=code)


async def _read(request: web.Request) -> tuple[dict[str, Any], Files]:
    """The parameters, JSON or form, and the uploads."""
    if request.content_type == "application/json":
        return dict(await request.json()), {}
    said: dict[str, Any] = dict(request.query)
    files: Files = {}
    for name, value in (await request.post()).items():
        if isinstance(value, web.FileField):
            files[name] = (value.filename, value.file.read())
        else:
            said[name] = _value(name, str(value))
    return said, files


def _value(name: str, text: str) -> Any:
    """Form fields come as text: numbers, lists and records are read as JSON."""
    if name in ("text", "caption", "callback_query_id", "url", "secret_token", "parse_mode"):
        return text
    try:
        return json.loads(text)
    except ValueError:
        return text


async def _serve(arguments: argparse.Namespace) -> None:
    server = StandIn(arguments.token, Limits() if arguments.limits else None, arguments.port)
    for delay in arguments.delay:
        method, _, seconds = delay.partition("=")
        server.faults.delays[method] = float(seconds)
    await server.start()
    told = {"url": server.url, "base_url": server.base_url, "base_file_url": server.base_file_url}
    sys.stdout.write(json.dumps(told) + "\n")
    sys.stdout.flush()
    await asyncio.Event().wait()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--port", type=int, default=0)
    parser.add_argument("--token", default=TOKEN)
    parser.add_argument("--limits", action="store_true", help="refuse what is sent too fast")
    parser.add_argument("--delay", action="append", default=[], metavar="METHOD=SECONDS")
    asyncio.run(_serve(parser.parse_args()))
