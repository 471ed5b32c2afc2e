"""The counts and days of a question: told now, or in the turns before that it leans on.

What the new message says always wins over what was said before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from armbot.engine.child import FEWEST, NUMBER_TOPICS, AgeRead, Child
from armbot.engine.exchange import Exchange
from armbot.engine.leaning import DAY_THROWN
from armbot.model.family import Talk
from armbot.model.talk import PitchCount, Reading

_MOST = 200


def swapped(exchange: Exchange) -> int | None:
    """Read "13 not 31": the number that takes the place of the count told before."""
    words = exchange.reading.text.replace(",", " ").split() if exchange.follows else []
    for place in range(len(words) - 2):
        right, link, wrong = words[place : place + 3]
        swaps = link in ("not", "no", "instead") and right.isdigit() and wrong.isdigit()
        if swaps and exchange.talk.pitches == int(wrong):
            return int(right)
    return None


def read_counts(
    exchange: Exchange, told: AgeRead, child: Child, corrected: int | None
) -> list[PitchCount]:
    """The counts of this message: told as such, corrected, or bare numbers that must be one."""
    talk = exchange.talk
    if corrected is not None:
        return [PitchCount(corrected, talk.outs, talk.thrown)]
    counts = list(exchange.reading.counts)
    if not any(c.pitches is not None for c in counts):
        bare = _bare_count(exchange, told)
        day = next(iter(exchange.reading.thrown_days), None)
        counts = counts if bare is None else [replace(_first(counts), pitches=bare, day=day)]
    now_aged = exchange.follows and talk.age_kind == "bare" and child.kind and talk.age
    if now_aged and not counts and talk.age and talk.pitches is None:
        return [PitchCount(talk.age.first, None, talk.thrown)]
    return counts


def _first(counts: Sequence[PitchCount]) -> PitchCount:
    """The innings that a bare count belongs to, if any were told."""
    return PitchCount(None, counts[0].outs if counts else None)


def _bare_count(exchange: Exchange, told: AgeRead) -> int | None:
    """The bare number that the open question, or an age beside it, makes a pitch count."""
    talk, follows, bare = exchange.talk, exchange.follows, told.bare
    adding = exchange.has("adds") and follows
    large = [n for n in bare if (1 if adding else FEWEST) <= n <= _MOST]
    asked = "pitches" in talk.asks and follows
    if asked and len(bare) == 1 and 0 < bare[0] <= _MOST and talk.age is not None:
        large = list(bare)
    if len(large) != 1:
        return None
    corrects = exchange.has("correction") and talk.pitches is not None
    adds = adding and talk.pitches is not None
    reading = exchange.reading
    known = told.age is not None or bool(reading.thrown_days) or bool(reading.ask_days)
    claimed = asked or corrects or adds or (known and exchange.topic in NUMBER_TOPICS)
    return large[0] if claimed else None


def without_supposed(exchange: Exchange, counts: list[PitchCount]) -> list[PitchCount]:
    """The counts, without a lower one that is only supposed for a day asked about.

    "If it is 20 can he go Thursday", after 60 were told: what was thrown is not taken back,
    unless it is said to be a correction.
    """
    talk = exchange.talk
    told = [c.pitches for c in counts if c.pitches is not None]
    if not exchange.follows or not told or talk.pitches is None or exchange.has("correction"):
        return counts
    undated = all(c.day is None for c in counts)
    return [] if exchange.reading.ask_days and undated and max(told) < talk.pitches else counts


def carried(
    exchange: Exchange, counts: list[PitchCount]
) -> tuple[list[PitchCount], tuple[str, ...]]:
    """The counts with what was told before, and the ids of outings that they take back."""
    talk, reading = exchange.talk, exchange.reading
    told_day = day_owed(exchange)
    if told_day is not None and not counts and talk.pitches is not None:
        return [PitchCount(talk.pitches, talk.outs, told_day)], talk.logged
    if not exchange.follows:
        if not counts and reading.thrown_days:
            return [PitchCount(None, None, reading.thrown_days[-1])], ()
        return counts, ()
    added = _is_added(counts, talk, reading)
    if added and not talk.logged and talk.pitches is not None:
        return [PitchCount(talk.pitches, talk.outs, talk.thrown), *counts], ()
    changed = (bool(counts) and talk.pitches is not None) or bool(reading.thrown_days)
    kept = added or exchange.has("both_children")
    return _completed(exchange, counts), talk.logged if changed and not kept else ()


def _completed(exchange: Exchange, counts: list[PitchCount]) -> list[PitchCount]:
    """Counts and days told before, where this message brings only the other half."""
    talk, reading = exchange.talk, exchange.reading
    if counts:
        undated = all(c.day is None for c in counts)
        return [replace(c, day=talk.thrown) for c in counts] if undated and talk.thrown else counts
    if talk.pitches is not None:
        return [PitchCount(talk.pitches, talk.outs, _day_for_last(exchange))]
    if reading.thrown_days:
        return [PitchCount(None, talk.outs, reading.thrown_days[-1])]
    known = talk.thrown or talk.outs is not None
    return [PitchCount(None, talk.outs, talk.thrown)] if known else []


def _day_for_last(exchange: Exchange) -> date | None:
    """The day of the count told before: as this message says, else as it was told."""
    talk, reading = exchange.talk, exchange.reading
    if reading.thrown_days:
        return reading.thrown_days[-1]
    if reading.ask_days and exchange.has("correction"):
        return _back_a_week(reading.ask_days[0], talk.thrown)
    return talk.thrown


def _is_added(counts: Sequence[PitchCount], talk: Talk, reading: Reading) -> bool:
    """Whether a further count is a further outing and no correction: "another 15 today"."""
    if "correction" in reading.acts or not any(c.pitches is not None for c in counts):
        return False
    other_day = any(c.day is not None and c.day != talk.thrown for c in counts)
    return "adds" in reading.acts or (other_day and talk.thrown is not None)


def day_owed(exchange: Exchange) -> date | None:
    """The day thrown, where it was asked for and a bare day answers."""
    talk, reading = exchange.talk, exchange.reading
    if not exchange.follows or DAY_THROWN not in talk.asks or talk.thrown is not None:
        return None
    days = reading.thrown_days or reading.ask_days
    if len(days) != 1:
        return None
    return days[0] if days[0] <= exchange.today else days[0] - timedelta(days=7)


def _back_a_week(day: date, thrown: date | None) -> date:
    return day - timedelta(days=7) if thrown and day > thrown else day


def days_asked(exchange: Exchange, counts: Sequence[PitchCount]) -> tuple[date, ...]:
    """The days asked about now, else the one of the turn before."""
    talk, reading = exchange.talk, exchange.reading
    owed = day_owed(exchange) is not None and not reading.thrown_days
    if reading.ask_days and not owed:
        return reading.ask_days
    before = (talk.ask_day,) if exchange.follows and talk.ask_day else ()
    return _reanchored(before, counts)


def _reanchored(days: tuple[date, ...], counts: Sequence[PitchCount]) -> tuple[date, ...]:
    """A weekday asked about a turn ago is the first one after the day thrown."""
    thrown = max((c.day for c in counts if c.day), default=None)
    if thrown is None:
        return days
    return tuple(thrown + timedelta(days=((d - thrown).days - 1) % 7 + 1) for d in days)


def is_undated(counts: Sequence[PitchCount]) -> bool:
    """Whether all that was told are counts without a day."""
    return bool(counts) and all(c.day is None and c.pitches is not None for c in counts)
