"""Plain words for settings and chores: understood where they are the whole message, only there."""

from __future__ import annotations

import re

import pytest
from conversation import recorded
from hypothesis import given
from joining_support import LIBRARY
from quick import QUICK
from strategies import SIGNS, languages, messages

from armbot.engine import settings_words
from armbot.engine.settings import understands
from armbot.engine.settings_words import ACTS, requests
from armbot.model.reminders import ReminderKind

SAID = (
    ("en", "settings", "set:show"),
    ("en", "show me my settings please", "set:show"),
    ("en", "setings", "set:show"),
    ("en", "change language", "set:lang"),
    ("en", "english please", "set:lang:en"),
    ("en", "can you speak spanish?", "set:lang:es"),
    ("en", "I want to change the time zone", "set:zone"),
    ("en", "time zone", "set:zone"),
    ("en", "quiet hours", "set:quiet"),
    ("en", "reminder settings", "set:remind"),
    ("en", "turn off reminders", "set:remind:all:off"),
    ("en", "can you turn the reminders off please", "set:remind:all:off"),
    ("en", "stop all notifications", "set:remind:all:off"),
    ("en", "turn off rest day reminders", "set:remind:rest:off"),
    ("en", "turn on the morning reminder", "set:remind:arm:on"),
    ("en", "mute off-season reminders", "set:remind:off:off"),
    ("en", "no more limit reminders", "set:remind:limits:off"),
    ("en", "add another child", "set:add"),
    ("en", "add athlete", "set:add"),
    ("en", "leagues", "set:leagues"),
    ("en", "planned days", "set:plan"),
    ("en", "what do you know about us?", "do:data"),
    ("en", "see my data", "do:data"),
    ("en", "export my data", "do:export"),
    ("en", "download csv", ""),
    ("en", "import csv", "do:import"),
    ("en", "erase everything", "do:erase"),
    ("en", "delete my account", "do:erase"),
    ("en", "invite the other parent", "do:invite"),
    ("en", "I need a code for my son's phone", "do:phone"),
    ("en", "my chart", "do:chart"),
    ("en", "calendar", "do:calendar"),
    ("en", "plan the off-season", "do:off"),
    ("es", "ajustes", "set:show"),
    ("es", "quiero ver mis ajustes", "set:show"),
    ("es", "cambiar idioma", "set:lang"),
    ("es", "en inglés por favor", "set:lang:en"),
    ("es", "cambiar la zona horaria", "set:zone"),
    ("es", "horas de silencio", "set:quiet"),
    ("es", "recordatorios", "set:remind"),
    ("es", "apagar recordatorios", "set:remind:all:off"),
    ("es", "apaga los avisos de descanso", "set:remind:rest:off"),
    ("es", "activar recordatorios del brazo", "set:remind:arm:on"),
    ("es", "agregar otro hijo", "set:add"),
    ("es", "días planeados", "set:plan"),
    ("es", "mis datos", "do:data"),
    ("es", "exportar mis datos", "do:export"),
    ("es", "importar tabla", ""),
    ("es", "importar salidas", "do:import"),
    ("es", "borrar todo", "do:erase"),
    ("es", "invitar a mi esposo", "do:invite"),
    ("es", "código para el teléfono de mi hijo", "do:phone"),
    ("es", "mi gráfica", "do:chart"),
    ("es", "calendario", "do:calendar"),
    ("es", "planear la temporada baja", "do:off"),
)


@pytest.mark.parametrize(("lang", "text", "act"), SAID)
def test_a_request_is_understood_in_its_usual_words(lang: str, text: str, act: str) -> None:
    """With politeness around it and a slip of the pen in it."""
    assert understands(text, lang, LIBRARY) == act


def test_no_request_stands_for_two_things() -> None:
    """Fillers aside, each phrase belongs to one act, so the order of the acts never decides."""
    keys = [f"ask_{key}" for key in ACTS] + [f"lang_{lang}" for lang in LIBRARY.languages]
    said = [(phrase, key) for key in keys for phrase in requests(LIBRARY, key)]
    owners = {phrase: {k for p, k in said if p == phrase} for phrase, _ in said}
    assert {p: sorted(k) for p, k in owners.items() if len(k) > 1} == {}


