"""What the stand-in server knows and does: updates waiting, messages sent, menus, chats."""

from __future__ import annotations

import asyncio
import base64
import time
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from itertools import islice
from typing import Any

from stand_in_rules import (
    Limits,
    RefusedError,
    bad,
    check_caption,
    check_commands,
    check_markup,
    check_text,
)

BOT = {
    "id": 7000000001,
    "is_bot": True,
    "first_name": "Arm care",
    "username": "armbot_test_bot",
    "can_join_groups": True,
    "can_read_all_group_messages": False,
    "supports_inline_queries": False,
}
FIRST_UPDATE = 100_000_001

GONE = {
    "blocked": (403, "Forbidden: bot was blocked by the user"),
    "deactivated": (403, "Forbidden: user is deactivated"),
    "kicked": (403, "Forbidden: bot was kicked from the group chat"),
    "missing": (400, "Bad Request: chat not found"),
}
"""What a chat can be instead of reachable."""


@dataclass
class Sent:
    """One message that the server accepted from the bot.

    ``shown`` is the text as a reader sees it; ``at`` is the wall time in seconds.
    """

    method: str
    chat: int
    text: str
    shown: str
    parse_mode: str
    reply_markup: dict[str, Any] | None
    files: dict[str, tuple[str, bytes]]
    at: float
    message_id: int
    silent: bool = False

    @property
    def buttons(self) -> list[str]:
        """What each inline button below it sends back, in order."""
        rows = (self.reply_markup or {}).get("inline_keyboard", [])
        return [button["callback_data"] for row in rows for button in row]

    def as_json(self) -> dict[str, Any]:
        """For the control door; files in base64."""
        files = {
            name: [called, base64.b64encode(data).decode()]
            for name, (called, data) in self.files.items()
        }
        return {**self.__dict__, "files": files, "buttons": self.buttons}


class Updates:
    """The updates that wait for the bot, kept until an offset confirms them."""

    def __init__(self) -> None:
        self.pushed: list[dict[str, Any]] = []
        self.confirmed: list[int] = []
        self.arrived = asyncio.Event()
        self._waiting: deque[dict[str, Any]] = deque()
        self._next = FIRST_UPDATE
        self._in_order = True

    @property
    def pending(self) -> list[dict[str, Any]]:
        """What has not been confirmed, in order."""
        return list(self._waiting)

    def push(self, update: Mapping[str, Any]) -> int:
        """Let one update wait for the bot; gives its id, a fresh one where it has none.

        With ``update_id`` None it goes out without one, and nothing confirms it; gives 0.
        """
        whole = dict(update)
        whole.setdefault("update_id", self._next)
        number = whole["update_id"]
        if number is None:
            del whole["update_id"]
            self._in_order = False
        else:
            self._in_order = self._in_order and number >= self._next
            self._next = number + 1
        self.pushed.append(whole)
        self._waiting.append(whole)
        self.arrived.set()
        return number or 0

    def confirm(self, offset: int) -> None:
        """Forget what an offset confirms.

        An offset far beyond the newest update confirms nothing (from memory: the server
        then begins again with the oldest), as after ids that began anew at a lower number.
        """
        if offset < 0:
            while len(self._waiting) > -offset:
                self._forget(self._waiting.popleft())
            return
        if offset > self._next + 10:
            return
        while self._waiting and _below(self._waiting[0], offset):
            self._forget(self._waiting.popleft())
        if not self._in_order:
            for update in [update for update in self._waiting if _below(update, offset)]:
                self._waiting.remove(update)
                self._forget(update)

    def first(self, limit: int) -> list[dict[str, Any]]:
        """The oldest of those waiting."""
        self.arrived.clear()
        return list(islice(self._waiting, limit))

    def drop_all(self) -> None:
        """Forget everything that waits, unanswered."""
        self._waiting.clear()

    def _forget(self, update: Mapping[str, Any]) -> None:
        self.confirmed.append(update["update_id"])


def _below(update: Mapping[str, Any], offset: int) -> bool:
    return "update_id" in update and update["update_id"] < offset


