"""Recognition by example: which labelled example messages a new one resembles.

A multinomial naive Bayes model over words, word pairs and word pieces, weighted by how
rare each is. It is fitted from the example messages in content/ in a single pass at start,
so there is no training step, no model file and no chance: the same content gives the same
answer, and a clinic that adds an example changes nothing else.
"""

from __future__ import annotations

import math
from array import array
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate

from armbot.language.tokens import Token

_SMOOTHING = 0.02
_PIECE = 4
_PIECE_WEIGHT = 0.35
_PAIR_WEIGHT = 0.8
_STOPS = frozenset(',;-()\n"*$')
_MOST_WORDS = 160


def features(tokens: Sequence[Token]) -> Counter[str]:
    """Words, word pairs and four-letter pieces of longer words; every number is a 0."""
    return features_of("0" if token.number else token.word for token in tokens)


def features_of(all_words: Iterable[str]) -> Counter[str]:
    """The same from the words alone (tokens.words_of)."""
    words = [word for word in all_words if word not in _STOPS]
    words = words[:_MOST_WORDS]
    found: Counter[str] = Counter(words)
    found.update(f"{a}_{b}" for a, b in zip(["^", *words], [*words, "$"], strict=True))
    for word in words:
        if len(word) > _PIECE:
            padded = f"<{word}>"
            found.update(f"#{padded[i : i + _PIECE]}" for i in range(len(padded) - _PIECE + 1))
    return found


def _weight(feature: str) -> float:
    if feature[0] == "#":
        return _PIECE_WEIGHT
    return _PAIR_WEIGHT if "_" in feature else 1.0


class ExampleModel:
    """Fitted once from (label, features of one example).

    A piece of a word that a single example holds says nothing and is left out; what is kept
    stands in arrays, since there are some thirty thousand features.
    """

    def __init__(self, examples: Iterable[tuple[str, Mapping[str, int]]]) -> None:
        by_label = self._numbered(examples)
        self.labels = tuple(sorted(by_label))
        self._base: list[float] = []
        floor = math.log(_SMOOTHING)
        ratios: list[tuple[array[int], array[float]]] = []
        for label in self.labels:
            sums: dict[int, float] = {}
            for numbers, values in by_label.pop(label):
                for number, value in self._unit(numbers, values):
                    sums[number] = sums.get(number, 0.0) + value
            total = sum(sums.values()) + _SMOOTHING * len(self._number)
            self._base.append(floor - math.log(total))
            logs = array("f", (math.log(value + _SMOOTHING) - floor for value in sums.values()))
            ratios.append((array("i", sums), logs))
        self._lay_out(ratios)

    def _lay_out(self, ratios: Sequence[tuple[array[int], array[float]]]) -> None:
        """The ratios of all labels in one row, those of a feature side by side."""
        counts = [0] * len(self._number)
        for numbers, _ in ratios:
            for number in numbers:
                counts[number] += 1
        self._first = array("i", accumulate(counts, initial=0))
        free = array("i", self._first)
        self._label = array("B", bytes(self._first[-1]))
        self._ratio = array("f", bytes(4 * self._first[-1]))
        for index, (numbers, values) in enumerate(ratios):
            for number, value in zip(numbers, values, strict=True):
                self._label[free[number]] = index
                self._ratio[free[number]] = value
                free[number] += 1

    def _numbered(
        self, examples: Iterable[tuple[str, Mapping[str, int]]]
    ) -> dict[str, list[tuple[array[int], array[float]]]]:
        """Rows by label, as feature numbers and weights; sets the rarity of each feature."""
        self._number: dict[str, int] = {}
        seen: Counter[int] = Counter()
        found: dict[str, list[tuple[array[int], array[float]]]] = defaultdict(list)
        size = 0
        for label, row in examples:
            numbers = array("i", (self._number.setdefault(f, len(self._number)) for f in row))
            values = array("f", ((1 + math.log(n)) * _weight(f) for f, n in row.items()))
            found[label].append((numbers, values))
            seen.update(numbers)
            size += 1
        self._seen = array("i", seen.values())
        self._idf = array("f", (math.log((size + 1) / (n + 0.5)) for n in seen.values()))
        for feature, number in self._number.items():
            if feature[0] == "#" and seen[number] == 1:
                self._idf[number] = 0.0
        return found

    def _unit(self, numbers: array[int], values: array[float]) -> list[tuple[int, float]]:
        """The row at unit length, rare features weighing more."""
        raw = [(n, v * self._idf[n]) for n, v in zip(numbers, values, strict=True)]
        length = math.sqrt(sum(v * v for _, v in raw)) or 1.0
        return [(n, v / length) for n, v in raw if v]

    def _vector(self, row: Mapping[str, int]) -> list[tuple[int, float]]:
        known = {f: n for f, n in row.items() if f in self._number}
        numbers = array("i", (self._number[f] for f in known))
        values = array("f", ((1 + math.log(n)) * _weight(f) for f, n in known.items()))
        return self._unit(numbers, values)

    def scores(self, row: Mapping[str, int]) -> dict[str, float]:
        """Log score per label, the best at 0.0; all 0.0 where nothing is known."""
        sums = [0.0] * len(self.labels)
        known = 0.0
        for number, value in self._vector(row):
            known += value
            for place in range(self._first[number], self._first[number + 1]):
                sums[self._label[place]] += value * self._ratio[place]
        totals = [s + known * base for s, base in zip(sums, self._base, strict=True)]
        best = max(totals, default=0.0)
        return {label: t - best for label, t in zip(self.labels, totals, strict=True)}

    def words_in(self, least: int) -> set[str]:
        """The words that at least so many examples hold."""
        return {
            feature
            for feature, number in self._number.items()
            if feature[0] != "#" and "_" not in feature and self._seen[number] >= least
        }

    def familiarity(self, row: Mapping[str, int]) -> float:
        """Share of the message's own words that some example holds, 0 to 1."""
        words = [f for f in row if f[0] != "#" and "_" not in f]
        return sum(1 for w in words if w in self._number) / len(words) if words else 0.0
