"""The library's bot over our transport, and the one thing it fetches besides updates."""

from __future__ import annotations

import logging
from typing import TypeAlias

import telegram
from telegram.error import TelegramError

from armbot.channels.telegram.parsing import TABLE_BYTES
from armbot.channels.telegram.transport import AiohttpRequest, Timeouts

Client: TypeAlias = telegram.Bot
"""The library's bot, for whoever passes it on."""

_log = logging.getLogger(__name__)


def make_bot(token: str, api: str, connections: int, read: float | None = None) -> telegram.Bot:
    """A bot at the API server ``api`` (without a slash at its end), to be entered as a context.

    Updates are fetched over connections of their own, so that a long poll takes none of the
    ``connections`` for sending. ``read`` is how long to wait for an answer, in seconds, where
    it is not to be the usual time.
    """
    return telegram.Bot(
        token,
        base_url=f"{api}/bot",
        base_file_url=f"{api}/file/bot",
        request=AiohttpRequest(connections, Timeouts(read=read) if read else None),
        get_updates_request=AiohttpRequest(2),
    )


async def fetch_text(bot: telegram.Bot, file_id: str) -> str:
    """A small text file that a chat sent; "" where it cannot be had or is no UTF-8 text."""
    try:
        file = await bot.get_file(file_id)
        data = await file.download_as_bytearray()
    except TelegramError as error:
        _log.warning("a file could not be fetched (%s)", type(error).__name__)
        return ""
    if len(data) > TABLE_BYTES:
        return ""
    try:
        return bytes(data).decode("utf-8-sig")
    except UnicodeDecodeError:
        return ""
