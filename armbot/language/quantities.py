"""What each number in a message counts: pitches, innings, years of age, or something else.

A number is settled by the words beside it. One that nothing settles stays "bare": the
engine may take it as the answer to its own question, or ask. A wrong number is worse
than a question.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from armbot.language.days import DayMention
from armbot.language.numbers import Number
from armbot.language.phrase_list import PhraseList
from armbot.language.tokens import Token
from armbot.model.people import AgeSpan
from armbot.model.words import Words

_YOUNGEST, _OLDEST = 4, 23
_GROWN = 99
"""Ages past the tables are read where "years old" is said, so that they can be told so."""
_SMALL = 12
"""Up to here a number before a day is an age, and thirds are innings of one game."""
_FEWEST, _MOST = 15, 200
"""Pitch counts known only by the verb before them."""


class Kind(StrEnum):
    """What a number counts."""

    PITCHES = "pitches"
    WARMUP = "warmup"
    SESSION = "session"
    """Pitches of a bullpen, lesson or practice: load, but no game."""
    PLANNED = "planned"
    """Pitches asked for or wished, and not thrown."""
    INNINGS = "innings"
    OUTS = "outs"
    AGE = "age"
    DIVISION = "division"
    OTHER = "other"
    BARE = "bare"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number and what it counts, over tokens[start:end] (its unit included)."""

    kind: Kind
    number: Number
    start: int
    end: int
    age: AgeSpan | None = None
    birthday_ahead: bool = False
    """"turns 13 in June": the age is one less until then."""
    unit: str = ""


