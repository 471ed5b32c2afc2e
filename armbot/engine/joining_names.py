"""Nicknames: what may be kept of a name, and what should not be."""

from __future__ import annotations

import unicodedata
from hashlib import sha256

from armbot.engine.joining_form import Heard, Question, Scene, Step
from armbot.engine.joining_words import is_just, words_in
from armbot.model.family import Family

MOST_CHARACTERS = 24
"""Longest nickname kept."""
_MOST_WORDS = 3
_HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
"""Control characters, direction marks, halves of pairs and the like: never in a name."""
_ANSWERS = ("yes", "no", "hello", "none", "unsure")
"""Meanings of words that answer something else: a nickname "yes" is a misunderstanding."""


def nickname(text: str) -> str:
    """The part of a text that may be kept as a nickname; "" where nothing may.

    Invisible characters and the stars of bold print go, spaces are single, and what is
    longer is cut.
    """
    seen = "".join(c for c in text if c != "*" and _shown(c))
    kept = " ".join(seen.split())[:MOST_CHARACTERS].strip()
    return kept if any(c.isalnum() for c in kept) else ""


def _shown(character: str) -> bool:
    return character.isspace() or unicodedata.category(character) not in _HIDDEN


def looks_full(name: str) -> bool:
    """Whether a name looks like a first and a last name: two words of letters."""
    words = [word for word in name.split() if len(word) > 1 and word[0].isalpha()]
    return len(words) > 1


def _mark(name: str) -> str:
    """By what a doubtful name is known again, without keeping it."""
    return sha256(name.casefold().encode()).hexdigest()[:12]


def taken(family: Family, name: str, but: str = "") -> bool:
    """Whether another athlete of the family (not the one of id ``but``) has that nickname."""
    return any(a.name.casefold() == name.casefold() for a in family.athletes if a.id != but)


def _ask(scene: Scene) -> Question:
    return Question(scene.say("join_name"))


def _hear(scene: Scene, text: str) -> Heard:
    name = nickname(_without_lead(scene, text))
    if "?" in text or len(name.split()) > _MOST_WORDS or not name or _answers(scene, text):
        return Heard(hint=scene.say("hint_name"))
    same = next((a for a in scene.family.athletes if a.name.casefold() == name.casefold()), None)
    if same is not None and scene.own and not _has_phone(scene, same.id):
        # The athlete's own chat says who it is: the one whom a guardian has named already.
        return Heard((("name", same.name), ("athlete", same.id)))
    if taken(scene.family, name, but=scene.answer("athlete")):
        return Heard(hint=scene.say("hint_name_taken", other=name))
    if looks_full(name) and scene.answer("name_doubt") != _mark(name):
        return Heard(hint=scene.say("hint_full_name"), notes=(("name_doubt", _mark(name)),))
    return Heard((("name", name),))


def _has_phone(scene: Scene, athlete: str) -> bool:
    return any(m.athlete == athlete for m in scene.family.members if m.chat != scene.member.chat)


def _answers(scene: Scene, text: str) -> bool:
    return any(is_just(scene.library, text, key) for key in _ANSWERS)


def _without_lead(scene: Scene, text: str) -> str:
    """The text without "call him", "his name is" and the like before the name."""
    words = text.split()
    for phrases in scene.library.words.phrases.values():
        for lead in phrases["hear_name_lead"].split(","):
            size = len(lead.split())
            if len(words) > size and words_in(" ".join(words[:size])) == words_in(lead):
                return " ".join(words[size:])
    return text


NAME = Step("name", _ask, _hear, _hear)
