"""What staff may do from a report, and that nobody else may, nor by any old button."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from conversation import NOW, grammar
from test_alerts import DESK, DOCTOR, reported, told

from armbot.desk.staff import family_of, press
from armbot.model.family import Consent, Family, Member, Report, Role, Talk
from armbot.model.incoming import Incoming, Kind
from armbot.model.reports import Tier
from armbot.model.staff import Staff

PARENT = Member(5, Role.GUARDIAN, consent=Consent("1", NOW), talk=Talk(tier=Tier.STOP))
CHILD = Member(6, Role.ATHLETE, "a1", "es", consent=Consent("1", NOW))
BROTHER = Member(7, Role.ATHLETE, "a2", consent=Consent("1", NOW))


def held() -> Family:
    """A held athlete with a parent, the athlete's own chat and a brother's, alerts sent."""
    family = told(reported())
    return replace(family, members=(PARENT, CHILD, BROTHER), outbox=())


def pressed(family: Family, verb: str, person: Staff = DOCTOR, number: int = 1) -> Family:
    """The family after a staff button on report r1."""
    act = f"st:{verb}:{family.id}:r1"
    now = NOW + timedelta(hours=1)
    incoming = Incoming(number, person.chat, Kind.BUTTON, act, 1, now)
    return press(family, person, incoming, grammar().library, now)


def said(family: Family, chat: int) -> str:
    """What goes to a chat."""
    return "\n".join(m.text for m in family.outbox if m.chat == chat)


def test_read_is_kept_and_the_family_is_told_and_the_hold_stays() -> None:
    """The parent and the athlete hear of it, a brother does not."""
    family = pressed(held(), "read")
    assert family.reports[0].read_at == NOW + timedelta(hours=1)
    assert family.holds
    assert "has read your report about Kit" in said(family, 5)
    assert "ya leyó" in said(family, 6)
    assert said(family, 7) == ""
    assert said(family, 901)


def test_read_twice_tells_the_family_once() -> None:
    """Two of the staff may press one after the other."""
    family = pressed(replace(pressed(held(), "read"), outbox=()), "read", DESK, 2)
    assert said(family, 5) == ""
    assert said(family, 902)


def test_clearing_is_asked_once_more() -> None:
    """One slip of a thumb must not let an arm throw."""
    family = pressed(held(), "clear")
    assert family.holds
    assert [b.act for b in family.outbox[0].buttons] == ["st:sure:f-1:r1", "st:keep:f-1:r1"]


def test_a_clearance_ends_the_hold_and_is_recorded_with_its_role() -> None:
    """And closes the open conversations, which were about the hurt arm."""
    family = pressed(held(), "sure")
    assert family.holds == ()
    assert [(c.athlete, c.role) for c in family.clearances] == [("a1", "physician")]
    assert all(member.talk == Talk() for member in family.members)
    assert family.reports[0].read_at is not None
    assert "has cleared Kit" in said(family, 5)
    assert "dio de alta a Kit" in said(family, 6)


@pytest.mark.parametrize("verb", ["clear", "sure"])
def test_a_role_that_may_not_clear_does_not(verb: str) -> None:
    """Who may is the clinic's setting, also for a button that was kept."""
    family = pressed(held(), verb, DESK)
    assert family.holds
    assert family.clearances == ()
    assert "physician" in said(family, 902)


def test_something_newer_has_to_be_read_before_a_clearance() -> None:
    """The one who clears may not know of it: it is shown instead."""
    family = held()
    newer = Report(NOW + timedelta(minutes=30), "a1", Tier.STOP_URGENT, ("pop",), "now a pop", "r2")
    family = pressed(replace(family, reports=(*family.reports, newer)), "sure")
    assert family.holds
    assert "now a pop" in said(family, 901)
    assert "Not cleared" in said(family, 901)


def test_keeping_the_hold_is_said_to_the_family() -> None:
    """They may be waiting for the other word."""
    family = pressed(held(), "keep")
    assert family.holds
    assert "keeps the hold" in said(family, 5)


def test_a_hold_that_is_over_cannot_be_cleared_again() -> None:
    """The second of two who press is told."""
    family = pressed(replace(pressed(held(), "sure"), outbox=()), "sure", number=2)
    assert len(family.clearances) == 1
    assert said(family, 901)
    assert said(family, 5) == ""


@pytest.mark.parametrize("act", ["st:read:f-1:r9", "st:dance:f-1:r1"])
def test_a_button_of_nothing_changes_nothing(act: str) -> None:
    """A report that is gone, an act that never was."""
    incoming = Incoming(3, 901, Kind.BUTTON, act, 1, NOW)
    after = press(held(), DOCTOR, incoming, grammar().library, NOW)
    assert replace(after, outbox=(), seen=()) == held()
    assert said(after, 901)


def test_a_press_that_comes_twice_counts_once() -> None:
    """Telegram may deliver an update again."""
    once = pressed(held(), "read")
    assert pressed(once, "read") == once


@pytest.mark.parametrize(
    ("act", "family"),
    [("st:read:f-1:r1", "f-1"), ("answer:1:2", ""), ("st:read", ""), ("", "")],
)
def test_the_act_tells_whose_record_it_is_about(act: str, family: str) -> None:
    """Nothing else is taken for a staff act."""
    assert family_of(act) == family
