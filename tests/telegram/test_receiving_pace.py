"""How receiving spends memory, requests and the last seconds before it stops."""

from __future__ import annotations

import asyncio
import time
from pathlib import Path

import stand_in_support as updates
from receiving_support import POLLING, TRIES, Station, Update, until, words_of
from stand_in import StandIn

from armbot.channels.telegram.receiving import MOST_IN_HAND, Tries


def test_memory_stays_bounded_while_twenty_thousand_wait() -> None:
    """A hung chat holds up nobody for long, and what waits stays at the server (under 60 MB)."""

    async def scene() -> None:
        async def serve(raw: Update) -> None:
            if words_of(raw) == "stuck":
                await asyncio.Event().wait()

        async with StandIn() as server:
            server.push(updates.text(1, "stuck"))
            server.push(*(updates.text(2 + n % 500, "hi") for n in range(20_000)))
            station = Station(server, serve)
            before, most = resident(), 0
            async with station.receiving(Tries(hurried=0.2, pauses=(0.05,))) as receiver:
                began = time.monotonic()
                while len(station.words) < 20_000 and time.monotonic() - began < 30:
                    await asyncio.sleep(0.01)
                    most = max(most, receiver.in_hand)
            assert len(station.words) == 20_000
            assert len(station.aside) == 1
            assert 0 < most <= MOST_IN_HAND
            assert resident() - before < 60 * 2**20

    asyncio.run(scene())


def resident() -> int:
    """Bytes of memory that this process holds."""
    return int(Path("/proc/self/statm").read_text("ascii").split()[1]) * 4096


def test_it_does_not_spin_while_something_is_in_hand() -> None:
    """The server answers at once then; the receiver takes a breath between requests."""

    async def scene() -> None:
        async def hang(_raw: Update) -> None:
            await asyncio.Event().wait()

        async with StandIn() as server:
            server.push(updates.text(1, "stuck"))
            async with Station(server, hang).receiving(Tries()) as receiver:
                await until(lambda: receiver.in_hand == 1)
                await asyncio.sleep(0.5)
            assert 4 < len(server.calls_of("getUpdates")) < 25

    asyncio.run(scene())


def test_it_asks_for_the_kinds_it_needs_and_waits_for_them() -> None:
    """Blocking is not among Telegram's default kinds; an idle receiver asks once a hold."""

    async def scene() -> None:
        async with StandIn() as server:
            async with Station(server).receiving() as receiver:
                await until(lambda: receiver.last_success, 2)
                assert receiver.silent_for() < 1
            polls = server.calls_of("getUpdates")
            assert len(polls) <= 3
            kinds = "message edited_message callback_query my_chat_member".split()
            assert polls[0].said["allowed_updates"] == kinds
            assert polls[0].said["timeout"] == POLLING.hold

    asyncio.run(scene())


def test_stopping_finishes_what_is_in_hand_and_confirms_only_that() -> None:
    """Within the grace; what hangs is let go unconfirmed, and comes again."""

    async def scene() -> None:
        async def serve(raw: Update) -> None:
            await asyncio.sleep(9 if words_of(raw) == "stuck" else 0.1)

        async with StandIn() as server:
            station = Station(server, serve)
            done, stuck = server.push(updates.text(1, "done"), updates.text(2, "stuck"))
            async with station.receiving(Tries()) as receiver:
                await until(lambda: receiver.in_hand == 2)
                began = time.monotonic()
                await receiver.stop(0.4)
                assert time.monotonic() - began < 2
                assert receiver.in_hand == 0
            assert station.words == ["done"]
            assert server.confirmed == [done]
            assert [update["update_id"] for update in server.pending] == [stuck]

    asyncio.run(scene())


def test_stopping_an_idle_receiver_takes_no_time() -> None:
    """The open request is given up, and so are its retries."""

    async def scene() -> None:
        async with StandIn() as server, Station(server).receiving(TRIES) as receiver:
            await until(lambda: server.calls_of("getUpdates"))
            began = time.monotonic()
            await receiver.stop(3)
            assert time.monotonic() - began < 0.8

    asyncio.run(scene())
