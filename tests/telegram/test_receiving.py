"""Receiving: confirmed after the commit, in order within a chat, nothing lost, none twice."""

from __future__ import annotations

import asyncio
import random
import time
from collections import Counter, defaultdict
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise

import stand_in_support as updates
from receiving_support import POLLING, Station, Update, until, words_of
from stand_in import StandIn

from armbot.channels.telegram.buttons import ButtonKey
from armbot.channels.telegram.parsing import parse
from armbot.channels.telegram.receiving import Tries


def test_an_update_is_confirmed_only_after_it_was_handled() -> None:
    """While the handler works the server keeps the update; afterwards it may forget it."""

    async def scene() -> None:
        async with StandIn() as server:
            go_on = asyncio.Event()

            async def serve(_raw: Update) -> None:
                await go_on.wait()

            station = Station(server, serve)
            async with station.receiving(Tries()):
                (number,) = server.push(updates.text(1, "62 tue"))
                await asyncio.sleep(0.2)
                assert (server.confirmed, len(server.pending)) == ([], 1)
                go_on.set()
                await until(lambda: server.confirmed == [number])

    asyncio.run(scene())


def test_what_was_in_hand_when_the_process_died_comes_again() -> None:
    """Ten updates fetched, none finished, the receiver killed: the next one gets all ten."""

    async def scene() -> None:
        async with StandIn() as server:

            async def hang(_raw: Update) -> None:
                await asyncio.Event().wait()

            server.push(*(updates.text(1, f"n{n}") for n in range(10)))
            async with Station(server, hang).receiving(Tries()) as receiver:
                await until(lambda: receiver.in_hand == 10)
            after = Station(server)
            async with after.receiving():
                await until(lambda: len(server.confirmed) == 10)
            assert after.words == [f"n{n}" for n in range(10)]

    asyncio.run(scene())


def test_what_was_written_while_the_bot_was_down_is_answered_in_order() -> None:
    """Nothing is thrown away at the start: fifty messages that waited are all handled."""

    async def scene() -> None:
        async with StandIn() as server:
            server.push(*(updates.text(1, f"n{n}") for n in range(50)))
            station = Station(server)
            async with station.receiving():
                await until(lambda: len(server.confirmed) == 50)
            assert station.words == [f"n{n}" for n in range(50)]
            assert not server.world.dropped

    asyncio.run(scene())


def test_one_chat_in_order_and_many_chats_side_by_side() -> None:
    """Random delays change no order within a chat, and the whole takes far less than their sum."""

    async def scene() -> None:
        chance = random.Random(7)  # noqa: S311 - a test's delays
        delays = {f"{chat}.{n}": chance.uniform(0, 0.02) for chat in range(30) for n in range(8)}

        async def serve(raw: Update) -> None:
            await asyncio.sleep(delays[words_of(raw)])

        async with StandIn() as server:
            for n in range(8):
                server.push(*(updates.text(chat + 1, f"{chat}.{n}") for chat in range(30)))
            station = Station(server, serve)
            async with station.receiving():
                took = await until(lambda: len(station.words) == 240)
        by_chat = defaultdict(list)
        for words in station.words:
            by_chat[words.partition(".")[0]].append(words)
        assert all(said == sorted(said) for said in by_chat.values())
        assert took < sum(delays.values()) / 2

    asyncio.run(scene())


def test_a_handler_that_hangs_stops_nobody_else() -> None:
    """It is timed out, tried once more and set aside; the other chat is served meanwhile."""

    async def scene() -> None:
        tries = Counter[str]()

        async def serve(raw: Update) -> None:
            tries[words_of(raw)] += 1
            if words_of(raw) == "stuck":
                await asyncio.Event().wait()

        async with StandIn() as server:
            station = Station(server, serve)
            (stuck, *_) = server.push(
                updates.text(1, "stuck"), updates.text(1, "next"), updates.text(2, "other")
            )
            async with station.receiving():
                await until(lambda: station.words == ["other"])
                assert station.aside == []
                await until(lambda: station.words == ["other", "next"])
            assert station.aside == [(stuck, "did not end in time, 2 times")]
            assert tries["stuck"] == 2

    asyncio.run(scene())


def test_a_handler_that_ignores_being_cancelled_is_left_behind() -> None:
    """Even code that catches the cancellation cannot keep its chat waiting for ever."""

    async def scene() -> None:
        free = asyncio.Event()

        async def serve(raw: Update) -> None:
            while words_of(raw) == "stuck" and not free.is_set():
                try:
                    await free.wait()
                except asyncio.CancelledError:
                    continue

        async with StandIn() as server:
            station = Station(server, serve)
            server.push(updates.text(1, "stuck"), updates.text(1, "next"))
            async with station.receiving(Tries(timeout=0.05, hangs=1)):
                await until(lambda: station.words == ["next"])
                free.set()

    asyncio.run(scene())


