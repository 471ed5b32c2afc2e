"""Reads content/words/<language>/*.yaml into the word lists of all languages together.

One message may mix languages, so lists, tables, classes and patterns are joined; what
the bot says and the everyday words by which a language is known stay apart.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from armbot.content.sources import LANGUAGES
from armbot.content.strict import ContentError, Node, load
from armbot.model.words import Words

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from armbot.content.problems import Problems

INTENT_LEVELS = ("strong", "plain", "faint")
_PREFIX = {"signs": "sign", "idioms": "idiom", "context": "context", "acts": "act"}
"""Files of pattern lists, and what the name of each list is preceded by."""
_TABLES = ("calendar", "numbers", "quantities")
"""Files of plain lists and of tables from a word to a number."""
PHRASE_KINDS = (
    *("phrases", "phrases_joining", "phrases_reminders"),
    *("phrases_pictures", "phrases_staff", "phrases_chat"),
)
"""Files of what the bot says, one for each part of its work."""
KINDS = ("classes", "intents", "common", "spelling", *PHRASE_KINDS, *_TABLES, *_PREFIX)
"""Every file a language may have under words/."""

Files = dict[str, dict[str, Node]]
"""Language -> kind -> the file's root."""


@dataclass(frozen=True, slots=True)
class PatternRow:
    """One pattern, the list it belongs to, and where it is written."""

    name: str
    node: Node


def read_word_files(folder: Path, problems: Problems) -> Files:
    """Read every words file under ``folder`` (content/words); mistakes go to ``problems``.

    Which files a language must have is contract.yaml's business.
    """
    files: Files = {language: {} for language in LANGUAGES}
    for path in sorted(folder.glob("*/*")):
        with problems.here():
            language, kind = path.parent.name, path.stem
            if language not in LANGUAGES:
                known = ", ".join(LANGUAGES)
                raise ContentError(path, 1, f"no language '{language}'", f"use one of: {known}")
            if path.suffix != ".yaml" or kind not in KINDS:
                known = ", ".join(f"{kind}.yaml" for kind in sorted(KINDS))
                raise ContentError(path, 1, f"'{path.name}' is not read", f"use one of: {known}")
            files[language][kind] = load(path)
    return files


def merge(files: Files, problems: Problems) -> Words:
    """Join the files of all languages; mistakes go to ``problems``."""
    patterns: defaultdict[str, list[str]] = defaultdict(list)
    for row in pattern_rows(files, problems):
        patterns[row.name].append(row.node.text())
    lists: defaultdict[str, list[str]] = defaultdict(list)
    tables: defaultdict[str, dict[str, str]] = defaultdict(dict)
    for kind in _TABLES:
        for root in _roots(files, kind):
            with problems.here():
                _add_tables(kind, root, lists, tables)
    return Words(
        classes=_frozen(_classes(files, problems)),
        patterns=_frozen(patterns),
        lists=_frozen(lists),
        tables=dict(tables),
        common=_common(files, problems),
        spelling=_spelling(files, problems),
        phrases=_phrases(files, problems),
    )


def pattern_rows(files: Files, problems: Problems) -> Iterator[PatternRow]:
    """Every pattern of every language with its list and place."""
    for kind, prefix in _PREFIX.items():
        for root in _roots(files, kind):
            for name, node in _lists(root, problems):
                yield from _rows(f"{prefix}:{name}", node, problems)
    for root in _roots(files, "intents"):
        for topic, levels in _lists(root, problems):
            with problems.here():
                for level, node in levels.mapping(optional=INTENT_LEVELS).items():
                    yield from _rows(f"intent:{topic}|{level}", node, problems)


def _rows(name: str, node: Node, problems: Problems) -> Iterator[PatternRow]:
    with problems.here():
        for item in node.items():
            item.text()
            yield PatternRow(name, item)


def _roots(files: Files, kind: str) -> Iterator[Node]:
    for kinds in files.values():
        if kind in kinds:
            yield kinds[kind]


def _lists(root: Node, problems: Problems) -> list[tuple[str, Node]]:
    with problems.here():
        return list(root.mapping().items())
    return []


def _frozen(lists: Mapping[str, list[str]]) -> dict[str, tuple[str, ...]]:
    return {name: tuple(dict.fromkeys(items)) for name, items in lists.items()}


def _classes(files: Files, problems: Problems) -> dict[str, list[str]]:
    found: defaultdict[str, list[str]] = defaultdict(list)
    for root in _roots(files, "classes"):
        for name, node in _lists(root, problems):
            with problems.here():
                found[name].extend(node.words())
    return found


def _add_tables(
    kind: str,
    root: Node,
    lists: dict[str, list[str]],
    tables: dict[str, dict[str, str]],
) -> None:
    for key, node in root.mapping().items():
        name = f"{kind}.{key}"
        if isinstance(node.value, dict):
            _add_table(tables[name], node)
        else:
            lists[name].extend(node.words())


def _add_table(table: dict[str, str], node: Node) -> None:
    for word, value in node.mapping().items():
        if table.setdefault(word, value.text()) != value.text():
            raise value.fail(
                f"'{word}' is {value.text()} here and {table[word]} in another language",
                "one message may mix the languages: keep one, or leave the word out",
            )


def _common(files: Files, problems: Problems) -> dict[str, frozenset[str]]:
    found = dict.fromkeys(LANGUAGES, frozenset[str]())
    for language, kinds in files.items():
        with problems.here():
            if "common" in kinds:
                found[language] = frozenset(kinds["common"].words())
    return found


def _spelling(files: Files, problems: Problems) -> dict[str, str]:
    found: dict[str, str] = {}
    for root in _roots(files, "spelling"):
        with problems.here():
            _add_table(found, root)
    return found


def _phrases(files: Files, problems: Problems) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {language: {} for language in LANGUAGES}
    for language, kinds in files.items():
        for kind in PHRASE_KINDS:
            for key, node in _lists(kinds[kind], problems) if kind in kinds else ():
                with problems.here():
                    if key in found[language]:
                        raise node.fail(f"the phrase '{key}' stands in two files", "keep one")
                    found[language][key] = node.text()
    return found
