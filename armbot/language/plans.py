"""Counts that are asked for and not thrown: "is it ok if he throws 20 tomorrow".

Such a count must never be logged, nor stand in the place of what was thrown: the answer
would rest on pitches nobody has thrown yet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from armbot.language.days import DayMention
from armbot.language.phrase_list import PhraseList
from armbot.language.quantities import Kind, Quantity
from armbot.language.tokens import Token
from armbot.model.words import Words

_FEWEST = 15
"""A bare number below this is no pitch count."""
_TO_VERB = 4
"""Words that may stand between the verb and its count: "throw no more than 40"."""
_TO_MODAL = 6
"""Words that may stand between "can" and the verb: "can my older boy still throw"."""
_TO_DAY = 3
"""Words between a count and the day it belongs to."""


class PlanReader:
    """Tells counts asked for from counts thrown, with the words of all languages."""

    def __init__(self, words: Words) -> None:
        lists = words.lists
        self._modals = PhraseList(lists["quantities.plan_modals"])
        self._verbs = frozenset(lists["quantities.plan_verbs"])
        self._between = frozenset(lists["quantities.plan_between"])

    def read(
        self,
        tokens: Sequence[Token],
        quantities: Sequence[Quantity],
        days: Sequence[DayMention],
        today: date,
    ) -> list[Quantity]:
        """The quantities, those that are only asked for marked as planned."""
        return [
            replace(item, kind=Kind.PLANNED) if self._planned(tokens, item, days, today) else item
            for item in quantities
        ]

    def _planned(
        self, tokens: Sequence[Token], item: Quantity, days: Sequence[DayMention], today: date
    ) -> bool:
        counted = item.kind is Kind.PITCHES or (
            item.kind is Kind.BARE and item.number.value >= _FEWEST
        )
        if not counted or any(
            0 <= day.start - item.end < _TO_DAY and day.day is not None and day.day < today
            for day in days
        ):
            return False
        verb = self._verb_before(tokens, item.start)
        return verb is not None and self._modal_before(tokens, verb)

    def _verb_before(self, tokens: Sequence[Token], place: int) -> int | None:
        """The throwing verb that the count hangs on."""
        for at in range(place - 1, max(-1, place - 2 - _TO_VERB), -1):
            if tokens[at].word in self._verbs:
                return at
            if tokens[at].hard or tokens[at].word not in self._between:
                return None
        return None

    def _modal_before(self, tokens: Sequence[Token], verb: int) -> bool:
        """Whether something is asked for, wished or supposed of the verb."""
        for at in range(verb, max(0, verb - _TO_MODAL), -1):
            if self._modals.before(tokens, at):
                return True
            if tokens[at - 1].hard:
                return False
        return False
