"""The shape every answering function returns, before the engine dresses it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from armbot.engine.say import Voice
from armbot.model.family import Family
from armbot.model.library import Library
from armbot.model.talk import Reading


@dataclass(frozen=True, slots=True)
class Scene:
    """What an answering function is given: everything, and nothing changes under it."""

    family: Family
    reading: Reading
    library: Library
    voice: Voice
    now: datetime
    topic: str
    answer_id: str
    age_known: bool = False
    """Whether the age of the child meant is known, so that no text need ask for it."""

    @property
    def today(self) -> date:
        """The date where the family lives."""
        return self.now.date()


@dataclass(frozen=True, slots=True)
class Answer:
    """Prose and values of one answer.

    ``grants`` is true when the text could be read as leave to throw or names a day to
    throw: such an answer is never given to an athlete on hold or beside a safety message.
    """

    text: str
    values: Mapping[str, object] | tuple[Mapping[str, object], ...] = field(default_factory=dict)
    asks: str = ""
    sources: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    why: tuple[str, ...] = ()
    grants: bool = True
    family: Family | None = None
    """The family after what was logged, None for unchanged."""
    topic: str = ""
