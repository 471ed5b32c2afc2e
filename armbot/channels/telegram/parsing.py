"""One update of Telegram as one thing that a chat sent.

Each update is read for itself, so that one that cannot be read stops no other. Only the
fields used here are given to the library: whatever else a message carries (what it answers
to, a poll, a gift, a kind of next year) can then not cost us its words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

import telegram
from telegram.constants import ChatMemberStatus, ChatType

from armbot.channels.telegram.buttons import ButtonKey
from armbot.model.incoming import Incoming, Kind

KINDS: Final = ("message", "edited_message", "callback_query", "my_chat_member")
"""The kinds of updates that are asked for (Bot API, getUpdates, allowed_updates)."""
TABLE_BYTES: Final = 200_000
"""The largest document that is fetched to be read."""

_STARTED = re.compile(r"/start(?:@\w+)?(?:\s+([A-Za-z0-9_-]{1,64}))?\s*")
"""The command with the code of a deep link (Bot API, "Deep linking": up to 64 of these
characters); whatever else follows the command is a message, and is read as one."""
_HALF_PAIR = re.compile("[\ud800-\udfff]")

_USED = frozenset(
    "message_id date edit_date chat from text caption document media_group_id "
    "migrate_to_chat_id migrate_from_chat_id".split()
)
_NOTICES = frozenset(
    "new_chat_members left_chat_member new_chat_title new_chat_photo delete_chat_photo "
    "group_chat_created supergroup_chat_created channel_chat_created "
    "message_auto_delete_timer_changed pinned_message invoice successful_payment "
    "refunded_payment users_shared chat_shared connected_website write_access_allowed "
    "passport_data proximity_alert_triggered boost_added chat_background_set "
    "checklist_tasks_done checklist_tasks_added direct_message_price_changed "
    "paid_message_price_changed forum_topic_created forum_topic_edited forum_topic_closed "
    "forum_topic_reopened general_forum_topic_hidden general_forum_topic_unhidden "
    "giveaway_created giveaway giveaway_winners giveaway_completed gift unique_gift "
    "suggested_post_approved suggested_post_approval_failed suggested_post_declined "
    "suggested_post_paid suggested_post_refunded video_chat_scheduled video_chat_started "
    "video_chat_ended video_chat_participants_invited web_app_data".split()
)
"""Fields of messages that tell of an event and that nobody wrote (Bot API, Message)."""


class MalformedUpdate(Exception):  # noqa: N818 - says what happened
    """An update that cannot be read; ``update_id`` is 0 where even that is unknown.

    The message names the kind of fault and nothing of what the update holds.
    """

    def __init__(self, update_id: int, reason: str) -> None:
        super().__init__(f"update {update_id} cannot be read: {reason}")
        self.update_id = update_id
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Parsed:
    """What was sent, and what the shell needs to serve it.

    ``file_id`` names a small table (CSV) that can be downloaded; ``callback_id`` is set
    for a button pressed, whose phone waits for an answer to it; ``album`` is the same for
    all photos that were sent together.
    """

    incoming: Incoming
    file_id: str = ""
    callback_id: str = ""
    album: str = ""


def parse(raw: Mapping[str, Any], buttons: ButtonKey, now: datetime) -> Parsed | None:
    """What the chat sent; None where nothing needs to be done.

    ``now`` (aware) is the time of what carries none, such as a button. ``raw`` is not
    changed. Raises MalformedUpdate for what the library cannot read.
    """
    number = _number(raw)
    try:
        update = telegram.Update.de_json(_reduced(raw))
        return _parsed(update, raw, buttons, now)
    except Exception as error:  # whatever the library trips over is a fault of the update
        raise MalformedUpdate(number, type(error).__name__) from error


def chat_of(raw: Mapping[str, Any]) -> int:
    """The chat an update belongs to, to keep its updates in order; 0 where it has none.

    It reads raw updates, of any shape, and never raises.
    """
    for value in raw.values() if isinstance(raw, Mapping) else ():
        for holder in (value, _inner(value, "message")):
            chat = _inner(_inner(holder, "chat"), "id")
            if isinstance(chat, int):
                return chat
    return 0


def _inner(value: object, name: str) -> object:
    return value.get(name) if isinstance(value, Mapping) else None


def _number(raw: object) -> int:
    """The update's id; raises MalformedUpdate where there is none."""
    number = _inner(raw, "update_id")
    if not isinstance(number, int) or isinstance(number, bool):
        raise MalformedUpdate(0, "no update_id")
    return number


def _reduced(raw: Mapping[str, Any]) -> dict[str, Any]:
    """A copy with the kinds and fields that are used."""
    found: dict[str, Any] = {key: raw[key] for key in ("update_id", *KINDS) if key in raw}
    for kind in ("message", "edited_message"):
        if kind in found:
            found[kind] = {key: found[kind][key] for key in _USED & found[kind].keys()}
    if "callback_query" in found:
        pressed = dict(found["callback_query"])
        below = pressed.get("message")
        if below:
            pressed["message"] = {key: below[key] for key in ("message_id", "date", "chat")}
        found["callback_query"] = pressed
    return found


