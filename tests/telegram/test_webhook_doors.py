"""Webhook mode keeps everybody else than Telegram out, and says nothing to them."""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import AsyncIterator

import pytest
import stand_in_support as updates
from receiving_support import Station, Update, words_of
from stand_in import StandIn
from webhook_support import SECRET, calling, numbered

from armbot.channels.telegram import webhook as webhook_module
from armbot.channels.telegram.webhook import BODY_BYTES, SECRET_HEADER, Webhook


@pytest.mark.parametrize("secret", ["", "wrong", SECRET + "x", SECRET[:-1], "ü"])
def test_who_does_not_know_the_secret_is_refused(secret: str) -> None:
    """Nothing is read of what they send, and they are not told why."""

    async def scene() -> None:
        station = Station(StandIn())
        async with calling(station) as (caller, _):
            body = json.dumps(numbered(1, updates.text(5, "sore"))).encode()
            assert await caller.send(body, secret=secret) == 403
        assert station.words == []

    asyncio.run(scene())


@pytest.mark.parametrize(
    ("kind", "status"),
    [
        ("application/json", 200),
        ("application/json; charset=utf-8", 200),
        ("text/plain", 415),
        ("application/x-www-form-urlencoded", 415),
    ],
)
def test_only_json_is_taken(kind: str, status: int) -> None:
    """With or without a charset."""

    async def scene() -> None:
        async with calling(Station(StandIn())) as (caller, _):
            body = json.dumps(numbered(1, updates.text(5, "sore"))).encode()
            assert await caller.send(body, kind=kind) == status

    asyncio.run(scene())


def test_a_body_too_large_is_refused_unread() -> None:
    """One megabyte is more than any update."""

    async def scene() -> None:
        station = Station(StandIn())
        async with calling(station) as (caller, _):
            assert await caller.send(b" " * (BODY_BYTES + 1)) == 413
            assert await caller.post(numbered(1, updates.text(5, "sore"))) == 200
        assert station.aside == []

    asyncio.run(scene())


def test_a_body_that_does_not_come_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever sends a byte now and then holds nothing open."""

    async def scene() -> None:
        async def dribble() -> AsyncIterator[bytes]:
            for _ in range(20):
                yield b" "
                await asyncio.sleep(0.05)

        async with calling(Station(StandIn())) as (caller, _):
            headers = {"Content-Type": "application/json", SECRET_HEADER: SECRET}
            async with caller.session.post(caller.url, data=dribble(), headers=headers) as answer:
                assert answer.status == 408

    monkeypatch.setattr(webhook_module, "BODY_SECONDS", 0.1)
    asyncio.run(scene())


def test_other_doors_are_shut() -> None:
    """No other path and no other method says anything."""

    async def scene() -> None:
        async with calling(Station(StandIn())) as (caller, _):
            async with caller.session.get(caller.url) as answer:
                assert answer.status == 405
            async with caller.session.post(caller.url + "/x", data=b"{}") as answer:
                assert answer.status == 404

    asyncio.run(scene())


def test_nothing_of_it_is_logged(caplog: pytest.LogCaptureFixture) -> None:
    """Neither words nor the secret, whatever happens."""

    async def scene() -> None:
        async def serve(raw: Update) -> None:
            raise ValueError(words_of(raw))

        async with calling(Station(StandIn(), serve)) as (caller, _):
            await caller.insist(numbered(1, updates.text(5, "Sam's elbow")))
            await caller.send(b"Sam's elbow")
            await caller.send(b"{}", "Sam's elbow")

    with caplog.at_level(logging.INFO):
        asyncio.run(scene())
    assert caplog.records
    assert not any("elbow" in line or SECRET in line for line in caplog.text.splitlines())


def test_a_webhook_without_a_secret_is_refused() -> None:
    """Anybody could send updates to it."""
    with pytest.raises(ValueError, match="secret"):
        Webhook(Station(StandIn()).handle, lambda *_: None, secret="")