def test_what_fails_once_is_tried_again() -> None:
    """A passing fault costs no message, and nothing is set aside for it."""

    async def scene() -> None:
        tries = Counter[str]()

        async def serve(raw: Update) -> None:
            tries[words_of(raw)] += 1
            if tries[words_of(raw)] <= 2:
                raise OSError("busy")

        async with StandIn() as server:
            station = Station(server, serve)
            server.push(updates.text(1, "sore"))
            async with station.receiving():
                await until(lambda: len(server.confirmed) == 1)
            assert (station.words, station.aside) == (["sore"], [])

    asyncio.run(scene())


def test_what_always_fails_is_set_aside_after_growing_pauses() -> None:
    """Four attempts; the reason names the error and its place, and no word of the family."""

    async def scene() -> None:
        times = []

        async def serve(raw: Update) -> None:
            times.append(time.monotonic())
            raise ValueError(words_of(raw))

        async with StandIn() as server:
            station = Station(server, serve)
            server.push(updates.text(1, "Sam's elbow"))
            async with station.receiving(Tries(pauses=(0.02, 0.06, 0.18))):
                await until(lambda: len(server.confirmed) == 1)
        gaps = [later - earlier for earlier, later in pairwise(times)]
        assert len(times) == 4
        assert gaps == sorted(gaps)
        ((_, reason),) = station.aside
        assert reason.startswith("ValueError at test_receiving.py:")
        assert "elbow" not in reason

    asyncio.run(scene())


def test_an_update_that_cannot_be_read_stops_no_other() -> None:
    """It is set aside at once, between two that are handled, and never tried again."""

    async def scene() -> None:
        key, tries = ButtonKey(b"a secret of 16 bytes or more"), Counter[int]()

        async def serve(raw: Update) -> None:
            tries[raw["update_id"]] += 1
            parse(raw, key, datetime.now(UTC))

        async with StandIn() as server:
            station = Station(server, serve)
            sent = [updates.text(1, "one"), updates.malformed(1), updates.text(1, "two")]
            _, broken, _ = server.push(*sent)
            async with station.receiving():
                await until(lambda: len(server.confirmed) == 3)
            assert station.words == ["one", "two"]
            assert [number for number, _ in station.aside] == [broken]
            assert tries[broken] == 1

    asyncio.run(scene())


def test_what_cannot_be_set_aside_is_not_confirmed() -> None:
    """On a full disk the update stays at the server; once there is room it is set aside."""

    async def scene() -> None:
        async def fail(_raw: Update) -> None:
            raise OSError(28, "No space left on device")

        async with StandIn() as server:
            station = Station(server, fail, disk_full=True)
            (number,) = server.push(updates.text(1, "sore"))
            async with station.receiving() as receiver:
                await asyncio.sleep(0.4)
                assert (server.confirmed, receiver.in_hand) == ([], 1)
                assert receiver.stuck_for() > 0.2
                station.disk_full = False
                await until(lambda: server.confirmed == [number])
            assert station.aside[0][0] == number

    asyncio.run(scene())


def test_an_update_without_an_id_is_set_aside_once() -> None:
    """It cannot be confirmed; it is passed over from then on, without a storm of requests."""

    async def scene() -> None:
        async with StandIn() as server:
            station = Station(server)
            server.push({"update_id": None, "message": {}}, updates.text(1, "one"))
            async with station.receiving():
                await until(lambda: len(server.confirmed) == 1)
                polls = len(server.calls_of("getUpdates"))
                await asyncio.sleep(0.3)
                assert len(server.calls_of("getUpdates")) - polls < 15
            assert station.aside == [(0, "no update_id")]
            assert station.words == ["one"]

    asyncio.run(scene())


def test_the_same_update_three_times_and_out_of_order_has_one_effect() -> None:
    """Duplicates are known by their number, whatever the order they come in."""

    async def scene() -> None:
        async with StandIn() as server:
            made = [{"update_id": 50 + n, **updates.text(n % 3, f"n{n}")} for n in range(9)]
            thrice = [*made, *reversed(made), *made]
            server.push(*thrice)
            station = Station(server)
            async with station.receiving():
                await until(lambda: not server.pending)
            assert sorted(station.words) == [f"n{n}" for n in range(9)]

    asyncio.run(scene())


def test_numbers_that_begin_anew_after_a_quiet_week_lose_nothing() -> None:
    """A far lower number and one just below the last are both handled: no offset is sent twice."""

    async def scene() -> None:
        async with StandIn() as server:
            station = Station(server)
            async with station.receiving(polling=replace(POLLING, hold=0)):
                for number in (900_000_000, 500, 497, 899_000_000):
                    server.push({"update_id": number, **updates.text(1, f"n{number}")})
                    said = f"n{number}"
                    await until(lambda said=said: station.words[-1:] == [said])  # type: ignore[misc]
                    await until(lambda: not server.pending)
                    await until(lambda: "offset" not in server.calls_of("getUpdates")[-1].said)

    asyncio.run(scene())
