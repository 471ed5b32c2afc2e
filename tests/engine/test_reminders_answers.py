"""What the buttons below a reminder do: a report goes through the safety check, no other way."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from conversation import after, dates_in, grammar, holds_phrase
from granting import GRANTS
from reminder_clock import guardian, library, own_chat
from reminder_family import KAI, LUZ, TUESDAY, at, family_of, game, held, look, said

from armbot.engine.decide import Decision, decide
from armbot.engine.reminder_answers import ReminderAnswer, answer
from armbot.engine.reminder_view import marked_on
from armbot.model.family import Athlete, Family, Member, Planned, Talk
from armbot.model.reminders import ReminderKind
from armbot.model.reports import Tier

GAME = game(TUESDAY, 62)
MORNING = "2026-06-10 08:10"
TODAY = date(2026, 6, 10)


def press(
    family: Family, act: str, moment: str = MORNING, member: Member | None = None
) -> ReminderAnswer:
    """The button pressed in the first chat, or in the one given."""
    return answer(family, member or family.members[0], act, library(), at(moment))


def typed(done: ReminderAnswer, moment: str = MORNING) -> Decision:
    """What the safety check makes of the words a button stands for."""
    return decide(done.family, done.says, grammar(), at(moment))


def spoken(lang: str, *athletes: Athlete) -> Family:
    """A family in a language, which has told of yesterday's game."""
    family = replace(
        family_of(athletes=athletes, members=(guardian(101, lang),)),
        lang=lang,
        lang_chosen=True,
    )
    words = "log 62 pitches yesterday" if lang == "en" else "apunta 62 lanzamientos ayer"
    return after(words, family=family, now=at("2026-06-10 07:00"))


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("name", ["Kai", "Ace", "Sunny", "Lefty", "Nemo", "", "Bear 2", "Ñandú"])
def test_it_hurts_is_a_report_and_holds(lang: str, name: str) -> None:
    """The words go through the check as if typed: at least a stop, for that athlete."""
    family = spoken(lang, replace(KAI, name=name))
    done = press(family, "rem:arm:a1:20260610:hurts")
    assert done.text == ""
    assert name in done.says
    decision = typed(done)
    assert decision.turn.tier == "stop"
    assert decision.family.hold_of("a1") is not None
    assert decision.alert is not None


@pytest.mark.parametrize("lang", ["en", "es"])
def test_of_two_children_the_named_one_is_held(lang: str) -> None:
    """The nickname stands in the words."""
    decision = typed(press(spoken(lang, KAI, LUZ), "rem:arm:a2:20260610:hurts"))
    assert [hold.athlete for hold in decision.family.holds] == ["a2"]


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("choice", ["sore", "tired"])
def test_a_little_soreness_is_asked_about_not_yet_held(lang: str, choice: str) -> None:
    """By itself, not read together with last night's pitches; throwing waits meanwhile."""
    done = press(spoken(lang, KAI), f"rem:arm:a1:20260610:{choice}")
    decision = typed(done)
    assert decision.turn.tier == "ask"
    assert decision.family.holds == ()
    assert marked_on(done.family, "sore", "a1") == TODAY


@pytest.mark.parametrize("lang", ["en", "es"])
def test_still_sore_the_second_morning_is_a_stop(lang: str) -> None:
    """What does not fade is looked at by a clinician."""
    assert typed(press(spoken(lang, KAI), "rem:arm:a1:20260611:still")).turn.tier == "stop"


@pytest.mark.parametrize("lang", ["en", "es"])
def test_something_is_off_before_the_first_throw_is_at_least_asked_about(lang: str) -> None:
    """The check before the season."""
    assert typed(press(spoken(lang, KAI), "rem:off:a1:20260610:wrong")).turn.tier != "none"


@pytest.mark.parametrize("lang", ["en", "es"])
def test_gone_settles_the_question_that_soreness_opened(lang: str) -> None:
    """The next morning: thanks, and still no throwing that day; nothing is held."""
    asked = typed(press(spoken(lang, KAI), "rem:arm:a1:20260610:sore")).family
    member = replace(asked.members[0], talk=asked.talk)
    done = press(asked, "rem:arm:a1:20260611:gone", "2026-06-11 08:10", member)
    decision = typed(done, "2026-06-11 08:10")
    assert decision.turn.tier == "none"
    assert decision.family.talk.tier is Tier.NONE
    assert decision.family.talk.off_on == date(2026, 6, 11)


def test_gone_with_no_question_open_tells_the_rule_and_grants_nothing() -> None:
    """The stricter number counts: the second day is free as well."""
    done = press(family_of(GAME), "rem:arm:a1:20260611:gone", "2026-06-11 08:10")
    assert "at least 1 day" in done.text
    assert "no throwing today either" in done.text
    assert "University of Delaware" in done.text
    assert dates_in(done.text, "en") == []


