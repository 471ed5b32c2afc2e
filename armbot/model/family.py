"""The unit of everything kept: one family, its athletes, outings, reports and holds.

Frozen values; ``to_document`` and ``family_from`` turn them into plain JSON and back for
a store. The version number lets a later release read what an earlier one wrote.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, is_dataclass, replace
from datetime import date, datetime
from typing import Any

from armbot.model.outings import Outing, OutingKind
from armbot.model.people import AgeSpan, BirthMonth
from armbot.model.reports import Tier

VERSION = 1


@dataclass(frozen=True, slots=True)
class Athlete:
    """A young thrower: nickname, birth month if known, else an age as told on a day."""

    id: str
    name: str = ""
    birth: BirthMonth | None = None
    age: AgeSpan | None = None
    age_told_on: date | None = None
    division: str = ""
    rules: tuple[str, ...] = ()
    sport: str = "baseball"

    def span_on(self, day: date) -> AgeSpan | None:
        """The age on ``day`` as far as it is known."""
        if self.birth:
            years = self.birth.age_on(day)
            return AgeSpan(years, years)
        return self.age


@dataclass(frozen=True, slots=True)
class Report:
    """A sign reported in a message: what the clinic will read."""

    at: datetime
    athlete: str
    tier: Tier
    signs: tuple[str, ...]
    said: str


@dataclass(frozen=True, slots=True)
class Hold:
    """No throwing for this athlete until a clearance is recorded."""

    athlete: str
    since: datetime
    tier: Tier


@dataclass(frozen=True, slots=True)
class Clearance:
    """A recorded end of a hold: by which role, when."""

    athlete: str
    at: datetime
    role: str


@dataclass(frozen=True, slots=True)
class Talk:
    """The open end of the conversation: what was asked, and what is known so far."""

    topic: str = ""
    answer: str = ""
    asks: str = ""
    recent: tuple[str, ...] = ()
    age: AgeSpan | None = None
    age_kind: str = ""
    pitches: int | None = None
    outs: int | None = None
    thrown: date | None = None
    ask_day: date | None = None
    pitch_type: str = ""
    athlete: str = ""
    pending: str = ""
    """An act waiting for a yes, such as "delete:<outing id>"."""
    logged: tuple[str, ...] = ()
    """Outing ids written in this exchange, so that a correction replaces them."""
    why: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    tier: Tier = Tier.NONE
    off_on: date | None = None
    """The day on which a sign was asked about and settled: no throwing on that day."""


@dataclass(frozen=True, slots=True)
class Family:
    """Everything the bot knows of one family."""

    id: str
    lang: str = "en"
    lang_chosen: bool = False
    zone: str = "America/New_York"
    athletes: tuple[Athlete, ...] = ()
    outings: tuple[tuple[str, Outing], ...] = ()
    """(athlete id, outing), in the order told."""
    reports: tuple[Report, ...] = ()
    holds: tuple[Hold, ...] = ()
    clearances: tuple[Clearance, ...] = ()
    talk: Talk = field(default_factory=Talk)
    greeted: bool = False
    next_id: int = 1

    def hold_of(self, athlete: str) -> Hold | None:
        """The hold on an athlete; a hold on nobody in particular is on everybody."""
        return next((h for h in self.holds if h.athlete in (athlete, "")), None)

    def outings_of(self, athlete: str) -> tuple[Outing, ...]:
        """The log of one athlete."""
        return tuple(outing for owner, outing in self.outings if owner == athlete)

    def athlete(self, key: str) -> Athlete | None:
        """The athlete with that id."""
        return next((a for a in self.athletes if a.id == key), None)


def to_document(family: Family) -> dict[str, Any]:
    """The family as plain JSON."""
    return {"version": VERSION, **{f.name: _plain(getattr(family, f.name)) for f in fields(family)}}


def _plain(value: object) -> object:
    """One value as JSON knows it."""
    if isinstance(value, Tier):
        return value.word
    if isinstance(value, BirthMonth | OutingKind):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: _plain(getattr(value, f.name)) for f in fields(value)}
    return value


def family_from(document: dict[str, Any]) -> Family:
    """The family a store gave back. Raises ValueError for a version it does not know."""
    if document.get("version") != VERSION:
        raise ValueError(f"family record of version {document.get('version')!r}; know {VERSION}")
    talk = document["talk"]
    return Family(
        id=document["id"],
        lang=document["lang"],
        lang_chosen=document["lang_chosen"],
        zone=document["zone"],
        athletes=tuple(_athlete(a) for a in document["athletes"]),
        outings=tuple((owner, _outing(o)) for owner, o in document["outings"]),
        reports=tuple(
            Report(_at(r["at"]), r["athlete"], _tier(r["tier"]), tuple(r["signs"]), r["said"])
            for r in document["reports"]
        ),
        holds=tuple(
            Hold(h["athlete"], _at(h["since"]), _tier(h["tier"])) for h in document["holds"]
        ),
        clearances=tuple(
            Clearance(c["athlete"], _at(c["at"]), c["role"]) for c in document["clearances"]
        ),
        talk=Talk(
            **{
                **talk,
                "recent": tuple(talk["recent"]),
                "age": _span(talk["age"]),
                "thrown": _day(talk["thrown"]),
                "ask_day": _day(talk["ask_day"]),
                "off_on": _day(talk.get("off_on")),
                "logged": tuple(talk["logged"]),
                "why": tuple(talk["why"]),
                "choices": tuple(talk["choices"]),
                "tier": _tier(talk["tier"]),
            }
        ),
        greeted=document["greeted"],
        next_id=document["next_id"],
    )


def _athlete(raw: dict[str, Any]) -> Athlete:
    return Athlete(
        **{
            **raw,
            "birth": birth_month(raw["birth"]) if raw["birth"] else None,
            "age": _span(raw["age"]),
            "age_told_on": _day(raw["age_told_on"]),
            "rules": tuple(raw["rules"]),
        }
    )


def birth_month(text: str) -> BirthMonth:
    """Read "2015-06" as a BirthMonth. Raises ValueError for anything else."""
    year, _, month = text.partition("-")
    if not (len(year) == 4 and year.isdigit() and month.isdigit() and 1 <= int(month) <= 12):
        raise ValueError(f"birth '{text}' is not of the form YYYY-MM")
    return BirthMonth(int(year), int(month))


def _outing(raw: dict[str, Any]) -> Outing:
    return Outing(**{**raw, "day": date.fromisoformat(raw["day"]), "kind": OutingKind(raw["kind"])})


def _span(raw: dict[str, int] | None) -> AgeSpan | None:
    return AgeSpan(raw["first"], raw["last"]) if raw else None


def _day(raw: str | None) -> date | None:
    return date.fromisoformat(raw) if raw else None


def _at(raw: str) -> datetime:
    return datetime.fromisoformat(raw)


def _tier(word: str) -> Tier:
    return Tier[word.upper()]


def with_outing(family: Family, athlete: str, outing: Outing) -> tuple[Family, Outing]:
    """The family with one more outing, under a fresh id."""
    numbered = replace(outing, id=f"o{family.next_id}")
    grown = replace(
        family, outings=(*family.outings, (athlete, numbered)), next_id=family.next_id + 1
    )
    return grown, numbered


def without_outings(family: Family, ids: tuple[str, ...]) -> Family:
    """The family without the outings of those ids."""
    return replace(family, outings=tuple((a, o) for a, o in family.outings if o.id not in ids))
