"""The cross-match gate: no topic may take another topic's example messages.

A new topic's words can steal what families used to reach another answer with. Each
example message is therefore given to the matcher that the bot uses, and once more to the
same matcher without its memory of examples: a message that only memory saves is a note,
many of them in one topic mean that its words point elsewhere, which is an error.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from armbot.language.normal import clean
from armbot.language.topics import build

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from armbot.content.strict import ContentError, Node
    from armbot.content.topics import TopicFiles

__all__ = [
    "Example",
    "Matcher",
    "build",
    "examples_of",
    "same_examples",
    "shadowed",
    "stolen",
    "strayed",
]

_WORD = re.compile(r"\w+")
_MOST_SHADOWED = 0.2
"""Share of a topic's examples, per language, that may be known by memory alone."""


class Matcher(Protocol):
    """What recognises topics; armbot.language.topics supplies it."""

    def best(self, text: str, *, remember: bool = True) -> tuple[str, str, float]:
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
        # A message of signs alone (such as "?!") has no word: compare it as typed.
        key = " ".join(_WORD.findall(clean(example.text).text)) or example.text
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


def shadowed(
    examples: Iterable[Example], matcher: Matcher
) -> tuple[list[ContentError], list[ContentError]]:
    """Messages known by memory alone (notes), and topics that hold too many (errors)."""
    by_file: dict[tuple[str, str], list[tuple[Example, str]]] = defaultdict(list)
    for example in examples:
        topic, _, _ = matcher.best(example.text, remember=False)
        by_file[example.topic, str(example.node.path)].append((example, topic))
    notes, errors = [], []
    for (name, _), judged in by_file.items():
        lost = [(example, topic) for example, topic in judged if topic != name]
        notes += [
            example.node.fail(
                f"'{example.text}' is known word for word only; its likes go to '{topic}'",
                "add more messages like it, or mend the words of intents.yaml that took it",
            )
            for example, topic in lost
        ]
        if len(lost) > _MOST_SHADOWED * len(judged):
            errors.append(
                lost[0][0].node.fail(
                    f"{len(lost)} of {len(judged)} examples of '{name}' read like other topics",
                    "mend the words of intents.yaml that take them (see the notes)",
                )
            )
    return notes, errors


def strayed(examples: Iterable[Example], matcher: Matcher) -> Iterator[ContentError]:
    """Messages that reach their topic but another of its answers."""
    for example in examples:
        topic, answer, _ = matcher.best(example.text)
        if topic == example.topic and answer != example.answer:
            yield example.node.fail(
                f"'{example.text}' gets the answer '{answer}', not '{example.answer}'",
                "move it, or reword it",
            )
