"""Ending a hold: who may, what it ends, and what it leaves."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from conversation import NOW, after, grammar, new_family, say

from armbot.engine.clearance import (
    ClearedTooEarly,
    NothingToClear,
    RoleRefused,
    clear,
)
from armbot.model.family import Athlete, Clearance, Family, Hold, Talk
from armbot.model.reports import Tier

LATER = NOW + timedelta(days=2)


def held(*owners: str) -> Family:
    """A family with holds on these athlete ids."""
    athletes = (Athlete("a1", "Sam"), Athlete("a2", "Ana"))
    holds = tuple(Hold(owner, NOW, Tier.STOP) for owner in owners)
    return replace(new_family(), athletes=athletes, holds=holds)


def test_every_role_the_clinic_names_ends_the_hold() -> None:
    """The hold is gone, and who ended it and when is kept."""
    clinic = grammar().library.clinic
    assert clinic.who_may_clear
    for role in clinic.who_may_clear:
        cleared = clear(held("a1"), "a1", role, LATER, clinic)
        assert cleared.holds == ()
        assert cleared.clearances == (Clearance("a1", LATER, role),)


@pytest.mark.parametrize("role", ["", "parent", "coach", "Physician", "physician "])
def test_no_other_role_may(role: str) -> None:
    """The refusal names who may; nothing else is tried."""
    with pytest.raises(RoleRefused) as caught:
        clear(held("a1"), "a1", role, LATER, grammar().library.clinic)
    assert caught.value.may_clear == grammar().library.clinic.who_may_clear


def test_a_clearance_is_for_one_athlete() -> None:
    """The holds of others stay."""
    cleared = clear(held("a1", "a2"), "a1", "physician", LATER, grammar().library.clinic)
    assert [hold.athlete for hold in cleared.holds] == ["a2"]


def test_a_hold_on_nobody_in_particular_needs_a_clearance_of_its_own() -> None:
    """It may be about another child, so it stays, and still holds everybody."""
    cleared = clear(held("a1", ""), "a1", "physician", LATER, grammar().library.clinic)
    assert cleared.hold_of("a1") is not None
    assert clear(cleared, "", "physician", LATER, grammar().library.clinic).holds == ()


@pytest.mark.parametrize("owner", ["a2", "", "a9"])
def test_without_a_hold_there_is_nothing_to_clear(owner: str) -> None:
    """No clearance is kept for a hold that is not there: it could end a later one."""
    with pytest.raises(NothingToClear):
        clear(held("a1"), owner, "physician", LATER, grammar().library.clinic)


def test_a_clearance_cannot_be_older_than_the_report() -> None:
    """A note from before the pain says nothing about it."""
    with pytest.raises(ClearedTooEarly):
        clear(held("a1"), "a1", "physician", NOW - timedelta(days=1), grammar().library.clinic)


def test_a_time_without_offset_is_refused() -> None:
    """The clinic and the family may live in different zones."""
    with pytest.raises(ValueError, match="offset"):
        clear(held("a1"), "a1", "physician", LATER.replace(tzinfo=None), grammar().library.clinic)


def test_after_a_clearance_questions_are_answered_again() -> None:
    """The report before it is not read together with the question after it."""
    family = after("he is 11 and his elbow hurts when he throws")
    assert say(family, "11, 20 pitches on monday, can he pitch friday?").turn.hold
    (hold,) = family.holds
    cleared = clear(family, hold.athlete, "physician", LATER, grammar().library.clinic)
    assert cleared.talk == Talk()
    turn = say(cleared, "11, 20 pitches on monday, can he pitch friday?", LATER).turn
    assert not turn.hold
    assert turn.tier == "none"
    assert turn.values


def test_a_new_report_after_a_clearance_holds_again() -> None:
    """A clearance is for what was reported, not for what comes."""
    family = after("his elbow hurts when he throws")
    cleared = clear(family, family.holds[0].athlete, "physician", LATER, grammar().library.clinic)
    assert say(cleared, "his elbow hurts again", LATER).turn.hold
