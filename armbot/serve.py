"""``armbot serve``: families on Telegram, until it is told to stop.

Exit codes: 0 stopped as asked, 2 the settings or the data folder do not allow a start, 3 the
token is refused, 4 another process serves this bot, 5 something here failed.
"""

from __future__ import annotations

import asyncio
import logging
import signal
from collections.abc import Callable, Coroutine, Hashable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import urlsplit

import armbot.keeping as keep
from armbot import config, invitations
from armbot.app import open_store
from armbot.attachments import Attachments
from armbot.channels.telegram.buttons import ButtonKey
from armbot.channels.telegram.client import Client, fetch_text, make_bot
from armbot.channels.telegram.limits import Limiter, Rates
from armbot.channels.telegram.parsing import chat_of
from armbot.channels.telegram.quiet import quiet_logs
from armbot.channels.telegram.receiving import AnotherPoller, Receiver, Success, TokenRefused
from armbot.channels.telegram.sending import Sender
from armbot.channels.telegram.starting import Address, SettingRefused, hello
from armbot.channels.telegram.webhook import Webhook
from armbot.config import Settings, secret_of
from armbot.content.zones import load_zones
from armbot.door import Door
from armbot.engine.speaking import Bot
from armbot.language.grammar import Grammar
from armbot.menu import commands
from armbot.outbox import Outbox
from armbot.outbox import TokenRefused as SendingRefused
from armbot.sent import Sent
from armbot.service import Service
from armbot.store.base import Store
from armbot.ticker import Ticker

STOPPED, REFUSED, ANOTHER, FAILED = 0, 3, 4, 5
_GRACE = 4.0
"""Seconds to finish what is in hand once told to stop; the whole stop takes under five."""
_WORKERS = 2
_TIDIED = 500
"""Records brought up to date at the end; the others are at the next start."""
_CONNECTIONS = 96
"""More than the messages under way at once, so that none waits for a connection."""
_HEALTH_EVERY = 5.0

_log = logging.getLogger("armbot.serve")


@dataclass(frozen=True, slots=True)
class Place:
    """Where and with what a server runs; ``clock`` gives the aware time."""

    settings: Settings
    token: str
    grammar: Grammar
    folder: Path
    clock: Callable[[], datetime] = lambda: datetime.now(tz=UTC)
    tick_seconds: float = 5.0


def serve(place: Place) -> int:
    """Serve until a signal to stop; the exit code. Raises StoreBusy and OSError at the start."""
    quiet_logs(place.token)
    with open_store(place.folder) as store:
        return asyncio.run(_Server(place, store).run())


class Entry(Protocol):
    """Where updates come in: polling or webhook."""

    last_success: Success | None

    async def stop(self, grace: float) -> None:
        """Take no more, and finish what is in hand."""


@dataclass(frozen=True, slots=True)
class Entrance:
    """The way updates come in, and the coroutine that keeps it open."""

    door: Entry
    run: Callable[[], Coroutine[Any, Any, None]]


