"""Records evolve: what an earlier version wrote is read by this one, nothing lost."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from armbot.model.family import (
    Consent,
    Done,
    Family,
    Form,
    JoinCode,
    Member,
    OffSeason,
    Planned,
    Quiet,
    Role,
    Talk,
)
from armbot.model.outbox import Button, Outgoing, Urgency
from armbot.model.outings import Outing, OutingKind
from armbot.model.reports import Tier
from armbot.store.jsonable import json_copy
from armbot.store.migrations import VERSION
from armbot.store.records import family_from, to_document

RECORDS = Path(__file__).parent / "records"
AT = datetime(2026, 6, 10, 19, 0, tzinfo=UTC)


def record(version: int) -> dict[str, Any]:
    """A record as that version wrote it."""
    found: dict[str, Any] = json.loads((RECORDS / f"version_{version}.json").read_text("utf-8"))
    return found


@pytest.mark.parametrize("version", range(1, VERSION))
def test_every_earlier_version_is_kept_as_an_example(version: int) -> None:
    """A migration without a real record to try it on would be a guess."""
    assert record(version)["version"] == version


@pytest.mark.parametrize("version", range(1, VERSION))
def test_an_earlier_record_is_read_and_written_as_this_version(version: int) -> None:
    """And read again it is the same family."""
    family = family_from(record(version))
    document = to_document(family)
    assert document["version"] == VERSION
    assert family_from(json.loads(json.dumps(document))) == family


def test_a_record_of_version_1_keeps_its_hold_log_and_talk() -> None:
    """The hold above all: a migration that lost it would let a hurt arm throw."""
    family = family_from(record(1))
    assert [h.athlete for h in family.holds] == ["a1"]
    assert [(r.id, r.tier, r.said) for r in family.reports] == [
        ("r1", Tier.STOP, "his elbow hurts")
    ]
    assert [(a, o.day, o.pitches) for a, o in family.outings] == [
        ("a1", date(2026, 6, 9), 62),
        ("a2", date(2026, 6, 8), None),
    ]
    assert family.talk.thrown == date(2026, 6, 9)
    assert family.members == ()


def test_a_full_record_comes_back_the_same() -> None:
    """Every field that is new in version 2, with something in it."""
    member = Member(
        77,
        Role.ATHLETE,
        "a1",
        "es",
        consent=Consent("2026-06", AT),
        talk=Talk(topic="rest_days", tier=Tier.ASK),
        form=Form("join", "league", (("name", "Kit"),)),
        turn=4,
    )
    family = Family(
        id="f",
        members=(member,),
        codes=(JoinCode("d", Role.GUARDIAN, AT),),
        quiet=Quiet(22, 6),
        muted=("morning",),
        off_seasons=(OffSeason("a1", date(2026, 11, 1), date(2027, 1, 31)),),
        planned=(Planned("a1", date(2026, 6, 13)),),
        done=(Done("k", date(2026, 6, 9)),),
        due=AT,
        outings=(("a1", Outing("o1", date(2026, 6, 9), OutingKind.LESSON, 20)),),
        outbox=(Outgoing("u1.1", 77, Urgency.SAFETY, "t", AT, (Button("a", "b"),), until=AT),),
        seen=(1, 2),
        told_in=((77, 5, ("o1",)),),
    )
    assert family_from(json_copy(to_document(family))) == family


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"version": 99}, "version 99"),
        ({"version": None}, "version None"),
        ({"surprise": 1}, "surprise"),
        ({"zone": None, "holds": [{"athlete": "a1"}]}, "since"),
    ],
)
def test_a_record_of_another_shape_is_refused(change: dict[str, Any], words: str) -> None:
    """It may hold a hold: it is never read as something it is not."""
    with pytest.raises(ValueError, match=words):
        family_from({**to_document(Family(id="f")), **change})
