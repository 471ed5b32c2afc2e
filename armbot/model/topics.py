"""Topics: the prose answers of the content base."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from armbot.model.cite import Cite


class TopicKind(StrEnum):
    """Who writes the answer."""

    TOPIC = "topic"
    """Prose answers."""
    COMPUTED = "computed"
    """The engine computes; prose covers the general and side questions."""
    SERVICE = "service"
    """Greeting, plan, reminders, and what is out of scope."""


@dataclass(frozen=True, slots=True)
class ProseFigure:
    """A number in prose: how it is printed, by language, and where it comes from."""

    values: Mapping[str, str]
    cite: Cite


@dataclass(frozen=True, slots=True)
class AnswerText:
    """One answer in one language; empty where the language leaves a part out."""

    short: str
    long: str = ""
    do_now: str = ""
    call_when: str = ""
    question: str = ""
    examples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TopicAnswer:
    """One answer of a topic: the same question in every language.

    ``asks`` names what the bot needs to know next, empty for nothing. ``hold_safe`` is
    false where an athlete on hold could read it as permission to throw.
    """

    id: str
    sources: tuple[str, ...]
    asks: str
    hold_safe: bool
    texts: Mapping[str, AnswerText]


@dataclass(frozen=True, slots=True)
class Topic:
    """A topic with its answers; ``titles`` by language."""

    id: str
    kind: TopicKind
    titles: Mapping[str, str]
    related: tuple[str, ...]
    figures: Mapping[str, ProseFigure]
    answers: Mapping[str, TopicAnswer]
