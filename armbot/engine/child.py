"""Which child a message is about, and how old: as told now, as on record, as told before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from armbot.engine.exchange import Exchange
from armbot.model.family import Athlete, Talk
from armbot.model.people import AgeSpan
from armbot.model.talk import AgeTold, Reading

YOUNGEST, OLDEST = 4, 22
"""What a bare number may be as an age."""
FEWEST = 15
"""A bare number from here on may be a pitch count."""
NUMBER_TOPICS = frozenset(
    {"rest_days", "can_pitch_date", "log_outing", "same_day", "multiple_teams", "daily_limit",
     "catcher_rule", "unknown", "symptom_report", "pitch_type_age", "long_toss"}
)  # fmt: skip
"""Topics in which a bare number is an age or a count."""


@dataclass(frozen=True, slots=True)
class AgeRead:
    """The age of this message, how it was told, and the bare numbers that are left."""

    age: AgeSpan | None
    kind: str
    bare: tuple[int, ...]
    division: AgeSpan | None = None


@dataclass(frozen=True, slots=True)
class Child:
    """The child meant, its age and where that is from; ``unclear``: it has to be asked which."""

    athlete: Athlete | None
    age: AgeSpan | None
    kind: str
    unclear: bool


def read_age(exchange: Exchange, corrected: int | None) -> AgeRead:
    """The age this message tells, by itself or as the answer to what was asked.

    ``corrected`` is a count told anew ("13 not 31"): it is neither an age nor a bare number.
    """
    reading, talk = exchange.reading, exchange.talk
    ages, bare = reading.ages, reading.bare
    if corrected is not None:
        bare = tuple(n for n in bare if n not in (corrected, talk.pitches))
        ages = tuple(a for a in ages if a.span.first != corrected)
    division = next((a.span for a in ages if a.kind == "division"), None)
    adding = exchange.has("adds")
    small = _small(bare) if not adding or reading.counts else []
    told = _told(ages, exact_beside=len(small) == 1)
    if told is not None:
        return AgeRead(told.span, told.kind, bare, division)
    if len(small) == 1 and (kind := _kind_of_bare(exchange, small[0])):
        return AgeRead(_exactly(small[0]), kind, _without(bare, small[0]), division)
    if exchange.follows and not adding and _asks_other_age(reading, bare, talk):
        return AgeRead(_exactly(bare[0]), "age", (), division)
    return AgeRead(None, "", bare, division)


def _small(bare: Sequence[int]) -> list[int]:
    return [n for n in bare if YOUNGEST <= n <= OLDEST]


def _exactly(years: int) -> AgeSpan:
    return AgeSpan(years, years)


def _without(numbers: tuple[int, ...], number: int) -> tuple[int, ...]:
    place = numbers.index(number)
    return numbers[:place] + numbers[place + 1 :]


def _told(ages: Sequence[AgeTold], *, exact_beside: bool) -> AgeTold | None:
    """The age told as one, exact before grade before division.

    A grade of several years gives way to a bare number beside it.
    """
    wide = [a for a in ages if a.kind == "grade" and a.span.last - a.span.first > 1]
    for wanted in ("age", "grade", "division"):
        for told in ages:
            if told.kind == wanted and not (told in wide and exact_beside):
                return told
    return None


def _kind_of_bare(exchange: Exchange, number: int) -> str:
    """How the one small bare number is an age: "age", or "bare" where it may be the count."""
    talk, follows = exchange.talk, exchange.follows
    asked = talk.asks if follows else ""
    known = talk.age if follows else None
    loose = follows and talk.age_kind in ("division", "grade")
    open_age = not asked or loose
    wants_age = "age" in asked or (
        exchange.topic in NUMBER_TOPICS and ("pitches" not in asked or open_age)
    )
    if wants_age and (known is None or (loose and number < FEWEST)):
        both = "age" in asked and "pitches" in asked and number >= FEWEST
        return "bare" if both else "age"
    return "age" if "age" in asked else ""


def _asks_other_age(reading: Reading, bare: Sequence[int], talk: Talk) -> bool:
    """Whether "and if he's 13?", "ok n 15?" asks the same question for another age."""
    small = len(bare) == 1 and YOUNGEST <= bare[0] <= OLDEST
    asks = "?" in reading.text or reading.text.split()[:1] in (["and"], ["y"], ["n"])
    return small and asks and talk.age is not None and talk.pitches is not None


def child_meant(exchange: Exchange, told: AgeRead) -> Child:
    """The child, its age from the message, else from the record, else from the turn before."""
    family, talk = exchange.family, exchange.talk
    athlete, unclear = _athlete(exchange, told.age)
    age, kind = told.age, told.kind
    sure = bool(exchange.reading.names) or len(family.athletes) == 1
    if age is None and athlete is not None and sure:
        age, kind = athlete.span_on(exchange.today), "record"
    if age is None and exchange.follows and talk.age is not None and not unclear:
        age, kind = talk.age, talk.age_kind
    return Child(athlete, age, kind, unclear)


def _athlete(exchange: Exchange, age: AgeSpan | None) -> tuple[Athlete | None, bool]:
    """The child meant, and whether that has to be asked."""
    family, reading = exchange.family, exchange.reading
    if not family.athletes:
        return None, False
    named = [a for a in family.athletes if a.name and a.name in reading.names]
    if len(named) == 1:
        return named[0], False
    if len(family.athletes) == 1:
        only = family.athletes[0]
        theirs = exchange.has("correction") or age is None or _could_be(only, age, exchange.today)
        return (only if theirs else None), False
    return _one_of_several(exchange, age)


def _one_of_several(exchange: Exchange, age: AgeSpan | None) -> tuple[Athlete | None, bool]:
    """The child of the turn before, or the one of that age."""
    family, talk = exchange.family, exchange.talk
    talked = family.athlete(talk.athlete) if exchange.follows and talk.athlete else None
    if talked is not None and age is None:
        another = _may_name_another(exchange.reading)
        return (None, True) if another else (talked, False)
    fitting = [a for a in family.athletes if age and a.age is not None and a.age == age]
    fitting += [a for a in family.athletes if age and a.birth and a.span_on(exchange.today) == age]
    return (fitting[0], False) if len(fitting) == 1 else (None, age is None)


_FEW = 3
_STAND_FOR = frozenset("he she i him her his hes shes i im me my el ella lo la su yo mi".split())


def _may_name_another(reading: Reading) -> bool:
    """Whether, among several children, the message may mean another than the last one.

    "Can emma pitch today": a name that is not known. "And he?", "and thursday" are not.
    """
    words = reading.text.replace("?", " ").replace(",", " ").split()
    return len(words) > _FEW and not _STAND_FOR & set(words)


def _could_be(athlete: Athlete, age: AgeSpan, today: date) -> bool:
    """Whether an age told may be this athlete's: unknown, or no more than a year off."""
    known = athlete.span_on(today)
    return known is None or (age.first <= known.last + 1 and known.first <= age.last + 1)
