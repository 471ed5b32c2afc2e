"""The terminal as a channel: a keyboard and a screen, or a pipe at either end."""

from __future__ import annotations

import os
import re
from typing import TYPE_CHECKING

from armbot.channels.base import Channel, Reply, shown_safely

if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import TextIO

_BOLD = re.compile(r"\*\*(.+?)\*\*", re.DOTALL)
_BOLD_ON, _DIM_ON, _OFF = "\x1b[1m", "\x1b[2m", "\x1b[0m"
_PROMPT = "> "


class Terminal(Channel):
    """One message a line in, replies out.

    ``styled`` draws bold and dim and shows a prompt; by default it is so when both ends
    are a terminal and NO_COLOR is not set.
    """

    def __init__(self, source: TextIO, target: TextIO, *, styled: bool | None = None) -> None:
        self._source = source
        self._target = target
        self._live = source.isatty() and target.isatty()
        self._styled = self._live and not os.environ.get("NO_COLOR") if styled is None else styled
        self._choices: tuple[str, ...] = ()

    def messages(self) -> Iterator[str]:
        """Every line that is not empty; a choice's number stands for its words."""
        while True:
            if self._live:
                self._target.write(_PROMPT)
                self._target.flush()
            line = self._source.readline()
            if not line:
                return
            typed = line.strip()
            if typed:
                yield self._chosen(typed)

    def _chosen(self, typed: str) -> str:
        if typed in self._choices or not (typed.isascii() and typed.isdigit()):
            return typed
        # Longer digits are a count or a year; int() of a very long one would be an error.
        place = int(typed) if len(typed) <= 2 else 0
        return self._choices[place - 1] if 1 <= place <= len(self._choices) else typed

    def show(self, reply: Reply) -> None:
        """See Channel: buttons become a numbered row."""
        self._choices = reply.choices
        lines = [self._bold(shown_safely(reply.text))]
        if reply.choices:
            numbered = enumerate(reply.choices, start=1)
            lines.append("  ".join(f"[{n}] {shown_safely(words)}" for n, words in numbered))
        if reply.mark:
            lines.append(self._dim(shown_safely(reply.mark)))
        self._target.write("\n".join(lines) + "\n\n")
        self._target.flush()

    def _bold(self, text: str) -> str:
        return _BOLD.sub(rf"{_BOLD_ON}\1{_OFF}" if self._styled else r"\1", text)

    def _dim(self, text: str) -> str:
        return f"{_DIM_ON}{text}{_OFF}" if self._styled else text
