"""Invariant 4: no diagnosis, no dose, no promise.

Never a drug dose, never "it is only...", never a certain return date.
"""

from __future__ import annotations

import re

import pytest
from conversation import dates_in, facts, grammar, new_family, recorded_decisions, say
from granting import without_report_day
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from states import STATES, family_in
from strategies import SIGNS, languages, messages

DOSE = re.compile(
    r"(?i)\d[\d.,/]*\s*(?:-\s*\d+\s*)?(?:mg|mcg|µg|ml|cc|g|grams?|milligrams?|mililitros?"
    r"|miligramos?|tablets?|tabs?|pills?|capsules?|caplets?|puffs?|drops|teaspoons?|tsp"
    r"|tabletas?|pastillas?|cápsulas?|gotas|cucharad\w+)\b"
    r"|(?:every|each|cada)\s+(?:\d+|two|four|six|eight|cuatro|seis|ocho)\s*(?:to \d+ )?"
    r"(?:hours?|hrs?|h|horas?)\b"
    r"|\b(?:one|two|three|una|dos|tres)\s+(?:tablets?|pills?|capsules?|tabletas?|pastillas?)\b"
)
_SLIGHT = (
    r"(?:a |an |the |some |normal |el |la |un |una |normal )*(?:muscle|sore|strain|sprain|growing"
    r"|tired|fatigue|pain|ache|tendin|bruise|inflam|nerve|phase|m[uú]sculo|dolor|cansancio"
    r"|crecimiento|golpe|esguince|nervio)"
)
PLAYED_DOWN = re.compile(
    r"(?i)(?<!even if )\b(?:it'?s|it is|this is|that is|that's) "
    rf"(?:only|just|probably|surely|nothing but) {_SLIGHT}"
    r"|\b(?:it'?s|it is|that'?s) (?:probably )?nothing\b"
    r"|\bnothing to worry\b|\bdon'?t worry\b|\bno big deal\b|\bwill be fine\b"
    rf"|(?<!no )\b(?:es s[oó]lo|seguro que es|probablemente es) {_SLIGHT}"
    r"|\bno es nada\b|\bno se preocupe\b|\bno es grave\b"
)
NAMED_AS_FACT = re.compile(
    r"(?i)\b(?:he|she|your (?:son|daughter|child)|the athlete) (?:has|have) (?:a |an )?"
    r"(?:ucl|sprain|strain|fracture|tendin|tendon|apophysitis|tear|little league)"
    r"|\b(?:su hijo|él|ella) tiene (?:un |una )?(?:esguince|fractura|tendinitis|desgarro|rotura)"
)
CORPORA = ("questions", "fresh_questions", "symptoms", "fresh_symptoms")
RETURNS = {"ucl_surgery", "return_to_throw", "ucl_sprain", "ll_elbow", "ll_shoulder",
           "growth_plate", "injection", "physical_therapy", "imaging"}  # fmt: skip


def wrong_in(reply: str) -> list[str]:
    """Doses, things played down, diagnoses: everything a reply must never say."""
    return [
        match.group() for rule in (DOSE, PLAYED_DOWN, NAMED_AS_FACT)
        for match in rule.finditer(reply)
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    ["400 mg", "two tablets", "every 6 hours", "cada 8 horas", "5 ml", "1-2 pastillas",
     "it's only a strain", "he has a UCL tear", "no es nada", "it is just growing pains",
     "es solo el músculo", "don't worry"],
)  # fmt: skip
def test_the_check_itself_sees_what_it_is_for(text: str) -> None:
    """The patterns of this file find the sentences they must never meet in a reply."""
    assert wrong_in(text)


@pytest.mark.parametrize("name", CORPORA)
def test_no_recorded_reply_doses_plays_down_or_diagnoses(name: str) -> None:
    """Over every recorded conversation, each reply is free of all three."""
    found = [
        (conversation.id, wrong)
        for conversation, decisions in recorded_decisions(name)
        for decision in decisions
        if (wrong := wrong_in(decision.turn.reply))
    ]
    assert not found


