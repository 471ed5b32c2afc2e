"""Which days a message asks about, and which it was thrown on.

"Threw 62 tues, can he go fri": the words around a day vote, nearer ones louder.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

from armbot.language.days import DayMention, resolve_future
from armbot.language.quantities import Kind, Quantity
from armbot.language.tokens import Token

_ASK = frozenset(
    "ocupo ocupa ocupan ocupamos necesitan quiero tryout tryouts can could may might "
    "should will gonna going ready good ok okay eligible available avail able "
    "start starting starts again next use need needs wants want clear for by on soonest earliest "
    "when help allowed legal bracket championship final puede puedo podra podria "
    "cuando para abrir "
    "abre listo disponible quieren meter usar juega jugar toca vuelve lanzar proximo quiere "
    "necesito "
    "pal pa torneo partido pichar ask practice hopefully have has we game games play playing "
    "pitching tirar "
    "through thru free fresh back him her".split()
)  # fmt: skip


_THREW = frozenset(
    "threw thru throwed pitched had went was did finished thrown tossed started logged ended "
    "closed "
    "came caught hit got reached worked since after tiro tire lanzo lance picho hizo fue lanzado "
    "tirado avento pitcheo hice llevo cacho relevo abrio termino echo despues from last "
    "pitches lanzamientos innings entradas log apunta put chucked goes made throws logs piched "
    "hurled relieved".split()
)  # fmt: skip


_WHAT_ABOUT = frozenset(
    [("what", "about"), ("how", "about"), ("que", "tal"), ("what", "abt"), ("how", "bout")]
)
_OLDEST = 18
"""A bare number up to here is as likely an age as a count."""
_SOON = 2
"""Days ahead within which a day is always one asked about: "tomorrow"."""
_PLAINLY_THROWN = -0.4
"""Lean below which even a date ahead was told as thrown: a log kept for another day."""


_COUNT_BEFORE = 1.3
"""A count told just before the day weighs that much for "thrown on it"."""
_PERSON = frozenset("he she i they el ella".split())


_OK_AFTER = frozenset(
    "ok okay good possible fine works legal go alright cool doable bien va".split()
)


_GAME = frozenset(
    "game games championship tournament tryout tryouts showcase practice torneo "
    "partido start juego bracket dh doubleheader final".split()
)


_QUESTION = frozenset(
    "can could may is will should puede puedo podra when cuando good ok available eligible "
    "listo".split()
)


def without_denied(tokens: Sequence[Token], days: Sequence[DayMention]) -> list[DayMention]:
    """Drop the wrong day of "Wednesday not Tuesday": the one after a "not"."""
    if len(days) < 2:
        return list(days)
    return [day for day in days if not (day.start and tokens[day.start - 1].word in ("not", "no"))]


def is_asked(
    tokens: Sequence[Token],
    day: DayMention,
    days: Sequence[DayMention],
    quantities: Sequence[Quantity],
    today: date,
) -> bool:
    """Whether something is asked or planned for the day, rather than thrown on it."""
    if day.day is not None and day.day != today:
        if day.day > today:
            soon = (day.day - today).days <= _SOON
            return soon or _leans(tokens, day, days, quantities) > _PLAINLY_THROWN
        return _last_of_two(day, days) and _leans(tokens, day, days, quantities) > 0
    if day.modifier == "last":
        return False
    if day.modifier == "next":
        return True
    return _leans(tokens, day, days, quantities) > 0


def _last_of_two(day: DayMention, days: Sequence[DayMention]) -> bool:
    """Of two full dates that are both past, only the later can be the one asked about."""
    dates = [d.day for d in days if d.day is not None and d.weekday is None]
    return len(dates) == 2 and day.day == max(dates) and dates[0] != dates[1]


def _leans(
    tokens: Sequence[Token],
    day: DayMention,
    days: Sequence[DayMention],
    quantities: Sequence[Quantity],
) -> float:
    """Above 0: asked about; below: thrown on. Words nearby vote, nearer ones louder."""
    counts = [q for q in quantities if q.kind in (Kind.PITCHES, Kind.INNINGS, Kind.OUTS)]
    bare = [q for q in quantities if q.kind is Kind.BARE and q.number.value > _OLDEST]
    score = _before(tokens, day, days, counts, bare) + _after(tokens, day, (*counts, *bare))
    if _asked_sentence(tokens, day, (*counts, *bare)):
        score += 0.8
    if not counts and not bare and score == 0.0:
        return 0.1 if any(t.word in _QUESTION for t in tokens) else -0.1
    return score


def _before(
    tokens: Sequence[Token],
    day: DayMention,
    days: Sequence[DayMention],
    counts: Sequence[Quantity],
    bare: Sequence[Quantity],
) -> float:
    """The vote of up to eight words before the day, back to the last count or day."""
    score = 0.0
    game = False
    if tuple(t.word for t in tokens[max(0, day.start - 2) : day.start]) in _WHAT_ABOUT:
        return 1.5
    for step in range(1, 9):
        place = day.start - step
        if place < 0 or tokens[place].hard:
            break
        word = tokens[place].word
        if word in _QUESTION:
            return score + 1.2
        game = game or word in _GAME
        if word in _THREW:
            score -= 2.5 / (step + 1)
        elif word in _ASK:
            score += 1.5 / (step + 1)
        if _covers(counts, place):
            return score if game else score - _COUNT_BEFORE
        if _covers(bare, place):
            score -= 0.5
        if any(d is not day and d.start <= place < d.end for d in days):
            break
    return score


def _after(tokens: Sequence[Token], day: DayMention, numbers: Sequence[Quantity]) -> float:
    """The vote of up to four words after the day."""
    if day.end >= len(tokens):
        return 0.0
    if tokens[day.end].hard:
        return 0.6 if tokens[day.end].word == "?" else 0.0
    person = tokens[day.end].word in _PERSON
    score = 0.0
    for step, token in enumerate(tokens[day.end : day.end + 4]):
        if token.hard:
            break
        if (step == 0 and token.word in _OK_AFTER) or (
            step == 1 and person and token.word in _QUESTION
        ):
            return score + 1.5
        if token.word in _THREW:
            score -= 1.0 / (step + 1)
        elif _covers(numbers, day.end + step):
            return score - 0.8 / (step + 1)
        elif token.word in _GAME:
            score += 0.5
    return score


def _covers(numbers: Sequence[Quantity], place: int) -> bool:
    return any(q.start <= place < q.end for q in numbers)


def in_order(dates: dict[int, date], thrown: Sequence[DayMention]) -> dict[int, date]:
    """Put "Tues 33 and Sat 20" in the order told: an earlier weekday is not after a later one."""
    fixed = dict(dates)
    named = [day.weekday for day in thrown if day.weekday is not None]
    if len(set(named)) < len(named):
        return dict(dates)
    for before, after in reversed(list(pairwise(thrown))):
        if before.loose and after.loose and fixed[id(before)] > fixed[id(after)]:
            fixed[id(before)] -= timedelta(days=7)
    return fixed


def _asked_sentence(tokens: Sequence[Token], day: DayMention, numbers: Sequence[Quantity]) -> bool:
    """Whether the day's sentence is a question that holds no count."""
    start = day.start
    while start > 0 and not tokens[start - 1].hard:
        start -= 1
    end = day.end
    while end < len(tokens) and not tokens[end].hard:
        end += 1
    counted = any(start <= q.start < end for q in numbers)
    return end < len(tokens) and tokens[end].word == "?" and not counted


def ask_date(day: DayMention, today: date, anchor: date | None) -> date:
    """The day asked about; a weekday is the first one after the day thrown, if that is known."""
    if day.day:
        return day.day
    if day.modifier == "next" and day.weekday is not None and not anchor:
        return resolve_future(day, today, today)
    if anchor and anchor <= today:
        return resolve_future(day, today, anchor)
    return resolve_future(day, today)
