"""Days in a message: "sat", "last nite", "el sabado pasado", "4/12", "the 5th".

A weekday alone names no date yet: whether it is the last one or the next depends on
what was done or asked on it. So a mention keeps the weekday, and ``resolve_past`` and
``resolve_future`` turn it into a date.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from armbot.language.tokens import Token
from armbot.model.words import Words


@dataclass(frozen=True, slots=True)
class DayMention:
    """A day named over tokens[start:end]: an exact date, or a weekday with its modifier."""

    start: int
    end: int
    day: date | None = None
    weekday: int | None = None
    modifier: str = ""
    """"last", "next", "this" or ""."""
    day_of_month: int | None = None
    yearless: bool = False
    """Month and day were named, and the year nearest to today was taken."""

    @property
    def loose(self) -> bool:
        """Whether it still needs to be told past from future."""
        return self.day is None


def resolve_past(mention: DayMention, today: date) -> date:
    """The most recent such day, today included ("last" leaves today out).

    "January 3, he threw 62", told in November, was this January: nothing was thrown yet on a
    day to come.
    """
    if mention.day and mention.yearless and mention.day > today:
        return _nearest_date(mention.day.month, mention.day.day, today, latest=today) or today
    if mention.day:
        return mention.day
    if mention.weekday is not None:
        back = (today.weekday() - mention.weekday) % 7
        if mention.modifier == "last" and back == 0:
            back = 7
        return today - timedelta(days=back)
    return _month_day(mention.day_of_month or 1, today, forward=False)


def resolve_future(mention: DayMention, today: date, after: date | None = None) -> date:
    """The next such day: strictly after ``after`` where given, else today or later."""
    if mention.day:
        return mention.day
    base = after + timedelta(days=1) if after else today
    if mention.weekday is not None:
        return base + timedelta(days=(mention.weekday - base.weekday()) % 7)
    return _month_day(mention.day_of_month or 1, base, forward=True)


def _month_day(day: int, today: date, *, forward: bool) -> date:
    step = 1 if forward else -1
    candidate = today
    for _ in range(62):
        if candidate.day == day:
            return candidate
        candidate += timedelta(days=step)
    return today


class DayReader:
    """Reads days with the calendar words of all languages."""

    def __init__(self, words: Words) -> None:
        tables = words.tables
        self._relative: dict[str, list[tuple[tuple[str, ...], int]]] = {}
        phrases = sorted(tables["calendar.relative"].items(), key=lambda kv: -len(kv[0].split()))
        for phrase, offset in phrases:
            words_of = tuple(phrase.split())
            self._relative.setdefault(words_of[0], []).append((words_of, int(offset)))
        self._weekdays = {k: int(v) for k, v in tables["calendar.weekdays"].items()}
        self._months = {k: int(v) for k, v in tables["calendar.months"].items()}
        self._short_months = {k: int(v) for k, v in tables["calendar.months_with_day_only"].items()}
        self._units = {k: int(v) for k, v in tables["calendar.days_unit"].items()}
        self._numbers = {k: int(v) for k, v in tables["numbers.units"].items()}
        self._last = frozenset(words.lists["calendar.last"])
        self._next = frozenset(words.lists["calendar.next"])
        self._this = frozenset(words.lists["calendar.this"])

    def read(self, tokens: Sequence[Token], today: date, *, spanish: bool) -> list[DayMention]:
        """All days, left to right, none overlapping."""
        found: list[DayMention] = []
        place = 0
        while place < len(tokens):
            mention = self._at(tokens, place, today, spanish=spanish)
            if mention is None:
                place += 1
                continue
            found.append(mention)
            place = mention.end
        return _merge(found, tokens)

    def _at(
        self, tokens: Sequence[Token], place: int, today: date, *, spanish: bool
    ) -> DayMention | None:
        return (
            self._slash_date(tokens, place, today, spanish=spanish)
            or self._days_ago(tokens, place, today)
            or self._month_name(tokens, place, today)
            or self._relative_day(tokens, place, today)
            or self._weekday(tokens, place, spanish=spanish)
            or self._of_month(tokens, place)
        )

    def _slash_date(
        self, tokens: Sequence[Token], place: int, today: date, *, spanish: bool
    ) -> DayMention | None:
        """Month first in English; in Spanish either order, the nearer date being meant."""
        parts = tokens[place].word.split("/")
        if len(parts) not in (2, 3) or not all(p.isdigit() and len(p) <= 4 for p in parts):
            return None
        month, day = int(parts[0]), int(parts[1])
        if (
            len(parts) == 2
            and (month, day) in ((1, 3), (2, 3), (1, 2))
            and place
            and tokens[place - 1].number
        ):
            return None
        if len(parts) == 3:
            return _dated(place, place + 1, int(parts[2]), month, day, spanish=spanish)
        made = _nearest_date(month, day, today)
        if spanish:
            either = [d for d in (_nearest_date(day, month, today), made) if d]
            made = min(either, key=lambda d: abs((d - today).days), default=None)
        return DayMention(place, place + 1, made, yearless=True) if made else None

    def _days_ago(self, tokens: Sequence[Token], place: int, today: date) -> DayMention | None:
        words = [t.word for t in tokens[place : place + 3]]
        if len(words) < 3:
            return None
        if words[0] == "hace":
            count, unit = self._count(words[1]), self._units.get(words[2])
            if count and unit and unit == 1:
                return DayMention(place, place + 3, today - timedelta(days=count))
        if words[2] in ("ago", "back") and self._units.get(words[1]) == 1:
            count = self._count(words[0])
            if count:
                return DayMention(place, place + 3, today - timedelta(days=count))
        before = tokens[place - 1].word if place else ""
        spread = before in ("game", "games", "juegos", "outings", "times", "innings", "pitches")
        count = self._count(words[1])
        if words[0] in ("in", "en") and self._units.get(words[2]) == 1 and count and not spread:
            return DayMention(place, place + 3, today + timedelta(days=count))
        if words[:2] == ["dentro", "de"] and place + 3 < len(tokens):
            count, unit = self._count(words[2]), self._units.get(tokens[place + 3].word)
            if count and unit == 1:
                return DayMention(place, place + 4, today + timedelta(days=count))
        return None

    def _count(self, word: str) -> int | None:
        if word.isdigit() and len(word) <= 2:
            return int(word)
        return self._numbers.get(word)

    def _month_name(self, tokens: Sequence[Token], place: int, today: date) -> DayMention | None:
        word = tokens[place].word
        month = self._months.get(word) or self._short_months.get(word)
        if month and place + 1 < len(tokens):
            day = tokens[place + 1].word
            if day.isdigit() and len(day) <= 2 and not _unit_follows(tokens, place + 2):
                end = place + 2
                if end < len(tokens) and tokens[end].word in ("st", "nd", "rd", "th"):
                    end += 1
                year, after = _year_at(tokens, end)
                if year:
                    return _dated(place, after, year, month, int(day))
                made = _nearest_date(month, int(day), today)
                return DayMention(place, end, made, yearless=True) if made else None
        if word.isdigit() and len(word) <= 2:
            offset = 1
            while (
                place + offset < len(tokens)
                and offset < 3
                and tokens[place + offset].word in ("de", "of", "st", "nd", "rd", "th")
            ):
                offset += 1
            if place + offset < len(tokens):
                month = self._months.get(tokens[place + offset].word)
                made = _nearest_date(month, int(word), today) if month else None
                if made:
                    return DayMention(place, place + offset + 1, made, yearless=True)
        return None

    def _relative_day(self, tokens: Sequence[Token], place: int, today: date) -> DayMention | None:
        for phrase, offset in self._relative.get(tokens[place].word, ()):
            size = len(phrase)
            if tuple(t.word for t in tokens[place : place + size]) == phrase:
                if phrase == ("manana",) and place and tokens[place - 1].word in _THE_MORNING:
                    return None
                return DayMention(place, place + size, today + timedelta(days=offset))
        if tokens[place].word == "2" and place + 1 < len(tokens) and tokens[place + 1].glued:
            joined = {"nite": 0, "day": 0, "morrow": 1, "night": 0, "moro": 1}
            offset_here = joined.get(tokens[place + 1].word)
            if offset_here is not None:
                return DayMention(place, place + 2, today + timedelta(days=offset_here))
        return None

    def _weekday(self, tokens: Sequence[Token], place: int, *, spanish: bool) -> DayMention | None:
        word = tokens[place].word
        if word not in self._weekdays or (word == "mar" and not spanish):
            return None
        if word in ("sun", "sat") and place and tokens[place - 1].word in _SHINES_OR_SITS:
            return None
        start, end, modifier = place, place + 1, ""
        before = tokens[place - 1].word if place else ""
        after = tokens[end].word if end < len(tokens) else ""
        if before in self._last or after in self._last:
            modifier = "last"
        elif before in self._next or after in self._next or _que_viene(tokens, end):
            modifier = "next"
        elif before in self._this:
            modifier = "this"
        if after in self._last or after in self._next:
            end += 1
        return DayMention(start, end, weekday=self._weekdays[word], modifier=modifier)

    def _of_month(self, tokens: Sequence[Token], place: int) -> DayMention | None:
        word = tokens[place].word
        if not (word.isdigit() and 1 <= int(word[:3]) <= 31 and len(word) <= 2 and place):
            return None
        before = tokens[place - 1].word
        after = tokens[place + 1] if place + 1 < len(tokens) else None
        ordinal = after is not None and after.glued and after.word in ("st", "nd", "rd", "th")
        if ordinal and before in ("the", "on", "till", "until", "by", "el"):
            nxt = tokens[place + 2].word if place + 2 < len(tokens) else ""
            if nxt in _COUNTED_OFF:
                return None
            return DayMention(place, place + 2, day_of_month=int(word))
        if before == "dia":
            return DayMention(place, place + 1, day_of_month=int(word))
        return None


def _que_viene(tokens: Sequence[Token], place: int) -> bool:
    return [t.word for t in tokens[place : place + 2]] == ["que", "viene"]


_SHINES_OR_SITS = frozenset(["the", "he", "she", "they", "i", "we"])
"""Before "sun" and "sat" these make no weekday of them: "the sun", "he sat"."""
_THE_MORNING = frozenset(["la", "en", "de", "esta", "por"])
"""Before "manana" these make it the morning, not tomorrow."""
_COUNTED_OFF = frozenset(
    ["grade", "grader", "graders", "inning", "birthday", "batter", "game", "pitch"]
)
"""After "the 8th" these make it no day of the month."""
_NOT_A_DAY = frozenset(
    ["pitches", "pitch", "innings", "lanzamientos", "entradas", "p", "u", "anos"]
)


def _unit_follows(tokens: Sequence[Token], place: int) -> bool:
    return place < len(tokens) and tokens[place].word in _NOT_A_DAY


def _year_at(tokens: Sequence[Token], place: int) -> tuple[int, int]:
    """A year written there, after a comma or not, and the place behind it; 0 for none."""
    if place < len(tokens) and tokens[place].word == ",":
        place += 1
    word = tokens[place].word if place < len(tokens) else ""
    is_year = len(word) == 4 and word.isdigit() and word.startswith("20")
    return (int(word), place + 1) if is_year else (0, place)


def _dated(  # noqa: PLR0913 - a place and a date
    start: int, end: int, year: int, month: int, day: int, *, spanish: bool = False
) -> DayMention | None:
    """A day with its year; in Spanish the day first where that makes a date."""
    century = 2000 if year < 100 else 0
    for first, second in ((day, month), (month, day)) if spanish else ((month, day),):
        try:
            return DayMention(start, end, date(century + year, first, second))
        except ValueError:
            continue
    return None


def _nearest_date(month: int, day: int, today: date, latest: date = date.max) -> date | None:
    """The date with that month and day nearest to today and not after ``latest``.

    None if there is no such date in these years.
    """
    options = []
    for year in (today.year - 1, today.year, today.year + 1):
        try:
            options.append(date(year, month, day))
        except ValueError:
            continue
    fitting = [option for option in options if option <= latest]
    return min(fitting, key=lambda d: abs((d - today).days)) if fitting else None


def _merge(found: list[DayMention], tokens: Sequence[Token]) -> list[DayMention]:
    """Join "ayer sabado", "hoy domingo": the named weekday wins over the relative word."""
    merged: list[DayMention] = []
    for mention in found:
        if (
            merged
            and mention.weekday is not None
            and merged[-1].end == mention.start
            and merged[-1].day is not None
            and merged[-1].weekday is None
            and tokens[merged[-1].start].word
            in ("ayer", "hoy", "today", "yesterday", "manana", "tomorrow")
        ):
            before = merged.pop()
            hint = "last" if tokens[before.start].word in ("ayer", "yesterday") else ""
            merged.append(
                DayMention(before.start, mention.end, weekday=mention.weekday, modifier=hint)
            )
            continue
        merged.append(mention)
    return merged
