"""The contract of a channel: it carries messages and knows nothing of what they mean."""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

_UNSAFE = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)
"""Control characters, marks that turn the direction of writing, halves of surrogate pairs."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What a channel shows for one turn.

    ``text`` may hold ``**bold**``; ``choices`` are closed answers, to be offered as
    buttons where the channel has any; ``mark`` is a short remark below the reply, such as
    that no clinician has signed it, and is never left out.
    """

    text: str
    choices: tuple[str, ...] = ()
    mark: str = ""


class Channel(ABC):
    """One place where a family writes and reads.

    An implementer must honour:

    * ``messages`` gives every message, in order, as the family wrote it, except that a
      chosen button gives the button's own words;
    * ``show`` shows all of a reply: it may render bold and buttons, never drop words;
    * nothing that a family typed may steer the device that shows it (``shown_safely``).
    """

    @abstractmethod
    def messages(self) -> Iterator[str]:
        """The messages as they come; it ends when the family leaves."""

    @abstractmethod
    def show(self, reply: Reply) -> None:
        """Show one reply. Raises OSError when the other side is gone."""


def shown_safely(text: str) -> str:
    """``text`` without characters that could steer a terminal or hide or reorder words."""
    return _UNSAFE.sub("", text)
