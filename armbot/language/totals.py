"""Counts told as a bound, a rough ten, or so many an inning: the total that rest is owed for.

"More than 50" is at least 51, "fifty something" may be 59, and "15 an inning" over three
innings are 45. Each is read as the count that owes the most rest (common practice: a chart
is entered with the higher count where two are possible).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil

from armbot.language.phrase_list import PhraseList
from armbot.language.quantities import Kind, Quantity
from armbot.language.tokens import Token
from armbot.model.words import Words

_FEWEST = 15
"""A bare number below this is no pitch count."""
_TEN = 10


class TotalReader:
    """Raises counts to their total with the words of all languages."""

    def __init__(self, words: Words) -> None:
        lists = words.lists
        self._above_before = PhraseList(lists["quantities.above_before"])
        self._above_after = PhraseList(lists["quantities.above_after"])
        self._tens_after = PhraseList(lists["quantities.tens_after"])
        self._each_inning = PhraseList(lists["quantities.each_inning"])
        self._each = PhraseList(lists["quantities.each"])
        self._games = frozenset(lists["quantities.games"])

    def read(self, tokens: Sequence[Token], quantities: Sequence[Quantity]) -> list[Quantity]:
        """The quantities, with each count that may be a pitch count at its total."""
        starts = {q.number.start for q in quantities}
        return [self._total(tokens, item, quantities, starts) for item in quantities]

    def _total(
        self,
        tokens: Sequence[Token],
        item: Quantity,
        quantities: Sequence[Quantity],
        starts: set[int],
    ) -> Quantity:
        if item.kind in (Kind.BARE, Kind.AGE) and self._each_inning.after(tokens, item.end):
            item = _each(item)
        counted = item.kind is Kind.PITCHES or (
            item.kind is Kind.BARE and item.number.value >= _FEWEST
        )
        if not counted or item.number.whole is None:
            return item
        times = self._times(tokens, item, quantities)
        if times is None:
            return replace(item, kind=Kind.OTHER)  # "20 an inning", and nobody says how many
        value = ceil(self._highest(tokens, item, starts) * times)
        return replace(item, number=replace(item.number, value=Fraction(value)))

    def _highest(self, tokens: Sequence[Token], item: Quantity, starts: set[int]) -> Fraction:
        """The least count above a bound, the last of a ten, or the count as told."""
        value, end = item.number.value, item.number.end
        if self._tens_after.after(tokens, end) and value % _TEN == 0:
            return value + _TEN - 1
        size = self._above_after.after(tokens, end) or (
            self._above_after.after(tokens, item.end) and item.end - end + 1
        )
        above = bool(size) and end + size not in starts
        return value + 1 if above or self._above_before.before(tokens, item.start) else value

    def _times(
        self, tokens: Sequence[Token], item: Quantity, quantities: Sequence[Quantity]
    ) -> Fraction | None:
        """How often the count was thrown: once, unless it is told by the inning or the game."""
        innings = [q.number.value for q in quantities if q.kind is Kind.INNINGS]
        if self._each_inning.after(tokens, item.end):
            return innings[0] if innings else None
        if not self._each.after(tokens, item.end):
            return Fraction(1)
        games = [
            q.number.value
            for q in quantities
            if q.kind is Kind.OTHER
            and q.number.end < len(tokens)
            and tokens[q.number.end].word in self._games
        ]
        return (innings or games or [Fraction(1)])[0]


def _each(item: Quantity) -> Quantity:
    """So many an inning are pitches, and of "12 to 15" the higher number counts."""
    number = item.number
    if number.last is not None:
        number = replace(number, value=max(number.value, number.last), last=None)
    return replace(item, kind=Kind.PITCHES, number=number, age=None)
