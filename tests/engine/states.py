"""The states a family's record and conversation can be in when a message comes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from conversation import NOW, after, new_family

from armbot.model.family import Athlete
from armbot.model.people import AgeSpan, BirthMonth

if TYPE_CHECKING:
    from armbot.model.family import Family

KAI = Athlete(id="a1", name="Kai", birth=BirthMonth(2015, 3))
LUZ = Athlete(id="a2", name="Luz", age=AgeSpan(14, 14), age_told_on=NOW.date())

_TALKS = {
    "en": {
        "mid question": ("can he pitch saturday?",),
        "age told": ("he is 11, how many days rest?",),
        "answered": ("he is 11 and threw 62 pitches on tuesday, when can he pitch again?",),
        "logged": ("log 47 pitches today for my 11 year old",),
        "pending delete": ("log 47 pitches today for my 11 year old", "delete that entry"),
        "after ask": ("his arm is tired",),
        "after topic": ("what is little league elbow?",),
        "on hold": ("his elbow hurts when he throws",),
    },
    "es": {
        "mid question": ("¿puede lanzar el sábado?",),
        "age told": ("tiene 11 años, ¿cuántos días de descanso?",),
        "answered": ("tiene 11 y tiró 62 lanzamientos el martes, ¿cuándo puede otra vez?",),
        "logged": ("apunta 47 lanzamientos de hoy, mi hijo de 11",),
        "pending delete": ("apunta 47 lanzamientos de hoy, mi hijo de 11", "borra lo último"),
        "after ask": ("tiene el brazo cansado",),
        "after topic": ("¿qué es el codo de pequeñas ligas?",),
        "on hold": ("le duele el codo cuando lanza",),
    },
}
HELD = tuple(f"{who} on hold" for who in ("nobody known:", "one athlete:", "two athletes:"))
"""States in which somebody is on hold."""
STATES = (
    "new", "one athlete", "two athletes",
    *(name for name in _TALKS["en"] if name != "on hold"), *HELD,
)  # fmt: skip


@cache
def family_in(state: str, lang: str) -> Family:
    """The family in that state, its conversation held in that language."""
    alone = replace(new_family(), lang=lang, lang_chosen=True)
    one = replace(alone, athletes=(KAI,), greeted=True)
    both = replace(alone, athletes=(KAI, LUZ), greeted=True)
    plain = {"new": alone, "one athlete": one, "two athletes": both}
    if state in plain:
        return plain[state]
    start = {"nobody known:": alone, "one athlete:": one, "two athletes:": both}
    who = next((begin for name, begin in start.items() if state.startswith(name)), alone)
    talk = "on hold" if state in HELD else state
    return after(*_TALKS[lang][talk], family=who)
