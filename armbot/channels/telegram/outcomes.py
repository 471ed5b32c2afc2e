"""What became of a message, and what each error of the Bot API says of it.

Whether a message that may have arrived is sent again is for ``model.outbox.Urgency`` to say,
not for this file.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TypeAlias

from telegram.error import (
    BadRequest,
    ChatMigrated,
    Forbidden,
    InvalidToken,
    NetworkError,
    RetryAfter,
    TelegramError,
    TimedOut,
)

from armbot.channels.telegram.transport import never_left


@dataclass(frozen=True, slots=True)
class Sent:
    """It is in the chat, under that number."""

    message_id: int


@dataclass(frozen=True, slots=True)
class Wait:
    """Too many messages: it was not sent, and nothing may be for so many seconds (429)."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Blocked:
    """The chat does not want the bot, or its account is gone (403): no use to try again."""


@dataclass(frozen=True, slots=True)
class NotFound:
    """There is no such chat (400): no use to try again."""


@dataclass(frozen=True, slots=True)
class Moved:
    """Not sent: the group goes on under a new number (400, migrate_to_chat_id)."""

    new_chat: int


@dataclass(frozen=True, slots=True)
class NeverLeft:
    """The request was never on its way: safe to repeat."""


@dataclass(frozen=True, slots=True)
class Unknown:
    """It may have arrived. ``why`` is one of "time-out", "cut off", "server error", "garbage"."""

    why: str


@dataclass(frozen=True, slots=True)
class Refused:
    """Not sent, and would be refused again as it is. ``reason`` is a fixed word, never text."""

    reason: str


@dataclass(frozen=True, slots=True)
class TokenBad:
    """The server does not know the bot's token (401), or nothing at that address (404)."""


Outcome: TypeAlias = (
    Sent | Wait | Blocked | NotFound | Moved | NeverLeft | Unknown | Refused | TokenBad
)

OTHER = "other"
"""The reason of a refusal in words that are not known."""
_NO_CHAT = "no chat"
_REFUSALS = (
    ("parse entities", "formatting"),
    ("chat not found", _NO_CHAT),
    ("user not found", _NO_CHAT),
    ("deactivated", _NO_CHAT),
    ("peer_id_invalid", _NO_CHAT),
    ("chat_id is empty", _NO_CHAT),
    ("caption is too long", "caption too long"),
    ("message is too long", "too long"),
    ("text is empty", "empty"),
    ("button", "buttons"),
    ("keyboard", "buttons"),
    ("reply markup", "buttons"),
    ("reply_markup", "buttons"),
    ("not enough rights", "no right"),
    ("have no rights", "no right"),
    ("photo", "file"),
    ("file", "file"),
)
"""Words of a 400's description, lower case, and what they mean: the first that fits (the
descriptions are not documented; these are from memory)."""


def outcome_of(error: Exception) -> Outcome:
    """What became of a message whose sending ended in that error."""
    return _answered(error) or _unanswered(error)


def _answered(error: Exception) -> Outcome | None:
    """What the API said; None where it did not say."""
    match error:
        case RetryAfter(retry_after=after):
            return Wait(after.total_seconds() if isinstance(after, timedelta) else float(after))
        case ChatMigrated(new_chat_id=new):
            return Moved(new)
        case Forbidden():
            return Blocked()
        case InvalidToken():
            return TokenBad()
        case BadRequest():
            reason = _reason(error.message)
            return NotFound() if reason == _NO_CHAT else Refused(reason)
    return None


def _unanswered(error: Exception) -> NeverLeft | Unknown:
    """What is known where the server did not say what it did."""
    if isinstance(error, TelegramError) and never_left(error):
        return NeverLeft()
    if isinstance(error, TimedOut):
        return Unknown("time-out")
    if isinstance(error, NetworkError):
        return Unknown("cut off" if error.__cause__ else "server error")
    return Unknown("garbage")


def _reason(description: str) -> str:
    said = description.lower()
    return next((reason for words, reason in _REFUSALS if words in said), OTHER)
