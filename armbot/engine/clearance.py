"""Ending a hold: only a clearance by a role the clinic named does it, and it is kept."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from armbot.model.family import Clearance, Family, Talk

if TYPE_CHECKING:
    from datetime import datetime

    from armbot.model.clinic import Clinic


class ClearanceRefused(ValueError):  # noqa: N818  # says what happened
    """A clearance that ends no hold: the base of the reasons below."""


class RoleRefused(ClearanceRefused):
    """The role is not among those that may clear."""

    def __init__(self, role: str, may_clear: tuple[str, ...]) -> None:
        self.role = role
        self.may_clear = may_clear
        super().__init__(f"'{role}' may not clear; who may: {', '.join(may_clear)}")


class NothingToClear(ClearanceRefused):
    """There is no hold on this athlete (or none on "nobody in particular")."""


class ClearedTooEarly(ClearanceRefused):
    """The clearance is dated before the report it is to answer."""


def clear(family: Family, athlete_id: str, role: str, now: datetime, clinic: Clinic) -> Family:
    """The family with the holds of one athlete ended and the clearance on record.

    ``athlete_id`` "" means the hold that names nobody; such a hold is on every athlete,
    so a clearance of one athlete does not end it: it may be about another child.
    ``now`` must be aware. The open conversation is closed, because turns before the
    clearance must not be read together with those after it.
    Raises RoleRefused, NothingToClear or ClearedTooEarly, and ValueError for a naive time.
    """
    if now.tzinfo is None:
        raise ValueError("a clearance needs a time with its offset")
    if role not in clinic.who_may_clear:
        raise RoleRefused(role, clinic.who_may_clear)
    ended = tuple(hold for hold in family.holds if hold.athlete == athlete_id)
    if not ended:
        raise NothingToClear("there is no hold to clear")
    if any(now < hold.since for hold in ended):
        raise ClearedTooEarly("the clearance is dated before the report it answers")
    return replace(
        family,
        holds=tuple(hold for hold in family.holds if hold not in ended),
        clearances=(*family.clearances, Clearance(athlete_id, now, role)),
        talk=Talk(),
    )
