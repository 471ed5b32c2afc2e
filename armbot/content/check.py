"""The content check: every mistake of a content base at once, each with place and remedy.

Errors must be mended before content may be used. Notes are for information: gaps that
are only wished to be filled, and what no clinician has signed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from armbot.content import symptom_checks, topic_checks, word_checks
from armbot.content.case_checks import case_problems
from armbot.content.contract import Importance, missing_files
from armbot.content.crossmatch import build, examples_of, same_examples, shadowed, stolen, strayed
from armbot.content.gather import gather
from armbot.content.learned import NAME as LEARNED
from armbot.content.learned import is_stale
from armbot.content.paths import content_folder
from armbot.content.problems import Problems
from armbot.content.sources import LANGUAGES
from armbot.content.strict import ContentError, load
from armbot.model.signoff import SignState

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date
    from pathlib import Path

    from armbot.content.gather import Base

_FILES = {
    "topics": frozenset({"topic.yaml", *(f"{language}.yaml" for language in LANGUAGES)}),
    "rules": frozenset({"rules.yaml", "cases.yaml"}),
}
"""What is read in each folder below these; anything else there would be silently ignored."""


@dataclass(frozen=True, slots=True)
class CheckReport:
    """Everything found in a content base, in order of file and line."""

    errors: tuple[ContentError, ...]
    notes: tuple[ContentError, ...]


def check(folder: Path | None = None) -> list[ContentError]:
    """Every error of a content base, by default the one this package came with."""
    return list(report(folder).errors)


def report(folder: Path | None = None, today: date | None = None) -> CheckReport:
    """Errors and notes of a content base; with ``today``, also sign-offs that ran out."""
    problems = Problems(gather=True)
    base = gather(folder or content_folder(), problems)
    if base is None:
        return CheckReport(_in_order(problems.found), ())
    for step in (_topics, _words, _symptoms, _cases, _stray_files):
        with problems.here():
            problems.extend(step(base))
    notes = [*_gaps(base), *_unsigned(base, today)]
    with problems.here():
        _crossmatch(base, problems, notes)
    return CheckReport(_in_order(problems.found), _in_order(notes))


def _in_order(errors: Iterable[ContentError]) -> tuple[ContentError, ...]:
    """By file and line, each once."""
    once = {str(error): error for error in errors}
    return tuple(sorted(once.values(), key=lambda error: (error.path, error.line)))


def _topics(base: Base) -> Iterator[ContentError]:
    yield from topic_checks.link_problems(base.topics, base.topic_names)
    for files in base.topics.values():
        if files.whole:  # a part that was not read would look like a part left out
            yield from topic_checks.figure_problems(files)
            yield from topic_checks.language_problems(files)
        yield from topic_checks.contract_problems(files, base.contract, Importance.REQUIRED)
        yield from topic_checks.example_count_problems(files, base.contract)
        yield from topic_checks.prose_problems(files)
        yield from topic_checks.reading_problems(files, base.contract, base.clinic)
        yield from topic_checks.message_problems(files, base.contract, base.clinic, base.sources)


def _words(base: Base) -> Iterator[ContentError]:
    words = base.folder / "words"
    yield from missing_files(base.contract, base.files, words, Importance.REQUIRED)
    yield from word_checks.intent_problems(base.files, base.topic_names)
    if base.contract.same_phrases:
        yield from word_checks.phrase_problems(base.files, base.contract)
        yield from word_checks.idle_exceptions(base.files, base.contract)
    classes = list(word_checks.class_problems(base.files))
    yield from classes
    if not classes:
        yield from word_checks.pattern_problems(base.files)


def _symptoms(base: Base) -> Iterator[ContentError]:
    yield from symptom_checks.tier_problems(base.tier_rules, base.words, base.public_signs)
    yield from symptom_checks.example_problems(base.report_examples, base.public_signs)
    place = load(base.folder / "symptoms" / "signs.yaml").mapping()["public"]
    yield from symptom_checks.public_problems(base.words, base.public_signs, place)


def _cases(base: Base) -> Iterator[ContentError]:
    yield from case_problems(base.folder / "rules", base.rules, base.sources)


def _stray_files(base: Base) -> Iterator[ContentError]:
    for kind, known in _FILES.items():
        for path in sorted((base.folder / kind).glob("*/*")):
            if path.name not in known:
                yield ContentError(
                    path,
                    1,
                    f"'{path.name}' is not read",
                    f"use one of: {', '.join(sorted(known))}; or move it out of the content",
                )


def _gaps(base: Base) -> Iterator[ContentError]:
    """What is wished for and not there."""
    wanted = Importance.WANTED
    yield from missing_files(base.contract, base.files, base.folder / "words", wanted)
    yield from word_checks.uneven_lists(base.files)
    for files in base.topics.values():
        yield from topic_checks.contract_problems(files, base.contract, wanted)
    place = load(base.folder / "symptoms" / "signs.yaml").mapping()["public"]
    yield from symptom_checks.unspoken_signs(base.words, base.public_signs, place)
    if is_stale(base.folder):
        yield ContentError(
            base.folder / LEARNED,
            1,
            "the second reader's numbers are of other content",
            "run `armbot content learn`",
        )


def _unsigned(base: Base, today: date | None) -> Iterator[ContentError]:
    """Items without a signature that holds; a missing signature is no error."""
    for item in base.items.values():
        if item.signature is None:
            state = SignState.UNSIGNED
        else:
            state = item.state(today or item.signature.valid_until)
        if state is not SignState.SIGNED:
            yield ContentError(
                base.folder / item.id,
                1,
                f"{item.id} is {state}",
                "a draft: a clinician reviews it and signs it in signoffs.yaml",
            )


def _crossmatch(base: Base, problems: Problems, notes: list[ContentError]) -> None:
    """The gate, once the word lists can be compiled."""
    examples = list(examples_of(base.topics))
    problems.extend(same_examples(examples))
    if any(word_checks.class_problems(base.files)) or any(word_checks.pattern_problems(base.files)):
        return
    matcher = build(base.library())
    problems.extend(stolen(examples, matcher))
    remembered, lost = shadowed(examples, matcher)
    problems.extend(lost)
    notes.extend(remembered)
    notes.extend(strayed(examples, matcher))
