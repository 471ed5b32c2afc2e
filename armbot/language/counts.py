"""The pitch counts and innings of a message, each with its day and kind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction

from armbot.language.days import DayMention
from armbot.language.promotions import FEWEST, MOST
from armbot.language.quantities import Kind, Quantity
from armbot.language.tokens import Token
from armbot.model.outings import OutingKind
from armbot.model.talk import PitchCount

_MOST_COUNTS = 24
"""Counts read in one message; nobody tells more, and each is held against each day."""


def read_counts(
    tokens: Sequence[Token],
    quantities: Sequence[Quantity],
    thrown: Sequence[DayMention],
    dates: dict[int, date],
    acts: frozenset[str],
) -> list[PitchCount]:
    """The counts and innings of a message, each with the day thrown and the kind of session."""
    items = [q for q in quantities if q.kind is Kind.PITCHES and q.number.whole is not None]
    items = _wanted_counts(tokens, items, quantities)
    session = (not items and "log" in acts) or not (_ASKS_ABOUT & {t.word for t in tokens})
    if session:
        items = sorted(
            [*items, *(q for q in quantities if q.kind is Kind.SESSION)], key=lambda q: q.start
        )
    items = [q for q in items if q.number.value > 0][:_MOST_COUNTS]
    thrown = thrown[:_MOST_COUNTS]
    found = []
    warmups = [q for q in quantities if q.kind is Kind.WARMUP]
    used: set[int] = set()
    for index, item in enumerate(items):
        value = item.number.whole
        if value is None:
            continue
        day = _day_for(tokens, item, thrown, items, used)
        if day is not None:
            used.add(id(day))
        found.append(
            PitchCount(
                pitches=value,
                day=dates[id(day)] if day is not None else None,
                weekday_only=day is not None and day.loose,
                vague=item.number.vague,
                warmup=int(warmups[0].number.value) if warmups and index == 0 else 0,
                place=item.start,
                kind=_kind_of(tokens, item),
                pain_free=True if "pain_free" in acts else None,
            )
        )
    return _with_innings(tokens, found, quantities, thrown, dates)


_ASKS_ABOUT = frozenset("would should could like want wants thoughts plan need opinion".split())
"""A bullpen beside one of these is a wish, not a report."""


_KIND_WORDS = (
    (OutingKind.LESSON, frozenset("lesson lessons instructor clase clases leccion".split())),
    (OutingKind.BULLPEN, frozenset("bullpen bullpens pen pens flatground".split())),
    (OutingKind.PRACTICE, frozenset("practice practica entrenamiento".split())),
)


_NEAR = 4
"""Words around a count in which a bullpen, lesson or practice belongs to it."""


def _kind_of(tokens: Sequence[Token], item: Quantity) -> OutingKind:
    """Game, unless the words beside the count say otherwise."""
    near = {t.word for t in tokens[max(0, item.start - _NEAR) : item.end + _NEAR]}
    for kind, words in _KIND_WORDS:
        if words & near:
            return kind
    return OutingKind.PRACTICE if item.kind is Kind.SESSION else OutingKind.GAME


def _wanted_counts(
    tokens: Sequence[Token],
    items: list[Quantity],
    quantities: Sequence[Quantity],
) -> list[Quantity]:
    """Drop counts that were corrected, add up kinds of pitches, keep "use 71"."""
    chosen = [q for q in items if not _is_denied(tokens, q)]
    for q in quantities:
        if q.kind in (Kind.BARE, Kind.PITCHES) and q.number.whole and _is_final(tokens, q):
            return [replace(q, kind=Kind.PITCHES)]
    sheets = _SHEETS & {t.word for t in tokens}
    if len(sheets) > 1:
        bare = [q for q in quantities if q.kind is Kind.BARE and FEWEST <= q.number.value <= MOST]
        if len(either := [*chosen, *bare]) > 1:
            highest = max(either, key=lambda q: q.number.value)
            return [replace(highest, kind=Kind.PITCHES)]
    kinds = [q for q in chosen if q.unit and q.unit not in _ANY_PITCH]
    if len(kinds) >= 2 and len(kinds) == len(chosen):
        total = sum((q.number.value for q in kinds), Fraction(0))
        first = kinds[0]
        return [replace(first, number=replace(first.number, value=total), unit="")]
    return chosen


_ANY_PITCH = frozenset("pitches pitch p lanzamientos throws tiros thrown pitchs balls".split())
"""Units that name no kind of pitch: counts in them are not parts of one outing."""
_SHEETS = frozenset(
    "book scorebook sheet app phone clicker counter theirs ump dugout libro hoja".split()
)
"""Where counts are written: two of them that disagree are not two outings; the higher counts."""


_FINAL = (("use",), ("usa",), ("ended", "on"), ("ended", "at"), ("ended", "up", "at"),
          ("ended", "up", "with"), ("finished", "at"), ("finished", "with"), ("final", "count"),
          ("wound", "up", "at"), ("termino", "con"), ("termino", "en"), ("quedo", "en"),
          ("make", "that"), ("make", "it"))  # fmt: skip
"""What stands before the count that holds in the end."""


def _is_final(tokens: Sequence[Token], item: Quantity) -> bool:
    before = tuple(t.word for t in tokens[max(0, item.start - 3) : item.start])
    return any(before[-len(phrase) :] == phrase for phrase in _FINAL)


def _is_denied(tokens: Sequence[Token], item: Quantity) -> bool:
    before = tokens[item.start - 1].word if item.start else ""
    return before in ("not", "no")


_OTHER_SENTENCE = 10
"""What the end of a sentence adds to the distance, in words: a day belongs to its own."""


def _day_for(
    tokens: Sequence[Token],
    item: Quantity,
    thrown: Sequence[DayMention],
    items: Sequence[Quantity],
    used: set[int],
) -> DayMention | None:
    """The nearest thrown day in either direction, not across another count."""
    best: tuple[float, DayMention] | None = None
    for day in thrown:
        after = day.start >= item.end
        gap = day.start - item.end if after else item.start - day.end
        low, high = (item.end, day.start) if after else (day.end, item.start)
        if any(o is not item and low <= o.start < high for o in items):
            gap += 12
        if any(t.hard for t in tokens[low:high]):
            gap += _OTHER_SENTENCE
        if id(day) in used and len(thrown) >= len(items):
            gap += 6
        if best is None or gap < best[0]:
            best = (gap, day)
    return best[1] if best else None


def _with_innings(
    tokens: Sequence[Token],
    found: list[PitchCount],
    quantities: Sequence[Quantity],
    thrown: Sequence[DayMention],
    dates: dict[int, date],
) -> list[PitchCount]:
    innings = [
        q for q in quantities if q.kind in (Kind.INNINGS, Kind.OUTS) and not _caught(tokens, q)
    ]
    if not innings:
        return found
    item = innings[0]
    outs = _outs(item)
    if found:
        return [replace(found[0], outs=outs), *found[1:]]
    day = _day_for(tokens, item, thrown, innings, set())
    return [PitchCount(None, outs, dates[id(day)] if day else None, place=item.start)]


def _outs(item: Quantity) -> int:
    """Innings in outs; ".1" and ".2" are baseball notation for one and two thirds."""
    if item.kind is Kind.OUTS:
        return int(item.number.value)
    text = item.number.text.replace(",", ".")
    if "." in text and text.split(".")[1] in ("1", "2", "0", "3", "33", "66", "67"):
        whole, part = text.split(".")
        return int(whole) * 3 + {"1": 1, "2": 2, "33": 1, "3": 1, "66": 2, "67": 2}.get(part, 0)
    return int(item.number.value * 3)


_CAUGHT = frozenset(
    "caught catch catching catcher cacho cache cachar cachando behind detras catches".split()
)


def _caught(tokens: Sequence[Token], item: Quantity) -> bool:
    near = [t.word for t in tokens[max(0, item.start - 4) : item.start]]
    if any(w in _CAUGHT for w in near):
        return True
    after = [t.word for t in tokens[item.end : item.end + 3]]
    return (
        bool(after)
        and after[0] in ("behind", "of", "catching", "de")
        and any(w in _CAUGHT or w == "plate" for w in after)
    )


def read_innings_caught(tokens: Sequence[Token], quantities: Sequence[Quantity]) -> int | None:
    """Innings spent catching, a begun one counted whole; None when no catching is told."""
    for item in quantities:
        if item.kind in (Kind.INNINGS, Kind.BARE) and _caught(tokens, item):
            value = item.number.value
            return int(value) + (value.denominator != 1)
    return None
