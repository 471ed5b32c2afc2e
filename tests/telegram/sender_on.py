"""A sender that talks to a fresh stand-in server."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import TypeVar

from stand_in import TOKEN, StandIn
from telegram import Bot
from transport_cases import ours

from armbot.channels.telegram.sending import Sender
from armbot.model.outbox import Button

T = TypeVar("T")
WORDS = "**Not Friday.** Ana & Leo <3 rest until Saturday."
YES_NO = (Button("Yes", "answer:yes"), Button("No", "answer:no"))


def signed(act: str) -> str:
    """As a channel would sign an act."""
    return f"{act}.sig"


def on(
    work: Callable[[Sender, StandIn], Awaitable[T]], token: str = TOKEN, base_url: str = ""
) -> T:
    """What ``work`` gives with a sender that talks to a fresh stand-in server."""

    async def run() -> T:
        async with StandIn() as server, ours() as request:
            bot = Bot(token, base_url=base_url or server.base_url, request=request)
            return await work(Sender(bot, patience=0.2), server)

    return asyncio.run(run())
