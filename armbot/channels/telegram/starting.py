"""The first words with Telegram: who are we, how will updates come, which commands are there."""

from __future__ import annotations

import asyncio
import re
import time
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Final, TypeVar

from telegram.error import BadRequest

from armbot.channels.telegram.parsing import KINDS
from armbot.channels.telegram.trouble import TokenRefused, Trouble

if TYPE_CHECKING:
    import telegram

__all__ = ["Address", "Hello", "SettingRefused", "TokenRefused", "Unreachable", "hello"]

DEFAULT_LANGUAGE: Final = "en"
"""The menu of this language is shown wherever there is none in the user's own."""
_COMMAND: Final = re.compile(r"[a-z0-9_]{1,32}")
_COMMANDS: Final = 100
_DESCRIPTION: Final = 256
"""Bot API, setMyCommands and BotCommand."""
_SECRET: Final = re.compile(r"[A-Za-z0-9_-]{1,256}")
"""Bot API, setWebhook, secret_token."""

T = TypeVar("T")


class Unreachable(Exception):  # noqa: N818 - says what happened
    """Telegram did not answer for as long as was to be waited."""


class SettingRefused(Exception):  # noqa: N818 - says what happened
    """Telegram answers, but does not take a setting; the message says which."""


@dataclass(frozen=True, slots=True)
class Hello:
    """How patient to be at the start; all times in seconds.

    ``first_pause`` comes after the first fault, doubled up to 30; ``give_up_after`` is how
    long to try, for ever where it is None; ``answer`` is how long one request may take.
    """

    first_pause: float = 1.0
    give_up_after: float | None = None
    answer: float = 20.0


@dataclass(frozen=True, slots=True)
class Address:
    """Where Telegram is to send updates, in webhook mode; never shown in a log.

    ``connections`` is how many updates it may send at once. Raises ValueError where the
    secret has other signs than Telegram takes.
    """

    url: str = field(repr=False)
    secret: str = field(repr=False)
    connections: int = 40

    def __post_init__(self) -> None:
        if not _SECRET.fullmatch(self.secret):
            raise ValueError("the webhook secret has 1 to 256 of the signs A-Z a-z 0-9 _ -")


Menus = Mapping[str, Mapping[str, str]]
"""For each language, each command without its slash and what it does."""


async def hello(
    bot: telegram.Bot,
    patience: Hello | None = None,
    *,
    menus: Menus,
    webhook: Address | None = None,
) -> telegram.User:
    """Make the bot ready to receive, and give who it is.

    Updates that wait at the server are kept in either mode. Raises TokenRefused at once
    where Telegram does not know the token, SettingRefused where it does not take the
    address, Unreachable after ``patience`` ran out, and ValueError for a menu that Telegram
    would not take.
    """
    for language, menu in menus.items():
        _check(language, menu)
    insist = _Insisting(patience or Hello())
    await insist.on("asking who we are", bot.initialize)
    await insist.on("saying how updates come", partial(_way_in, bot, webhook))
    for language, menu in menus.items():
        code = "" if language == DEFAULT_LANGUAGE else language
        await insist.on("setting the menu", partial(_menu, bot, menu, code))
    return bot.bot


class _Insisting:
    """Repeats a request until it is answered; its patience is for all requests together."""

    def __init__(self, patience: Hello) -> None:
        self._patience = patience
        self._trouble = Trouble("starting", 0.0, patience.first_pause, time.monotonic)
        self._began = time.monotonic()

    async def on(self, what: str, call: Callable[[], Awaitable[T]]) -> T:
        """The answer; raises as ``hello`` does."""
        while True:
            began = time.monotonic()
            try:
                async with asyncio.timeout(self._patience.answer):
                    answer = await call()
            except BadRequest as error:
                raise SettingRefused(f"{what}: Telegram says: {error.message}") from None
            except Exception as error:  # noqa: BLE001 - of a kind that may pass
                pause = self._trouble.pause(error, time.monotonic() - began)
                self._check(what, error, pause)
                await asyncio.sleep(pause)
            else:
                self._trouble.over()
                return answer

    def _check(self, what: str, error: Exception, pause: float) -> None:
        limit = self._patience.give_up_after
        waited = time.monotonic() - self._began
        if limit is not None and waited + pause > limit:
            kind = type(error).__name__
            raise Unreachable(f"{what}: no answer from Telegram in {waited:.0f} s ({kind})")


async def _way_in(bot: telegram.Bot, webhook: Address | None) -> bool:
    """Polling is refused while a webhook is set; waiting updates are dropped by neither."""
    if webhook is None:
        return await bot.delete_webhook(drop_pending_updates=False)
    return await bot.set_webhook(
        webhook.url,
        secret_token=webhook.secret,
        max_connections=webhook.connections,
        allowed_updates=list(KINDS),
        drop_pending_updates=False,
    )


async def _menu(bot: telegram.Bot, menu: Mapping[str, str], code: str) -> bool:
    return await bot.set_my_commands(list(menu.items()), language_code=code or None)


def _check(language: str, menu: Mapping[str, str]) -> None:
    """Raises ValueError naming what Telegram would refuse."""
    if len(menu) > _COMMANDS:
        raise ValueError(f"{language}: a menu has {_COMMANDS} commands at most, not {len(menu)}")
    for command, description in menu.items():
        if not _COMMAND.fullmatch(command):
            raise ValueError(f"{language}: /{command}: a command has 1 to 32 of a-z 0-9 _")
        if not 1 <= len(description) <= _DESCRIPTION:
            raise ValueError(f"{language}: /{command}: describe it in 1 to {_DESCRIPTION} letters")
