"""What the stand-in server refuses, in Telegram's own words as far as they are known.

Limits: Bot API reference, "sendMessage", "InlineKeyboardButton", "setMyCommands",
"Formatting options"; how fast one may send: Bots FAQ, "My bot is hitting limits".
The wording of the refusals is from memory.
"""

from __future__ import annotations

import re
from collections import defaultdict, deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from html import unescape
from typing import Any

TEXT_UNITS = 4096
CAPTION_UNITS = 1024
CALLBACK_BYTES = 64
BUTTONS = 100
COMMANDS = 100
COMMAND = re.compile(r"[a-z0-9_]{1,32}")

_TAG = re.compile(r"<(/?)([^\s<>/]*)([^<>]*)>")
_TAGS = frozenset(
    "b strong i em u ins s strike del tg-spoiler a code pre span blockquote tg-emoji".split()
)


class RefusedError(Exception):
    """What the server answers in place of a result."""

    def __init__(
        self, code: int, description: str, parameters: Mapping[str, Any] | None = None
    ) -> None:
        super().__init__(description)
        self.code = code
        self.description = description
        self.parameters = dict(parameters or {})


def bad(description: str) -> RefusedError:
    """A refusal of the request itself."""
    return RefusedError(400, f"Bad Request: {description}")


def units(text: str) -> int:
    """The length as Telegram counts it: UTF-16 code units."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def shown(text: str, parse_mode: str) -> str:
    """The text as a reader sees it, its formatting taken out; raises RefusedError.

    Only HTML is understood; Markdown is taken as it is.
    """
    if parse_mode.lower() in ("", "markdown", "markdownv2"):
        return text
    if parse_mode.lower() != "html":
        raise bad("unsupported parse_mode")
    return _without_tags(text)


def _without_tags(text: str) -> str:
    """Raises RefusedError for a tag that is unknown, left open or closed in the wrong order."""
    found: list[str] = []
    still_open: list[str] = []
    at = 0
    while (start := text.find("<", at)) >= 0:
        found.append(text[at:start])
        tag = _TAG.match(text, start)
        if tag is None:
            raise _entities(f'Unsupported start tag "" at byte offset {_offset(text, start)}')
        _tag(tag, still_open, _offset(text, start))
        at = tag.end()
    found.append(text[at:])
    if still_open:
        raise _entities(f'Can\'t find end tag corresponding to start tag "{still_open[-1]}"')
    return unescape("".join(found))


def _tag(tag: re.Match[str], still_open: list[str], offset: int) -> None:
    closes, name = tag[1], tag[2].lower()
    if not closes:
        if name not in _TAGS:
            raise _entities(f'Unsupported start tag "{name}" at byte offset {offset}')
        still_open.append(name)
        return
    if not still_open:
        raise _entities(f"Unexpected end tag at byte offset {offset}")
    expected = still_open.pop()
    if name != expected:
        found = f'expected "</{expected}>", found "</{name}>"'
        raise _entities(f"Unmatched end tag at byte offset {offset}, {found}")


def _offset(text: str, at: int) -> int:
    return len(text[:at].encode("utf-8", "replace"))


def _entities(problem: str) -> RefusedError:
    return bad(f"can't parse entities: {problem}")


def check_text(text: str, parse_mode: str) -> str:
    """The text of a message as it will be shown; raises RefusedError."""
    seen = shown(text, parse_mode).strip()
    if not seen:
        raise bad("message text is empty")
    if units(seen) > TEXT_UNITS:
        raise bad("message is too long")
    return seen


def check_caption(text: str, parse_mode: str) -> str:
    """The caption as it will be shown; may be empty; raises RefusedError."""
    seen = shown(text, parse_mode).strip()
    if units(seen) > CAPTION_UNITS:
        raise bad("message caption is too long")
    return seen


def check_markup(markup: Mapping[str, Any] | None) -> None:
    """Raises RefusedError for buttons that Telegram would not show."""
    if not markup or "inline_keyboard" not in markup:
        return
    buttons = [button for row in markup["inline_keyboard"] for button in row]
    if len(buttons) > BUTTONS:
        raise bad("REPLY_MARKUP_TOO_LONG")
    for button in buttons:
        if not str(button.get("text", "")).strip():
            raise bad("can't parse inline keyboard button: text of a button is empty")
        if "url" not in button:
            _check_data(button.get("callback_data"))


def _check_data(data: object) -> None:
    if not isinstance(data, str):
        raise bad("can't parse inline keyboard button: text buttons are unallowed")
    if not 1 <= len(data.encode("utf-8", "surrogatepass")) <= CALLBACK_BYTES:
        raise bad("BUTTON_DATA_INVALID")


def check_commands(commands: Sequence[Mapping[str, str]]) -> None:
    """Raises RefusedError for a menu that Telegram would not take."""
    if len(commands) > COMMANDS:
        raise bad("BOT_COMMANDS_TOO_MUCH")
    for command in commands:
        if not COMMAND.fullmatch(command.get("command", "")):
            raise bad("BOT_COMMAND_INVALID")
        if not 1 <= len(command.get("description", "")) <= 256:
            raise bad("BOT_COMMAND_DESCRIPTION_INVALID")


@dataclass
class Limits:
    """How fast the bot may send; what is beyond is refused with 429 and a time to wait.

    ``overall`` messages in any second; ``burst`` messages at once to one chat, which then
    grow back at ``per_chat`` a second; ``per_group`` messages in any ``minute`` (seconds)
    to a chat with a negative number.
    """

    overall: int = 30
    per_chat: float = 1.0
    burst: int = 3
    per_group: int = 20
    minute: float = 60.0
    _all: deque[float] = field(default_factory=deque)
    _groups: dict[int, deque[float]] = field(default_factory=lambda: defaultdict(deque))
    _allowance: dict[int, tuple[float, float]] = field(default_factory=dict)

    def check(self, chat: int, now: float) -> None:
        """Count a message sent at ``now`` (seconds, monotonic); raises RefusedError."""
        waits = [self._window(self._all, self.overall, 1.0, now)]
        if chat < 0:
            waits.append(self._window(self._groups[chat], self.per_group, self.minute, now))
        left = self._left(chat, now)
        waits.append(0.0 if left >= 1 else (1 - left) / self.per_chat)
        if (wait := max(waits)) > 0:
            seconds = max(1, round(wait + 0.499))
            raise RefusedError(
                429, f"Too Many Requests: retry after {seconds}", {"retry_after": seconds}
            )
        self._all.append(now)
        self._allowance[chat] = (left - 1, now)
        if chat < 0:
            self._groups[chat].append(now)

    def _left(self, chat: int, now: float) -> float:
        left, since = self._allowance.get(chat, (float(self.burst), now))
        return min(float(self.burst), left + (now - since) * self.per_chat)

    @staticmethod
    def _window(times: deque[float], most: int, length: float, now: float) -> float:
        """How long until one more fits into the window; forgets what has left it."""
        while times and times[0] <= now - length:
            times.popleft()
        return 0.0 if len(times) < most else times[0] + length - now
