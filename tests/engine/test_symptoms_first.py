"""Invariant 1: symptoms first.

Every incoming text is scanned for danger signs before anything else is done with it. The
reply then opens with the safety message, and nothing in that reply grants, dates or
implies permission to throw. What else the text held is still recorded.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from conversation import NOW, TODAY, new_family, phrase, recorded, recorded_decisions, say
from granting import grants_in, without_report_day
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from states import STATES, family_in
from strategies import HANDS, HOLDING_SIGNS, SIGNS, Sign, languages, reports, without_accents

from armbot.model.reports import Tier

if TYPE_CHECKING:
    from armbot.model.family import Family
    from armbot.model.talk import Turn


def opens_safely(turn: Turn) -> bool:
    """Whether the reply opens with its tier's safety message.

    Where a clinician has looked already, "until a clinician has looked" would be the wrong
    stop: that one says until cleared.
    """
    found = phrase(turn.lang, "safety_found")
    known = turn.tier == Tier.STOP.word and turn.reply.startswith(found)
    return known or turn.reply.startswith(phrase(turn.lang, f"safety_{turn.tier}"))


def check_report(family: Family, text: str, least: Tier, where: str = "") -> None:
    """The reply to a text that holds a sign: safety first and nothing granted."""
    decision = say(family, text)
    turn = decision.turn
    tier = Tier[turn.tier.upper()]
    told = f"{where} {text!r} -> {turn.tier}: {turn.reply!r}"
    assert tier >= least, f"tier below {least.word}: {told}"
    assert opens_safely(turn), f"opens late: {told}"
    granted = grants_in(turn, without_report_day(turn, family))
    assert not granted, f"{granted}: {told}"


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_every_sign_alone_is_heard_in_every_state(sign: Sign, state: str, lang: str) -> None:
    """A sign told on its own opens the reply with its safety message, whatever was open."""
    check_report(family_in(state, lang), sign.said(lang), sign.tier, state)


@pytest.mark.parametrize("state", STATES)
def test_a_sign_inside_any_message_is_heard_first(state: str) -> None:
    """A sign beside any question, count or act still opens the reply and grants nothing."""

    @QUICK
    @given(data=st.data(), lang=languages)
    def holds(data: st.DataObject, lang: str) -> None:
        text, sign = data.draw(reports(lang))
        check_report(family_in(state, lang), text, sign.tier, state)

    holds()


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("sign", HOLDING_SIGNS, ids=lambda sign: sign.id)
def test_a_report_leaves_a_hold_and_a_record(sign: Sign, state: str) -> None:
    """After a report at stop or above somebody is on hold and the clinic can read it all."""
    for lang in ("en", "es"):
        before = family_in(state, lang)
        decision = say(before, sign.said(lang))
        told = f"{state}: {sign.said(lang)!r} -> {decision.turn.reply!r}"
        assert decision.family.holds, told
        assert decision.turn.hold, told
        assert decision.family.reports, told
        assert plain(sign.said(lang)) in plain(decision.family.reports[-1].said), told
        named = {name for report in decision.family.reports for name in report.signs}
        assert named >= set(decision.turn.signs), told
        assert decision.alert is not None or before.reports, told


def plain(text: str) -> str:
    """Without accents, for comparing with what was kept."""
    return without_accents(text).lower()


COUNTED = {
    "en": (("he threw 40 pitches on tuesday", 1), ("threw 40 pitches yesterday", 1),
           ("he pitched today, 40 pitches", 0)),
    "es": (("lanzó 40 pitcheos el martes", 1), ("tiró 40 lanzamientos ayer", 1),
           ("hoy lanzó 40 lanzamientos", 0)),
}  # fmt: skip


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("state", STATES)
def test_an_outing_in_a_report_is_still_recorded(state: str, lang: str) -> None:
    """The count and day told beside a sign are in the log afterwards, once."""
    lost = []
    for sign in HOLDING_SIGNS:
        for outing, back in COUNTED[lang]:
            text = f"{outing}. {sign.said(lang)}"
            day = TODAY - timedelta(days=back)
            log = say(family_in(state, lang), text).family.outings
            kept = [o.id for _, o in log if o.pitches == 40 and o.day == day]
            if len(kept) != 1:
                lost.append((text, kept))
    assert not lost


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_the_hand_that_types_does_not_matter(sign: Sign) -> None:
    """Capitals, missing accents, needless spaces: the sign is the same sign."""
    for lang in ("en", "es"):
        for hand in HANDS:
            check_report(family_in("new", lang), hand(sign.said(lang)), sign.tier, hand.__name__)


@pytest.mark.parametrize("name", ["symptoms", "fresh_symptoms", "questions", "fresh_questions"])
def test_no_recorded_reply_to_a_report_grants_anything(name: str) -> None:
    """Over all recorded conversations: a turn with a tier opens with it and grants nothing."""
    wrong = []
    for conversation, decisions in recorded_decisions(name):
        family = None
        for decision in decisions:
            turn = decision.turn
            if turn.tier != Tier.NONE.word:
                opens = opens_safely(turn)
                granted = grants_in(turn, without_report_day(turn, family or decision.family))
                if granted or not opens:
                    wrong.append((conversation.id, opens, granted, conversation.turns))
            family = decision.family
    assert not wrong


def test_no_recorded_emergency_gets_an_answer_to_anything_else() -> None:
    """Labelled emergencies are answered as such, or at least with no throwing at all."""
    emergencies = [c for c in recorded("symptoms") if c.label["label"] == "emergency"]
    decided = {c.id: d[-1] for c, d in recorded_decisions("symptoms")}
    low = [c.id for c in emergencies if not decided[c.id].turn.hold]
    assert len(emergencies) > 15
    assert not low


@pytest.mark.parametrize("text", [
    "he got hit in the head by a ball and his fingers are tingling",
    "his elbow hurts since he collided and hit his head",
    "he was hit in the head and his arm is tired",
])  # fmt: skip
def test_a_hit_to_the_head_is_never_passed_over(text: str) -> None:
    """Beside an arm sign a head injury is still told to be checked, if it is no emergency yet."""
    head = phrase("en", "head").replace("**", "").split(".")[0]
    turn = say(family_in("new", "en"), text).turn
    assert turn.tier == Tier.EMERGENCY.word or head in turn.reply.replace("**", ""), turn.reply


def test_the_report_keeps_when_it_was_said() -> None:
    """The clinic reads when the sign was reported and what was said."""
    decision = say(family_in("one athlete", "en"), "His elbow hurts when he throws")
    assert decision.alert is not None
    assert decision.alert.at == NOW
    assert "elbow hurts" in decision.alert.said
    assert decision.alert.athlete == "a1"


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
@pytest.mark.parametrize("filler", ["ok. ", "he plays short and bats second today, ", "!!!, ... "])
@pytest.mark.parametrize("length", [3500, 4090, 9000, 40_000])
def test_a_sign_at_the_end_of_a_long_message_is_heard(sign: Sign, filler: str, length: int) -> None:
    """However much stands before it, even past the length that is understood whole."""
    text = (filler * length)[:length] + ". " + sign.said("en")
    tier = Tier[say(new_family(), text).turn.tier.upper()]
    assert tier >= sign.tier, f"{tier.word} for {length} of {filler!r} and {sign.said('en')!r}"
