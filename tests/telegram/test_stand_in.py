"""The stand-in server is as strict as the real one, or the tests built on it would prove little."""

from __future__ import annotations

import asyncio
import json
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

import pytest
import stand_in_support as updates
from stand_in import TOKEN, StandIn
from stand_in_control import Remote
from stand_in_rules import Limits, RefusedError
from telegram import InlineKeyboardButton, InlineKeyboardMarkup
from telegram.error import BadRequest, Conflict, TelegramError

from armbot.channels.telegram.client import make_bot

SCRIPT = Path(__file__).with_name("stand_in.py")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("<b>62</b> pitches", "62 pitches"),
        ("<b>a <i>b</i></b>", "a b"),
        ("1 &lt; 2 &amp; 3", "1 < 2 & 3"),
        ("😀" * 2048, "😀" * 2048),
        ("<b>" + "x" * 4096 + "</b>", "x" * 4096),
    ],
)
def test_what_is_well_formed_is_shown(text: str, shown: str) -> None:
    """Tags do not count, and length is in UTF-16 units (from memory)."""

    async def scene() -> None:
        async with StandIn() as server, make_bot(TOKEN, server.url, 4) as bot:
            await bot.send_message(5, text, parse_mode="HTML")
            assert server.sent[0].shown == shown

    asyncio.run(scene())


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "text is empty"),
        ("<b> </b>", "text is empty"),
        ("x" * 4097, "too long"),
        ("😀" * 2049, "too long"),
        ("<b>open", "parse entities"),
        ("<b><i>x</b></i>", "parse entities"),
        ("5 < 6", "parse entities"),
        ("<table>", "parse entities"),
        ("x</b>", "parse entities"),
    ],
)
def test_what_telegram_refuses_is_refused(text: str, problem: str) -> None:
    """Bot API, "Formatting options" and sendMessage."""

    async def scene() -> None:
        async with StandIn() as server, make_bot(TOKEN, server.url, 4) as bot:
            with pytest.raises(BadRequest, match=f"(?i){problem}"):
                await bot.send_message(5, text, parse_mode="HTML")
            assert server.sent == []

    asyncio.run(scene())


@pytest.mark.parametrize(("size", "taken"), [(64, True), (65, False)])
def test_what_a_button_sends_back_has_64_bytes(size: int, *, taken: bool) -> None:
    """Bot API, InlineKeyboardButton; the library itself does not look."""

    async def scene() -> None:
        buttons = InlineKeyboardMarkup([[InlineKeyboardButton("Yes", callback_data="x" * size)]])
        async with StandIn() as server, make_bot(TOKEN, server.url, 4) as bot:
            try:
                await bot.send_message(5, "?", reply_markup=buttons)
            except BadRequest as error:
                assert "data" in error.message.lower()  # noqa: PT017 - both ends are right
            assert [sent.buttons for sent in server.sent] == ([["x" * size]] if taken else [])

    asyncio.run(scene())


def test_an_update_is_kept_until_a_higher_offset_confirms_it() -> None:
    """Bot API, getUpdates; a second poll ends the first with 409."""

    async def scene() -> None:
        async with StandIn() as server, make_bot(TOKEN, server.url, 4) as bot:
            first, second = server.push(updates.text(5, "a"), updates.text(5, "b"))
            assert len(await bot.get_updates()) == len(await bot.get_updates()) == 2
            assert [u.update_id for u in await bot.get_updates(offset=second)] == [second]
            assert server.confirmed == [first]
            assert await bot.get_updates(offset=second + 1) == ()
            waiting = asyncio.create_task(bot.get_updates(timeout=9))
            await asyncio.sleep(0.05)
            await bot.get_updates()
            with pytest.raises(Conflict):
                await waiting

    asyncio.run(scene())


def test_sending_too_fast_is_refused_with_a_time_to_wait() -> None:
    """30 a second in all, 1 a second to a chat after a few at once, 20 a minute to a group."""
    limits = Limits()
    assert _taken(limits, [1] * 9, 0.0) == limits.burst
    assert _taken(limits, range(2, 99), 0.0) == 30 - limits.burst
    assert _taken(limits, [1, 1], 1.0) == 1
    patient = Limits(burst=99)
    assert sum(_taken(patient, [-5], float(second)) for second in range(70)) == 20 + 10


def _taken(limits: Limits, chats: Iterable[int], now: float) -> int:
    """How many of the messages to these chats are taken at that time."""
    taken, waits = 0, []
    for chat in chats:
        try:
            limits.check(chat, now)
            taken += 1
        except RefusedError as refused:
            waits.append(refused.parameters["retry_after"])
    assert all(wait >= 1 for wait in waits)
    return taken


def test_as_a_process_it_is_steered_through_its_door() -> None:
    """It outlives the bot: what was pushed, sent and confirmed can be asked for at any time."""
    with subprocess.Popen([sys.executable, SCRIPT], stdout=subprocess.PIPE) as process:
        try:
            assert process.stdout
            told = json.loads(process.stdout.readline())
            asyncio.run(_steered(told["url"], Remote(told["url"])))
        finally:
            process.terminate()


async def _steered(url: str, door: Remote) -> None:
    tell = door.tell
    async with make_bot(TOKEN, url, 4) as bot:
        await asyncio.to_thread(tell, "push", {"updates": [updates.text(5, "sore")]})
        (update,) = await bot.get_updates()
        await bot.get_updates(offset=update.update_id + 1)
        await bot.send_document(5, b"date,pitches", filename="log.csv")
        await asyncio.to_thread(tell, "fault", {"method": "sendMessage", "how": "drop", "count": 1})
        await asyncio.to_thread(tell, "chat", {"chat": 6, "state": "blocked"})
        for chat in (5, 6):
            with pytest.raises(TelegramError):
                await bot.send_message(chat, "hi")
    state = await asyncio.to_thread(door.ask, "state")
    assert (state["pushed"], state["confirmed"], state["pending"]) == (1, 1, [])
    sent = await asyncio.to_thread(door.ask, "sent?since=0")
    assert [message["method"] for message in sent] == ["sendDocument", "sendMessage"]
    assert sent[0]["files"]["document"][0] == "log.csv"
