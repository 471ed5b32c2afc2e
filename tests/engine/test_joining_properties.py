"""What holds for any text at any question of any form, in both languages."""

from __future__ import annotations

import re
from dataclasses import replace

from conversation import NOW, dates_in
from granting import _LEAVE
from hypothesis import given
from hypothesis import strategies as st
from joining_support import (
    BEAR,
    CHAT,
    GUARDIAN,
    LIBRARY,
    Chat,
    at_step,
    begun,
    joined,
    sound,
    zones,
)
from quick import QUICK
from strategies import TRICKY, languages, told

from armbot.engine import joining, record, settings
from armbot.engine.joining_steps import DEPENDS, STEPS, WAITING
from armbot.model.family import Family, Hold, Planned, Role
from armbot.model.reports import Tier
from armbot.store.records import family_from, to_document

COMPLETE = {
    "name": "Bear", "birth_year": "2014", "birth_month": "6", "arm": "left",
    "sport": "baseball", "league": "none", "zone": "America/Denver",
}  # fmt: skip
WORDS = sorted(
    {
        word.strip()
        for phrases in LIBRARY.words.phrases.values()
        for key, text in phrases.items()
        if key.startswith("hear_")
        for word in text.split(",")
    }
)
"""Everything that any question understands: at the wrong question it is just a text."""
VALUES = ("yes", "no", "back", "more", "2014", "6", "none", "21-8", "a1", "", "es", "join", "add")
acts = st.builds(
    "form:{}:{}".format,
    st.sampled_from((*STEPS, "lang", "start", "day", "?")),
    st.sampled_from((*VALUES, "America/Denver", "left-baseball", "little_league", "\ud800")),
)
texts = st.one_of(
    st.text(max_size=60),
    st.sampled_from(WORDS),
    st.lists(st.sampled_from(WORDS), min_size=2, max_size=4).map(" ".join),
    st.sampled_from([text for _, text in TRICKY]),
    st.sampled_from(["6/6/6", "31/12/2014", "1e3", "0", "-5", "utc+99", "99:99 to 1", "x" * 5000]),
    languages.flatmap(told),
)
anything = st.one_of(texts, acts)


@QUICK
@given(
    step=st.sampled_from(sorted(set(COMPLETE) | {"quiet", "role"})), lang=languages, text=anything
)
def test_any_text_at_any_question_is_answered_and_loses_nothing(
    step: str, lang: str, text: str
) -> None:
    """A sound reply; of what was answered only this question's own part may change."""
    before = {name: value for name, value in COMPLETE.items() if name != step}
    chat = at_step(step, lang, **before).tell(text)
    form = chat.member.form
    if form is None:
        athlete = chat.family.athletes[0]
        assert athlete.name == before.get("name", athlete.name)
        assert athlete.birth is None or step.startswith("birth") or athlete.birth == BEAR.birth
        return
    mine = {step, *DEPENDS.get(step, ()), "birth_year", "birth_month"} | {"arm", "sport", "league"}
    kept = {k: v for k, v in before.items() if k not in mine or not step_changes(step, k)}
    assert dict(form.answers).items() >= kept.items()


def step_changes(step: str, name: str) -> bool:
    """Whether an answer at a step may change what was told at another one."""
    birth = {"birth_year", "birth_month"}
    together = (birth, {"arm", "sport", "league"}, {"sport", "league"})
    return name == step or any(step in both and name in both for both in together)


@QUICK
@given(lang=languages, family=st.booleans(), walk=st.lists(anything, min_size=1, max_size=12))
def test_any_conversation_stays_sound(lang: str, family: bool, walk: list[str]) -> None:  # noqa: FBT001 - drawn
    """From the first contact on: replies a chat can take, a record a store can keep."""
    chat = begun(joined() if family else None, lang)
    for text in walk:
        chat.tell(text)
        assert family_from(to_document(chat.family)) == chat.family
        assert chat.family.member(CHAT) is not None
        if chat.member.consent is None:
            assert len(chat.family.athletes) == family


