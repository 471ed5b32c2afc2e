"""The same message typed another way is the same message, and adding a sign never lowers.

Families type in capitals, without accents, with greetings and thanks; the answer must not
depend on it. And whatever is added to a message, a danger sign in it stays one.
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from functools import cache
from typing import TYPE_CHECKING

import pytest
from conversation import NOW, facts, grammar, new_family, recorded, recorded_decisions, say
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from states import STATES, family_in
from strategies import GREETINGS, HANDS, SIGNS, THANKS, Sign, languages, messages, reports

from armbot.batch import shown
from armbot.language.checking import check_signs
from armbot.store.records import family_from, to_document

if TYPE_CHECKING:
    from collections.abc import Callable

    from armbot.model.reports import Tier
    from armbot.model.talk import Turn


def gist(turn: Turn) -> tuple[object, ...]:
    """What matters of a turn: how urgent, what was read, what is answered and asked."""
    return (turn.tier, turn.signs, dict(turn.entities), turn.values, turn.asks, turn.hold)


@pytest.mark.parametrize("hand", HANDS[2:], ids=lambda hand: hand.__name__)
def test_typing_it_another_way_changes_nothing(hand: Callable[[str], str]) -> None:
    """Capitals, lower case, no accents, split accents, needless spaces: the same answer."""

    @QUICK
    @given(languages.flatmap(lambda lang: st.tuples(st.just(lang), messages(lang))))
    def holds(pair: tuple[str, str]) -> None:
        lang, text = pair
        family = family_in("new", lang)
        plain, other = say(family, text).turn, say(family, hand(text)).turn
        assert gist(plain) == gist(other), (text, plain.reply, other.reply)

    holds()


@QUICK
@given(data=st.data(), lang=languages)
def test_thanks_and_greetings_change_no_answer(data: st.DataObject, lang: str) -> None:
    """A leading greeting and a trailing "thanks" leave reading and answer as they are.

    A single word is too little to stand against them: "yes, thanks" is thanks.
    """
    text = data.draw(messages(lang).filter(lambda said: sum(map(str.isalnum, said.split())) > 2))
    greeting = data.draw(st.sampled_from(("", *GREETINGS[lang])))
    thanks = data.draw(st.sampled_from(("", *THANKS[lang])))
    family = family_in("new", lang)
    plain, polite = say(family, text).turn, say(family, greeting + text + thanks).turn
    assert gist(plain) == gist(polite), (text, greeting + text + thanks)


@pytest.mark.parametrize("name", ["symptoms", "fresh_symptoms"])
@pytest.mark.parametrize("hand", HANDS[2:], ids=lambda hand: hand.__name__)
def test_a_recorded_report_keeps_its_tier_however_typed(
    hand: Callable[[str], str], name: str
) -> None:
    """Over the recorded reports, typing changes no tier."""
    changed = []
    for conversation in recorded(name)[::3]:
        text = conversation.turns[0]
        before, now = tier_of(text), tier_of(hand(text))
        if before is not now:
            changed.append((conversation.id, before.word, now.word, text))
    assert not changed


@pytest.mark.parametrize("name", ["symptoms", "fresh_symptoms"])
def test_a_recorded_report_keeps_its_tier_when_polite(name: str) -> None:
    """Over the recorded reports, a greeting or thanks never lowers the tier."""
    lower = []
    for place, conversation in enumerate(recorded(name)):
        text, lang = conversation.turns[0], conversation.lang
        before = tier_of(text)
        thanks = THANKS[lang][place % len(THANKS[lang])]
        greeting = GREETINGS[lang][place % len(GREETINGS[lang])]
        polite = [text + thanks, f"{text}.{thanks}", greeting + text]
        lower += [(conversation.id, before.word, p) for p in polite if tier_of(p) < before]
    assert not lower


APPENDED = {
    "en": ("{text}. also {sign}", "{text}. {sign}", "{text} and {sign}", "{sign}. {text}",
           "{text}\n{sign}", "{text}, oh and {sign}!"),
    "es": ("{text}. también {sign}", "{text}. {sign}", "{text} y {sign}", "{sign}. {text}",
           "{text}\n{sign}", "{text}, ah y {sign}!"),
}  # fmt: skip


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_a_sign_added_to_any_recorded_message_is_heard(sign: Sign) -> None:
    """Append a sign to a message, as a sentence of its own: at least that sign's tier."""
    lower = []
    for name in ("questions", "symptoms"):
        for place, conversation in enumerate(recorded(name)[::6]):
            text, lang = conversation.turns[0], conversation.lang
            form = APPENDED[lang][(0, 1, 4)[place % 3]]
            said = form.format(text=text.rstrip(" ."), sign=sign.said(lang))
            needed = max(sign.tier, tier_of(text))
            if tier_of(said) < needed:
                lower.append((conversation.id, tier_of(said).word, needed.word, said))
    assert not lower, f"{len(lower)}: {lower[:6]}"


@QUICK
@given(data=st.data(), lang=languages)
def test_adding_a_sign_never_lowers_the_tier(data: st.DataObject, lang: str) -> None:
    """To any message, with or without a sign of its own, in any of the ways people join."""
    text = data.draw(st.one_of(messages(lang), reports(lang).map(lambda pair: pair[0])))
    sign = data.draw(st.sampled_from(SIGNS))
    form = data.draw(st.sampled_from(APPENDED[lang]))
    said = form.format(text=text, sign=sign.said(lang))
    assert tier_of(said) >= max(sign.tier, tier_of(text)), said


@cache
def tier_of(text: str) -> Tier:
    """The tier of a text on its own."""
    return check_signs(text, grammar()).tier


@pytest.mark.parametrize("state", STATES)
def test_the_same_twice_is_the_same(state: str) -> None:
    """The engine is a function: equal input, equal output, in every state."""

    @QUICK
    @given(data=st.data(), lang=languages)
    def holds(data: st.DataObject, lang: str) -> None:
        text = data.draw(messages(lang))
        family = family_in(state, lang)
        assert say(family, text) == say(family, text)

    holds()


@QUICK
@given(data=st.data(), lang=languages, state=st.sampled_from(STATES))
def test_a_stored_family_answers_like_the_one_in_memory(
    data: st.DataObject, lang: str, state: str
) -> None:
    """Writing the family to JSON and reading it back between turns changes nothing."""
    text, sign = data.draw(reports(lang))
    family = say(family_in(state, lang), text).family
    stored = family_from(json.loads(json.dumps(to_document(family))))
    assert stored == family
    assert say(stored, sign.said(lang)) == say(family, sign.said(lang))


@pytest.mark.parametrize("name", ["questions", "symptoms"])
def test_every_recorded_turn_goes_through_json(name: str) -> None:
    """Each turn, with all its values, is plain JSON for the batch door."""
    for _, decisions in recorded_decisions(name):
        for decision in decisions:
            assert json.loads(json.dumps(shown(decision.turn), allow_nan=False))


def test_another_day_moves_the_answer_with_it() -> None:
    """The clock is an argument: the same words a week later mean dates a week later."""
    text = "he is 11 and threw 62 pitches yesterday, when can he pitch again?"
    days = []
    for now in (NOW, NOW + timedelta(days=7)):
        row = facts(say(new_family(), text, now).turn.values)[0]
        days.append(date.fromisoformat(str(row["first_eligible"])))
    assert days[1] - days[0] == timedelta(days=7)
