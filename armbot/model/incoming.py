"""What a chat sent, freed of the channel it came by."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Kind(StrEnum):
    """What was sent."""

    TEXT = "text"
    EDIT = "edit"
    """A message already sent, in new words."""
    BUTTON = "button"
    """A button pressed; ``text`` is its act, "" where the signature is wrong."""
    MEDIA = "media"
    """A photo, voice, sticker and the like; ``text`` is the caption, if any."""
    FILE = "file"
    """A small text file; ``text`` is what it holds."""
    STARTED = "started"
    """The command that opens a chat; ``text`` is the code of an invitation, if any."""
    BLOCKED = "blocked"
    UNBLOCKED = "unblocked"
    GROUP = "group"
    """Anything in a chat of several people; its words are not passed on."""
    MOVED = "moved"
    """The chat has a new number, which is ``text``."""


@dataclass(frozen=True, slots=True)
class Incoming:
    """One thing that one chat sent.

    ``id`` is the channel's number of the update, ``message`` that of the message (an edit
    has that of the message it changes); ``chat`` may be negative for a group; ``at`` is
    when it was sent, aware; ``lang`` is the language of the device as the channel tells
    it, "" where it does not.
    """

    id: int
    chat: int
    kind: Kind
    text: str
    message: int
    at: datetime
    lang: str = ""
