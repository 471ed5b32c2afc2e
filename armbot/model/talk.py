"""One message in, one decision out: the values that cross the engine's border."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from armbot.model.outings import OutingKind
from armbot.model.people import AgeSpan
from armbot.model.reports import Assessment, SignReading


@dataclass(frozen=True, slots=True)
class PitchCount:
    """A count of pitches (or innings) as told, with the day and the child it belongs to.

    ``day`` None means no day was named; ``child`` indexes the reading's ages or names the
    athlete; ``vague`` is "sixty something".
    """

    pitches: int | None
    outs: int | None = None
    day: date | None = None
    weekday_only: bool = False
    vague: bool = False
    warmup: int = 0
    age: AgeSpan | None = None
    name: str = ""
    place: int = 0
    kind: OutingKind = OutingKind.GAME
    pain_free: bool | None = None


@dataclass(frozen=True, slots=True)
class AgeTold:
    """An age as told: years now, a division such as 10U, or a school grade."""

    span: AgeSpan
    kind: str
    place: int
    birthday_ahead: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """What one message says, with the reasons for each conclusion."""

    text: str
    lang: str
    counts: tuple[PitchCount, ...] = ()
    theirs: tuple[PitchCount, ...] = ()
    """Counts that another athlete threw, a friend or an opponent: never ours."""
    ages: tuple[AgeTold, ...] = ()
    thrown_days: tuple[date, ...] = ()
    ask_days: tuple[date, ...] = ()
    innings_caught: int | None = None
    bare: tuple[int, ...] = ()
    planned: tuple[int, ...] = ()
    """Pitches asked for or wished: never part of the log, nor of what rest is owed for."""
    pitch_types: tuple[str, ...] = ()
    rules_named: tuple[str, ...] = ()
    sports: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    topics: tuple[tuple[str, float], ...] = ()
    pointed: tuple[str, ...] = ()
    """Topics that a phrase of their own names, best first."""
    anchored: bool = True
    """Whether anything at all ties the message to throwing arms or to this bot."""
    acts: frozenset[str] = frozenset()
    signs: SignReading = field(default_factory=SignReading)
    assessment: Assessment | None = None
    at_large: bool = False
    """It asks what something is, and speaks of nobody: "what is a growth plate"."""
    several_children: bool = False
    doubtful: bool = False
    month: int | None = None
    why: tuple[str, ...] = ()

    @property
    def of_others(self) -> bool:
        """Whether all that was told as thrown is another athlete's."""
        return bool(self.theirs) and not self.counts

    @property
    def topic(self) -> str:
        """The best topic, or "unknown"."""
        return self.topics[0][0] if self.topics else "unknown"


@dataclass(frozen=True, slots=True)
class Turn:
    """What the bot answers to one message: prose, and the same for a machine."""

    topic: str
    tier: str
    signs: tuple[str, ...]
    hold: bool
    entities: Mapping[str, object]
    values: Mapping[str, object] | tuple[Mapping[str, object], ...]
    asks: str | None
    reply: str
    choices: tuple[str, ...]
    sources: tuple[str, ...]
    lang: str
    why: tuple[str, ...] = ()