class QuantityReader:
    """Settles numbers with the unit words of all languages."""

    def __init__(self, words: Words) -> None:
        lists = words.lists
        for name in (
            "pitches_after", "pitches_before", "pitches_verbs", "innings_after", "outs_after",
            "warmup_after", "session_after", "other_after", "other_before", "age_after",
            "age_before", "age_subjects", "division_after", "approx", "grade_words",
            "birthday_ahead", "division_before", "nearly_age",
        ):  # fmt: skip
            setattr(self, f"_{name}", PhraseList(lists[f"quantities.{name}"]))
        self._grades = words.tables["quantities.grades"]
        self._ordinals = {k: int(v) for k, v in words.tables["numbers.ordinals"].items()}

    def read(
        self, tokens: Sequence[Token], numbers: Sequence[Number], days: Sequence[DayMention]
    ) -> list[Quantity]:
        """A quantity for every number that no day owns, and for grades named in words."""
        taken = {place for day in days for place in range(day.start, day.end)}
        starts = {day.start for day in days}
        found = [
            self._settle(tokens, number, before_day=number.end in starts)
            for number in numbers
            if number.start not in taken
            and not _clock_time(tokens, number)
            and not _spells_a_sound(tokens, number)
        ]
        found += self._grade_words_alone(tokens)
        settled = _ages_at(_spread_units(found, tokens), tokens)
        return sorted(settled, key=lambda q: q.start)

    def _settle(self, tokens: Sequence[Token], number: Number, *, before_day: bool) -> Quantity:
        """What one number counts: its own unit first, then the words before it."""
        left = number.start - self._approx.before(tokens, number.start)
        return (
            self._by_unit(tokens, number, left)
            or self._by_age(tokens, number, left, before_day=before_day)
            or self._by_rest(tokens, number, left, before_day=before_day)
            or Quantity(Kind.BARE, number, left, number.end)
        )

    def _by_unit(self, tokens: Sequence[Token], number: Number, left: int) -> Quantity | None:
        """A number with its unit right after it."""
        end = number.end
        if number.whole is not None and (made := self._grade(tokens, number)):
            return made
        for kind, phrases in (
            (Kind.WARMUP, self._warmup_after),
            (Kind.SESSION, self._session_after),
            (Kind.PITCHES, self._pitches_after),
            (Kind.INNINGS, self._innings_after),
            (Kind.OUTS, self._outs_after),
        ):
            size = phrases.after(tokens, end)
            unit = " ".join(t.word for t in tokens[end : end + size])
            if size and not (unit == "p" and not tokens[end].glued):
                kept = unit if kind is Kind.PITCHES else ""
                return Quantity(kind, number, left, end + size, unit=kept)
        return None

    def _by_age(
        self, tokens: Sequence[Token], number: Number, left: int, *, before_day: bool
    ) -> Quantity | None:
        """An age; "13 sat" is no age but a date or a count."""
        whole = number.whole
        if whole is None or whole > _GROWN:
            return None
        age = self._age(tokens, number, left)
        dated = before_day and age is not None and age.kind is Kind.AGE and whole > _SMALL
        return None if dated else age

    def _by_rest(
        self, tokens: Sequence[Token], number: Number, left: int, *, before_day: bool
    ) -> Quantity | None:
        """Something else counted, thirds of an inning, or a count known by the verb before."""
        end, whole = number.end, number.whole
        if self._other_before.before(tokens, number.start):
            return Quantity(Kind.OTHER, number, left, end)
        if not before_day and (size := self._other_after.after(tokens, end)):
            return Quantity(Kind.OTHER, number, left, end + size)
        if number.value.denominator != 1:
            return Quantity(
                Kind.INNINGS if number.value < _SMALL else Kind.OTHER, number, left, end
            )
        if whole is None or whole > _MOST or number.last is not None:
            return None
        counted = self._pitches_before.before(tokens, left) or (
            whole >= _FEWEST and self._pitches_verbs.before(tokens, left)
        )
        return Quantity(Kind.PITCHES, number, left, end) if counted else None

    def _age(  # noqa: PLR0911 - one return for each way to tell an age
        self, tokens: Sequence[Token], number: Number, left: int
    ) -> Quantity | None:
        start, end = number.start, number.end
        first = int(number.value)
        last = int(number.last) if number.last is not None else first
        ahead = bool(
            self._birthday_ahead.before(tokens, left) or self._nearly_age.before(tokens, start)
        )
        size = self._division_after.after(tokens, end)
        if size and (tokens[end].word != "y" or tokens[end].glued):
            span = AgeSpan(first - 1 if number.last is None else first, last)
            return Quantity(Kind.DIVISION, number, left, end + size, span)
        size = self._division_before.before(tokens, start)
        if size and (tokens[start - 1].word != "u" or tokens[start].glued):
            return Quantity(Kind.DIVISION, number, start - size, end, AgeSpan(first - 1, first))
        if size := self._age_after.after(tokens, end):
            span = AgeSpan(first, last)
            return Quantity(Kind.AGE, number, left, end + size, span, ahead)
        if number.last is not None and first < last <= 23 and last - first <= 3 and first >= 5:
            return Quantity(Kind.DIVISION, number, left, end, AgeSpan(first, last))
        if self._other_after.after(tokens, end) or not _YOUNGEST <= first <= _OLDEST:
            return None
        near = self._age_before.before(tokens, left) or self._age_subjects.before(tokens, left)
        if not (ahead or near):
            return None
        span = AgeSpan(first, first)
        return Quantity(Kind.AGE, number, left, end, span, birthday_ahead=ahead)

    def _grade(self, tokens: Sequence[Token], number: Number) -> Quantity | None:
        end = number.end
        if end < len(tokens) and tokens[end].word in ("st", "nd", "rd", "th"):
            end += 1
        if size := self._grade_words.after(tokens, end):
            span = AgeSpan(int(number.value) + 5, int(number.value) + 6)
            return Quantity(Kind.AGE, number, number.start, end + size, span, unit="grade")
        return None

    def _grade_words_alone(self, tokens: Sequence[Token]) -> list[Quantity]:
        found = []
        for place, token in enumerate(tokens):
            span = self._grades.get(token.word)
            size = 1
            if place + 1 < len(tokens):
                two = f"{token.word} {tokens[place + 1].word}"
                if two in self._grades:
                    span, size = self._grades[two], 2
                elif token.word in self._ordinals and self._grade_words.after(tokens, place + 1):
                    grade = self._ordinals[token.word]
                    span, size = f"{grade + 5}-{grade + 6}", 2
            if span:
                first, last = (int(part) for part in span.split("-"))
                number = Number(Fraction(first), place, place + size, token.word)
                found.append(
                    Quantity(
                        Kind.AGE, number, place, place + size, AgeSpan(first, last), unit="grade"
                    )
                )
        return found

    _approx: PhraseList
    _warmup_after: PhraseList
    _session_after: PhraseList
    _pitches_after: PhraseList
    _pitches_before: PhraseList
    _pitches_verbs: PhraseList
    _innings_after: PhraseList
    _outs_after: PhraseList
    _other_after: PhraseList
    _other_before: PhraseList
    _age_after: PhraseList
    _age_before: PhraseList
    _age_subjects: PhraseList
    _division_after: PhraseList
    _grade_words: PhraseList
    _birthday_ahead: PhraseList
    _division_before: PhraseList
    _nearly_age: PhraseList


