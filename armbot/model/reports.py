"""What a family reports about an arm, and how urgent it is."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from armbot.model.cite import Seen


class Tier(IntEnum):
    """How fast help is needed; a larger number is more urgent."""

    NONE = 0
    ASK = 1
    """One safety question first; every throwing answer waits."""
    STOP = 2
    """No throwing; a clinician looks before the next throw."""
    STOP_URGENT = 3
    """No throwing; to be seen within about a day."""
    EMERGENCY = 4
    """Emergency care now."""

    @property
    def word(self) -> str:
        """The tier as written in content and output."""
        return self.name.lower()

    @property
    def holds(self) -> bool:
        """Whether a report of this tier puts the athlete on hold."""
        return self >= Tier.STOP


@dataclass(frozen=True, slots=True)
class Mention:
    """One sign named in a message.

    ``facts`` are the contexts around it (see content/symptoms/tiers.yaml); ``negated``
    means the text denies it; ``words`` is the place in the plain text, for "why".
    """

    sign: str
    parts: frozenset[str]
    facts: frozenset[str]
    negated: bool
    words: str


@dataclass(frozen=True, slots=True)
class SignReading:
    """Everything a message says about signs."""

    mentions: tuple[Mention, ...] = ()
    denied: tuple[str, ...] = ()
    facts: frozenset[str] = frozenset()
    parts: frozenset[str] = frozenset()
    other_body: bool = False
    whose: str = "athlete"
    left_out: tuple[tuple[int, int], ...] = ()
    """Token ranges of denied signs and of mere politeness: they say nothing of an arm."""

    @property
    def all_denied(self) -> bool:
        """Whether signs were named and every one was denied."""
        return bool(self.denied) and not self.mentions


@dataclass(frozen=True, slots=True)
class TierRule:
    """A row of content/symptoms/tiers.yaml."""

    id: str
    tier: Tier
    signs: frozenset[str]
    needs: tuple[frozenset[str], ...]
    unless: frozenset[str]
    source: str
    seen: Seen
    final: bool


@dataclass(frozen=True, slots=True)
class Assessment:
    """The outcome of the safety check on one message."""

    tier: Tier
    signs: tuple[str, ...] = ()
    rule_ids: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    denied: tuple[str, ...] = ()
    other_body: bool = False
    urgent_elsewhere: bool = False
    """A head injury: not ours, but not to wait either."""
    whose: str = "athlete"
    words: tuple[str, ...] = ()

    @property
    def of_a_friend(self) -> bool:
        """Whether something is reported, and plainly of somebody else's child."""
        return self.whose == "friend" and self.tier is not Tier.NONE