def test_no_content_text_doses_plays_down_or_diagnoses() -> None:
    """The same over every text of the content base, also those no recording meets."""
    found: list[tuple[str, ...]] = []
    for topic in grammar().library.topics.values():
        for answer in topic.answers.values():
            for lang, text in answer.texts.items():
                for part in (text.short, text.long, text.do_now, text.call_when, text.question):
                    found += [(topic.id, answer.id, lang, wrong) for wrong in wrong_in(part)]
    for lang, phrases in grammar().library.words.phrases.items():
        for key, part in phrases.items():
            found += [(lang, key, wrong) for wrong in wrong_in(part)]
    assert not found


MEDICINE = {
    "en": ("how much ibuprofen can i give him before the game", "he weighs 90 lbs, tylenol dose?",
           "is 400 mg of advil ok for a 12 year old", "how many aleve for a sore elbow",
           "can he take 2 motrin every 6 hours", "ibuprofen or tylenol, and how much?"),
    "es": ("¿cuánto ibuprofeno le doy antes del juego?", "pesa 40 kilos, ¿qué dosis de tylenol?",
           "¿400 mg de ibuprofeno está bien?", "¿cada cuántas horas le doy paracetamol?"),
}  # fmt: skip


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("state", STATES)
def test_a_dose_asked_for_is_never_given(state: str, lang: str) -> None:
    """No way of asking gets an amount or an interval, not even the asker's own repeated."""
    for text in MEDICINE[lang]:
        assert not wrong_in(say(family_in(state, lang), text).turn.reply), text


RETURN_QUESTIONS = {
    "en": ("when can he throw again after tommy john surgery? surgery was march 3",
           "how long until he is back from little league elbow, diagnosed may 2",
           "he had ucl surgery on june 1, what date can he pitch",
           "growth plate injury in april, will he be ready by august 15?",
           "when exactly will he be back from a ucl sprain",
           "PT ends june 20, can he pitch june 21"),
    "es": ("¿cuándo vuelve a lanzar después de la cirugía tommy john? fue el 3 de marzo",
           "¿cuánto tarda el codo de pequeñas ligas? se lo diagnosticaron el 2 de mayo",
           "lo operaron el 1 de junio, ¿qué día puede lanzar?"),
}  # fmt: skip


@pytest.mark.parametrize("text", [text for texts in RETURN_QUESTIONS.values() for text in texts])
def test_a_return_after_injury_or_surgery_gets_no_day(text: str) -> None:
    """No date is named for a return: the clinician who treats the athlete says when."""
    turn = say(new_family(), text).turn
    assert not dates_in(turn.reply, turn.lang), turn.reply
    assert not any(row.get("first_eligible") or row.get("may_pitch") for row in facts(turn.values))


@pytest.mark.parametrize("name", ["questions", "fresh_questions"])
def test_no_recorded_reply_on_injury_names_a_day(name: str) -> None:
    """Where the topic is an injury, a surgery or its return, no reply names a date."""
    found = [
        (conversation.id, days)
        for conversation, decisions in recorded_decisions(name)
        for turn, family in ((decision.turn, decision.family) for decision in decisions)
        if turn.topic in RETURNS and (days := dates_in(without_report_day(turn, family), turn.lang))
    ]
    assert not found


def test_generated_replies_dose_nothing_and_play_nothing_down() -> None:
    """The same for messages put together at random, in every state."""

    @QUICK
    @given(languages.flatmap(lambda lang: st.tuples(st.just(lang), messages(lang))))
    def holds(pair: tuple[str, str]) -> None:
        lang, text = pair
        for state in ("new", "logged", "one athlete: on hold"):
            reply = say(family_in(state, lang), text).turn.reply
            assert not wrong_in(reply), (state, text, reply)

    holds()


@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_report_is_never_given_a_name(lang: str) -> None:
    """The reply to a sign repeats what was told and names no condition."""
    conditions = (
        r"(?i)\b(?:ucl|tendin|apophys|fractur|sprain|esguince|desgarro|little league elbow)"
    )
    for sign in SIGNS:
        reply = say(new_family(), sign.said(lang)).turn.reply
        assert not re.search(conditions, reply.rsplit("(", 1)[0]), reply
