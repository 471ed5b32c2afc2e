"""What a sign brings about: one safety question, or a hold with a report to the clinic."""

from __future__ import annotations

from dataclasses import replace

from armbot.engine.answer import Answer, Scene
from armbot.engine.logbook import remember
from armbot.engine.prose import topic_answer
from armbot.engine.safety import headline, safety_answer, what_to_do
from armbot.engine.say import paragraphs, sentence
from armbot.engine.slots import Slots
from armbot.engine.standing import THROW_TOPICS
from armbot.language.structure import asks
from armbot.model.family import Family, Hold, Report
from armbot.model.reports import Assessment
from armbot.model.talk import Reading

_QUESTION_ALONE = THROW_TOPICS | {"symptom_report", "unknown", "greeting", "when_to_see_clinician"}
"""Topics beside which the safety question stands alone."""


def safety_question(scene: Scene, slots: Slots, found: Assessment) -> Answer:
    """The safety question, and prose that grants nothing where the message asked for it."""
    question = safety_answer(scene, slots, found, logged=False)
    if slots.follows or scene.topic in _QUESTION_ALONE:
        return question
    more = topic_answer(scene, scene.topic, scene.answer_id)
    if more.grants:
        return question
    return replace(
        question,
        text=paragraphs(question.text, more.text),
        sources=tuple(dict.fromkeys((*question.sources, *more.sources))),
        asks="; ".join(a for a in (question.asks, more.asks) if a),
    )


def question_again(scene: Scene) -> Answer:
    """The open safety question once more, instead of any throwing answer."""
    voice = scene.voice
    question = sentence(voice.say("safety_ask"), voice.say("ask_generic"))
    return Answer(paragraphs(question, voice.say("nobody_watches")), asks="any pain", grants=False)


def hold_and_report(
    scene: Scene, slots: Slots, found: Assessment
) -> tuple[Answer, Family, Report | None]:
    """The safety message, the family with its hold and report, and what the clinic must learn.

    What else the text held is still recorded. More of what was reported a turn ago goes to
    the report it belongs to and is no alert of its own.
    """
    counted = any(c.pitches is not None and c.day for c in scene.reading.counts)
    logged = counted and not slots.alternatives
    family = remember(scene, slots) if logged else scene.family
    owner = _owner(family, slots)
    if slots.follows and _adds_to_last(scene.family, owner, found):
        return _added(scene, slots, found), _with_words(family, scene.reading, found), None
    number = f"r{len(scene.family.reports) + 1}"
    said = scene.reading.text[:1000]
    report = Report(scene.now, owner, found.tier, found.signs, said, id=number)
    holds = family.holds
    if family.hold_of(owner) is None:
        holds = (*holds, Hold(owner, scene.now, found.tier))
    family = replace(family, reports=(*family.reports, report), holds=holds)
    return safety_answer(scene, slots, found, logged=logged), family, report


def _owner(family: Family, slots: Slots) -> str:
    """The athlete a report is about; empty, and so all of them, where that is not known."""
    if slots.frame.athlete:
        return slots.frame.athlete.id
    return family.athletes[0].id if len(family.athletes) == 1 else ""


def _adds_to_last(family: Family, owner: str, found: Assessment) -> bool:
    """Whether this is more of what was reported a turn ago, of the same athlete."""
    if not family.reports or family.talk.tier < found.tier:
        return False
    return family.reports[-1].athlete in (owner, "") and family.hold_of(owner) is not None


def _added(scene: Scene, slots: Slots, found: Assessment) -> Answer:
    """More of what was reported a turn ago: the same message, shorter."""
    voice = scene.voice
    full = safety_answer(scene, slots, found, logged=False)
    text = paragraphs(
        sentence(voice.say(headline(scene, found)), voice.say(what_to_do(scene, found))),
        sentence(voice.say("hold_ends" if _asks(scene) else "noted"), voice.say("nobody_watches")),
    )
    return replace(full, text=text)


def _asks(scene: Scene) -> bool:
    """Whether the message asks something and tells nothing: "can he bat?"."""
    words = scene.reading.text.replace("?", " ? ").split()
    return asks(words) and not scene.reading.signs.mentions


def _with_words(family: Family, reading: Reading, found: Assessment) -> Family:
    """What was added goes to the clinic with the report it belongs to."""
    last = family.reports[-1]
    said = f"{last.said}\n{reading.text[:300]}"[:2000]
    signs = tuple(dict.fromkeys((*last.signs, *found.signs)))
    return replace(family, reports=(*family.reports[:-1], replace(last, said=said, signs=signs)))
