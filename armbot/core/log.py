"""A family's log summed by calendar day: one arm, whatever the team."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from armbot.model.outings import Outing, OutingKind

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date

MOUND_WORK = (OutingKind.BULLPEN, OutingKind.LESSON, OutingKind.PRACTICE)
"""Throwing outside games whose pitches count toward caps on all full-effort throws."""


@dataclass(frozen=True, slots=True)
class DayTotal:
    """Everything one arm did on one day, added up over teams and games.

    ``pitches`` and ``outs`` are game totals; None when a game was pitched whose number
    is not known. ``known`` is the sum of the game pitches that are known. ``practice``
    counts pitches of bullpens, lessons and practice. ``last_batter`` is the last game's.
    """

    day: date
    appearances: int = 0
    pitches: int | None = 0
    known: int = 0
    outs: int | None = 0
    practice: int = 0
    practised: bool = False
    caught: int = 0
    last_batter: int | None = None
    teams: frozenset[str] = frozenset()

    @property
    def pitched(self) -> bool:
        """Whether the athlete pitched in a game that day."""
        return self.appearances > 0

    @property
    def threw(self) -> bool:
        """Whether pitches were thrown at all, in a game or in practice."""
        return self.pitched or self.practised


def is_appearance(outing: Outing) -> bool:
    """Whether the outing was pitching in a game (a game only caught is not)."""
    if outing.kind is not OutingKind.GAME:
        return False
    if outing.pitches is None and outing.outs is None:
        return outing.innings_caught == 0
    return outing.pitches != 0 or bool(outing.outs)


def check(outing: Outing) -> None:
    """Raise ValueError naming the field of an outing that cannot be true."""
    for field in ("pitches", "outs", "innings_caught", "last_batter_pitches", "warmup"):
        value = getattr(outing, field)
        if value is not None and value < 0:
            raise ValueError(f"outing '{outing.id}': {field} is {value}, below zero")
    last, pitches = outing.last_batter_pitches, outing.pitches
    if last is not None and pitches is not None and last > pitches:
        raise ValueError(
            f"outing '{outing.id}': last_batter_pitches {last} is more than pitches {pitches}"
        )


def by_day(outings: Iterable[Outing], until: date | None = None) -> dict[date, DayTotal]:
    """Sum ``outings`` by day, oldest first; those after ``until`` are left out.

    Raises ValueError for an impossible outing.
    """
    days: dict[date, DayTotal] = {}
    for outing in outings:
        check(outing)
        if until is None or outing.day <= until:
            before = days.get(outing.day, DayTotal(outing.day))
            days[outing.day] = _added(before, outing)
    return dict(sorted(days.items()))


def _added(total: DayTotal, outing: Outing) -> DayTotal:
    pitched = is_appearance(outing)
    mound_work = outing.kind in MOUND_WORK
    return DayTotal(
        day=total.day,
        appearances=total.appearances + pitched,
        pitches=_plus(total.pitches, outing.pitches) if pitched else total.pitches,
        known=total.known + (outing.pitches or 0 if pitched else 0),
        outs=_plus(total.outs, outing.outs) if pitched else total.outs,
        practice=total.practice + (outing.pitches or 0 if mound_work else 0),
        practised=total.practised or mound_work,
        caught=total.caught + outing.innings_caught,
        last_batter=outing.last_batter_pitches if pitched else total.last_batter,
        teams=total.teams | ({outing.team} if pitched and outing.team else set()),
    )


def _plus(total: int | None, more: int | None) -> int | None:
    return None if total is None or more is None else total + more


def pitched_days(days: Mapping[date, DayTotal]) -> tuple[date, ...]:
    """The days with a pitching appearance, oldest first."""
    return tuple(day for day, total in days.items() if total.pitched)
