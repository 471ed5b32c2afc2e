"""What is known of the question at hand: this message and the turns it leans on.

A fragment ("12", "thursday", "sorry 45 not 54", "and if he's 13?") means nothing alone.
It is laid over what the open conversation already holds (armbot/engine/laying.py); what
comes out is this record.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from armbot.model.family import Athlete
from armbot.model.people import AgeSpan
from armbot.model.talk import PitchCount


@dataclass(frozen=True, slots=True)
class Frame:
    """One child (or one "what if") and what it threw."""

    age: AgeSpan | None
    kind: str
    counts: tuple[PitchCount, ...]
    athlete: Athlete | None = None


@dataclass(frozen=True, slots=True)
class Slots:
    """Everything the answering functions need to know about the question."""

    topic: str
    frames: tuple[Frame, ...]
    ask_days: tuple[date, ...] = ()
    pitch_types: tuple[str, ...] = ()
    innings_caught: int | None = None
    follows: bool = False
    supposed: bool = False
    """The count takes the place of one that was told, for this answer only."""
    alternatives: bool = False
    """The frames are "what if"s of one child: nothing is logged."""
    replaces: tuple[str, ...] = ()
    """Outing ids of this exchange that a correction takes back."""
    which_child: bool = False
    number_unclear: int | None = None
    doubted: int | None = None
    """A count too high to be believed before it is said once more; in no frame."""
    division: AgeSpan | None = None
    reasons: tuple[str, ...] = field(default_factory=tuple)

    @property
    def frame(self) -> Frame:
        """The first, and mostly only, frame."""
        return self.frames[0]
