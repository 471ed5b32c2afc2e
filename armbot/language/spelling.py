"""Misspellings of the words that matter, set right before anything is matched.

A known misspelling (content/words/*/spelling.yaml) is replaced as it stands. Another word
is replaced only when nobody knows it, it is long enough, and exactly one word of the
arm-care vocabulary is a single slip away: a dropped, added, changed or swapped letter.
Common words are never touched, so "below" does not become "elbow".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

from rapidfuzz.distance import OSA

from armbot.language.tokens import Token

_SHORTEST = 5


class Speller:
    """Built once; remembers the words it has seen."""

    def __init__(
        self, table: Mapping[str, str], targets: Iterable[str], known: Iterable[str]
    ) -> None:
        self._table = dict(table)
        self._targets = sorted({word for word in targets if len(word) >= _SHORTEST})
        self._known = frozenset(known) | frozenset(self._targets)
        self._mend = lru_cache(maxsize=8192)(self._find)

    def mend(self, tokens: Sequence[Token]) -> tuple[Token, ...]:
        """The tokens with misspelled words set right; places stay as typed."""
        return tuple(token if token.number else self._one(token) for token in tokens)

    def _one(self, token: Token) -> Token:
        word = self._mend(token.word)
        return token if word == token.word else replace(token, word=word)

    def _find(self, word: str) -> str:
        if word in self._table:
            return self._table[word]
        if len(word) < _SHORTEST or word in self._known:
            return word
        squeezed = _squeeze(word)
        if squeezed in self._known:
            return squeezed
        near = [
            target
            for target in self._targets
            if target[0] == word[0]
            and abs(len(target) - len(word)) <= 1
            and OSA.distance(target, word, score_cutoff=1) <= 1
        ]
        return near[0] if len(near) == 1 else word


def _squeeze(word: str) -> str:
    """Make "soooore" "sore": a letter typed three times or more is meant once."""
    kept: list[str] = []
    for letter in word:
        if len(kept) >= 2 and kept[-1] == kept[-2] == letter:
            continue
        kept.append(letter)
    text = "".join(kept)
    for pair in {a + b for a, b in pairwise(text) if a == b}:
        text = text.replace(pair, pair[0]) if pair * 1 in text and len(word) > len(text) else text
    return text
