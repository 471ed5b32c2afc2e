"""Several questions in one message: the limit at 12, and whether he may throw a curve.

The message as a whole has one topic; another is answered too where a part of the message, read
by itself, plainly asks about it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

from armbot.engine.leaning import OF_ONE_OUTING
from armbot.language.grammar import Grammar
from armbot.language.reading import Writer, read
from armbot.model.talk import Reading

_PARTS = re.compile(r"[?\n]|\b(?:and|also|plus|y|e|ademas|tambien)\b")
_FEWEST_WORDS, _MOST_PARTS = 3, 3
"""Words a question of its own has at least, and parts of one message that are read."""
_NOT_BESIDE = frozenset(
    {"greeting", "thanks", "unknown", "symptom_report", "log_outing", "when_to_see_clinician",
     "injury_risk"}
)  # fmt: skip
"""Topics that a question of its own must be about, or that go without saying."""


def other_questions(
    reading: Reading, topic: str, grammar: Grammar, today: date
) -> list[tuple[str, str]]:
    """(topic, answer) of what else is asked, at most one, beside ``topic``."""
    if len(set(reading.pointed) - _NOT_BESIDE - {topic}) == 0 or topic in _NOT_BESIDE:
        return []
    for part in _parts(reading.text):
        asked = read(part, grammar, today, Writer(reading.lang))
        other = asked.topic
        plain = other in asked.pointed and other in reading.pointed
        if plain and other not in _NOT_BESIDE | {topic} and not _same_matter(topic, other):
            return [(other, grammar.answer_for(other, asked.text))]
    return []


def _parts(text: str) -> Iterator[str]:
    """The parts of a message that may be questions of their own; none where it has only one."""
    parts = [part.strip(" ,.;") for part in _PARTS.split(text)]
    long = [part for part in parts if len(part.split()) >= _FEWEST_WORDS]
    if len(long) > 1:
        yield from long[:_MOST_PARTS]


def _same_matter(topic: str, other: str) -> bool:
    """Whether one answer says both: rest and the next day to pitch or to catch."""
    return {topic, other} <= OF_ONE_OUTING | {"catcher_rule"}