def test_everything_that_can_be_asked_for_is_tried_above() -> None:
    """In both languages."""
    for lang in ("en", "es"):
        tried = {act for spoken, _, act in SAID if spoken == lang}
        assert set(ACTS.values()) - tried <= {"set:people", "set:leagues"}


STRICT = ("questions", "symptoms")
"""In the other sets "change my reminders" asks for just that, and is taken."""


@pytest.mark.parametrize(
    "name",
    ["questions", "symptoms", "fresh_questions", "fresh_symptoms", "unseen_questions",
     "unseen_symptoms"],
)  # fmt: skip
def test_no_message_to_the_engine_is_taken(name: str) -> None:
    """Not one turn of the labelled messages, in either language."""
    taken = [
        (text, act)
        for conversation in recorded(name)
        for text in conversation.turns
        for lang in ("en", "es")
        if (act := understands(text, lang, LIBRARY))
        and (name in STRICT or conversation.label["topic"] != "reminder_settings")
    ]
    assert not taken


@QUICK
@given(text=languages.flatmap(messages))
def test_no_generated_question_is_taken(text: str) -> None:
    """Ages, counts, days and leagues in any order."""
    assert understands(text, "en", LIBRARY) == ""


@pytest.mark.parametrize("lang", ["en", "es"])
def test_no_danger_sign_is_taken(lang: str) -> None:
    """Whatever else the message asks for."""
    for sign in SIGNS:
        for also in ("", "settings, ", "turn off reminders, ", "mis datos, "):
            assert understands(also + sign.said(lang), lang, LIBRARY) == ""


@pytest.mark.parametrize(
    "text",
    ["", "?", "pitch count chart for 12", "what is the rest chart", "is fall ball off season",
     "how long is the off season", "stop", "stop throwing", "no more pitches today", "off", "on",
     "add 20 pitches", "delete the last one", "delete that entry", "log it", "calendar days or not",
     "data", "remind me saturday", "no", "yes", "english muffin", "can he throw in spanish league",
     "export 40 pitches", "phone", "change tuesday to 44", "borra lo último", "sin dolor",
     "no descanso", "apaga"],
)  # fmt: skip
def test_near_words_are_left_to_the_engine(text: str) -> None:
    """A word of ours inside another question is no request."""
    act = understands(text, "en", LIBRARY)
    assert act == ("do:data" if text == "data" else "")


@pytest.mark.parametrize(
    "text", ["x" * 9000, "settings " * 500, "\ud800", "\x00settings", "\uff53ettings"]
)
def test_hostile_text_is_read_quickly_and_never_raises(text: str) -> None:
    """Long texts are no requests; look-alike letters are letters."""
    assert understands(text, "xx", LIBRARY) == ""
    assert understands(text, "es", LIBRARY) in ("", "set:show")


def test_no_request_is_longer_than_what_is_looked_at() -> None:
    """A longer one, added to the phrases, would never be understood."""
    library = LIBRARY
    names = [f"ask_{key}" for key in settings_words.ACTS]
    names += [f"lang_{lang}" for lang in library.languages]
    plain = max(len(words) for name in names for words in settings_words.requests(library, name))
    ways = ("ask_turn_on", "ask_turn_off")
    verb = max(len(words) for way in ways for words in settings_words.requests(library, way))
    kinds = [f"ask_kind_{kind.value}" for kind in ReminderKind]
    kind = max(len(words) for name in kinds for words in settings_words.requests(library, name))
    assert max(plain, verb + kind) == settings_words._MOST_ASKED  # noqa: SLF001 - its very subject


@pytest.mark.parametrize("lang", LIBRARY.languages)
def test_what_the_bot_tells_families_to_write_is_understood(lang: str) -> None:
    """Every request quoted in the texts on reminders does what they say."""
    answers = LIBRARY.topics["reminder_settings"].answers.values()
    told = [answer.texts[lang] for answer in answers]
    texts = [text for one in told for text in (one.short, one.long, one.do_now)]
    quoted = [words for text in texts for words in re.findall(r'"([^"]+)"', text)]
    assert len(set(quoted)) >= 6
    assert [words for words in quoted if not understands(words, lang, LIBRARY)] == []
