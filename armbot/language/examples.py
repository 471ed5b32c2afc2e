"""Recognition by example: which labelled example messages a new one resembles.

A multinomial naive Bayes model over words, word pairs and word pieces, weighted by how
rare each is. It is fitted from the example messages in content/ in a single pass at start,
so there is no training step, no model file and no chance: the same content gives the same
answer, and a clinic that adds an example changes nothing else.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence

from armbot.language.tokens import Token

_SMOOTHING = 0.02
_PIECE = 4
_PIECE_WEIGHT = 0.35
_PAIR_WEIGHT = 0.8
_STOPS = frozenset(',;-()\n"*$')
_MOST_WORDS = 160


def features(tokens: Sequence[Token]) -> Counter[str]:
    """Words, word pairs and four-letter pieces of longer words; every number is a 0."""
    words = ["0" if token.number else token.word for token in tokens if token.word not in _STOPS]
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
    """Fitted once from (label, features of one example)."""

    def __init__(self, examples: Iterable[tuple[str, Mapping[str, int]]]) -> None:
        rows = list(examples)
        seen = Counter(feature for _, row in rows for feature in row)
        self._idf = {f: math.log((len(rows) + 1) / (n + 0.5)) for f, n in seen.items()}
        sums: dict[str, Counter[str]] = defaultdict(Counter)
        for label, row in rows:
            for feature, value in self._vector(row).items():
                sums[label][feature] += value  # type: ignore[assignment]
        self.labels = tuple(sorted(sums))
        self._ratio: dict[str, list[tuple[int, float]]] = defaultdict(list)
        self._base: list[float] = []
        floor = math.log(_SMOOTHING)
        for index, label in enumerate(self.labels):
            total = sum(sums[label].values()) + _SMOOTHING * len(seen)
            self._base.append(floor - math.log(total))
            for feature, value in sums[label].items():
                self._ratio[feature].append((index, math.log(value + _SMOOTHING) - floor))

    def _vector(self, row: Mapping[str, int]) -> dict[str, float]:
        raw = {
            f: (1 + math.log(n)) * self._idf[f] * _weight(f)
            for f, n in row.items()
            if f in self._idf
        }
        length = math.sqrt(sum(v * v for v in raw.values())) or 1.0
        return {f: v / length for f, v in raw.items()}

    def scores(self, row: Mapping[str, int]) -> dict[str, float]:
        """Log score per label, the best at 0.0; all 0.0 where nothing is known."""
        sums = [0.0] * len(self.labels)
        known = 0.0
        for feature, value in self._vector(row).items():
            known += value
            for index, ratio in self._ratio.get(feature, ()):
                sums[index] += value * ratio
        totals = [s + known * base for s, base in zip(sums, self._base, strict=True)]
        best = max(totals, default=0.0)
        return {label: t - best for label, t in zip(self.labels, totals, strict=True)}

    def shares(self, row: Mapping[str, int]) -> dict[str, float]:
        """The scores as shares that add up to one."""
        raw = {label: math.exp(score) for label, score in self.scores(row).items()}
        total = sum(raw.values()) or 1.0
        return {label: value / total for label, value in raw.items()}

    def familiarity(self, row: Mapping[str, int]) -> float:
        """Share of the message's own words that some example holds, 0 to 1."""
        words = [f for f in row if f[0] != "#" and "_" not in f]
        return sum(1 for w in words if w in self._idf) / len(words) if words else 0.0