class _Server:
    """The parts of one run, put together."""

    def __init__(self, place: Place, store: Store) -> None:
        self._place = place
        self._key = keep.key_of(place.folder)
        self._buttons = ButtonKey(self._key)
        self._store = store
        self._sent = Sent(place.folder)
        self._stop = asyncio.Event()

    def _make_service(self, name: str) -> Service:
        place, settings = self._place, self._place.settings
        link = f"https://t.me/{name}?start=" if name else ""
        return Service(
            self._store,
            Bot(place.grammar, load_zones(), settings.trial, link),
            settings.staff,
            place.clock,
            self._sent,
            invited=lambda code: invitations.family_of(self._key, code, place.clock()),
            forget=lambda chats: keep.forget_chats(place.folder, chats),
            # A family whose record is lost must not pass for a new one: its hold is in there.
            open_to_all=settings.open_to_all and not self._store.unreadable(),
        )

    async def run(self) -> int:
        """From the first request to the last; the exit code."""
        self._catch_signals()
        bot = make_bot(self._place.token, self._place.settings.api, _CONNECTIONS)
        try:
            return await self._begin(bot)
        except (TokenRefused, SendingRefused):
            return _ended(REFUSED, "Telegram refuses the token: check it, then start again")
        except AnotherPoller as error:
            return _ended(ANOTHER, str(error))
        except SettingRefused as error:
            return _ended(FAILED, str(error))
        finally:
            await bot.shutdown()
            self._sent.close()

    async def _begin(self, bot: Client) -> int:
        place = self._place
        menus = commands(place.grammar.library)
        greeting = asyncio.ensure_future(hello(bot, menus=menus, webhook=self._address()))
        if not await self._before_stop(greeting):
            return STOPPED
        name = greeting.result().username or ""
        keep.write_about(place.folder, name)
        service = self._make_service(name)
        sender = Sender(bot)
        outbox = Outbox(
            service,
            sender,
            Limiter(_rates(place.settings.rates)),
            self._buttons.sign,
            Attachments(self._store, place.grammar.library, place.clock).make,
            place.clock,
        )
        with ThreadPoolExecutor(_WORKERS, "armbot") as workers:
            door = Door(
                service,
                outbox,
                sender,
                self._buttons,
                place.folder,
                place.clock,
                workers,
                lambda file_id: fetch_text(bot, file_id),
            )
            return await self._run_parts(self._entrance(bot, door), service, outbox, door)

    def _entrance(self, bot: Client, door: Door) -> Entrance:
        """Polling, or a server that Telegram posts to."""
        webhook = self._place.settings.webhook
        if webhook is None:
            receiver = Receiver(bot, door.handle, door.set_aside, key_of=self._key_of)
            return Entrance(receiver, receiver.run)
        server = Webhook(
            door.handle,
            door.set_aside,
            secret=secret_of(webhook),
            path=urlsplit(webhook.url).path or "/",
            key_of=self._key_of,
        )

        async def listen() -> None:
            await server.start(webhook.host, webhook.port)
            await asyncio.Event().wait()

        return Entrance(server, listen)

    def _key_of(self, raw: Mapping[str, Any]) -> Hashable:
        """What keeps its order: the family of the chat, or a chat that has none."""
        chat = chat_of(raw)
        return self._store.family_of_chat(chat) or chat

    async def _run_parts(
        self, entrance: Entrance, service: Service, outbox: Outbox, door: Door
    ) -> int:
        """Everything side by side until one of them fails or a signal comes."""
        lost = await asyncio.to_thread(self._store.unreadable)
        if lost:
            _log.error("records that cannot be read: %s; nobody new may join", ", ".join(lost))
            outbox.offer(service.lost(lost))
        for family in await asyncio.to_thread(service.waiting):
            outbox.offer(await asyncio.to_thread(service.ready, family))
        ticker = Ticker(service, outbox.offer, self._place.tick_seconds)
        ticker.start()
        receiving = asyncio.ensure_future(entrance.run())
        sending = asyncio.ensure_future(outbox.run())
        watching = asyncio.ensure_future(self._watch(entrance, outbox, door))
        parts = {receiving, sending, watching}
        stopping = asyncio.ensure_future(self._stop.wait())
        _log.warning("serving")
        try:
            await asyncio.wait({*parts, stopping}, return_when=asyncio.FIRST_COMPLETED)
        finally:
            ticker.stop()
            await self._wind_up(entrance, outbox, {*parts, stopping})
            await asyncio.to_thread(service.tidy, _TIDIED)
        for part in parts:
            if not part.cancelled() and (error := part.exception()) is not None:
                raise error
        return STOPPED

    async def _wind_up(
        self, entrance: Entrance, outbox: Outbox, parts: set[asyncio.Future[Any]]
    ) -> None:
        """Finish what is in hand: first what came in, then the answers to it."""
        loop = asyncio.get_running_loop()
        end = loop.time() + _GRACE
        await entrance.door.stop(_GRACE / 2)
        await outbox.finish(max(end - loop.time(), 0.1))
        for part in parts:
            part.cancel()
        await asyncio.gather(*parts, return_exceptions=True)

    async def _watch(self, entrance: Entrance, outbox: Outbox, door: Door) -> None:
        """Tell the health file how things stand; a disk that is full is said once."""
        told = False
        while True:
            success = entrance.door.last_success
            if success is not None:
                health = keep.Health(success.wall, outbox.waiting, door.set_aside_count)
                try:
                    await asyncio.to_thread(keep.write_health, self._place.folder, health)
                    told = False
                except OSError as error:
                    if not told:
                        _log.error("health cannot be written (%s)", type(error).__name__)
                    told = True
            await asyncio.sleep(_HEALTH_EVERY)

    def _address(self) -> Address | None:
        webhook = self._place.settings.webhook
        return Address(webhook.url, secret_of(webhook)) if webhook else None

    async def _before_stop(self, work: asyncio.Future[Any]) -> bool:
        """Whether the work ended before a signal to stop; it is given up otherwise."""
        stopping = asyncio.ensure_future(self._stop.wait())
        await asyncio.wait({work, stopping}, return_when=asyncio.FIRST_COMPLETED)
        stopping.cancel()
        if work.done():
            return True
        work.cancel()
        await asyncio.gather(work, return_exceptions=True)
        return False

    def _catch_signals(self) -> None:
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
            loop.add_signal_handler(number, self._stop.set)


def _rates(rates: config.Rates) -> Rates:
    """The limits with a tenth kept for answers."""
    return Rates(
        rates.overall, max(rates.overall // 10, 1), rates.chat, max(3, rates.chat), rates.group
    )


def _ended(code: int, why: str) -> int:
    _log.error("ended: %s", why)
    return code
