"""The start: patient with the line, at once clear about a wrong token, and nothing thrown away."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Mapping
from typing import Any

import pytest
import stand_in_support as updates
from receiving_support import until
from stand_in import TOKEN, StandIn
from stand_in_state import BOT

from armbot.channels.telegram.client import make_bot
from armbot.channels.telegram.starting import (
    Address,
    Hello,
    Menus,
    SettingRefused,
    TokenRefused,
    Unreachable,
    hello,
)

MENUS: Menus = {
    "en": {"start": "Begin", "help": "What I can do"},
    "es": {"start": "Empezar", "help": "Lo que sé hacer"},
}
QUICK = Hello(first_pause=0.02)
ADDRESS = Address("https://clinic.example/telegram", "secret-of-the-webhook")


async def start(
    server: StandIn, token: str = TOKEN, patience: Hello = QUICK, **told: Any
) -> str | None:
    """Say hello, and give the name of who we are."""
    bot = make_bot(token, server.url, 4)
    try:
        me = await hello(bot, patience, **{"menus": MENUS, **told})
        return me.username
    finally:
        await bot.shutdown()


def test_it_says_who_it_is_and_sets_the_menu_in_both_languages() -> None:
    """English is the default of all other languages."""

    async def scene() -> None:
        async with StandIn() as server:
            assert await start(server) == BOT["username"]
            menus = server.world.commands
        assert [entry["command"] for entry in menus["default", ""]] == ["start", "help"]
        assert menus["default", "es"][0]["description"] == "Empezar"
        assert len(menus) == 2

    asyncio.run(scene())


def test_polling_takes_a_webhook_away_and_keeps_what_waits() -> None:
    """What families wrote during an outage is not dropped."""

    async def scene() -> None:
        async with StandIn() as server:
            server.world.webhook = {"url": "https://old.example"}
            server.push(updates.text(1, "sore"))
            await start(server)
            assert server.world.webhook == {}
            assert (len(server.pending), server.world.dropped) == (1, False)

    asyncio.run(scene())


def test_webhook_mode_tells_the_address_the_secret_and_the_kinds() -> None:
    """And keeps what waits as well."""

    async def scene() -> None:
        async with StandIn() as server:
            server.push(updates.text(1, "sore"))
            await start(server, webhook=ADDRESS)
            webhook = server.world.webhook
            assert (webhook["url"], webhook["secret_token"]) == (ADDRESS.url, ADDRESS.secret)
            assert "my_chat_member" in webhook["allowed_updates"]
            assert (len(server.pending), server.world.dropped) == (1, False)

    asyncio.run(scene())


@pytest.mark.parametrize("token", [TOKEN[:-1] + "x", "nonsense"], ids=["401", "404"])
def test_a_wrong_token_is_said_at_once_and_never_shown(
    token: str, caplog: pytest.LogCaptureFixture
) -> None:
    """One request, a plain message, and no token in it or in the log."""

    async def scene() -> int:
        async with StandIn() as server:
            with pytest.raises(TokenRefused, match="Check the token") as raised:
                await start(server, token)
            assert token not in str(raised.value)
            return len(server.calls)

    with caplog.at_level(logging.INFO, "armbot"):
        assert asyncio.run(scene()) == 1
    assert token not in caplog.text


@pytest.mark.parametrize(
    "fault",
    [
        {"how": "page"},
        {"how": "garbage"},
        {"how": "refuse"},
        {"code": 500},
    ],
    ids=["page", "garbage", "cut", "500"],
)
@pytest.mark.parametrize("method", ["getMe", "deleteWebhook", "setMyCommands"])
def test_a_passing_fault_is_waited_out(
    fault: Mapping[str, Any], method: str, caplog: pytest.LogCaptureFixture
) -> None:
    """Whichever request it hits; two log lines, for its beginning and its end."""

    async def scene() -> None:
        async with StandIn() as server:
            server.fault(method, **fault, count=2)
            await start(server)
            assert len(server.world.commands) == 2

    with caplog.at_level(logging.INFO, "armbot"):
        asyncio.run(scene())
    assert [record.getMessage()[:16] for record in caplog.records] == [
        "starting: troubl",
        "starting: works ",
    ]


def test_a_line_that_is_down_is_waited_for() -> None:
    """No server at all: it goes on asking, and begins when there is one."""

    async def scene() -> None:
        server = StandIn()
        await server.start()
        await server.stop()
        starting = asyncio.create_task(start(server))
        await asyncio.sleep(0.2)
        assert not starting.done()
        await server.start()
        assert await starting == BOT["username"]
        await server.stop()

    asyncio.run(scene())


def test_a_server_that_never_answers_is_given_up_when_told_so() -> None:
    """With a limit set, a clear error ends the process."""

    async def scene() -> None:
        async with StandIn() as server:
            server.fault("getMe", "deaf")
            with pytest.raises(Unreachable, match="asking who we are: no answer"):
                await start(server, patience=Hello(0.02, give_up_after=0.3, answer=0.1))
            await until(lambda: len(server.calls_of("getMe")) > 1, 1)

    asyncio.run(scene())


def test_an_address_that_telegram_does_not_take_is_named() -> None:
    """Telegram's own words say what is wrong with it."""

    async def scene() -> None:
        async with StandIn() as server:
            told = "Bad Request: bad webhook: HTTPS url must be provided for webhook"
            server.fault("setWebhook", code=400, description=told)
            with pytest.raises(SettingRefused, match=r"updates come.*url must be provided"):
                await start(server, webhook=ADDRESS)

    asyncio.run(scene())


@pytest.mark.parametrize(
    ("menu", "problem"),
    [
        ({"Start": "x"}, "/Start"),
        ({"x" * 33: "x"}, "1 to 32"),
        ({"start": ""}, "describe"),
        ({"start": "x" * 257}, "describe"),
        ({f"c{n}": "x" for n in range(101)}, "100 commands"),
    ],
)
def test_a_menu_that_telegram_would_refuse_never_leaves(
    menu: Mapping[str, str], problem: str
) -> None:
    """Limits: Bot API, setMyCommands and BotCommand."""

    async def scene() -> None:
        async with StandIn() as server:
            with pytest.raises(ValueError, match=problem):
                await start(server, menus={"en": menu})
            assert server.calls == []

    asyncio.run(scene())


@pytest.mark.parametrize("secret", ["", "x" * 257, "two words", "ü"])
def test_a_webhook_secret_of_other_signs_is_refused(secret: str) -> None:
    """Bot API, setWebhook: 1 to 256 of A-Z a-z 0-9 _ -."""
    with pytest.raises(ValueError, match="secret"):
        Address("https://clinic.example", secret)


def test_an_address_does_not_show_its_secret() -> None:
    """Not even where a whole object is logged."""
    assert ADDRESS.secret not in repr(ADDRESS)