_CLOCK_REACH = 5
_CLOCKED = frozenset(
    "game games play plays playing practice warmup start starts starting scheduled tomorrow "
    "today tonight morning sat sun saturday sunday friday doubleheader first second".split()
)
"""Words before "at 10" that make it a time of day; "a curve at 10" is an age."""


def _clock_time(tokens: Sequence[Token], number: Number) -> bool:
    after = tokens[number.end].word if number.end < len(tokens) else ""
    before = tokens[number.start - 1].word if number.start else ""
    if after in ("am", "pm", "oclock"):
        return True
    ends = after in ("", ".", ",", "on", "?") and number.value <= _SMALL
    near = {t.word for t in tokens[max(0, number.start - _CLOCK_REACH) : number.start]}
    return before == "at" and ends and bool(near & _CLOCKED)


_SOUNDS = frozenset("b gr w str m l h sk f".split())


def _spells_a_sound(tokens: Sequence[Token], number: Number) -> bool:
    """The 4 of "b4", the 8 of "gr8": a sound, no number."""
    glued = number.start > 0 and tokens[number.start].glued
    return glued and tokens[number.start - 1].word in _SOUNDS


def _ages_at(found: list[Quantity], tokens: Sequence[Token]) -> list[Quantity]:
    """Settle "62 at 11", "46 at sixteen": beside larger counts the number after "at" is an age."""
    counted = any(q.number.value > _OLDEST for q in found if q.kind in (Kind.BARE, Kind.PITCHES))
    if not counted or any(q.kind in (Kind.AGE, Kind.DIVISION) for q in found):
        return found
    return [
        replace(q, kind=Kind.AGE, age=AgeSpan(int(q.number.value), int(q.number.value)))
        if q.kind in (Kind.BARE, Kind.PITCHES)
        and not q.unit
        and _YOUNGEST <= q.number.value <= _OLDEST
        and q.number.whole is not None
        and q.number.start
        and tokens[q.number.start - 1].word == "at"
        else q
        for q in found
    ]


_EITHER = frozenset(
    ("or", "o", "maybe", "perhaps", "like", "quiza", "quizas", "talvez", "tal", "vez")
)


def _one_count(item: Quantity, after: Quantity, tokens: Sequence[Token]) -> bool:
    """One count told as two numbers, "60 or maybe 70": the teller is not sure."""
    between = {t.word for t in tokens[item.end : after.number.start]}
    return (
        {item.kind, after.kind} in ({Kind.PITCHES}, {Kind.PITCHES, Kind.BARE})
        and bool(between)
        and between <= _EITHER
    )


def _spread_units(found: list[Quantity], tokens: Sequence[Token]) -> list[Quantity]:
    """A bare number joined to a settled one counts the same: "13 or 14 years old"."""
    settled = list(found)
    for index, item in enumerate(found[:-1]):
        after = found[index + 1]
        between = [t.word for t in tokens[item.end : after.start]]
        if _one_count(item, after, tokens):
            settled[index] = replace(item, kind=Kind.OTHER)
            higher = max(item.number, after.number, key=lambda number: number.value)
            settled[index + 1] = replace(after, kind=Kind.PITCHES, number=higher)
            continue
        if item.kind is not Kind.BARE or len(between) != 1:
            continue
        if after.kind is Kind.PITCHES and between[0] in (
            "and",
            "y",
            "plus",
            "+",
            "&",
            "vs",
        ):
            settled[index] = replace(item, kind=Kind.PITCHES)
        elif (
            after.kind is Kind.BARE
            and between[0] in ("or", "o")
            and 4 <= item.number.value < after.number.value <= 22
        ):
            ages = AgeSpan(int(item.number.value), int(after.number.value))
            settled[index] = replace(item, kind=Kind.DIVISION, age=ages)
            settled[index + 1] = replace(after, kind=Kind.OTHER)
        elif after.kind is Kind.AGE and between[0] in ("or", "o", "and", "y", "&"):
            age = int(item.number.value)
            settled[index] = replace(item, kind=Kind.AGE, age=AgeSpan(age, age))
    return settled
