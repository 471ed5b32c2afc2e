"""Time zones by the names families use: a city, a state, "Eastern", "UTC-5".

A name that several clocks answer to yields all of them: whoever asks then offers a choice
and never guesses. Texts come in plain form (lower-case ASCII); the names of all zones and
the table of places are passed in.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import overload
from zoneinfo import ZoneInfo

_OFFSET = re.compile(r"(?:(?:utc|gmt)\s*)?([+-])\s*(\d{1,2})(?:[:.]?(\d\d))?(?:\s*(?:utc|gmt))?")
_ZERO = frozenset({"utc", "gmt", "zulu", "greenwich"})
_FIXED = "Etc"
"""First part of the zones that are a mere offset: they answer to offsets, not to words."""
_AHEAD = "Etc/GMT"
_TURNED = str.maketrans("+-", "-+")
_LONGEST = 7
"""Words of the longest name of a place."""
_ABBREVIATION = 2
"""Letters of a state's short name: found by itself or last, as in "portland me"."""
_NEVER = frozenset({"not", "no", "isnt", "ni"})
"""Words that take a place back: what is meant instead has to be asked."""


@dataclass(frozen=True, slots=True)
class Zones(Sequence[str]):
    """All zones by name, and what else they are called; made by ``table``.

    ``names`` are IANA names; ``common`` maps a country code to the zones worth a button
    there; ``labels`` a zone to what a button shows, by language; ``meant`` a plain name to
    the zones it may mean. ``everyday`` names are common words or first names as well: they
    count beside another place, and the longer ones where they are the whole text.
    """

    names: tuple[str, ...]
    common: Mapping[str, tuple[str, ...]]
    labels: Mapping[str, Mapping[str, str]]
    meant: Mapping[str, tuple[str, ...]]
    everyday: frozenset[str] = frozenset()

    @overload
    def __getitem__(self, place: int) -> str: ...
    @overload
    def __getitem__(self, place: slice) -> Sequence[str]: ...
    def __getitem__(self, place: int | slice) -> str | Sequence[str]:
        """The zone's name at that place."""
        return self.names[place]

    def __len__(self) -> int:
        """How many zones there are."""
        return len(self.names)


def table(
    names: Iterable[str],
    places: Mapping[str, Iterable[str]],
    common: Mapping[str, tuple[str, ...]],
    labels: Mapping[str, Mapping[str, str]],
    everyday: Iterable[str] = (),
) -> Zones:
    """The table of zones.

    ``places`` maps a zone to the plain names of what lies in it: cities, states, countries;
    a name may stand at several zones. A zone also answers to its own name and, unless the
    places claim that word, to the name's last part: "Los Angeles".
    """
    listed = tuple(sorted(names))
    index: dict[str, list[str]] = {}
    for zone, known in places.items():
        for name in known:
            index.setdefault(_key(name), []).append(zone)
    claimed = frozenset(index)
    for zone in listed:
        if zone.partition("/")[0] == _FIXED:
            continue
        for name in {_key(zone), _key(zone.rpartition("/")[2])} - claimed:
            index.setdefault(name, []).append(zone)
    meant = {name: tuple(found) for name, found in index.items()}
    return Zones(listed, common, labels, meant, frozenset(everyday))


def table_of(zones: Sequence[str]) -> Zones:
    """``zones`` as a table; mere names have no further names, labels or buttons."""
    return zones if isinstance(zones, Zones) else table(zones, {}, {}, {})


def _key(name: str) -> str:
    """A place's name as words: "America/St_Johns" is "america st johns"."""
    return " ".join(re.sub(r"[^a-z0-9+]+", " ", name.lower()).split())


def common_near(zones: Zones, home: str) -> tuple[str, ...]:
    """The zones worth a button where the clinic's own zone is ``home``.

    Those of the first country that has it, else of the first country of all.
    """
    lists = list(zones.common.values())
    return next((found for found in lists if home in found), lists[0] if lists else (home,))


