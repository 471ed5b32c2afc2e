"""Webhook mode: Telegram hears 200 only after the commit, and whatever failed comes again."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime

import pytest
import stand_in_support as updates
from receiving_support import Station, Update, until, words_of
from stand_in import StandIn
from webhook_support import calling, numbered

from armbot.channels.telegram import webhook as webhook_module
from armbot.channels.telegram.buttons import ButtonKey
from armbot.channels.telegram.parsing import parse
from armbot.channels.telegram.receiving import Tries


def test_an_update_is_taken_only_after_it_was_handled() -> None:
    """Nothing is answered while the handler works, so a crash then loses nothing."""

    async def scene() -> None:
        go_on = asyncio.Event()

        async def serve(_raw: Update) -> None:
            await go_on.wait()

        station = Station(StandIn(), serve)
        async with calling(station, Tries()) as (caller, webhook):
            answer = asyncio.create_task(caller.post(numbered(1, updates.text(5, "sore"))))
            await asyncio.sleep(0.1)
            assert (answer.done(), webhook.in_hand, webhook.last_success) == (False, 1, None)
            go_on.set()
            assert await answer == 200
            assert webhook.last_success
            assert webhook.silent_for() < 1

    asyncio.run(scene())


@pytest.mark.parametrize("hang", [False, True], ids=["raises", "hangs"])
def test_what_failed_is_asked_for_again(*, hang: bool) -> None:
    """5xx makes Telegram repeat; the second time it is handled, once."""

    async def scene() -> None:
        seen: list[str] = []

        async def serve(raw: Update) -> None:
            seen.append(words_of(raw))
            if len(seen) == 1:
                await asyncio.sleep(9 if hang else 0)
                raise OSError("busy")

        station = Station(StandIn(), serve)
        async with calling(station) as (caller, _):
            assert await caller.insist(numbered(1, updates.text(5, "sore"))) == 2
        assert caller.answers == [500, 200]
        assert (station.words, station.aside) == (["sore"], [])

    asyncio.run(scene())


def test_what_always_fails_is_set_aside_and_taken() -> None:
    """After as many attempts as elsewhere, so that it does not slow down all others."""

    async def scene() -> None:
        async def serve(_raw: Update) -> None:
            raise ValueError("Sam's elbow")

        station = Station(StandIn(), serve)
        async with calling(station) as (caller, _):
            assert await caller.insist(numbered(3, updates.text(5, "sore"))) == 3
        ((number, reason),) = station.aside
        assert number == 3
        assert "elbow" not in reason

    asyncio.run(scene())


def test_what_cannot_be_set_aside_is_not_taken() -> None:
    """On a full disk the update stays with Telegram."""

    async def scene() -> None:
        station = Station(StandIn(), disk_full=True)
        async with calling(station) as (caller, _):
            assert await caller.send(b"{") == 500
            station.disk_full = False
            assert await caller.send(b"{") == 200

    asyncio.run(scene())


def test_an_update_that_cannot_be_read_stops_no_other() -> None:
    """Malformed, no JSON, no number: set aside at once and taken; the next is served."""

    async def scene() -> None:
        key = ButtonKey(b"a secret of 16 bytes or more")

        async def serve(raw: Update) -> None:
            parse(raw, key, datetime.now(UTC))

        station = Station(StandIn(), serve)
        async with calling(station) as (caller, _):
            await caller.post(numbered(1, updates.malformed(5)))
            await caller.send(b'{"update_id": 2, "mess')
            await caller.send(b"[" * 100_000)
            await caller.post({"message": {"text": "hi"}})
            await caller.post(numbered(4, updates.text(5, "sore")))
        assert caller.answers == [200] * 5
        assert [number for number, _ in station.aside] == [1, 0, 0, 0]
        assert station.words == ["sore"]

    asyncio.run(scene())


def test_the_same_update_twice_has_one_effect() -> None:
    """Sent again while the first is still in hand, and after it was taken."""

    async def scene() -> None:
        async def serve(_raw: Update) -> None:
            await asyncio.sleep(0.05)

        station = Station(StandIn(), serve)
        async with calling(station) as (caller, _):
            update = numbered(1, updates.text(5, "sore"))
            await asyncio.gather(caller.post(update), caller.post(update))
            await caller.post(update)
        assert caller.answers == [200, 200, 200]
        assert station.words == ["sore"]

    asyncio.run(scene())


def test_one_chat_in_order_and_others_beside_it() -> None:
    """The second message of a chat waits for its first; another chat does not."""

    async def scene() -> None:
        go_on = asyncio.Event()

        async def serve(raw: Update) -> None:
            if words_of(raw) == "first":
                await go_on.wait()

        station = Station(StandIn(), serve)
        async with calling(station, Tries()) as (caller, webhook):
            calls = []
            for number, (chat, words) in enumerate([(5, "first"), (5, "second"), (6, "other")]):
                update = numbered(number, updates.text(chat, words))
                calls.append(asyncio.create_task(caller.post(update)))
                await until(lambda n=number: webhook.in_hand + len(station.words) > n)  # type: ignore[misc]
            await until(lambda: station.words == ["other"])
            go_on.set()
            await asyncio.gather(*calls)
        assert station.words == ["other", "first", "second"]

    asyncio.run(scene())


def test_a_caller_is_answered_before_it_gives_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """The update stays in hand; sent again, it is taken once it has been handled."""

    async def scene() -> None:
        async def serve(_raw: Update) -> None:
            await asyncio.sleep(0.12)

        station = Station(StandIn(), serve)
        async with calling(station, Tries()) as (caller, _):
            assert await caller.insist(numbered(1, updates.text(5, "sore"))) == 3
        assert caller.answers == [503, 503, 200]
        assert station.words == ["sore"]

    monkeypatch.setattr(webhook_module, "ANSWER_SECONDS", 0.05)
    asyncio.run(scene())


def test_stopping_finishes_what_is_in_hand() -> None:
    """Within the grace; what hangs is answered 500 and so comes again."""

    async def scene() -> None:
        async def serve(raw: Update) -> None:
            await asyncio.sleep(9 if words_of(raw) == "stuck" else 0.1)

        station = Station(StandIn(), serve)
        async with calling(station, Tries()) as (caller, webhook):
            done = asyncio.create_task(caller.post(numbered(1, updates.text(5, "done"))))
            stuck = asyncio.create_task(caller.post(numbered(2, updates.text(6, "stuck"))))
            await until(lambda: webhook.in_hand == 2)
            await webhook.stop(0.5)
            assert (await done, await stuck) == (200, 500)

    asyncio.run(scene())
