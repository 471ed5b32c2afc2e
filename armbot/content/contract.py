"""Reads content/contract.yaml: what every language must supply, and what is only wished for."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from armbot.content.sources import LANGUAGES, choice
from armbot.content.strict import ContentError, Node, load
from armbot.content.topics import DEFAULT, PARTS
from armbot.content.words import KINDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from armbot.content.words import Files


class Importance(StrEnum):
    """How much a gap matters."""

    REQUIRED = "required"
    """Without it the content is in error."""
    WANTED = "wanted"
    """Without it a language is poorer, and the check says so."""


@dataclass(frozen=True, slots=True)
class Contract:
    """What content must supply.

    ``place`` is the file read; ``words`` maps a words file to its importance;
    ``phrase_digits`` the phrases that may hold a digit to the reason why;
    ``default_parts`` and ``other_parts`` the texts of a topic's general and of its other
    answers; ``examples`` the least number of example messages of an answer, by language;
    ``most_words`` the longest a text may be, in words; ``hardest_grade`` (US school
    grade, English) and ``least_ease`` (0 to 100, Spanish) how hard it may read;
    ``message_units`` the longest message a channel takes, in UTF-16 units.
    """

    place: Node
    words: Mapping[str, Importance]
    same_phrases: bool
    phrase_digits: Mapping[str, str]
    default_parts: Mapping[str, Importance]
    other_parts: Mapping[str, Importance]
    examples: Mapping[str, int]
    most_words: Mapping[str, int]
    hardest_grade: int
    least_ease: int
    message_units: int

    def parts(self, answer: str) -> Mapping[str, Importance]:
        """What an answer of that id must say."""
        return self.default_parts if answer == DEFAULT else self.other_parts


def load_contract(path: Path) -> Contract:
    """Read the contract. Raises ContentError for a missing or unknown field."""
    root = load(path)
    top = root.mapping(
        required=("words", "phrases", "answers", "examples", "most_words", "reading", "message"),
        optional=(),
    )
    answers = top["answers"].mapping(required=("default", "other"), optional=())
    reading = top["reading"].mapping(required=("en", "es"), optional=())
    phrases = top["phrases"].mapping(("same_in_every_language", "may_hold_digits"), ())
    message = top["message"].mapping(required=("most_utf16_units",), optional=())
    grade = reading["en"].mapping(required=("flesch_kincaid_grade_most",), optional=())
    ease = reading["es"].mapping(required=("fernandez_huerta_least",), optional=())
    return Contract(
        place=root,
        words=_importance(top["words"], KINDS),
        same_phrases=phrases["same_in_every_language"].boolean(),
        phrase_digits={k: v.text() for k, v in phrases["may_hold_digits"].mapping().items()},
        default_parts=_importance(answers["default"], PARTS),
        other_parts=_importance(answers["other"], PARTS),
        examples=_numbers(top["examples"], LANGUAGES),
        most_words=_numbers(top["most_words"], PARTS),
        hardest_grade=grade["flesch_kincaid_grade_most"].integer(),
        least_ease=ease["fernandez_huerta_least"].integer(),
        message_units=message["most_utf16_units"].integer(),
    )


def _importance(node: Node, names: tuple[str, ...]) -> dict[str, Importance]:
    return {name: choice(value, Importance) for name, value in node.mapping(optional=names).items()}


def _numbers(node: Node, names: tuple[str, ...]) -> dict[str, int]:
    return {name: value.integer() for name, value in node.mapping(names, ()).items()}


def missing_files(
    contract: Contract, files: Files, folder: Path, importance: Importance
) -> Iterator[ContentError]:
    """Words files of that importance which a language lacks; ``folder`` is content/words."""
    for kind, needed in contract.words.items():
        for language in LANGUAGES:
            if needed == importance and kind not in files[language]:
                yield ContentError(
                    folder / language / f"{kind}.yaml",
                    1,
                    f"the file is missing ({importance})",
                    "write it: contract.yaml lists what each language supplies",
                )
