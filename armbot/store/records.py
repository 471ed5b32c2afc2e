"""Families as the plain JSON that a store keeps, and back.

The version number lets this release read what an earlier one wrote: see migrations.py.
cattrs is imported here and nowhere else.
"""

from __future__ import annotations

from dataclasses import fields
from datetime import date, datetime
from enum import IntEnum, StrEnum
from typing import Any

import cattrs
from cattrs.gen import make_dict_structure_fn

from armbot.model.family import (
    Athlete,
    Clearance,
    Consent,
    Done,
    Family,
    Form,
    Hold,
    JoinCode,
    Member,
    OffSeason,
    Planned,
    Quiet,
    Report,
    Talk,
)
from armbot.model.outbox import Button, Outgoing
from armbot.model.outings import Outing
from armbot.model.people import AgeSpan, BirthMonth, birth_month
from armbot.model.reports import Tier
from armbot.store.base import Columns
from armbot.store.migrations import VERSION, brought_up

_RECORDS = (
    *(Athlete, Clearance, Consent, Done, Family, Form, Hold, JoinCode, Member, OffSeason),
    *(Planned, Quiet, Report, Talk, Button, Outgoing, Outing, AgeSpan),
)


def _converter() -> cattrs.Converter:
    """Knows dates, tiers by word and birth months; refuses keys it does not know."""
    found = cattrs.Converter(unstruct_collection_overrides={tuple: list})
    found.register_unstructure_hook(datetime, datetime.isoformat)
    found.register_structure_hook(datetime, lambda text, _: datetime.fromisoformat(text))
    found.register_unstructure_hook(date, date.isoformat)
    found.register_structure_hook(date, lambda text, _: date.fromisoformat(text))
    found.register_unstructure_hook(BirthMonth, str)
    found.register_structure_hook(BirthMonth, lambda text, _: birth_month(text))
    found.register_unstructure_hook(StrEnum, lambda word: word.value)
    found.register_unstructure_hook(IntEnum, lambda number: number.value)
    found.register_unstructure_hook(Tier, lambda tier: tier.word)
    found.register_structure_hook(Tier, lambda word, _: Tier[word.upper()])
    for record in _RECORDS:
        hook = make_dict_structure_fn(record, found, _cattrs_forbid_extra_keys=True)
        found.register_structure_hook(record, hook)
    return found


_CONVERTER = _converter()


def to_document(family: Family) -> dict[str, Any]:
    """The family as plain JSON."""
    return {"version": VERSION, **_CONVERTER.unstructure(family)}


def family_from(document: dict[str, Any]) -> Family:
    """The family a store gave back, a record of an earlier version brought up to this one.

    Raises ValueError for a version it does not know, and for a record of another shape.
    """
    current = brought_up(document)
    missing = sorted({f.name for f in fields(Family)} - current.keys())
    if missing:  # a default would let a lost hold pass for none
        raise ValueError(f"fields are missing: {', '.join(missing)}")
    try:
        return _CONVERTER.structure({k: v for k, v in current.items() if k != "version"}, Family)
    except (cattrs.BaseValidationError, cattrs.ForbiddenExtraKeysError) as error:
        raise ValueError("; ".join(cattrs.transform_error(error))) from error


def columns_of(family: Family) -> Columns:
    """What a family is found by: the chats of its members, not those of staff told of it."""
    return Columns(
        tuple(member.chat for member in family.members),
        tuple(code.digest for code in family.codes),
        family.due,
        waiting=bool(family.outbox),
    )
