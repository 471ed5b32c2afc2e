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
_TO_END = 6
"""Words after "ok" that still leave it the end of the question: "ok for a 12u kid"."""


class PlanReader:
    """Tells counts asked for from counts thrown, with the words of all languages."""

    def __init__(self, words: Words) -> None:
        lists = words.lists
        self._modals = PhraseList(lists["quantities.plan_modals"])
        self._verbs = frozenset(lists["quantities.plan_verbs"])
        self._between = frozenset(lists["quantities.plan_between"])
        self._nouns = PhraseList(lists["quantities.plan_nouns"])
        self._tails = PhraseList(lists["quantities.plan_tails"])
        self._links = frozenset(lists["quantities.plan_links"])
        self._thrown = frozenset(lists["quantities.thrown_verbs"])

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
        if verb is not None and self._modal_before(tokens, verb):
            return True
        return self._asked_of_a_day(tokens, item, days)

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

    def _asked_of_a_day(
        self, tokens: Sequence[Token], item: Quantity, days: Sequence[DayMention]
    ) -> bool:
        """Whether the count and its one day are a plan: "20 pitches thursday ok?".

        A verb of throwing before the count, or a second day asked about, makes it a count
        that was thrown: "threw 60 tuesday ok?", "60 tuesday ok for friday?".
        """
        day = self._own_day(tokens, item, days)
        if day is None or self._told_as_thrown(tokens, item.start):
            return False
        start, end = min(item.number.start, day.start), max(item.end, day.end)
        if any(other.start >= end for other in days):
            return False
        if self._ends_in_a_question(tokens, end):
            return True
        before = {start, item.start, item.number.start}
        return any(self._nouns.before(tokens, place) for place in before)

    def _own_day(
        self, tokens: Sequence[Token], item: Quantity, days: Sequence[DayMention]
    ) -> DayMention | None:
        """The day right beside the count, if it may be one to come."""
        for day in days:
            low, high = (item.end, day.start) if day.start >= item.end else (day.end, item.start)
            beside = all(token.word in self._links for token in tokens[low:high])
            if high >= low and beside and day.modifier != "last":
                return day
        return None

    def _told_as_thrown(self, tokens: Sequence[Token], place: int) -> bool:
        for at in range(place - 1, -1, -1):
            if tokens[at].hard:
                return False
            if tokens[at].word in self._thrown:
                return True
        return False

    def _ends_in_a_question(self, tokens: Sequence[Token], end: int) -> bool:
        """Whether "ok", "too much" or the like ends the sentence, or nearly does."""
        while end < len(tokens) and tokens[end].word in (",", ".", "?", "-"):
            end += 1
        size = self._tails.after(tokens, end)
        if not size:
            return False
        rest = []
        for token in tokens[end + size :]:
            if token.hard or token.word == ",":
                break
            rest.append(token.word)
        return len(rest) <= _TO_END and not self._verbs & set(rest)
