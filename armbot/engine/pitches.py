"""Pitch types: from what age each is advised, for one pitch, several or all."""

from __future__ import annotations

from collections.abc import Sequence

from armbot.core.pitch_types import open_pitches, pitch_advice
from armbot.engine.answer import Answer, Scene
from armbot.engine.say import paragraphs, sentence
from armbot.engine.slots import Slots
from armbot.model.people import AgeSpan
from armbot.model.rules import Figure
from armbot.model.season import PitchType

_FIRST = ("fastball", "change_up")
"""What to throw instead, where a pitch must wait (common practice)."""


def pitch_answer(scene: Scene, slots: Slots) -> Answer | None:
    """From what age the named pitches are advised; None where none is named."""
    known = scene.library.pitch_types
    named = [known[p] for p in slots.pitch_types if p in known]
    if not named:
        return None
    if len(named) > 1 and slots.frame.age is None:
        return _several(scene, named)
    return _for_athlete(scene, named, slots.frame.age)


def _several(scene: Scene, named: Sequence[PitchType]) -> Answer:
    """A line of ages for several pitches, where nobody's age is known."""
    voice = scene.voice
    rows = [
        voice.say("pitch_line", pitch=p.names[voice.lang], age=_age_of(p.careful_age))
        for p in named
    ]
    return Answer(
        paragraphs("; ".join(rows) + ".", _memory_note(scene, named), voice.say("pitch_opinion")),
        tuple({"pitch_type": p.id, "min_age": p.careful_age.value} for p in named),
        sources=_sources(named),
        grants=False,
    )


def _for_athlete(scene: Scene, named: Sequence[PitchType], age: AgeSpan | None) -> Answer:
    """Whether each pitch may be thrown yet, and what meanwhile; asks an age not known."""
    voice = scene.voice
    waits = {p.id: pitch_advice(p, age).wait if age else None for p in named}
    values = [
        {
            "pitch_type": p.id,
            "min_age": p.careful_age.value,
            "may_throw": None if waits[p.id] is None else not waits[p.id],
        }
        for p in named
    ]
    asks = "" if age or _names_age(scene) else "age"
    meanwhile = _meanwhile(scene, age) if age and any(waits.values()) else ""
    note = named[0].notes.get(voice.lang, "")
    return Answer(
        paragraphs(
            " ".join(_line(scene, p, wait=waits[p.id]) for p in named),
            sentence(meanwhile, note),
            _memory_note(scene, named),
            "" if note else voice.say("pitch_opinion"),
            voice.say("need_age") if asks else "",
        ),
        values[0] if len(values) == 1 else tuple(values),
        asks=asks,
        sources=_sources(named),
        grants=False,
        why=_opinions(scene, named),
    )


def _line(scene: Scene, pitch: PitchType, *, wait: bool | None) -> str:
    """One pitch: to wait for, open, or (None: no age known) just its age."""
    voice = scene.voice
    name, age = pitch.names[voice.lang], _age_of(pitch.careful_age)
    if wait is None:
        return f"**{voice.say('pitch_line', pitch=_upper(name), age=age)}.**"
    if wait:
        return voice.say("pitch_wait", pitch=name, age=age)
    return voice.say("pitch_ok", pitch=_upper(name), age=age)


def _meanwhile(scene: Scene, age: AgeSpan) -> str:
    """The first pitches to learn, as far as they are open at the age."""
    voice = scene.voice
    names = [
        p.names[voice.lang] for p in open_pitches(scene.library.pitch_types, age) if p.id in _FIRST
    ]
    return voice.say("pitch_now", pitches=voice.listing(names)) if names else ""


def _opinions(scene: Scene, named: Sequence[PitchType]) -> tuple[str, ...]:
    """Every published age for the pitches, with its source, for "why"."""
    voice, sources = scene.voice, scene.library.sources
    return tuple(
        f"{p.names[voice.lang]}: {o.age.value} ({sources[o.age.cite.source].short}; "
        f"{voice.say('seen_' + o.age.cite.seen.value)})"
        for p in named
        for o in p.opinions
    )


def _sources(named: Sequence[PitchType]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(p.careful_age.cite.source for p in named))


def _names_age(scene: Scene) -> bool:
    """Whether the question is about the age itself: "from what age", "when"."""
    words = set(scene.reading.text.replace("?", " ").split())
    return bool(words & {"age", "old", "when", "edad", "cuando", "ages", "edades", "anos", "year"})


def _age_of(figure: Figure) -> str:
    value, cite = figure.value, figure.cite
    return f"{value}{'' if cite.confirmed or cite.seen.value == 'common' else '*'}"


def _memory_note(scene: Scene, named: Sequence[PitchType]) -> str:
    recalled = any(
        not p.careful_age.cite.confirmed and p.careful_age.cite.seen.value == "memory"
        for p in named
    )
    return scene.voice.say("from_memory") if recalled else ""


def pitch_list(scene: Scene) -> Answer:
    """The whole list of pitches and ages."""
    voice = scene.voice
    pitches = sorted(scene.library.pitch_types.values(), key=lambda p: p.careful_age.value)
    rows = [
        voice.say("pitch_line", pitch=p.names[voice.lang], age=_age_of(p.careful_age))
        for p in pitches
    ]
    return Answer(
        paragraphs(
            voice.say("pitch_list"),
            "\n".join(rows),
            _memory_note(scene, pitches),
            voice.say("pitch_opinion"),
        ),
        tuple({"pitch_type": p.id, "min_age": p.careful_age.value} for p in pitches),
        sources=tuple(
            dict.fromkeys(
                p.careful_age.cite.source for p in pitches if p.careful_age.cite.confirmed
            )
        ),
        grants=False,
    )


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
