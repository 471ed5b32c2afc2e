"""The phrase patterns in content/words, compiled and matched.

A pattern is a row of elements separated by spaces:

    elbow            this word
    tingl*           a word that begins so
    hurt/ache/sore   any one of these
    @arm             any member of the class of that name (classes may hold phrases)
    pop!  @part!     the same, only where it is a whole sentence by itself
    ?really          may be there or not
    a b | c d        either pattern
    ..               up to 5 words in between, same sentence
    ...              up to 10 words in between, same sentence

Matching is bounded: an element consumes at most one class member, a gap at most
ten words, and a pattern has at most 60 elements. There is no backtracking
beyond that, so no message can make it run away.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from armbot.language.tokens import Token

_GAPS = {"..": 5, "...": 10}
_LONGEST_PREFIX = 14
_MOST_ELEMENTS = 60
_MOST_CLASS_WORDS = 6


class PatternError(ValueError):
    """A pattern that cannot be read; the message says which and why."""


@dataclass(frozen=True, slots=True)
class _Element:
    features: tuple[str, ...]
    optional: bool = False
    gap: int = 0


@dataclass(frozen=True, slots=True)
class Hit:
    """A pattern of list ``name`` matched tokens[start:end]."""

    name: str
    start: int
    end: int
    pattern: str


@dataclass(frozen=True, slots=True)
class _Compiled:
    name: str
    source: str
    elements: tuple[_Element, ...]
    needed: tuple[frozenset[str], ...]
    """For each element that must be there: one of these features must occur at all."""


@cache
def _one_of(features: tuple[str, ...]) -> frozenset[str]:
    """The features as a set; many patterns share one."""
    return frozenset(features)


def _fold(text: str) -> str:
    table = str.maketrans("áéíóúüñ", "aeiouun")
    return text.lower().translate(table).replace("'", "")


class Lexicon:
    """Classes of words and phrases, and the pattern lists written with them."""

    def __init__(self, classes: Mapping[str, Iterable[str]]) -> None:
        self._classes = {name: tuple(members) for name, members in classes.items()}
        self._words: dict[str, set[str]] = {}
        self._prefixes: dict[str, set[str]] = {}
        self._phrases: dict[tuple[str, str], list[tuple[tuple[str, ...], str]]] = {}
        """By first and second word; the second is empty where it is only a beginning."""
        self._by_feature: dict[str, list[_Compiled]] = {}
        self._features = lru_cache(maxsize=20_000)(self._compute_features)
        for name in self._classes:
            for member in self._members(name, ()):
                self._add_member(f"@{name}", member)

    def _members(self, name: str, seen: tuple[str, ...]) -> Iterable[str]:
        """Members of a class, those of classes named inside it included."""
        if name in seen:
            raise PatternError(f"class '{name}' contains itself")
        if name not in self._classes:
            raise PatternError(f"there is no class '@{name}'")
        for member in self._classes[name]:
            if member.startswith("@"):
                yield from self._members(member[1:], (*seen, name))
            else:
                yield _fold(member)

    def _add_member(self, feature: str, member: str) -> None:
        words = tuple(member.split())
        if not words or len(words) > _MOST_CLASS_WORDS:
            raise PatternError(f"class member '{member}' must have 1 to {_MOST_CLASS_WORDS} words")
        if len(words) > 1:
            second = "" if words[1].endswith("*") else words[1]
            self._phrases.setdefault((words[0], second), []).append((words, feature))
        elif member.endswith("*"):
            self._prefixes.setdefault(member[:-1], set()).add(feature)
        else:
            self._words.setdefault(member, set()).add(feature)

    def add(self, name: str, patterns: Iterable[str]) -> None:
        """Add patterns under a list name. Raises PatternError on an unreadable one."""
        for source in (part for row in patterns for part in row.split(" | ")):
            elements = tuple(self._element(part, source) for part in _fold(source).split())
            first = next((e for e in elements if not e.gap), None)
            if first is None or elements[0].gap or elements[-1].gap:
                raise PatternError(f"pattern '{source}' must begin and end with a word")
            if len(elements) > _MOST_ELEMENTS:
                raise PatternError(f"pattern '{source}' has more than {_MOST_ELEMENTS} parts")
            needed = tuple(
                sorted(
                    {_one_of(e.features) for e in elements if not e.gap and not e.optional},
                    key=len,
                )
            )
            compiled = _Compiled(name, source, elements, needed)
            for element in elements:
                for feature in element.features:
                    self._by_feature.setdefault(feature, []).append(compiled)
                if not element.optional:
                    break

    def _element(self, part: str, source: str) -> _Element:
        if part in _GAPS:
            return _Element((), gap=_GAPS[part])
        optional = part.startswith("?")
        features = tuple(self._feature(word, source) for word in part.lstrip("?").split("/"))
        return _Element(features, optional)

    def _feature(self, word: str, source: str) -> str:
        if word.startswith("@"):
            if word[1:].rstrip("!") not in self._classes:
                raise PatternError(f"pattern '{source}' names the unknown class '{word}'")
            return word
        if word.endswith("*"):
            self._prefixes.setdefault(word[:-1], set()).add(word)
            return word
        if not word:
            raise PatternError(f"pattern '{source}' has an empty alternative")
        if word.endswith("!"):
            return word
        self._words.setdefault(word, set()).add(word)
        return word

    @property
    def vocabulary(self) -> frozenset[str]:
        """Every literal word that some class or pattern names."""
        return frozenset(word for word in self._words if word.isalpha())

    def knows(self, word: str) -> bool:
        """Whether the word, as a whole or by its beginning, stands in a class or pattern."""
        return bool(self._features(word))

    def _compute_features(self, word: str) -> frozenset[str]:
        found = set(self._words.get(word, ()))
        for length in range(2, min(len(word), _LONGEST_PREFIX) + 1):
            found |= self._prefixes.get(word[:length], set())
        if word[0].isdigit():
            found |= self._words.get("<number>", set())
        return frozenset(found)

    def spans(self, tokens: Sequence[Token]) -> list[dict[str, tuple[int, ...]]]:
        """For each place, which features begin there and over how many tokens."""
        table: list[dict[str, tuple[int, ...]]] = []
        for place, token in enumerate(tokens):
            here: dict[str, tuple[int, ...]] = dict.fromkeys(self._features(token.word), (1,))
            for words, feature in self._beginning(tokens, place):
                size = len(words)
                if place + size <= len(tokens) and all(
                    _same(words[k], tokens[place + k].word) for k in range(1, size)
                ):
                    here[feature] = (size, *(n for n in here.get(feature, ()) if n != size))
            if _alone(tokens, place):
                here.update({f"{feature}!": (1,) for feature in [*here, token.word]})
            table.append(here)
        return table

    def _beginning(
        self, tokens: Sequence[Token], place: int
    ) -> Iterable[tuple[tuple[str, ...], str]]:
        """The phrases that begin with the words at ``place``."""
        if place + 1 == len(tokens):
            return ()
        first, second = tokens[place].word, tokens[place + 1].word
        return (*self._phrases.get((first, second), ()), *self._phrases.get((first, ""), ()))

    def match(
        self, tokens: Sequence[Token], table: Sequence[Mapping[str, tuple[int, ...]]]
    ) -> list[Hit]:
        """All matches, the longest per pattern and starting place."""
        hits: list[Hit] = []
        present = {feature for here in table for feature in here}
        live: dict[str, list[_Compiled]] = {}
        possible: dict[int, bool] = {}

        def can_match(pattern: _Compiled) -> bool:
            key = id(pattern)
            if key not in possible:
                possible[key] = not any(map(present.isdisjoint, pattern.needed))
            return possible[key]

        for place, here in enumerate(table):
            tried: set[int] = set()
            for feature in here:
                if feature not in live:
                    live[feature] = list(filter(can_match, self._by_feature.get(feature, ())))
                for pattern in live[feature]:
                    if id(pattern) in tried:
                        continue
                    tried.add(id(pattern))
                    end = _longest(pattern.elements, 0, place, tokens, table)
                    if end > place:
                        hits.append(Hit(pattern.name, place, end, pattern.source))
        return hits


def _alone(tokens: Sequence[Token], place: int) -> bool:
    """Whether the word is a sentence of its own."""
    before = place == 0 or tokens[place - 1].hard
    after = place + 1 == len(tokens) or tokens[place + 1].hard
    return before and after and not tokens[place].hard


def _same(pattern: str, word: str) -> bool:
    return word.startswith(pattern[:-1]) if pattern.endswith("*") else word == pattern


def _longest(  # noqa: PLR0913 - a recursive match and its memory
    elements: tuple[_Element, ...],
    index: int,
    place: int,
    tokens: Sequence[Token],
    table: Sequence[Mapping[str, tuple[int, ...]]],
    known: dict[tuple[int, int], int] | None = None,
) -> int:
    """End of the longest match of elements[index:] at ``place``, or -1.

    ``known`` remembers what was tried, so the work is at most elements times places.
    """
    if index == len(elements):
        return place
    known = {} if known is None else known
    if (index, place) in known:
        return known[index, place]
    element = elements[index]
    if element.gap:
        end = _after_gap(elements, index, place, tokens, table, known)
    else:
        end = _longest(elements, index + 1, place, tokens, table, known) if element.optional else -1
        if place < len(tokens):
            here = table[place]
            for feature in element.features:
                for size in here.get(feature, ()):
                    end = max(
                        end, _longest(elements, index + 1, place + size, tokens, table, known)
                    )
    known[index, place] = end
    return end


def _after_gap(  # noqa: PLR0913 - a recursive match and its memory
    elements: tuple[_Element, ...],
    index: int,
    place: int,
    tokens: Sequence[Token],
    table: Sequence[Mapping[str, tuple[int, ...]]],
    known: dict[tuple[int, int], int],
) -> int:
    """The nearest way on over the gap at ``index``, not across the end of a sentence."""
    for skip in range(elements[index].gap + 1):
        at = place + skip
        if at >= len(tokens) or (skip and tokens[at - 1].hard):
            break
        end = _longest(elements, index + 1, at, tokens, table, known)
        if end >= 0:
            return end
    return -1
