"""What a topic must satisfy beyond its shape: links, figures, languages, length, ease."""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.content.prose import (
    fill,
    has_digit,
    has_loose_brace,
    placeholders,
    utf16_units,
    word_count,
)
from armbot.content.readability import NAMES, reading_level, too_hard
from armbot.content.sources import LANGUAGES
from armbot.content.topics import CLINIC_PLACEHOLDERS, PARTS

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping

    from armbot.content.contract import Contract, Importance
    from armbot.content.strict import ContentError, Node
    from armbot.content.topics import TopicFiles
    from armbot.model.cite import Source
    from armbot.model.clinic import Clinic
    from armbot.model.topics import AnswerText

_JOINED = ("short", "do_now", "call_when")
"""Read together as one message, so measured together; "long" comes on request."""


def link_problems(
    topics: Mapping[str, TopicFiles], names: Collection[str]
) -> Iterator[ContentError]:
    """Related topics exist (under ``names``) and are others."""
    for name, files in topics.items():
        for node in files.head_place("related"):
            if node.text() not in names or node.text() == name:
                yield node.fail(
                    f"'{node.text()}' is no other topic", "name an existing topic's folder"
                )


def figure_problems(files: TopicFiles) -> Iterator[ContentError]:
    """Every placeholder is a figure, and every figure is used in every language."""
    topic = files.topic
    for language in LANGUAGES:
        used: set[str] = set()
        for answer, part, text in said(files, language):
            names = placeholders(text)
            used |= names
            for name in sorted(names - topic.figures.keys() - set(CLINIC_PLACEHOLDERS)):
                yield files.place(language, answer, part).fail(
                    f"no figure '{name}' in topic.yaml", "add it with its source, or correct it"
                )
        for name in sorted(topic.figures.keys() - used):
            yield files.head_place("figures", name).fail(
                f"the figure '{name}' is not used in {language}.yaml", "use it, or remove it"
            )


def said(files: TopicFiles, language: str) -> Iterator[tuple[str, str, str]]:
    """Everything the bot says of a topic in a language: answer, part, text."""
    for answer in files.topic.answers.values():
        if language in answer.texts:
            for part in PARTS:
                if text := getattr(answer.texts[language], part):
                    yield answer.id, part, text


def language_problems(files: TopicFiles) -> Iterator[ContentError]:
    """The languages say the same parts of an answer with the same figures in it.

    A figure may move from one part to another, as sentences are not translated.
    """
    first, *others = LANGUAGES
    for answer in files.topic.answers.values():
        for language in others:
            if not {first, language} <= answer.texts.keys():
                continue
            one, two = answer.texts[first], answer.texts[language]
            place = files.place(language, answer.id)
            for part in PARTS:
                if bool(getattr(one, part)) != bool(getattr(two, part)):
                    yield place.fail(
                        f"'{answer.id}' has '{part}' in one language only",
                        f"write it in {first} and {language}, or in neither",
                    )
            if odd := _names(one) ^ _names(two):
                yield place.fail(
                    f"'{answer.id}' differs from {first} in: {', '.join(sorted(odd))}",
                    "give both languages the same placeholders",
                )


def _names(text: AnswerText) -> frozenset[str]:
    return placeholders(" ".join(getattr(text, part) for part in PARTS))


def contract_problems(
    files: TopicFiles, contract: Contract, importance: Importance
) -> Iterator[ContentError]:
    """Parts of that importance which an answer lacks."""
    for answer in files.topic.answers.values():
        for language, text in answer.texts.items():
            place = files.place(language, answer.id)
            for part, needed in contract.parts(answer.id).items():
                if needed is importance and not getattr(text, part):
                    yield place.fail(
                        f"'{answer.id}' has no '{part}' ({importance})", f"write '{part}: ...'"
                    )


def example_count_problems(files: TopicFiles, contract: Contract) -> Iterator[ContentError]:
    """Every answer has enough example messages to be recognised by."""
    for answer in files.topic.answers.values():
        for language, text in answer.texts.items():
            count, least = len(text.examples), contract.examples[language]
            if count < least:
                yield files.place(language, answer.id, "examples").fail(
                    f"'{answer.id}' has {count} examples (at least {least})",
                    "add messages as families type them",
                )


def prose_problems(files: TopicFiles) -> Iterator[ContentError]:
    """No digit and no stray brace outside a placeholder."""
    for language in LANGUAGES:
        title = files.topic.titles.get(language, "")
        yield from _bare(title, "title", files.title_place(language))
        for answer, part, text in said(files, language):
            yield from _bare(text, part, files.place(language, answer, part))


def _bare(text: str, what: str, place: Node) -> Iterator[ContentError]:
    if has_digit(text):
        yield place.fail(f"a digit in '{what}'", "make it a figure in topic.yaml, with its source")
    if has_loose_brace(text):
        yield place.fail(
            f"a stray brace in '{what}'", "write placeholders as {name}, in lower case"
        )


def reading_problems(
    files: TopicFiles, contract: Contract, clinic: Clinic
) -> Iterator[ContentError]:
    """No text is too long or too hard once its figures stand in it."""
    for language in LANGUAGES:
        values = values_of(files, clinic, language)
        for answer, part, text in said(files, language):
            count = word_count(fill(text, values))
            if count > contract.most_words.get(part, count):
                yield files.place(language, answer, part).fail(
                    f"'{part}' has {count} words (at most {contract.most_words[part]})",
                    "shorten it",
                )
        for name, whole in files.topic.answers.items():
            if language in whole.texts:
                yield from _too_hard(files, language, name, contract, values)


def _too_hard(
    files: TopicFiles, language: str, answer: str, contract: Contract, values: Mapping[str, str]
) -> Iterator[ContentError]:
    text = files.topic.answers[answer].texts[language]
    joined = " ".join(filter(None, (getattr(text, part) for part in _JOINED)))
    limit = contract.hardest_grade if language == "en" else contract.least_ease
    for part, whole in (("short", joined), ("long", text.long)):
        filled = fill(whole, values)
        if filled and too_hard(filled, language, limit):
            yield files.place(language, answer, part).fail(
                f"{'+'.join(_JOINED) if part == 'short' else part} reads too hard: "
                f"{NAMES[language]} {reading_level(filled, language):.1f} (limit {limit})",
                "shorter sentences, shorter words",
            )


def values_of(files: TopicFiles, clinic: Clinic, language: str) -> dict[str, str]:
    """What each placeholder prints in a language."""
    figures = {name: figure.values[language] for name, figure in files.topic.figures.items()}
    own = (clinic.phone, clinic.emergency_number)
    return figures | dict(zip(CLINIC_PLACEHOLDERS, own, strict=True))


def message_problems(
    files: TopicFiles, contract: Contract, clinic: Clinic, sources: Mapping[str, Source]
) -> Iterator[ContentError]:
    """Every answer, with title and sources, fits into one message."""
    for language in LANGUAGES:
        values = values_of(files, clinic, language)
        for answer in files.topic.answers.values():
            if language not in answer.texts:
                continue
            text = answer.texts[language]
            parts = [fill(getattr(text, part), values) for part in PARTS]
            named = [f"{sources[key].short}: {sources[key].title}" for key in answer.sources]
            whole = "\n\n".join((files.topic.titles.get(language, ""), *parts, *named))
            if (units := utf16_units(whole)) > contract.message_units:
                yield files.place(language, answer.id).fail(
                    f"'{answer.id}' makes a message of {units} UTF-16 units "
                    f"(at most {contract.message_units})",
                    "shorten it",
                )