@QUICK
@given(lang=languages, walk=st.lists(st.integers(0, 30), min_size=1, max_size=14))
def test_any_row_of_buttons_leads_on(lang: str, walk: list[int]) -> None:
    """Pressing what is shown, at random, never meets a stale button of its own."""
    chat = begun(lang=lang)
    for number in walk:
        own = [act for act in chat.acts if act.startswith("form:")]
        if not own or chat.member.form is None:
            chat.tell("Bear")
            return
        act = own[number % len(own)]
        chat.tell(act)
        if chat.member.form is not None and chat.form.step == "name":
            chat.tell("Bear")


@QUICK
@given(lang=languages, text=anything)
def test_a_waiting_child_gets_nothing_else(lang: str, text: str) -> None:
    """Whatever a child under 13 writes meanwhile, nothing of it is kept or let through."""
    chat = begun(lang=lang).tell("form:consent:athlete", "2015-02", "form:sure:yes")
    chat.tell(text)
    assert chat.form.step == WAITING
    assert (chat.form.answers, chat.family.athletes) == ((), ())
    assert chat.member.consent is None


@QUICK
@given(lang=languages, text=anything, held=st.booleans())
def test_nothing_said_here_lets_anybody_throw(lang: str, text: str, held: bool) -> None:  # noqa: FBT001 - drawn
    """No leave in any reply; on hold no planned day is named, taken or kept from the list."""
    family = joined(replace(GUARDIAN, lang=lang))
    if held:
        hold = Hold("a1", NOW, Tier.STOP)
        family = replace(family, holds=(hold,), planned=(Planned("a1", NOW.date()),))
    chat = Chat(begun(family, lang).said, GUARDIAN.chat)
    for act in ("set:plan:a1", "set:people", "set:show", "set:remind", "set:add"):
        chat.set(act)
        leave_free(chat, chat.member.lang)
        chat.tell(text)
        leave_free(chat, chat.member.lang)
        if held:
            assert len(chat.family.planned) == 1
            assert not dates_in(chat.said.text, chat.member.lang)


def leave_free(chat: Chat, lang: str) -> None:
    """No sentence that gives leave to throw."""
    assert not re.search(_LEAVE[lang], chat.said.text)


@QUICK
@given(lang=languages, text=anything)
def test_any_act_of_the_settings_is_answered(lang: str, text: str) -> None:
    """An unknown or forged act shows the settings and changes nothing that it may not."""
    for act in (text, f"set:{text}", f"set:remove:{text}", f"set:unplan:a1:{text}"):
        family = joined(replace(GUARDIAN, lang=lang))
        said = settings.act(family, family.members[0], act, LIBRARY, NOW, zones())
        sound(said)
        assert said.family.athletes == family.athletes


@QUICK
@given(lang=languages, text=anything)
def test_nothing_but_a_plain_yes_erases(lang: str, text: str) -> None:
    """Any other text keeps everything, and the question is not asked again by itself."""
    family = joined(replace(GUARDIAN, lang=lang))
    asked = record.erase_question(family, family.members[0], LIBRARY, NOW)
    member = asked.family.member(GUARDIAN.chat)
    assert member is not None
    said = joining.step(asked.family, member, text, LIBRARY, NOW, zones())
    sound(said)
    words = text.casefold().strip(" .!")
    if words not in ERASING:
        assert said.act == ""
        assert said.family.athletes == family.athletes


ERASING = {"form:sure:yes"} | {
    word.strip() for p in LIBRARY.words.phrases.values() for word in p["hear_erase"].split(",")
}


def test_every_role_can_be_said_in_every_language() -> None:
    """The properties above would hold of a form that understands nothing."""
    for lang in ("en", "es"):
        for role in (Role.GUARDIAN, Role.ATHLETE):
            key = f"label_{role.value}"
            chat = begun(Family("f"), lang).tell(LIBRARY.phrase(lang, "label_agree"))
            chat.tell(LIBRARY.phrase(lang, key))
            assert chat.member.role is role
