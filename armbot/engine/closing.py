"""The end of a turn: what is said, what a machine is told, and what the next turn leans on."""

from __future__ import annotations

from dataclasses import replace

from armbot.engine.answer import Answer, Scene
from armbot.engine.replies import settles
from armbot.engine.say import fit, paragraphs
from armbot.engine.slots import Slots
from armbot.engine.standing import ends_the_day, held, waits
from armbot.model.family import Family, Talk
from armbot.model.reports import Assessment, Tier
from armbot.model.talk import Turn

POLITE = ("greeting", "thanks")
"""Topics of mere politeness: no further question leans on them."""
_RECENT = 4
"""How many turns are read together with a new fragment."""


def close(  # noqa: PLR0913 - one turn put together
    scene: Scene, slots: Slots, found: Assessment, answer: Answer, family: Family, text: str
) -> tuple[Turn, Family]:
    """The turn as it goes out, and the family with the conversation as it now stands.

    ``family`` is the family after ``answer``; ``scene`` still holds it as it was before.
    """
    topic = answer.topic or scene.topic
    talk = _talk(scene, slots, found, answer, family, text)
    family = replace(family, talk=talk, lang=scene.voice.lang, greeted=True)
    turn = Turn(
        topic=topic,
        tier=found.tier.word,
        signs=found.signs,
        hold=held(family, slots),
        entities=_entities(slots),
        values=answer.values,
        asks=answer.asks or None,
        reply=fit(paragraphs(answer.text, scene.voice.sources(answer.sources))),
        choices=answer.choices,
        sources=answer.sources,
        lang=scene.voice.lang,
        why=(*answer.why,),
    )
    return turn, family


def _talk(  # noqa: PLR0913 - the open end is made of all that was understood
    scene: Scene, slots: Slots, found: Assessment, answer: Answer, family: Family, text: str
) -> Talk:
    """The open end that the next turn may lean on."""
    frame, old = slots.frame, scene.family.talk
    topic = answer.topic or scene.topic
    count = next((c for c in frame.counts if c.pitches is not None or c.outs), None)
    first_day = next((c.day for c in frame.counts if c.day), None)
    recorded = answer.family is not None
    pitches, outs = (count.pitches, count.outs) if count else (None, None)
    age, age_kind = frame.age, frame.kind
    if slots.supposed:  # what was told stands
        pitches, outs, age, age_kind = old.pitches, old.outs, old.age, old.age_kind
    return Talk(
        topic="" if topic in POLITE else topic,
        answer=scene.answer_id,
        asks=answer.asks,
        recent=_recent(scene, slots, found, text),
        age=age,
        age_kind=age_kind,
        pitches=pitches,
        outs=outs,
        thrown=(count.day if count else None) or first_day,
        ask_day=slots.ask_days[-1] if slots.ask_days else None,
        pitch_type=slots.pitch_types[0] if slots.pitch_types else "",
        athlete=frame.athlete.id if frame.athlete else "",
        pending=family.talk.pending if recorded else "",
        logged=family.talk.logged if recorded else old.logged if slots.follows else (),
        why=answer.why,
        choices=answer.choices,
        tier=_open_tier(scene, slots, found),
        doubted=slots.doubted,
        at_large=scene.reading.at_large,
        at=scene.now,
        off_on=scene.today if ends_the_day(scene, slots, found) else old.off_on,
    )


def _recent(scene: Scene, slots: Slots, found: Assessment, text: str) -> tuple[str, ...]:
    """The turns a new message is read with; what was told of a friend is no part of them."""
    old = scene.family.talk.recent if slots.follows else ()
    return old if found.of_a_friend else (*old, text[:600])[-_RECENT:]


def _open_tier(scene: Scene, slots: Slots, found: Assessment) -> Tier:
    """The tier the open conversation stands at; a denial ends an open question, no more."""
    old = scene.family.talk
    if found.of_a_friend:
        return old.tier if slots.follows or waits(scene) else Tier.NONE
    if old.tier is Tier.ASK and settles(old, scene.reading):
        return found.tier
    return max(found.tier, old.tier) if slots.follows or waits(scene) else found.tier


def _entities(slots: Slots) -> dict[str, object]:
    """What was read, for a machine: only what is known."""
    frame = slots.frame
    found: dict[str, object] = {}
    if frame.age:
        found["age"] = frame.age.first if frame.age.exact else f"{frame.age.first}-{frame.age.last}"
    for index, count in enumerate(frame.counts):
        tail = "" if index == 0 else str(index + 1)
        told = {
            "pitches": count.pitches,
            "innings": round(count.outs / 3, 2) if count.outs else None,
            "thrown": count.day.isoformat() if count.day else None,
            "warmup": count.warmup or None,
        }
        found |= {f"{name}{tail}": value for name, value in told.items() if value is not None}
    for index, other in enumerate(slots.frames[1:], start=2):
        if other.age:
            found[f"age{index}"] = other.age.first
        if other.counts and other.counts[0].pitches is not None:
            found[f"pitches{index}"] = other.counts[0].pitches
    if slots.ask_days:
        found["ask_day"] = slots.ask_days[-1].isoformat()
    if slots.pitch_types:
        found["pitch_type"] = ",".join(slots.pitch_types)
    if slots.innings_caught is not None:
        found["innings_caught"] = slots.innings_caught
    return found
