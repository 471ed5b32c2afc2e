"""Bare numbers that can only be pitch counts, and counts that are only plans or rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from armbot.language.days import DayMention
from armbot.language.quantities import Kind, Quantity
from armbot.language.tokens import Token

FEWEST, MOST = 15, 150
"""A bare number outside this span is never taken for a pitch count."""


_PLAN_WORDS = frozenset("pen bullpen bp session limit cap max rule thing maximum".split())


_RATES = ("a", "per", "each", "por", "al")
_SPANS = frozenset("day game outing week dia juego salida semana partido".split())


def _is_a_rate(tokens: Sequence[Token], item: Quantity) -> bool:
    """Whether it is "85 pitches a day": a rule, and nothing anybody threw."""
    near = [t.word for t in tokens[item.end : item.end + 3]]
    a_span = len(near) > 1 and near[0] in _RATES and near[1] in _SPANS
    return a_span and near[2:] != ["ago"]


_LINKING = frozenset(["and", "y", ",", "then", "plus", "&", "+"])


def promoted(
    tokens: Sequence[Token],
    quantities: Sequence[Quantity],
    days: Sequence[DayMention],
) -> list[Quantity]:
    """Bare numbers that can only be pitch counts, and counts that are only plans or rules."""
    settled: list[Quantity] = []
    aged = any(q.kind in (Kind.AGE, Kind.DIVISION) for q in quantities)
    listed = _day_by_day(tokens, quantities, days)
    for item in quantities:
        after = tokens[item.end].word if item.end < len(tokens) else ""
        planned = item.unit in ("pitch", "p") and after in _PLAN_WORDS
        if item.kind is Kind.PITCHES and (planned or _is_a_rate(tokens, item)):
            settled.append(replace(item, kind=Kind.OTHER))
        elif (
            item in listed
            or _adds_alone(tokens, item, settled)
            or (
                (item.kind is Kind.BARE or _is_more(tokens, item))
                and _is_count(tokens, item, settled, days, aged=aged)
            )
        ):
            settled.append(replace(item, kind=Kind.PITCHES))
        else:
            settled.append(item)
    return settled


def _day_by_day(
    tokens: Sequence[Token], quantities: Sequence[Quantity], days: Sequence[DayMention]
) -> list[Quantity]:
    """The numbers of a list by days, "15 mon, 9 tue": there a small one is a count too."""
    dated = [
        q
        for q in quantities
        if q.kind in (Kind.BARE, Kind.PITCHES)
        and q.number.whole is not None
        and q.number.last is None
        and 0 < q.number.value <= MOST
        and _is_dated(tokens, q, days)
    ]
    large = any(q.number.value >= FEWEST for q in dated)
    each_its_own = 1 < len(dated) <= len(days)
    return [q for q in dated if q.kind is Kind.BARE] if large and each_its_own else []


_OLDEST = 18
"""A number up to here beside a count, where no age was told, is as likely the age."""


def _is_more(tokens: Sequence[Token], item: Quantity) -> bool:
    """Whether it is "25 more" of what was counted before."""
    near = {t.word for t in tokens[item.end - 1 : item.end + 1]}
    return item.kind is Kind.OTHER and bool(near & _MORE)


_MOST_FOR_MORE = 8
_WISHES = frozenset("can could may should ? puede puedo podria cuantos how left quedan".split())


def _adds_alone(tokens: Sequence[Token], item: Quantity, before: Sequence[Quantity]) -> bool:
    """Whether the whole message is "and then 20 more": a count added to the one before."""
    whole = item.number.whole
    if whole is None or not 0 < whole <= MOST or len(tokens) > _MOST_FOR_MORE or before:
        return False
    return _is_more(tokens, item) and not _WISHES & {token.word for token in tokens}


_MORE = frozenset(["more", "mas"])


def _is_count(
    tokens: Sequence[Token],
    item: Quantity,
    before: Sequence[Quantity],
    days: Sequence[DayMention],
    *,
    aged: bool,
) -> bool:
    whole = item.number.whole
    if whole is None or item.number.last is not None:
        return False
    counted = any(other.kind is Kind.PITCHES for other in before)
    if counted and whole <= MOST and _in_a_game(tokens, item):
        return True
    if not FEWEST <= whole <= MOST:
        return False
    after = tokens[item.end].word if item.end < len(tokens) else ""
    more = counted and (after in _MORE or _is_more(tokens, item))
    if more or _is_dated(tokens, item, days):
        return True
    return (aged or whole > _OLDEST) and any(
        other.kind is Kind.PITCHES
        and 0 < item.start - other.end <= 6
        and any(t.word in _LINKING for t in tokens[other.end : item.start])
        for other in before
    )


def _is_dated(tokens: Sequence[Token], item: Quantity, days: Sequence[DayMention]) -> bool:
    """Whether a day stands right beside it: "sat 41", "41 on saturday"."""
    if any(day.end == item.start or day.start == item.end for day in days):
        return True
    near = tokens[item.end : item.end + 2]
    return (
        len(near) == 2
        and near[0].word in ("el", "la", "on", "for", "del")
        and (near[1].word in ("de", "the") or any(d.start == item.end + 1 for d in days))
    )


def _in_a_game(tokens: Sequence[Token], item: Quantity) -> bool:
    """Whether it is "16 in the late game": of another game than the count before."""
    words = [t.word for t in tokens[item.end : item.end + 5]]
    return bool(words) and words[0] in ("in", "en") and bool(_GAMES & set(words[1:]))


_GAMES = frozenset("game games nightcap juego partido second segundo late later".split())
