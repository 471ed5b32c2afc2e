"""Families to remind, and what one look at the clock brings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from reminder_clock import guardian, library, local

from armbot.engine.reminders import next_due, remind
from armbot.model.family import Athlete, Family, Hold, Member, Report
from armbot.model.library import Library
from armbot.model.outbox import Outgoing
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import BirthMonth
from armbot.model.reports import Tier

ZONE = "America/New_York"
KAI = Athlete(id="a1", name="Kai", birth=BirthMonth(2015, 3))
"""Eleven years old in 2026."""
LUZ = Athlete(id="a2", name="Luz", birth=BirthMonth(2012, 5))
TUESDAY = date(2026, 6, 9)


def game(day: date, pitches: int | None, outs: int | None = None, team: str = "") -> Outing:
    """A game pitched."""
    return Outing(f"g{day.isoformat()}{team}", day, pitches=pitches, outs=outs, team=team)


def other(day: date, kind: OutingKind, note: str = "") -> Outing:
    """Any other use of the arm."""
    return Outing(f"x{day.isoformat()}{kind}", day, kind, note=note, pitches=10)


def family_of(
    *outings: Outing,
    athletes: tuple[Athlete, ...] = (KAI,),
    members: Iterable[Member] | None = None,
    **changes: Any,
) -> Family:
    """A family whose first athlete has this log; one parent unless told otherwise."""
    base = Family(
        id="f",
        zone=ZONE,
        athletes=athletes,
        outings=tuple((athletes[0].id, outing) for outing in outings),
        members=tuple(members) if members is not None else (guardian(101),),
    )
    return replace(base, **changes)


def held(athlete: str = "a1", at: str = "2026-06-09 20:00") -> dict[str, Any]:
    """The changes that a report brings about."""
    since = local(at, ZONE)
    report = Report(since, athlete, Tier.STOP, ("pain",), "it hurts", id="r1")
    return {"holds": (Hold(athlete, since, Tier.STOP),), "reports": (report,)}


def at(text: str, zone: str = ZONE) -> datetime:
    """A moment from "2026-06-09 19:00"."""
    return local(text, zone).astimezone(UTC)


def look(family: Family, text: str, content: Library | None = None) -> Family:
    """The family after the look it was due for at that moment."""
    now = at(text, family.zone)
    due = now if family.due is None or family.due > now else family.due
    return remind(replace(family, due=due, outbox=()), content or library(), now)


def said(family: Family, text: str, content: Library | None = None) -> list[Outgoing]:
    """What the family is reminded of at that moment."""
    return list(look(family, text, content).outbox)


def only(family: Family, text: str) -> str:
    """The text of the one reminder of that moment."""
    found = said(family, text)
    assert len(found) == 1, [message.key for message in found]
    return found[0].text


def comes(family: Family, text: str, now: str) -> None:
    """The next look, asked for at ``now``, is at that moment of the family's clock."""
    due = next_due(family, library(), at(now, family.zone))
    shown = due.astimezone(ZoneInfo(family.zone)).strftime("%Y-%m-%d %H:%M") if due else None
    assert shown == text
