"""Faults of the Bot API, and what it takes to put them to a transport."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from stand_in import TOKEN, StandIn
from telegram import Bot
from telegram.error import TelegramError
from telegram.request import BaseRequest, HTTPXRequest

from armbot.channels.telegram.transport import AiohttpRequest, Timeouts

SHORT = Timeouts(read=0.25, write=0.25, connect=0.25, pool=0.25, media_write=0.25)
SAID = "Robin's elbow hurts"


def ours(timeouts: Timeouts = SHORT) -> AiohttpRequest:
    """Our transport with little patience."""
    return AiohttpRequest(timeouts=timeouts)


def stock() -> HTTPXRequest:
    """The library's own with as little."""
    return HTTPXRequest(read_timeout=0.25, connect_timeout=0.25, pool_timeout=0.25)


async def error_of(request: BaseRequest, base_url: str, text: str = SAID) -> TelegramError | None:
    """The error of sending one message, if any."""
    bot = Bot(TOKEN, base_url=base_url, request=request, get_updates_request=ours())
    await request.initialize()
    try:
        await bot.send_message(5, text)
    except TelegramError as error:
        return error
    finally:
        await request.shutdown()
    return None


@asynccontextmanager
async def raw_server(
    answer: Callable[[bytes, asyncio.StreamWriter], Awaitable[None]],
) -> AsyncIterator[str]:
    """A server that answers the head of each request as told; gives its address."""

    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        with suppress(OSError, asyncio.IncompleteReadError):
            await answer(await reader.readuntil(b"\r\n\r\n"), writer)
        writer.close()

    server = await asyncio.start_server(serve, "127.0.0.1", 0, limit=2**10)
    async with server:
        yield f"http://127.0.0.1:{server.sockets[0].getsockname()[1]}"


def free_port() -> int:
    """A port on which nobody listens."""
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return int(held.getsockname()[1])


@dataclass(frozen=True, eq=False)
class Case:
    """A fault of the server, and how the library's own transport reports it."""

    name: str
    how: str
    expected: str
    code: int = 0
    description: str = ""
    parameters: Mapping[str, Any] = field(default_factory=dict)
    arrived: int = 0


CASES = [
    Case("flood", "error", "RetryAfter", 429, "Too Many Requests", {"retry_after": 7}),
    Case("blocked", "error", "Forbidden", 403, "Forbidden: bot was blocked by the user"),
    Case("parse", "error", "BadRequest", 400, "Bad Request: can't parse entities: x"),
    Case("no chat", "error", "BadRequest", 400, "Bad Request: chat not found"),
    Case("moved", "error", "ChatMigrated", 400, "moved", {"migrate_to_chat_id": -1009}),
    Case("wrong token", "error", "InvalidToken", 401, "Unauthorized"),
    Case("no such bot", "error", "InvalidToken", 404, "Not Found"),
    Case("two pollers", "error", "Conflict", 409, "Conflict"),
    Case("server error", "error", "NetworkError", 500, "Internal Server Error"),
    Case("gateway page", "page", "NetworkError", 502),
    Case("forbidden page", "page", "Forbidden", 403),
    Case("garbage", "garbage", "TelegramError"),
    Case("accepted, then silent", "hang", "TimedOut", arrived=1),
    Case("silent", "deaf", "TimedOut"),
    Case("accepted, then cut", "drop", "NetworkError", arrived=1),
    Case("cut", "refuse", "NetworkError"),
]


async def met(case: Case, request: BaseRequest) -> tuple[TelegramError | None, int]:
    """What becomes of a message when the server has that fault, and how many arrived."""
    async with StandIn() as server:
        told = {"description": case.description, "parameters": case.parameters}
        server.fault("sendMessage", case.how, code=case.code, **told)
        return await error_of(request, server.base_url), len(server.sent)


@cache
def ours_met(case: Case) -> tuple[TelegramError, int]:
    """The error that our transport gives for a fault, and how many messages arrived."""
    error, arrived = asyncio.run(met(case, ours()))
    assert error is not None
    return error, arrived
