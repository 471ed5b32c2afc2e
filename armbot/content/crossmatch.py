"""The cross-match gate: no topic may take another topic's example messages.

A new topic's words can steal what families used to reach another answer with. Each
example message is therefore given to the matcher that the bot uses.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from armbot.language.normal import clean
from armbot.language.topics import build

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from armbot.content.strict import ContentError, Node
    from armbot.content.topics import TopicFiles

__all__ = ["Example", "Matcher", "build", "examples_of", "same_examples", "stolen", "strayed"]


class Matcher(Protocol):
    """What recognises topics; armbot.language.topics supplies it."""

    def best(self, text: str) -> tuple[str, str, float]:
        """Topic, answer and score for a text on its own."""


@dataclass(frozen=True, slots=True)
class Example:
    """An example message, the topic and answer it must reach, and where it is written."""

    topic: str
    answer: str
    text: str
    node: Node


def examples_of(topics: Mapping[str, TopicFiles]) -> Iterator[Example]:
    """Every example message of every topic, in both languages."""
    for name, files in topics.items():
        for answer in files.topic.answers.values():
            for language in answer.texts:
                for node in files.place(language, answer.id, "examples"):
                    yield Example(name, answer.id, node.text(), node)


def same_examples(examples: Iterable[Example]) -> Iterator[ContentError]:
    """Messages that stand under two topics or answers, once cleaned as the bot cleans them."""
    seen: dict[str, Example] = {}
    for example in examples:
        # A message of signs alone (such as one emoji) cleans to nothing: compare it as typed.
        key = clean(example.text).text or example.text
        other = seen.setdefault(key, example)
        if (other.topic, other.answer) != (example.topic, example.answer):
            yield example.node.fail(
                f"'{example.text}' also stands under {other.topic}/{other.answer}",
                "keep it where it gets the better answer",
            )


def stolen(examples: Iterable[Example], matcher: Matcher) -> Iterator[ContentError]:
    """Messages that the matcher gives to another topic."""
    for example in examples:
        topic, _, _ = matcher.best(example.text)
        if topic != example.topic:
            yield example.node.fail(
                f"'{example.text}' is taken by the topic '{topic}', not '{example.topic}'",
                "move it, reword it, or mend the words of intents.yaml that took it",
            )


def strayed(examples: Iterable[Example], matcher: Matcher) -> Iterator[ContentError]:
    """Messages that reach their topic but another of its answers."""
    for example in examples:
        topic, answer, _ = matcher.best(example.text)
        if topic == example.topic and answer != example.answer:
            yield example.node.fail(
                f"'{example.text}' gets the answer '{answer}', not '{example.answer}'",
                "move it, or reword it",
            )