def _parsed(
    update: telegram.Update, raw: Mapping[str, Any], buttons: ButtonKey, now: datetime
) -> Parsed | None:
    if update.message:
        return _message(update, update.message, raw["message"])
    if update.edited_message:
        return _edit(update, update.edited_message)
    if update.callback_query:
        return _button(update, update.callback_query, buttons, now)
    if update.my_chat_member:
        return _membership(update, update.my_chat_member)
    return None


def _message(
    update: telegram.Update, message: telegram.Message, raw: Mapping[str, Any]
) -> Parsed | None:
    if message.migrate_to_chat_id or message.migrate_from_chat_id:
        return _moved(update, message)
    if message.chat.type != ChatType.PRIVATE:
        return _group(update, message.chat, message.message_id, message.date)
    make = _maker(update, message, message.date)
    if message.text:
        started = _STARTED.fullmatch(message.text)
        if started:
            return Parsed(make(Kind.STARTED, started[1] or ""))
        return Parsed(make(Kind.TEXT, message.text))
    if _NOTICES & raw.keys():
        return None
    album = message.media_group_id or ""
    return Parsed(make(Kind.MEDIA, message.caption or ""), _table(message), album=album)


def _table(message: telegram.Message) -> str:
    """The file_id of a document that is a table and small enough to fetch, else ""."""
    document = message.document
    if document is None or not 0 < (document.file_size or 0) <= TABLE_BYTES:
        return ""
    named = (document.file_name or "").lower().endswith(".csv")
    return document.file_id if named or document.mime_type == "text/csv" else ""


def _edit(update: telegram.Update, message: telegram.Message) -> Parsed | None:
    """A message in new words; a place that moves along is also sent as edits: no words."""
    if message.chat.type != ChatType.PRIVATE:
        return _group(update, message.chat, message.message_id, message.date)
    words = message.text or message.caption
    if not words:
        return None
    make = _maker(update, message, message.edit_date or message.date)
    return Parsed(make(Kind.EDIT, words))


def _button(
    update: telegram.Update, query: telegram.CallbackQuery, buttons: ButtonKey, now: datetime
) -> Parsed | None:
    below = query.message
    if below is None:  # below a message that was sent through some other bot's inline mode
        return None
    if below.chat.type != ChatType.PRIVATE:
        found = _group(update, below.chat, below.message_id, now)
        return Parsed(found.incoming, callback_id=query.id) if found else None
    act = buttons.read(below.chat.id, query.data or "")
    lang = _lang(query.from_user)
    incoming = Incoming(
        update.update_id, below.chat.id, Kind.BUTTON, act, below.message_id, now, lang
    )
    return Parsed(incoming, callback_id=query.id)


def _membership(update: telegram.Update, change: telegram.ChatMemberUpdated) -> Parsed | None:
    """Blocked and unblocked; in a group, only that the bot was brought in says something."""
    gone = change.new_chat_member.status in (ChatMemberStatus.BANNED, ChatMemberStatus.LEFT)
    if change.chat.type != ChatType.PRIVATE:
        return None if gone else _group(update, change.chat, 0, change.date)
    kind = Kind.BLOCKED if gone else Kind.UNBLOCKED
    lang = _lang(change.from_user)
    number, chat = update.update_id, change.chat.id
    return Parsed(Incoming(number, chat, kind, "", 0, change.date, lang))


def _moved(update: telegram.Update, message: telegram.Message) -> Parsed:
    """Told twice, in the old chat and in the new one; both say the same here."""
    old = message.migrate_from_chat_id or message.chat.id
    new = message.migrate_to_chat_id or message.chat.id
    number, at = update.update_id, message.date
    return Parsed(Incoming(number, old, Kind.MOVED, str(new), message.message_id, at))


def _group(
    update: telegram.Update, chat: telegram.Chat, message: int, at: datetime
) -> Parsed | None:
    """Something in a chat of several people, without its words; None for a channel."""
    if chat.type not in (ChatType.GROUP, ChatType.SUPERGROUP):
        return None
    return Parsed(Incoming(update.update_id, chat.id, Kind.GROUP, "", message, at))


def _maker(
    update: telegram.Update, message: telegram.Message, at: datetime
) -> Callable[[Kind, str], Incoming]:
    """Makes the record of one message, given its kind and its words."""
    lang = _lang(message.from_user)

    def make(kind: Kind, text: str) -> Incoming:
        words = _whole(text)
        return Incoming(
            update.update_id, message.chat.id, kind, words, message.message_id, at, lang
        )

    return make


def _whole(text: str) -> str:
    """``text`` with halves of surrogate pairs replaced: no file could hold them."""
    if not _HALF_PAIR.search(text):
        return text
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def _lang(user: telegram.User | None) -> str:
    """The language of the device where it is one of ours (an IETF tag such as "es-MX")."""
    code = (user.language_code or "").lower().partition("-")[0] if user else ""
    return code if code in ("en", "es") else ""