def label(zones: Zones, zone: str, lang: str) -> str:
    """What a zone is called on a button and in a summary."""
    known = zones.labels.get(zone, {}).get(lang)
    if known:
        return known
    if zone.startswith(_AHEAD):
        # These names count the other way round: Etc/GMT+5 is five hours behind UTC.
        hours = zone.removeprefix(_AHEAD).lstrip("0")
        return f"UTC{hours.translate(_TURNED)}"
    return zone.rpartition("/")[2].replace("_", " ")


def offset_at(zone: str, at: datetime) -> timedelta:
    """How far the zone's clock is ahead of UTC at a moment (negative: behind)."""
    return at.astimezone(ZoneInfo(zone)).utcoffset() or timedelta()


def find(zones: Zones, text: str, now: datetime, home: str) -> tuple[str, ...]:
    """The zones a plain text may mean: none, the one meant, or several to choose from.

    Several names narrow each other ("portland maine"). An offset may be that of now or that
    of winter, or a clock that never changes, so it names every common zone near ``home``
    that has it, and the fixed one.
    """
    offset = _offset(text.strip())
    if offset is not None:
        return _with_offset(zones, offset, now, home)
    words = _key(text).split()
    if _NEVER & set(words):
        return ()
    named = list(_named(zones, words))
    meant = [zones.meant[name] for name in named if _is_meant(zones, name, named, words)]
    if not meant:
        return ()
    shared = [zone for zone in meant[0] if all(_fits(zone, other, now) for other in meant)]
    return different(shared or [zone for found in meant for zone in found], now)


def _is_meant(zones: Zones, name: str, named: Sequence[str], words: Sequence[str]) -> bool:
    """Whether a name found is a place here, and not just the everyday word."""
    alone = name == " ".join(words) and len(name) > _ABBREVIATION
    return name not in zones.everyday or len(named) > 1 or alone


def _fits(zone: str, others: Iterable[str], now: datetime) -> bool:
    return any(_clock(zone, now) == _clock(other, now) for other in others)


def _named(zones: Zones, words: Sequence[str]) -> Iterator[str]:
    """The names of places in the words, the longest first, none inside another."""
    free = [True] * len(words)
    for size in range(min(_LONGEST, len(words)), 0, -1):
        for start in range(len(words) - size + 1):
            span = slice(start, start + size)
            name = " ".join(words[span])
            inside = len(name) <= _ABBREVIATION and start < len(words) - 1
            if name in zones.meant and all(free[span]) and not inside:
                free[span] = [False] * size
                yield name


def different(zones: Iterable[str], now: datetime) -> tuple[str, ...]:
    """The zones without those whose clocks show the same all year as an earlier one's."""
    kept: dict[tuple[timedelta, ...], str] = {}
    for zone in zones:
        kept.setdefault(_clock(zone, now), zone)
    return tuple(kept.values())


def _clock(zone: str, now: datetime) -> tuple[timedelta, ...]:
    """How a zone's clock runs: its offset in each month of this year."""
    months = (datetime(now.year, month, 1, tzinfo=UTC) for month in range(1, 12 + 1))
    return tuple(offset_at(zone, month) for month in months)


def _offset(text: str) -> timedelta | None:
    """The offset from UTC that the whole text is; None where it is anything else."""
    if text in _ZERO:
        return timedelta()
    found = _OFFSET.fullmatch(text)
    if found is None:
        return None
    sign, hours, minutes = found.groups()
    size = timedelta(hours=int(hours), minutes=int(minutes or 0))
    return -size if sign == "-" else size


def _with_offset(zones: Zones, offset: timedelta, now: datetime, home: str) -> tuple[str, ...]:
    usual = common_near(zones, home)
    near = [zone for zone in usual if offset in _clock(zone, now)]
    fixed = [
        zone
        for zone in zones.names
        if zone.partition("/")[0] == _FIXED and offset_at(zone, now) == offset
    ]
    other = [] if near or fixed else [z for z in zones.names if offset_at(z, now) == offset]
    return different([*near, *fixed, *other], now)
