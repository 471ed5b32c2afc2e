"""Whether the word lists hang together: classes, patterns, topics, signs, phrases."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from armbot.content.problems import Problems
from armbot.content.prose import has_digit, has_loose_brace, placeholders, utf16_units
from armbot.content.sources import LANGUAGES
from armbot.content.words import PHRASE_KINDS, pattern_rows
from armbot.language.patterns import Lexicon, PatternError

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping

    from armbot.content.contract import Contract
    from armbot.content.strict import ContentError, Node
    from armbot.content.words import Files

_LEAST_KINDS = ("signs", "context", "idioms", "intents", "acts")
"""Files whose lists every language is wished to have (classes are each language's own means)."""


def class_problems(files: Files) -> Iterator[ContentError]:
    """Every class names existing classes, none contains itself, no member is too long."""
    names = {name for kinds in files.values() for name in _keys(kinds.get("classes"))}
    for kinds in files.values():
        for name, node in _keys(kinds.get("classes")).items():
            for member in node:
                word = member.text()
                if word.startswith("@") and word[1:] not in names:
                    yield member.fail(f"there is no class '{word}'", "add it, or correct the name")
                elif not word.startswith("@") and (message := _unreadable({name: [word]})):
                    yield member.fail(message, "split it, or write it shorter")
    yield from _circles(files, names)


def _unreadable(classes: Mapping[str, list[str]]) -> str:
    """Why classes cannot be compiled; empty when they can."""
    try:
        Lexicon(classes)
    except PatternError as error:
        return str(error)
    return ""


def _circles(files: Files, names: Collection[str]) -> Iterator[ContentError]:
    named = {name: merged_classes(files, only={name})[name] for name in names}
    inner = {
        name: [word for word in words if word[:1] == "@" and word[1:] in names]
        for name, words in named.items()
    }
    for kinds in files.values():
        for name, node in _keys(kinds.get("classes")).items():
            if _reaches(name, name, inner, set()):
                yield node.fail(f"the class '{name}' contains itself", "take it out of the circle")


def _reaches(start: str, goal: str, inner: Mapping[str, list[str]], seen: set[str]) -> bool:
    for word in inner[start]:
        below = word[1:]
        if below == goal:
            return True
        if below not in seen:
            seen.add(below)
            if _reaches(below, goal, inner, seen):
                return True
    return False


def merged_classes(files: Files, only: Collection[str] | None = None) -> dict[str, list[str]]:
    """Classes of all languages by name, those of ``only`` or all."""
    found: defaultdict[str, list[str]] = defaultdict(list)
    for kinds in files.values():
        for name, node in _keys(kinds.get("classes")).items():
            if only is None or name in only:
                found[name].extend(node.words())
    return found


def _keys(root: Node | None) -> dict[str, Node]:
    return root.mapping() if root is not None else {}


def pattern_problems(files: Files) -> Iterator[ContentError]:
    """Every pattern can be read, and names existing classes."""
    lexicon = Lexicon(merged_classes(files))
    for row in pattern_rows(files, Problems(gather=True)):
        try:
            lexicon.add(row.name, [row.node.text()])
        except PatternError as error:
            yield row.node.fail(str(error), "see armbot/language/patterns.py for how to write one")


def intent_problems(files: Files, topics: Collection[str]) -> Iterator[ContentError]:
    """Words point to topics that exist."""
    for kinds in files.values():
        for topic, node in _keys(kinds.get("intents")).items():
            if topic not in topics:
                yield node.fail(f"no topic '{topic}'", "name it as its folder under topics/")


def uneven_lists(files: Files) -> Iterator[ContentError]:
    """Lists that one language has and another lacks: its families are understood less well."""
    for kind in _LEAST_KINDS:
        have = {language: _keys(files[language].get(kind)) for language in LANGUAGES}
        every = {name for lists in have.values() for name in lists}
        for language, lists in have.items():
            root = files[language].get(kind)
            for name in sorted(every - lists.keys()):
                if root is not None:
                    yield root.fail(
                        f"no list '{name}', which another language has", "add it, even if short"
                    )


def phrase_problems(files: Files, contract: Contract) -> Iterator[ContentError]:
    """Every language has the same phrases with the same placeholders, each of fit form."""
    for kind in PHRASE_KINDS:
        yield from _phrases_alike(files, kind)
        for language in LANGUAGES:
            for key, node in _keys(files[language].get(kind)).items():
                yield from _phrase(key, node, contract)


def _phrases_alike(files: Files, kind: str) -> Iterator[ContentError]:
    phrases = {language: _keys(files[language].get(kind)) for language in LANGUAGES}
    fullest = max(LANGUAGES, key=lambda language: len(phrases[language]))
    for language in LANGUAGES:
        if language != fullest and phrases[fullest] and kind not in files[language]:
            place = files[fullest][kind]
            yield place.fail(f"'{language}' has no {kind}.yaml", "write it beside the others")
        yield from _unequal(phrases, language, fullest, files[language].get(kind))


def _phrase(key: str, node: Node, contract: Contract) -> Iterator[ContentError]:
    text = node.text()
    if has_digit(text) and key not in contract.phrase_digits:
        yield node.fail(
            f"the phrase '{key}' holds a digit",
            "let the number come in through a placeholder, or say in contract.yaml why not",
        )
    if has_loose_brace(text):
        yield node.fail(f"a stray brace in '{key}'", "write placeholders as {name}, in lower case")
    if utf16_units(text) > contract.message_units:
        yield node.fail(f"the phrase '{key}' is longer than a message", "shorten it")


def idle_exceptions(files: Files, contract: Contract) -> Iterator[ContentError]:
    """Phrases that contract.yaml lets hold a digit, and that hold none in any language."""
    phrases = [_keys(files[lang].get(kind)) for lang in LANGUAGES for kind in PHRASE_KINDS]
    for key in contract.phrase_digits:
        texts = [own[key].text() for own in phrases if key in own]
        if any(phrases) and not any(map(has_digit, texts)):
            yield contract.place.fail(
                f"the phrase '{key}' needs no exception for digits", "remove it from the contract"
            )


def _unequal(
    phrases: Mapping[str, Mapping[str, Node]], language: str, fullest: str, root: Node | None
) -> Iterator[ContentError]:
    if language == fullest or root is None:
        return
    for key, node in phrases[fullest].items():
        own = phrases[language].get(key)
        if own is None:
            yield root.fail(f"the phrase '{key}' is missing", f"write it, as in {fullest}")
        elif odd := placeholders(own.text()) ^ placeholders(node.text()):
            yield own.fail(
                f"'{key}' differs from {fullest} in: {', '.join(sorted(odd))}",
                "give both languages the same placeholders",
            )
    for key in sorted(phrases[language].keys() - phrases[fullest].keys()):
        yield phrases[language][key].fail(
            f"the phrase '{key}' is missing in {fullest}", "write it there too, or remove it"
        )
