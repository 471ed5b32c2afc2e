"""Updates as Telegram sends them, for the stand-in server to hand out.

Shapes: Bot API reference, "Update", "Message", "CallbackQuery", "ChatMemberUpdated". The
people and chats are invented. An update without ``update_id`` gets one when it is pushed.
"""

from __future__ import annotations

import itertools
from typing import Any

WHEN = 1_780_000_000
"""28 May 2026, in seconds since 1970."""
_numbers = itertools.count(1)


def person(chat: int, lang: str = "en") -> dict[str, Any]:
    """Somebody who writes; in a private chat the chat has the number of the person."""
    found = {"id": abs(chat), "is_bot": False, "first_name": "Robin"}
    return {**found, "language_code": lang} if lang else found


def private(chat: int) -> dict[str, Any]:
    """A chat of one person with the bot."""
    return {"id": chat, "type": "private", "first_name": "Robin"}


def message(chat: int, **held: Any) -> dict[str, Any]:
    """A message in a private chat; ``held`` are its fields, which go before the usual ones."""
    lang = held.pop("lang", "en")
    return {
        "message_id": next(_numbers),
        "from": person(chat, lang),
        "chat": private(chat),
        "date": WHEN,
        **held,
    }


def text(chat: int, words: str, **held: Any) -> dict[str, Any]:
    """A text message; a command at its beginning is marked as one."""
    if words.startswith("/"):
        length = len(words.split(maxsplit=1)[0])
        held["entities"] = [{"type": "bot_command", "offset": 0, "length": length}]
    return {"message": message(chat, text=words, **held)}


def edit(chat: int, words: str, number: int, **held: Any) -> dict[str, Any]:
    """A message that says something else now."""
    fields = {"message_id": number, "edit_date": WHEN + 60, "text": words, **held}
    return {"edited_message": message(chat, **fields)}


def button(chat: int, data: str, query: str = "") -> dict[str, Any]:
    """A button pressed below a message of the bot."""
    below = message(chat, text="Which day?")
    below["from"] = {"id": 7000000001, "is_bot": True, "first_name": "Arm care"}
    number = query or str(4_000_000_000 + next(_numbers))
    pressed = {"id": number, "from": person(chat), "message": below, "chat_instance": "-77"}
    return {"callback_query": {**pressed, "data": data}}


def _file(**held: Any) -> dict[str, Any]:
    number = next(_numbers)
    return {"file_id": f"file{number}", "file_unique_id": f"u{number}", **held}


def photo(chat: int, caption: str = "", **held: Any) -> dict[str, Any]:
    """A photo in two sizes, with or without a caption."""
    sizes = [_file(width=90, height=60, file_size=900), _file(width=900, height=600)]
    if caption:
        held["caption"] = caption
    return {"message": message(chat, photo=sizes, **held)}


def document(chat: int, name: str, kind: str, size: int, **held: Any) -> dict[str, Any]:
    """A file; ``held`` may name its file_id."""
    known = {"file_id": held.pop("file_id")} if "file_id" in held else {}
    described = _file(file_name=name, mime_type=kind, file_size=size, **known)
    return {"message": message(chat, document=described, **held)}


def media(chat: int, kind: str, caption: str = "") -> dict[str, Any]:
    """Something that is no text: one of the keys of ``MEDIA``."""
    held: dict[str, Any] = {kind: MEDIA[kind]}
    if caption:
        held["caption"] = caption
    return {"message": message(chat, **held)}


MEDIA: dict[str, dict[str, Any]] = {
    "voice": {**_file(), "duration": 3, "mime_type": "audio/ogg"},
    "audio": {**_file(), "duration": 30},
    "video": {**_file(), "width": 320, "height": 240, "duration": 8},
    "video_note": {**_file(), "length": 240, "duration": 8},
    "animation": {**_file(), "width": 320, "height": 240, "duration": 2},
    "sticker": {
        **_file(),
        "width": 512,
        "height": 512,
        "is_animated": False,
        "is_video": False,
        "type": "regular",
        "emoji": "⚾",
    },
    "location": {"latitude": 1.5, "longitude": 2.5},
    "venue": {
        "location": {"latitude": 1.5, "longitude": 2.5},
        "title": "Field 3",
        "address": "Main Street",
    },
    "contact": {"phone_number": "5550100", "first_name": "Sam"},
    "dice": {"emoji": "🎲", "value": 4},
    "poll": {
        "id": "1",
        "question": "Saturday?",
        "options": [],
        "total_voter_count": 0,
        "is_closed": False,
        "is_anonymous": True,
        "type": "regular",
        "allows_multiple_answers": False,
        "allows_revoting": False,
        "members_only": False,
    },
}


def group(chat: int, kind: str = "supergroup") -> dict[str, Any]:
    """A chat of several people; its number is negative."""
    return {"id": chat, "type": kind, "title": "Team parents"}


def group_text(chat: int, words: str, kind: str = "supergroup") -> dict[str, Any]:
    """Somebody writes in a group."""
    found = message(5, text=words)
    return {"message": {**found, "chat": group(chat, kind)}}


def moved(old: int, new: int) -> dict[str, Any]:
    """A group has become a supergroup with another number."""
    found = message(5, migrate_to_chat_id=new)
    return {"message": {**found, "chat": group(old, "group")}}


def membership(chat: int, before: str, after: str) -> dict[str, Any]:
    """The bot's place in a chat changed: "kicked" is blocked, "member" is back."""
    bot = {"id": 7000000001, "is_bot": True, "first_name": "Arm care"}
    more = {"kicked": {"until_date": 0}}
    ends = {
        status: {"status": status, "user": bot, **more.get(status, {})}
        for status in (before, after)
    }
    where = private(chat) if chat > 0 else group(chat)
    change = {"chat": where, "from": person(chat), "date": WHEN}
    return {
        "my_chat_member": {
            **change,
            "old_chat_member": ends[before],
            "new_chat_member": ends[after],
        }
    }


def malformed(chat: int) -> dict[str, Any]:
    """An update that the library cannot read: its message has no chat and a date of words."""
    return {"message": {"message_id": chat, "date": "yesterday", "text": "sore"}}


def unknown(chat: int) -> dict[str, Any]:
    """A kind of update that a later Bot API might bring, with a field nobody knows."""
    return {"arm_scan": {"chat": private(chat), "angle": 12}, "hologram": True}
