"""The door by which another process steers the stand-in server: small JSON, under /control."""

from __future__ import annotations

import base64
import json
import urllib.request
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from aiohttp import web

if TYPE_CHECKING:
    from stand_in import StandIn


def control_routes(server: StandIn) -> list[web.RouteDef]:
    """What can be asked and told."""
    door = _Door(server)
    return [
        web.post("/control/push", door.push),
        web.get("/control/sent", door.sent),
        web.get("/control/state", door.state),
        web.post("/control/fault", door.fault),
        web.post("/control/clear", door.clear),
        web.post("/control/delay", door.delay),
        web.post("/control/chat", door.chat),
        web.post("/control/file", door.file),
    ]


class _Door:
    def __init__(self, server: StandIn) -> None:
        self.server = server

    async def push(self, request: web.Request) -> web.Response:
        """Updates to let wait: {"updates": [...]}."""
        updates = (await request.json())["updates"]
        return web.json_response({"ids": self.server.push(*updates)})

    async def sent(self, request: web.Request) -> web.Response:
        """The messages accepted, from number ``since`` on."""
        since = int(request.query.get("since", "0"))
        return web.json_response([sent.as_json() for sent in self.server.sent[since:]])

    async def state(self, _request: web.Request) -> web.Response:
        """Counts, and what is small."""
        world = self.server.world
        known = {
            "pushed": len(world.updates.pushed),
            "pending": [update["update_id"] for update in world.updates.pending],
            "confirmed": len(world.updates.confirmed),
            "sent": len(world.sent),
            "polls": len(self.server.calls_of("getUpdates")),
            "calls": len(self.server.calls),
            "answered": world.answered,
            "edited": world.edited,
            "commands": {"/".join(key): menu for key, menu in world.commands.items()},
            "webhook": world.webhook,
            "dropped": world.dropped,
        }
        return web.json_response(known)

    async def fault(self, request: web.Request) -> web.Response:
        """A rule, with the names of ``Faults.add``."""
        self.server.fault(**(await request.json()))
        return web.json_response({})

    async def clear(self, _request: web.Request) -> web.Response:
        """Everything works again."""
        self.server.faults.clear()
        return web.json_response({})

    async def delay(self, request: web.Request) -> web.Response:
        """Seconds by method."""
        self.server.faults.delays.update(await request.json())
        return web.json_response({})

    async def chat(self, request: web.Request) -> web.Response:
        """{"chat": n, "state": "blocked" or "" or "moved", "to": n}."""
        told = await request.json()
        if told["state"] == "moved":
            self.server.world.moved[told["chat"]] = told["to"]
        elif told["state"]:
            self.server.world.chats[told["chat"]] = told["state"]
        else:
            self.server.world.chats.pop(told["chat"], None)
        return web.json_response({})

    async def file(self, request: web.Request) -> web.Response:
        """{"file_id": name, "base64": what it holds}."""
        told = await request.json()
        self.server.world.files[told["file_id"]] = base64.b64decode(told["base64"])
        return web.json_response({})


class Remote:
    """The same door from the other side, for tests that run the server as a process."""

    def __init__(self, url: str) -> None:
        self._url = url

    def ask(self, what: str) -> Any:
        """The answer to GET /control/``what``; raises OSError when the server is gone."""
        return self._call(urllib.request.Request(f"{self._url}/control/{what}"))  # noqa: S310

    def tell(self, what: str, told: Mapping[str, Any] | None = None) -> Any:
        """POST ``told`` to /control/``what``; raises OSError when the server is gone."""
        body = json.dumps(dict(told or {})).encode()
        headers = {"Content-Type": "application/json"}
        address = f"{self._url}/control/{what}"
        return self._call(urllib.request.Request(address, body, headers))  # noqa: S310

    @staticmethod
    def _call(request: urllib.request.Request) -> Any:
        opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        with opener.open(request, timeout=10) as answer:
            return json.load(answer)
