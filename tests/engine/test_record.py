"""What a family sees of its record, takes along, and has removed."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from conversation import NOW, dates_in
from joining_support import BEAR, GUARDIAN, LIBRARY, Chat, joined, sound, tells, zones

from armbot.engine import codes, record
from armbot.engine.joining import Said
from armbot.model.family import (
    Athlete,
    Clearance,
    Consent,
    Family,
    Hold,
    Member,
    OffSeason,
    Planned,
    Report,
    Role,
    Talk,
    with_outing,
)
from armbot.model.outbox import Outgoing, Urgency
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import AgeSpan
from armbot.model.reports import Tier

MOOSE = Athlete("a2", "Moose", age=AgeSpan(12, 12), age_told_on=NOW.date(), sport="softball")
TEEN = Member(2, Role.ATHLETE, "a2", lang="es", consent=Consent("1", NOW))
SECRET = 987654321
"""A chat number that must not travel."""


def full() -> Family:
    """A family of which every kind of thing is known."""
    talk = Talk(recent=("the last words",))
    family = joined(
        replace(GUARDIAN, talk=talk), replace(TEEN, chat=SECRET), athletes=(BEAR, MOOSE)
    )
    first = Outing("", date(2026, 6, 1), pitches=40, outs=7, team="Owls", pain_free=True)
    second = Outing("", date(2026, 6, 8), OutingKind.BULLPEN, pitches=20, note="easy")
    for outing in (first, second):
        family, _ = with_outing(family, "a1", outing)
    family, _ = with_outing(family, "", Outing("", date(2026, 6, 2), innings_caught=3))
    family = codes.make(family, Role.GUARDIAN, "", "ABC", NOW + timedelta(days=1))
    return replace(
        family,
        reports=(Report(NOW, "a2", Tier.STOP, ("pain",), "it hurts", answered="stop"),),
        holds=(Hold("a2", NOW, Tier.STOP),),
        clearances=(Clearance("a1", NOW, "physician"),),
        off_seasons=(OffSeason("a1", date(2026, 11, 1), date(2027, 2, 28)),),
        planned=(Planned("a1", date(2026, 6, 13)),),
        outbox=(Outgoing("u1.1", 1, Urgency.REPLY, "unsent words", NOW),),
        muted=("arm",),
    )


def told(family: Family, member: Member) -> Said:
    """What a member is told of the record."""
    said = record.summary(family, member, LIBRARY, NOW, zones())
    sound(said)
    assert said.family == family
    return said


@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_guardian_sees_everything_in_short(lang: str) -> None:
    """Athletes, how much is logged, reports, holds, consent; and what can be done with it."""
    family = full()
    member = replace(family.members[0], lang=lang)
    said = told(family, member)
    assert "Bear" in said.text
    assert "Moose" in said.text
    assert tells(said, lang, "data_kept")
    assert tells(said, lang, "data_reports", n=1)
    assert tells(said, lang, "hold_on", name="Moose")
    assert tells(said, lang, "data_no_log")
    assert "2026" in said.text
    assert [b.act for b in said.choices] == ["do:export", "do:erase"]


def test_an_athletes_phone_sees_that_athlete_alone() -> None:
    """Nothing of brother or sister, and nothing to erase."""
    family = full()
    said = told(family, family.members[1])
    assert "Moose" in said.text
    assert "Bear" not in said.text
    assert said.choices == ()


def test_what_is_on_record_names_no_day_to_throw() -> None:
    """Days in it are days gone by or of the consent; planned ones are not read out."""
    said = told(full(), full().members[0])
    assert "Sat 13 June" not in said.text
    assert dates_in(said.text, "en")


def exported(family: Family) -> dict[str, Any]:
    """The JSON as a program reads it."""
    found: dict[str, Any] = json.loads(record.as_json(family))
    return found


def test_the_export_holds_all_that_was_told() -> None:
    """Each fact under full words, whoever it belongs to."""
    found = exported(full())
    bear, moose = found["athletes"]
    assert (bear["nickname"], bear["birth_month"], bear["throwing_arm"]) == (
        "Bear", "2014-06", "left",
    )  # fmt: skip
    assert bear["leagues"] == ["little_league"]
    assert [o["pitches"] for o in bear["outings"]] == [40, 20]
    assert bear["outings"][0] == {
        "entry": "o9", "day": "2026-06-01", "kind": "game", "pitches": 40, "outs": 7,
        "innings_caught": 0, "pitches_to_last_batter": None, "warm_up_throws": 0,
        "team": "Owls", "pain_free": True, "note": "",
    }  # fmt: skip
    assert bear["clearances"] == [{"at": NOW.isoformat(), "by": "physician"}]
    assert bear["off_seasons"] == [{"first_day": "2026-11-01", "last_day": "2027-02-28"}]
    assert bear["planned_days"] == ["2026-06-13"]
    assert moose["age_told"] == {"from": 12, "to": 12}
    assert moose["reports"][0]["said"] == "it hurts"
    assert moose["holds"] == [{"since": NOW.isoformat(), "urgency": "stop"}]
    assert found["not_of_one_athlete"]["outings"][0]["innings_caught"] == 3
    assert found["reminders_turned_off"] == ["arm"]
    assert found["members"][1]["consent"] == {"version": "1", "at": NOW.isoformat()}
    assert (found["time_zone"], found["quiet_hours"]) == (
        "America/New_York", {"from_hour": 21, "to_hour": 8},
    )  # fmt: skip


def test_the_export_leaves_the_machinery_behind() -> None:
    """No unsent message, no open talk of another phone, no chat number, no code."""
    text = record.as_json(full())
    for internal in ("unsent words", "the last words", str(SECRET), codes.digest("ABC"), "outbox"):
        assert internal not in text


def test_the_export_of_an_empty_family_is_whole() -> None:
    """Before anything was told."""
    found = exported(Family("f"))
    assert (found["athletes"], found["members"]) == ([], [])
    assert found["format"] == record.FORMAT


@pytest.mark.parametrize(
    ("lang", "word"), [("en", "ERASE"), ("es", "borrar"), ("en", "Borrar todo")]
)
def test_erasing_is_asked_once_and_told_to_the_caller(lang: str, word: str) -> None:
    """By the button or by the word itself; the caller removes the record."""
    family = joined(replace(GUARDIAN, lang=lang))
    for answer in (word, "form:sure:yes"):
        chat = Chat(record.erase_question(family, family.members[0], LIBRARY, NOW), GUARDIAN.chat)
        assert tells(chat.said, lang, "erase_ask", word=LIBRARY.phrase(lang, "erase_word"))
        assert chat.said.act == ""
        chat.tell(answer)
        assert chat.said.act == "erase"


@pytest.mark.parametrize(
    "answer", ["no", "yes", "wait", "erase the last outing", "form:sure:no", "?"]
)
def test_anything_else_keeps_everything(answer: str) -> None:
    """A bare "yes" may answer another question; the word or the button is asked for."""
    family = joined()
    chat = Chat(record.erase_question(family, GUARDIAN, LIBRARY, NOW), GUARDIAN.chat).tell(answer)
    assert chat.said.act == ""
    assert tells(chat.said, "en", "erase_kept")
    assert chat.family == family


def test_a_button_of_something_else_asks_again() -> None:
    """Nothing is erased and nothing is left."""
    chat = Chat(record.erase_question(joined(), GUARDIAN, LIBRARY, NOW), GUARDIAN.chat)
    chat.tell("form:zone:America/Denver")
    assert tells(chat.said, "en", "erase_ask", word="ERASE")
    assert chat.tell("form:sure:yes").said.act == "erase"


def test_a_childs_phone_cannot_erase_the_family() -> None:
    """That is the guardian's to do; an athlete who joined alone may."""
    family = joined(GUARDIAN, replace(TEEN, athlete="a1"))
    said = record.erase_question(family, family.members[1], LIBRARY, NOW)
    assert tells(said, "es", "set_grown_up")
    assert said.family == family
    alone = joined(replace(TEEN, athlete="a1"))
    assert record.erase_question(alone, alone.members[0], LIBRARY, NOW).choices
