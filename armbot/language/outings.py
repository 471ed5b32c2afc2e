"""Who threw what when: counts, ages and days of one message put together.

The pieces are already read; this module only decides which day belongs to which count,
which days are asked about rather than thrown on, and how many children are meant.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from armbot.language.asked import ask_date, in_order, is_asked, without_denied
from armbot.language.counts import read_counts, read_innings_caught
from armbot.language.days import DayMention, resolve_past
from armbot.language.promotions import promoted
from armbot.language.quantities import Kind, Quantity
from armbot.language.tokens import Token
from armbot.model.people import AgeSpan
from armbot.model.talk import AgeTold, PitchCount


@dataclass(frozen=True, slots=True)
class Told:
    """The outcome: counts with their days, ages, and the days asked about."""

    counts: tuple[PitchCount, ...]
    ages: tuple[AgeTold, ...]
    thrown_days: tuple[date, ...]
    ask_days: tuple[date, ...]
    innings_caught: int | None
    bare: tuple[int, ...]
    planned: tuple[int, ...]
    several_children: bool
    why: tuple[str, ...]


def tell(
    tokens: Sequence[Token],
    quantities: Sequence[Quantity],
    days: Sequence[DayMention],
    acts: frozenset[str],
    today: date,
) -> Told:
    """Put the pieces of one message together."""
    ages = _ages(quantities)
    days = without_denied(tokens, days)
    quantities = promoted(tokens, quantities, days)
    planned = tuple(int(q.number.value) for q in quantities if q.kind is Kind.PLANNED)
    asked = [d for d in days if _is_asked(tokens, d, days, quantities, today)]
    thrown = [day for day in days if day not in asked]
    thrown_dates = in_order({id(day): resolve_past(day, today) for day in thrown}, thrown)
    counts = read_counts(tokens, quantities, thrown, thrown_dates, acts)
    counts = _bind_ages(counts, ages)
    anchor = max((c.day for c in counts if c.day), default=None) or max(
        thrown_dates.values(), default=None
    )
    ask_dates = tuple(ask_date(day, today, anchor) for day in asked)
    why = [f"pitches: {c.pitches} on {c.day}" for c in counts if c.pitches is not None]
    why += [f"age: {a.span.first}-{a.span.last} ({a.kind})" for a in ages]
    return Told(
        counts=tuple(counts),
        ages=tuple(ages),
        thrown_days=tuple(thrown_dates.values()),
        ask_days=ask_dates,
        innings_caught=read_innings_caught(tokens, quantities),
        bare=tuple(
            int(q.number.value)
            for q in quantities
            if q.kind is Kind.BARE and q.number.whole is not None
        ),
        planned=planned,
        several_children=_several(ages, counts, acts),
        why=tuple(why),
    )


def _is_asked(
    tokens: Sequence[Token],
    day: DayMention,
    days: Sequence[DayMention],
    quantities: Sequence[Quantity],
    today: date,
) -> bool:
    """Whether something is asked or planned for the day, rather than thrown on it."""
    planned = any(q.kind is Kind.PLANNED for q in quantities)
    if (planned and day.day == today) or _of_a_plan(day, quantities):
        return True
    return is_asked(tokens, day, days, quantities, today)


_TO_DAY = 2
"""Words between a planned count and its day: "20 on this saturday"."""


def _of_a_plan(day: DayMention, quantities: Sequence[Quantity]) -> bool:
    """Whether a weekday stands beside a count that is only planned: then it is to come."""
    return day.loose and any(
        q.kind is Kind.PLANNED
        and (0 <= day.start - q.end <= _TO_DAY or 0 <= q.start - day.end <= 1)
        for q in quantities
    )


def _ages(quantities: Sequence[Quantity]) -> list[AgeTold]:
    found = []
    for item in quantities:
        if item.kind not in (Kind.AGE, Kind.DIVISION) or item.age is None:
            continue
        span = item.age
        if item.birthday_ahead:
            span = AgeSpan(span.first - 1, span.last - 1)
        kind = "division" if item.kind is Kind.DIVISION else (item.unit or "age")
        found.append(AgeTold(span, kind, item.start, item.birthday_ahead))
    own = [a for a in found if not a.birthday_ahead] or found
    exact = [a for a in own if a.kind == "age"]
    return [a for a in own if a.kind != "grade"] if exact else own


def _bind_ages(
    counts: list[PitchCount],
    ages: Sequence[AgeTold],
) -> list[PitchCount]:
    """Which child each count belongs to, where several ages are named."""
    exact = [a for a in ages if a.kind != "division"] or list(ages)
    spans = list(dict.fromkeys((a.span.first, a.span.last) for a in exact))
    if len(spans) < 2 or not counts:
        return counts
    if len(counts) == 1:
        return [replace(counts[0], age=a.span) for a in exact]
    if len(counts) == len(exact):
        return [replace(c, age=a.span) for c, a in zip(counts, exact, strict=True)]
    return [
        replace(c, age=min(exact, key=lambda a, at=c.place: abs(a.place - at)).span)  # type: ignore[misc]
        for c in counts
    ]


def _several(ages: Sequence[AgeTold], counts: Sequence[PitchCount], acts: frozenset[str]) -> bool:
    exact = {(a.span.first, a.span.last) for a in ages if a.kind == "age"}
    return len(exact) > 1 or ("both_children" in acts and len(counts) > 1)