def test_a_sign_told_before_is_not_forgotten_by_a_button() -> None:
    """The open safety question of the chat stays open."""
    open_talk = Talk(tier=Tier.ASK, asks="any pain", recent=("his arm is tired",))
    family = family_of(GAME, members=(replace(guardian(101), talk=open_talk),), talk=open_talk)
    done = press(family, "rem:arm:a1:20260610:sore")
    assert done.family.talk == open_talk
    assert done.family.members[0].talk == open_talk


@pytest.mark.parametrize("choice", ["fine", "normal", "allfine"])
def test_a_good_answer_gives_no_leave_while_on_hold(choice: str) -> None:
    """Held since the reminder was sent: hold is all that is said."""
    family = family_of(GAME, **held())
    text = press(family, f"rem:arm:a1:20260610:{choice}").text
    assert "on hold" in text
    assert holds_phrase(text, "en", GRANTS) == []


@pytest.mark.parametrize("choice", ["fine", "gone", "normal", "allfine", "nottoday"])
def test_yesterdays_button_says_nothing_of_today(choice: str) -> None:
    """It is told to be old, and changes nothing."""
    family = family_of(GAME)
    done = press(family, f"rem:arm:a1:20260609:{choice}")
    assert done == ReminderAnswer(family, done.text)
    assert "earlier day" in done.text


@pytest.mark.parametrize("choice", ["hurts", "sore", "still"])
def test_a_report_counts_however_old_its_button_is(choice: str) -> None:
    """A parent who finds the question a week later and presses "It hurts" is heard."""
    assert press(family_of(GAME), f"rem:arm:a1:20260601:{choice}").says


BROKEN = (
    "", "rem", "rem:arm:a1:20260610", "rem:arm:a1:20260610:fine:more", "rem:nap:a1:20260610:ok",
    "rem:arm:a9:20260610:fine", "rem:arm:a1:20261345:fine", "rem:arm:a1:soon:fine",
    "rem:arm:a1:20260610:explode", "rem:arm::20260610:fine", "set:arm:a1:20260610:fine",
)  # fmt: skip


@pytest.mark.parametrize("act", BROKEN)
def test_what_cannot_be_read_changes_nothing(act: str) -> None:
    """Forged, cut or about somebody who is gone: a kind word, and the family as it was."""
    family = family_of(GAME)
    done = press(family, act)
    assert done.family == family
    assert done.text
    assert done.says == ""


def test_stop_turns_the_kind_off_and_names_it() -> None:
    """Once; the others stay."""
    done = press(family_of(GAME), "rem:rest:a1:20260609:stop")
    assert done.family.muted == ("rest",)
    assert library().reminders.kinds[ReminderKind.REST].names["en"] in done.text
    twice = press(done.family, "rem:rest:a1:20260609:stop")
    assert twice.family.muted == ("rest",)


def test_not_pitching_then_takes_the_day_off_the_plan() -> None:
    """That day of that athlete alone."""
    plans = (Planned("a1", date(2026, 6, 11)), Planned("a1", date(2026, 6, 14)))
    done = press(family_of(planned=plans), "rem:planned:a1:20260611:dropped")
    assert done.family.planned == plans[1:]
    assert "Thu 11 June" in done.text


def test_seen_ends_the_questions_but_not_the_hold() -> None:
    """Only the clinic's clearance does that, and the answer says so."""
    family = family_of(**held())
    done = press(family, "rem:seen:a1:20260610:yes")
    assert done.family.holds == family.holds
    assert "when the clinic records the clearance" in done.text
    assert said(done.family, "2026-06-13 10:00") == []


@pytest.mark.parametrize("choice", ["booked", "notyet"])
def test_not_seen_yet_is_asked_again(choice: str) -> None:
    """Every few days, until it was."""
    done = press(family_of(**held()), f"rem:seen:a1:20260610:{choice}")
    assert "555-0100" in done.text
    assert len(said(done.family, "2026-06-13 10:00")) == 1


def test_an_answer_about_a_hold_that_is_over_is_noted() -> None:
    """No call for a clearance that is there."""
    assert press(family_of(), "rem:seen:a1:20260610:notyet").text == "Noted."


def test_a_child_is_spoken_to_as_a_child() -> None:
    """Its own chat: ask a grown-up to call."""
    family = family_of(members=(own_chat(102, "a1"),), **held())
    assert "ask a grown-up" in press(family, "rem:seen:a1:20260610:notyet").text


def test_every_button_that_is_shown_is_understood_and_short() -> None:
    """At most 45 bytes of ASCII, and none is answered as a stale one on its own day."""
    family = family_of(
        GAME, game(date(2026, 6, 3), 60, outs=230), **held("a2"), athletes=(KAI, LUZ)
    )
    moments = [f"2026-06-{t}" for t in ("09 19:00", "10 08:00", "10 10:00", "10 20:00", "13 09:00")]
    shown = [
        (button, moment)
        for moment in moments
        for message in look(family, moment).outbox
        for button in message.buttons
    ]
    assert len({button.act.split(":")[1] for button, _ in shown}) == 5
    for button, moment in shown:
        assert len(button.act.encode("ascii")) <= 45
        done = press(family, button.act, moment)
        assert "earlier day" not in done.text
        assert bool(done.text) != bool(done.says)