@dataclass
class World:
    """Everything behind the server's doors."""

    updates: Updates = field(default_factory=Updates)
    sent: list[Sent] = field(default_factory=list)
    edited: list[dict[str, Any]] = field(default_factory=list)
    answered: list[dict[str, Any]] = field(default_factory=list)
    commands: dict[tuple[str, str], list[dict[str, str]]] = field(default_factory=dict)
    """(scope, language) to the menu set for it."""
    webhook: dict[str, Any] = field(default_factory=dict)
    dropped: bool = False
    """Whether somebody asked that waiting updates be thrown away."""
    chats: dict[int, str] = field(default_factory=dict)
    """Chats that are not reachable, and why: a key of ``GONE``."""
    moved: dict[int, int] = field(default_factory=dict)
    """Groups that became supergroups: old number to new."""
    files: dict[str, bytes] = field(default_factory=dict)
    """What can be downloaded, by file_id."""
    limits: Limits | None = None

    def carry_out(self, method: str, said: Mapping[str, Any], files: Files) -> Any:
        """The result of a call; raises RefusedError as Telegram refuses."""
        done = getattr(self, f"_do_{method.lower()}", None)
        if done is None:
            raise RefusedError(404, "Not Found")
        call: Callable[[Mapping[str, Any], Files], Any] = done
        return call(said, files)

    def _do_getme(self, _said: Mapping[str, Any], _files: Files) -> Any:
        return BOT

    def _do_sendmessage(self, said: Mapping[str, Any], _files: Files) -> Any:
        text = str(said.get("text", ""))
        return self._send("sendMessage", said, text, check_text(text, _mode(said)), {})

    def _do_sendphoto(self, said: Mapping[str, Any], files: Files) -> Any:
        return self._send_file("sendPhoto", "photo", said, files)

    def _do_senddocument(self, said: Mapping[str, Any], files: Files) -> Any:
        return self._send_file("sendDocument", "document", said, files)

    def _send_file(self, method: str, kind: str, said: Mapping[str, Any], files: Files) -> Any:
        if not files or not all(data for _, data in files.values()):
            raise bad(
                f"there is no {kind} in the request" if not files else "file must be non-empty"
            )
        caption = str(said.get("caption", ""))
        return self._send(method, said, caption, check_caption(caption, _mode(said)), files)

    def _send(
        self, method: str, said: Mapping[str, Any], text: str, shown: str, files: Files
    ) -> Any:
        chat = self._reachable(said)
        markup = said.get("reply_markup")
        check_markup(markup)
        if self.limits:
            self.limits.check(chat, time.monotonic())
        number = len(self.sent) + 1
        silent = bool(said.get("disable_notification"))
        sent = Sent(
            method, chat, text, shown, _mode(said), markup, files, time.time(), number, silent
        )
        self.sent.append(sent)
        return _message(sent)

    def _reachable(self, said: Mapping[str, Any]) -> int:
        """The chat named, if the bot can write to it; raises RefusedError."""
        chat = said.get("chat_id")
        if not isinstance(chat, int):
            raise bad("chat_id is empty" if chat in (None, "") else "chat not found")
        if chat in self.moved:
            raise RefusedError(
                400,
                "Bad Request: group chat was upgraded to a supergroup chat",
                {"migrate_to_chat_id": self.moved[chat]},
            )
        if chat in self.chats:
            raise RefusedError(*GONE[self.chats[chat]])
        return chat

    def _do_editmessagereplymarkup(self, said: Mapping[str, Any], _files: Files) -> Any:
        self._reachable(said)
        check_markup(said.get("reply_markup"))
        self.edited.append(dict(said))
        return True

    def _do_answercallbackquery(self, said: Mapping[str, Any], _files: Files) -> Any:
        if not said.get("callback_query_id"):
            raise bad("query is too old and response timeout expired or query ID is invalid")
        self.answered.append(dict(said))
        return True

    def _do_setmycommands(self, said: Mapping[str, Any], _files: Files) -> Any:
        commands = said.get("commands", [])
        check_commands(commands)
        scope = (said.get("scope") or {"type": "default"})["type"]
        self.commands[scope, str(said.get("language_code", ""))] = commands
        return True

    def _do_setwebhook(self, said: Mapping[str, Any], _files: Files) -> Any:
        self.webhook = dict(said) if said.get("url") else {}
        self._drop_if_told(said)
        return True

    def _do_deletewebhook(self, said: Mapping[str, Any], _files: Files) -> Any:
        self.webhook = {}
        self._drop_if_told(said)
        return True

    def _drop_if_told(self, said: Mapping[str, Any]) -> None:
        if said.get("drop_pending_updates"):
            self.dropped = True
            self.updates.drop_all()

    def _do_getfile(self, said: Mapping[str, Any], _files: Files) -> Any:
        name = str(said.get("file_id", ""))
        if name not in self.files:
            raise bad("wrong file_id or the file is temporarily unavailable")
        size = len(self.files[name])
        return {
            "file_id": name,
            "file_unique_id": f"u{name}",
            "file_size": size,
            "file_path": f"documents/{name}",
        }


Files = dict[str, tuple[str, bytes]]
"""Uploads by field: (file name, what it holds)."""


def _mode(said: Mapping[str, Any]) -> str:
    return str(said.get("parse_mode", ""))


def _message(sent: Sent) -> dict[str, Any]:
    """What the server answers to a send, as far as the library needs it."""
    kind = "private" if sent.chat > 0 else "group"
    found: dict[str, Any] = {
        "message_id": sent.message_id,
        "date": int(sent.at),
        "chat": {"id": sent.chat, "type": kind, "first_name": "A", "title": "G"},
        "from": {key: BOT[key] for key in ("id", "is_bot", "first_name", "username")},
    }
    if sent.method == "sendMessage":
        return {**found, "text": sent.shown}
    (name, data), *_ = sent.files.values()
    held = {"file_id": f"f{sent.message_id}", "file_unique_id": f"u{sent.message_id}"}
    if sent.method == "sendPhoto":
        return {**found, "caption": sent.shown, "photo": [{**held, "width": 9, "height": 9}]}
    document = {**held, "file_name": name, "file_size": len(data)}
    return {**found, "caption": sent.shown, "document": document}
