"""The clinic learns of a report at once, and again until somebody has read it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from conversation import NOW, grammar

from armbot.desk.alerts import next_alert, tell, tell_again
from armbot.model.family import Athlete, Family, Hold, Report
from armbot.model.outbox import Urgency
from armbot.model.outings import Outing
from armbot.model.people import BirthMonth
from armbot.model.reports import Tier
from armbot.model.staff import Staff

DOCTOR = Staff(901, "physician")
DESK = Staff(902, "front_desk", "es")
LATE = Staff(903, "athletic_trainer", late=True)
PEOPLE = (DOCTOR, DESK, LATE)
LIMIT = {tier: grammar().library.clinic.unread_minutes[tier.word] for tier in Tier if tier.holds}


def reported(tier: Tier = Tier.STOP, at: datetime = NOW) -> Family:
    """A family whose athlete is held after a report nobody at the clinic knows of."""
    report = Report(at, "a1", tier, ("pain",), "his elbow hurts", "r1", "**Stop.** Call.")
    athlete = Athlete("a1", "Kit", BirthMonth(2015, 1))
    outings = (
        ("a1", Outing("o1", (at - timedelta(days=1)).date(), pitches=62)),
        ("a1", Outing("o2", (at - timedelta(days=13)).date(), pitches=31)),
        ("a1", Outing("o3", (at - timedelta(days=14)).date(), pitches=77)),
        ("a2", Outing("o4", at.date(), pitches=99)),
    )
    return Family(
        "f-1",
        athletes=(athlete,),
        outings=outings,
        reports=(report,),
        holds=(Hold("a1", at, tier),),
    )


def told(family: Family, now: datetime = NOW) -> Family:
    """The family once the first round of alerts was written."""
    return tell(family, "r1", grammar().library, PEOPLE, now)


def chats(family: Family, since: int = 0) -> list[int]:
    """The chats that the alerts go to."""
    return [message.chat for message in family.outbox[since:]]


def test_a_report_reaches_every_staff_chat_at_once_but_the_late_ones() -> None:
    """Above all other traffic but the safety message itself."""
    family = told(reported())
    assert chats(family) == [901, 902]
    assert {m.urgency for m in family.outbox} == {Urgency.ALERT}


def test_an_alert_says_tier_name_age_words_answer_and_two_weeks_of_the_log() -> None:
    """In the staff member's language; another athlete's outings are not in it."""
    family = told(reported())
    text = family.outbox[0].text
    for words in ("STOP", "Kit, age 11", "his elbow hurts", "Stop. Call.", "62", "31"):
        assert words in text, words
    assert "77" not in text
    assert "99" not in text
    assert "ALTO" in family.outbox[1].text


def test_its_buttons_name_the_family_and_the_report() -> None:
    """Read, clear, keep."""
    acts = [button.act for button in told(reported()).outbox[0].buttons]
    assert acts == ["st:read:f-1:r1", "st:clear:f-1:r1", "st:keep:f-1:r1"]


@pytest.mark.parametrize("tier", [Tier.STOP, Tier.STOP_URGENT, Tier.EMERGENCY])
def test_an_unread_report_is_told_again_after_the_limit_of_its_tier(tier: Tier) -> None:
    """Not a minute before."""
    family = told(reported(tier))
    due = next_alert(family, grammar().library.clinic)
    assert due == NOW + timedelta(minutes=LIMIT[tier])
    assert tell_again(family, grammar().library, PEOPLE, due - timedelta(minutes=1)) == family
    again = tell_again(family, grammar().library, PEOPLE, due)
    assert chats(again, 2) == [901, 902]
    assert "Not read yet" in again.outbox[2].text


def test_then_it_reaches_the_next_chat_and_never_ends_before_it_is_read() -> None:
    """Later and later, twelve hours apart at most."""
    family, now = told(reported()), NOW
    rounds = []
    for _ in range(12):
        when = next_alert(family, grammar().library.clinic)
        assert when is not None
        assert timedelta(0) < when - now <= timedelta(hours=12)
        before, now = len(family.outbox), when
        family = tell_again(family, grammar().library, PEOPLE, now)
        rounds.append(chats(family, before))
    assert rounds[0] == [901, 902]
    assert rounds[1:] == [[901, 902, 903]] * 11


def test_every_alert_has_a_key_of_its_own() -> None:
    """So that none is taken for one that was sent."""
    family = told(reported())
    for _ in range(4):
        when = next_alert(family, grammar().library.clinic)
        assert when is not None
        family = tell_again(family, grammar().library, PEOPLE, when)
    keys = [message.key for message in family.outbox]
    assert len(keys) == len(set(keys))


def test_a_report_that_was_read_is_told_no_more() -> None:
    """By anybody."""
    family = told(reported())
    read = replace(family.reports[0], read_at=NOW)
    assert next_alert(replace(family, reports=(read,)), grammar().library.clinic) is None


def test_where_all_chats_are_late_somebody_is_told_all_the_same() -> None:
    """A mistake in the settings must not swallow a report."""
    assert chats(tell(reported(), "r1", grammar().library, (LATE,), NOW)) == [903]


def test_a_report_without_an_athlete_says_so() -> None:
    """Nobody is invented."""
    family = reported()
    nobody = replace(family.reports[0], athlete="")
    text = told(replace(family, reports=(nobody,))).outbox[0].text
    assert "athlete not named" in text
