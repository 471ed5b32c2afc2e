"""What the bot is about to say: messages that lie in the family's record until sent."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import IntEnum


class Urgency(IntEnum):
    """What goes first when not everything can go at once; a smaller number goes first."""

    SAFETY = 0
    """What a family must do now."""
    ALERT = 1
    """What the clinic's staff must know now."""
    REPLY = 2
    """The answer to a message."""
    REMINDER = 3
    BROADCAST = 4

    @property
    def repeatable(self) -> bool:
        """Whether a message that may or may not have arrived is sent again.

        An answer said twice is a nuisance, a report that never arrives is a danger; a
        reminder or a broadcast is never said twice.
        """
        return self <= Urgency.REPLY


@dataclass(frozen=True, slots=True)
class Button:
    """One closed answer below a message: what it shows, and what pressing it means.

    ``act`` is a short text such as "answer:2" or "read:r3"; the channel signs it, so a
    button that comes back is one that was shown in that chat.
    """

    label: str
    act: str


@dataclass(frozen=True, slots=True)
class Outgoing:
    """One message to one chat.

    ``key`` is unique in the family's record for ever ("u<update id>.<part>" of an answer,
    "<kind>.<athlete>.<local date>" of a reminder), so nothing is said twice. ``text`` may
    hold ``**bold**``. ``grants`` is true when it could be read as leave to throw: it is
    taken back when a hold comes before it is sent. ``attach`` names a file made when it is
    sent ("chart", "calendar", "record", "outings"). ``until`` is when it is of no use any
    more. ``claimed`` is set, on disk, before the only attempt at a message that must not
    be said twice.
    """

    key: str
    chat: int
    urgency: Urgency
    text: str
    at: datetime
    buttons: tuple[Button, ...] = ()
    grants: bool = False
    attach: str = ""
    until: datetime | None = None
    claimed: bool = False


@dataclass(frozen=True, slots=True)
class Ready:
    """Messages of a family that lie ready to be sent.

    ``stored`` is false for those that lie in no record, such as the farewell to a family
    that was erased.
    """

    family: str
    messages: tuple[Outgoing, ...]
    stored: bool = True
