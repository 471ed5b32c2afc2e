"""Lays a message over the open conversation: the child, the counts, the days, the topic."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from armbot.engine.carrying import (
    carried,
    days_asked,
    is_undated,
    read_counts,
    swapped,
    without_supposed,
)
from armbot.engine.child import Child, child_meant, read_age
from armbot.engine.exchange import Exchange, begun
from armbot.engine.slots import Frame, Slots
from armbot.model.family import Family
from armbot.model.people import AgeSpan
from armbot.model.talk import PitchCount, Reading


def lay(family: Family, reading: Reading, today: date) -> Slots:
    """Lay the message over the open conversation."""
    exchange = begun(family, reading, today)
    corrected = swapped(exchange)
    told = read_age(exchange, corrected)
    child = child_meant(exchange, told)
    counts = read_counts(exchange, told, child, corrected)
    if child.unclear and exchange.follows and not counts:
        exchange = replace(exchange, follows=False, topic=reading.topic)
    counts, replaces = carried(exchange, without_supposed(exchange, counts))
    ask_days = days_asked(exchange, counts)
    if exchange.topic == "rest_days" and ask_days == (today,) and is_undated(counts):
        counts, ask_days = [replace(c, day=today) for c in counts], ()
    supposed = _supposed(exchange)
    return Slots(
        topic="rest_days" if supposed and exchange.topic == "log_outing" else exchange.topic,
        frames=_frames(exchange.reading, counts, child),
        ask_days=ask_days,
        pitch_types=_pitch_types(exchange),
        innings_caught=reading.innings_caught,
        follows=exchange.follows,
        supposed=supposed,
        alternatives=_alternatives(reading),
        replaces=replaces,
        which_child=child.unclear,
        number_unclear=_unclear(exchange),
        division=told.division,
    )


def _pitch_types(exchange: Exchange) -> tuple[str, ...]:
    before = exchange.talk.pitch_type if exchange.follows else ""
    return exchange.reading.pitch_types or ((before,) if before else ())


def _frames(reading: Reading, counts: Sequence[PitchCount], child: Child) -> tuple[Frame, ...]:
    """One frame for each child, or each "what if", that the message tells of."""
    bound = [c for c in counts if c.age is not None]
    spans = list(dict.fromkeys((c.age.first, c.age.last) for c in bound if c.age))
    if len(spans) > 1:
        return tuple(
            Frame(AgeSpan(*s), "age", tuple(c for c in bound if c.age == AgeSpan(*s)))
            for s in spans
        )
    known = [c for c in counts if c.pitches is not None]
    if len(known) > 1 and ("both_children" in reading.acts or _alternatives(reading)):
        return tuple(Frame(child.age, child.kind, (c,), child.athlete) for c in known)
    exact = [a for a in reading.ages if a.kind == "age"]
    if len({(a.span.first, a.span.last) for a in exact}) > 1:
        return tuple(Frame(a.span, "age", tuple(counts)) for a in exact)
    return (Frame(child.age, child.kind, tuple(counts), child.athlete),)


def _alternatives(reading: Reading) -> bool:
    """Whether the counts are "what if"s: "30 vs 50"."""
    words = reading.text.split()
    known = [c for c in reading.counts if c.pitches is not None]
    return len(known) > 1 and ("hypothetical" in reading.acts or "vs" in words or "versus" in words)


def _supposed(exchange: Exchange) -> bool:
    """Whether a count or an age is only supposed: "and if he threw 50?", after 58 were told."""
    reading, talk = exchange.reading, exchange.talk
    opens = "first:supposed" in reading.acts and "correction" not in reading.acts
    if not (exchange.follows and opens):
        return False
    counts = talk.pitches is not None and any(c.pitches is not None for c in reading.counts)
    return counts or (talk.age is not None and bool(reading.ages))


def _unclear(exchange: Exchange) -> int | None:
    """The first number of a message that is nothing but numbers and answers no question."""
    words = exchange.reading.text.replace("?", " ").split()
    only = bool(words) and all(word.isdigit() for word in words)
    bare = exchange.reading.bare
    return bare[0] if only and bare and not exchange.follows else None
