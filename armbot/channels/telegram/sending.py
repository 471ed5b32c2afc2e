"""One message to one chat, and in one word what became of it."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Literal

from telegram import (
    Bot,
    InlineKeyboardButton,
    InlineKeyboardMarkup,
    LinkPreviewOptions,
    Message,
)
from telegram.constants import ParseMode

from armbot.channels.telegram.markup import CAPTION_LIMIT, TEXT_LIMIT, plain, rich, rows, units
from armbot.channels.telegram.outcomes import (
    OTHER,
    Blocked,
    Moved,
    NeverLeft,
    NotFound,
    Outcome,
    Refused,
    Sent,
    TokenBad,
    Unknown,
    Wait,
    outcome_of,
)
from armbot.model.outbox import Button

__all__ = [
    "Attachment",
    "Blocked",
    "Moved",
    "NeverLeft",
    "NotFound",
    "Outcome",
    "Refused",
    "Sender",
    "Sent",
    "TokenBad",
    "Unknown",
    "Wait",
    "outcome_of",
]

_log = logging.getLogger("armbot.telegram.sending")

PAYLOAD_BYTES = 64
"""The most that a button can carry (Bot API, InlineKeyboardButton.callback_data)."""


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file to send: its name, what it holds, how it is shown, and words below it."""

    name: str
    data: bytes
    kind: Literal["photo", "document"]
    caption: str = ""


@dataclass(frozen=True, slots=True)
class _Way:
    """How a message is sent: with bold or plain, with its buttons or without."""

    rich: bool = True
    buttons: bool = True

    def after(self, reason: str) -> _Way | None:
        """The next simpler way once this one was refused; None where there is none."""
        if reason == "formatting" and self.rich:
            return replace(self, rich=False)
        if reason == "buttons" and self.buttons:
            return replace(self, buttons=False)
        # A refusal in words that are not known may be of either.
        simplest = _Way(rich=False, buttons=False)
        return simplest if reason == OTHER and self != simplest else None


class Sender:
    """Sends through a bot of the library, which must be initialized and use our transport.

    ``patience`` is how many seconds it waits for answers that nothing depends on.
    """

    def __init__(self, bot: Bot, patience: float = 5.0) -> None:
        self._bot = bot
        self._patience = patience

    async def send(
        self,
        chat: int,
        text: str,
        buttons: Sequence[Button],
        payloads: Callable[[str], str],
        file: Attachment | None = None,
    ) -> Outcome:
        """Send one message, once; raises nothing but a cancellation.

        ``text`` may hold ``**bold**`` and must fit one message (``markup.parts`` splits a
        longer one). With ``file`` the message is that file, and ``text`` and its caption
        stand below it. ``payloads`` gives what a button carries for its act; a button whose
        payload Telegram cannot carry is left out. Formatting that is refused goes again as
        plain text at once, and refused buttons are left away: the words arrive in any case.
        """
        words = "\n\n".join(part for part in (text, file.caption if file else "") if part)
        if problem := _problem(words, file):
            return Refused(problem)
        keyboard = _keyboard(buttons, payloads)
        way: _Way | None = _Way()
        outcome: Outcome = Refused(OTHER)
        while way:
            outcome = await self._once(chat, words, way, keyboard, file)
            way = way.after(outcome.reason) if isinstance(outcome, Refused) else None
            if isinstance(outcome, Refused):
                again = "sent again in a simpler form" if way else "given up"
                _log.warning("a message was refused (%s), %s", outcome.reason, again)
        return outcome

    async def answer_button(self, callback_id: str) -> None:
        """Let the pressed button stop spinning; best effort, never raises an Exception."""
        with suppress(Exception):
            await self._bot.answer_callback_query(callback_id, read_timeout=self._patience)

    async def clear_buttons(self, chat: int, message_id: int) -> None:
        """Take the buttons away from a message; best effort, never raises an Exception."""
        with suppress(Exception):
            await self._bot.edit_message_reply_markup(
                chat_id=chat, message_id=message_id, read_timeout=self._patience
            )

    async def _once(
        self,
        chat: int,
        words: str,
        way: _Way,
        keyboard: InlineKeyboardMarkup | None,
        file: Attachment | None,
    ) -> Outcome:
        shown = rich(words) if way.rich else plain(words)
        mode = ParseMode.HTML if way.rich else None
        markup = keyboard if way.buttons else None
        try:
            if file is None:
                message = await self._bot.send_message(
                    chat,
                    shown,
                    parse_mode=mode,
                    reply_markup=markup,
                    link_preview_options=LinkPreviewOptions(is_disabled=True),
                )
            else:
                message = await self._send_file(chat, file, shown, mode, markup)
        except Exception as error:  # noqa: BLE001 - an odd answer must not stop the outbox
            return outcome_of(error)
        return Sent(message.message_id)

    async def _send_file(
        self,
        chat: int,
        file: Attachment,
        caption: str,
        mode: ParseMode | None,
        markup: InlineKeyboardMarkup | None,
    ) -> Message:
        send = self._bot.send_photo if file.kind == "photo" else self._bot.send_document
        return await send(
            chat,
            file.data,
            filename=_file_name(file.name),
            caption=caption or None,
            parse_mode=mode,
            reply_markup=markup,
        )


def _problem(words: str, file: Attachment | None) -> str:
    """Why the server would refuse this, found before it is asked; "" where it would not."""
    length = units(plain(words))
    if file is not None:
        return "file" if not file.data else "caption too long" if length > CAPTION_LIMIT else ""
    if not plain(words).strip():
        return "empty"
    return "too long" if length > TEXT_LIMIT else ""


def _keyboard(
    buttons: Sequence[Button], payloads: Callable[[str], str]
) -> InlineKeyboardMarkup | None:
    keys = [
        [
            InlineKeyboardButton(button.label, callback_data=payload)
            for button in row
            if _fits(payload := payloads(button.act))
        ]
        for row in rows(buttons)
    ]
    kept = [row for row in keys if row]
    return InlineKeyboardMarkup(kept) if kept else None


def _fits(payload: str) -> bool:
    size = len(payload.encode("utf-8", "replace"))
    if 1 <= size <= PAYLOAD_BYTES:
        return True
    _log.error("a button was left out: its payload has %d bytes", size)
    return False


def _file_name(name: str) -> str:
    """A name that is safe in a header: ASCII letters, digits, dot, dash, underscore."""
    return re.sub(r"[^A-Za-z0-9._-]+", "_", name)[-60:] or "file"
