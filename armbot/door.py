"""Between Telegram's updates and the service: one raw update in, what it caused on disk."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Mapping
from concurrent.futures import Executor
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import armbot.keeping as keep
from armbot.channels.telegram.buttons import ButtonKey
from armbot.channels.telegram.parsing import Parsed, chat_of, parse
from armbot.channels.telegram.sending import Sender
from armbot.model.incoming import Kind
from armbot.outbox import Outbox
from armbot.service import Service

_log = logging.getLogger("armbot.door")


class Door:
    """Handles raw updates. ``fetch`` gets the text of a file by its id, "" when it cannot."""

    def __init__(  # noqa: PLR0913 - the parts it is put together from
        self,
        service: Service,
        outbox: Outbox,
        sender: Sender,
        key: ButtonKey,
        folder: Path,
        clock: Callable[[], datetime],
        workers: Executor,
        fetch: Callable[[str], Any],
    ) -> None:
        self._service = service
        self._outbox = outbox
        self._sender = sender
        self._key = key
        self._folder = folder
        self._clock = clock
        self._workers = workers
        self._fetch = fetch
        self._side: set[asyncio.Task[None]] = set()
        self.set_aside_count = keep.count_set_aside(folder)

    async def handle(self, raw: Mapping[str, Any]) -> None:
        """See channels.telegram.tending.Handle; raises what the update or the disk raises."""
        parsed = parse(raw, self._key, self._clock())
        if parsed is None:
            return
        incoming = await self._with_file(parsed)
        loop = asyncio.get_running_loop()
        ready = await loop.run_in_executor(self._workers, self._service.receive, incoming)
        self._outbox.offer(ready)
        if parsed.callback_id:
            self._aside(self._sender.answer_button(parsed.callback_id))

    async def _with_file(self, parsed: Parsed) -> Any:  # noqa: ANN401 - an Incoming
        """The incoming thing, a small table's text in the place of its caption."""
        incoming = parsed.incoming
        if not parsed.file_id:
            return incoming
        text = await self._fetch(parsed.file_id)
        if not text:
            return incoming
        caption = f"{incoming.text}\n" if incoming.text else ""
        return replace(incoming, kind=Kind.FILE, text=caption + text)

    def set_aside(self, update_id: int, raw: Mapping[str, Any], reason: str) -> None:
        """Keep what cannot be handled, and tell the chat and the staff; raises OSError."""
        keep.set_aside(self._folder, update_id, raw, reason)
        self.set_aside_count += 1
        chat = chat_of(raw)
        if chat > 0:
            self._outbox.offer(self._service.apologies(chat, update_id))

    def _aside(self, work: Any) -> None:  # noqa: ANN401 - a coroutine that returns nothing
        task = asyncio.ensure_future(work)
        self._side.add(task)
        task.add_done_callback(self._side.discard)
