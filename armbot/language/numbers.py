"""Numbers in a message: digits, words, thirds of innings, ranges; with their places."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from armbot.language.tokens import Token
from armbot.model.words import Words

_LONGEST_DIGITS = 6


@dataclass(frozen=True, slots=True)
class Number:
    """A number over tokens[start:end].

    ``text`` keeps the digits as typed ("2.2" may be baseball notation); ``vague`` is
    true for "sixty something"; ``last`` is the upper end of a range such as "13-14".
    """

    value: Fraction
    start: int
    end: int
    text: str
    vague: bool = False
    last: Fraction | None = None

    @property
    def whole(self) -> int | None:
        """The value as an int, or None where it has a fraction."""
        return int(self.value) if self.value.denominator == 1 else None


class NumberReader:
    """Reads numbers with the number words of all languages."""

    def __init__(self, words: Words) -> None:
        self._units = _values(words.tables["numbers.units"])
        self._tens = _values(words.tables["numbers.tens"])
        self._dozen = _values(words.tables["numbers.dozen"])
        self._hundred = frozenset(words.lists["numbers.hundred"])
        self._joiners = frozenset(words.lists["numbers.joiners"])
        self._vague = [tuple(phrase.split()) for phrase in words.lists["numbers.vague"]]

    def read(self, tokens: Sequence[Token], *, spanish: bool) -> list[Number]:
        """All numbers, left to right. ``spanish`` settles words that both languages own."""
        found: list[Number] = []
        place = 0
        while place < len(tokens):
            number = self._digits(tokens, place) or self._spelled(tokens, place, spanish=spanish)
            if number is None:
                place += 1
                continue
            if self._is_vague(tokens, number.end):
                number = replace(number, vague=True)
            found.append(number)
            place = number.end
        return found

    def _is_vague(self, tokens: Sequence[Token], place: int) -> bool:
        return any(
            [t.word for t in tokens[place : place + len(phrase)]] == list(phrase)
            for phrase in self._vague
        )

    def _digits(self, tokens: Sequence[Token], place: int) -> Number | None:
        text = tokens[place].word
        if not text[0].isdigit():
            return None
        value = parse_digits(text)
        if value is None:
            return None
        end = place + 1
        if end < len(tokens) and "/" in tokens[end].word and tokens[end].word[0].isdigit():
            third = parse_digits(tokens[end].word)
            if third is not None and third < 1 and value.denominator == 1:
                return Number(value + third, place, end + 1, f"{text} {tokens[end].word}")
        if end + 1 < len(tokens) and tokens[end].word == "-" and tokens[end + 1].glued:
            last = parse_digits(tokens[end + 1].word) if tokens[end + 1].number else None
            if last is not None and tokens[end].glued:
                return Number(value, place, end + 2, f"{text}-{tokens[end + 1].word}", last=last)
        return Number(value, place, end, text)

    def _spelled(self, tokens: Sequence[Token], place: int, *, spanish: bool) -> Number | None:
        word = tokens[place].word
        if word == "once" and not spanish:
            return None
        if word == "dos" and place and tokens[place - 1].word in ("los", "las"):
            return None
        if word in self._hundred:
            total, end = 100, place + 1
            rest = self._below_hundred(tokens, self._skip_joiner(tokens, end))
            if rest:
                total, end = total + rest[0], rest[1]
            return Number(Fraction(total), place, end, _text(tokens, place, end))
        below = self._below_hundred(tokens, place)
        if below is None:
            return None
        value, end = below
        if end < len(tokens) and tokens[end].word in self._hundred and value < 10:
            rest = self._below_hundred(tokens, self._skip_joiner(tokens, end + 1))
            value, end = (value * 100 + rest[0], rest[1]) if rest else (value * 100, end + 1)
        if word in ("un", "uno", "one", "una") and end == place + 1:
            return None
        return Number(Fraction(value), place, end, _text(tokens, place, end))

    def _skip_joiner(self, tokens: Sequence[Token], place: int) -> int:
        joined = place < len(tokens) and tokens[place].word in self._joiners
        return place + 1 if joined else place

    def _below_hundred(self, tokens: Sequence[Token], place: int) -> tuple[int, int] | None:
        if place >= len(tokens):
            return None
        word = tokens[place].word
        if word in self._tens:
            value, end = self._tens[word], place + 1
            after = end
            if after < len(tokens) and tokens[after].word == "y":
                after += 1
            if after < len(tokens) and 0 < self._units.get(tokens[after].word, 0) < 10:
                return value + self._units[tokens[after].word], after + 1
            return value, end
        if word in self._units:
            return self._units[word], place + 1
        if word in self._dozen:
            return self._dozen[word], place + 1
        return None


def parse_digits(text: str) -> Fraction | None:
    """Read "62", "3.1", "1/3" as a Fraction; None for dates, times and over-long digits."""
    if len(text) > _LONGEST_DIGITS or ":" in text:
        return None
    if "/" in text:
        parts = text.split("/")
        if len(parts) != 2 or not all(p.isdigit() for p in parts) or int(parts[1]) == 0:
            return None
        return Fraction(int(parts[0]), int(parts[1]))
    plain = text.replace(",", ".")
    if plain.count(".") > 1 or not plain.replace(".", "").isdigit():
        return None
    return Fraction(plain)


def _values(table: Mapping[str, str]) -> dict[str, int]:
    return {word: int(value) for word, value in table.items()}


def _text(tokens: Sequence[Token], start: int, end: int) -> str:
    return " ".join(token.word for token in tokens[start:end])
