"""One message in, one decision out.

The order of the steps is the first rule of the house:

danger signs, then the hold, then the computed answers, then content topics, then one
helpful question or an honest "no signed answer".
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from armbot.engine.answer import Answer, Scene
from armbot.engine.closing import POLITE, close
from armbot.engine.computed import computed_answer, is_why, why_answer
from armbot.engine.doubt import questioned
from armbot.engine.holding import asked_of_hold, hold_question
from armbot.engine.laying import lay
from armbot.engine.prose import topic_answer
from armbot.engine.replies import RULE_ID, affirmed, says_well, settles
from armbot.engine.reporting import hold_and_report, question_again, safety_question
from armbot.engine.safety import friend_answer, hold_answer
from armbot.engine.say import Voice, paragraphs
from armbot.engine.several import other_questions
from armbot.engine.slots import Slots
from armbot.engine.standing import THROW_TOPICS, held, off_today, resolves, rested, waits
from armbot.engine.subject import GENERIC, topic_of
from armbot.engine.threads import kept_on
from armbot.language.checking import check_signs
from armbot.language.grammar import Grammar
from armbot.language.reading import Writer, read
from armbot.language.tokens import words_of
from armbot.model.family import Family, Report
from armbot.model.reports import Assessment, Tier
from armbot.model.talk import Reading, Turn

_OF_SPEED = "of_speed"
"""The class of words that speak of speed."""
_SPEED = "velocity_loss"
_JOINT = ", "
"""Fragments are read as one sentence: "pills?", "for the elbow", "how many"."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What to say, and the family as it is afterwards."""

    turn: Turn
    family: Family
    alert: Report | None = None
    """A report the clinic must learn of."""
    grants: bool = False
    """Whether the reply could be read as leave to throw."""


def decide(family: Family, text: str, grammar: Grammar, now: datetime) -> Decision:
    """Answer one message of a family at ``now`` (aware). Never raises for any text."""
    text = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    local = now.astimezone(ZoneInfo(family.zone))
    family = rested(family, now)
    reading = read(text, grammar, local.date(), _writer(family))
    voice = Voice(grammar.library, family.lang if family.lang_chosen else reading.lang)
    most = grammar.library.clinic.doubtful_pitches
    slots = questioned(lay(family, reading, local.date()), family.talk, reading, most)
    slots = _within(kept_on(family, slots, reading), reading)
    found = _assessment(family, reading, slots, text, grammar)
    scene = Scene(
        family,
        reading,
        grammar.library,
        voice,
        local,
        slots.topic,
        "default",
        slots.frame.age is not None,
    )
    topic = topic_of(slots, found, reading, stays=family.talk.topic == slots.topic)
    scene = replace(scene, topic=topic, answer_id=grammar.answer_for(topic, reading.text))
    others = other_questions(reading, topic, grammar, local.date()) if _calm(scene, found) else []
    answer, after, alert = _respond(scene, slots, found, others)
    turn, after = close(scene, slots, found, answer, after, text)
    return Decision(turn, after, alert, answer.grants)


def _writer(family: Family) -> Writer:
    return Writer(
        lang=family.lang if family.lang_chosen else None,
        before=family.lang if family.greeted else None,
        names=tuple(a.name for a in family.athletes if a.name),
    )


def _within(slots: Slots, reading: Reading) -> Slots:
    """The slots, on no topic at all where nothing ties the message to throwing arms."""
    polite = slots.topic in POLITE
    if polite and (reading.counts or reading.ages or reading.bare or reading.pitch_types):
        asked = (topic for topic, _ in reading.topics if topic not in POLITE)
        return replace(slots, topic=next(asked, slots.topic))
    kept = slots.follows or reading.anchored or polite
    return slots if kept else replace(slots, topic="unknown")


def _assessment(
    family: Family, reading: Reading, slots: Slots, text: str, grammar: Grammar
) -> Assessment:
    """The safety check on this message, and on it together with the turns it leans on."""
    own = reading.assessment or Assessment(Tier.NONE)
    talk = family.talk
    yes = affirmed(talk, reading)
    if yes > own.tier:
        own = replace(
            own, tier=yes, signs=own.signs or ("other",), rule_ids=(*own.rule_ids, RULE_ID)
        )
    quiet = talk.tier is Tier.ASK and own.tier is Tier.NONE
    answered = quiet and settles(talk, reading)
    if own.tier is Tier.NONE and family.holds and asked_of_hold(reading):
        return own
    elsewhere = own.of_a_friend and talk.tier is Tier.NONE
    if elsewhere and own.tier is Tier.ASK:
        return replace(own, tier=Tier.NONE)  # no question of ours to ask: the topic answers
    if not talk.recent or not slots.follows or answered or elsewhere:
        return own
    strung = _JOINT.join(t.strip(" ?!.") for t in (*talk.recent, text))
    joined = check_signs(strung[-3000:], grammar, likeness=False)
    if talk.tier is Tier.NONE and _only_counts(strung, reading, joined, grammar):
        return own
    floor = max(own.tier, talk.tier)
    # Of equal urgency, what this message says itself is what it reports.
    raised = joined.tier > own.tier or not own.signs
    best = joined if raised and joined.tier >= own.tier and joined.signs else own
    return replace(best, tier=max(floor, joined.tier if joined.tier >= Tier.STOP else floor))


def _only_counts(strung: str, reading: Reading, joined: Assessment, grammar: Grammar) -> bool:
    """Whether all that reads as a lost speed are counts of several turns that go down.

    "Threw 58", "and if only 50", "can he go saturday": nobody has spoken of speed.
    """
    if reading.signs.mentions or set(joined.signs) != {_SPEED}:
        return False
    said = f" {' '.join(words_of(strung))} "
    return not any(f" {words} " in said for words in grammar.library.words.classes[_OF_SPEED])


def _calm(scene: Scene, found: Assessment) -> bool:
    """Whether nothing was reported, held or left open: then more than one thing is answered."""
    return found.tier is Tier.NONE and not scene.family.holds and not waits(scene)


def _respond(  # noqa: C901, PLR0911 - the order of precedence, one return each
    scene: Scene, slots: Slots, found: Assessment, others: Sequence[tuple[str, str]]
) -> tuple[Answer, Family, Report | None]:
    own = scene.reading.assessment
    if is_why(scene) and (own is None or own.tier is Tier.NONE):
        return why_answer(scene), scene.family, None
    if found.of_a_friend and found.tier >= Tier.STOP:
        return friend_answer(scene, found), scene.family, None
    if found.tier >= Tier.STOP:
        return hold_and_report(scene, slots, found)
    if found.urgent_elsewhere:
        return Answer(scene.voice.say("head"), grants=False), scene.family, None
    if found.tier is Tier.ASK:
        return safety_question(scene, slots, found), scene.family, None
    if (answer := hold_question(scene, slots)) is not None:
        return answer, scene.family, None
    if resolves(scene, slots):
        return Answer(scene.voice.say("ask_resolved"), grants=False), scene.family, None
    if says_well(scene.family.talk, scene.reading):
        return Answer(scene.voice.say("no_pain_noted"), grants=False), scene.family, None
    if found.other_body and slots.topic in GENERIC:
        answer = Answer(scene.voice.say("other_body"), grants=False, topic="unknown")
        return answer, scene.family, None
    answer = _plain(scene, slots)
    if off_today(scene, slots) and answer.grants:
        return Answer(scene.voice.say("ask_resolved"), grants=False), _kept(scene, answer), None
    if held(scene.family, slots) and (answer.grants or scene.topic in THROW_TOPICS):
        return hold_answer(scene, slots), _kept(scene, answer), None
    if waits(scene) and (answer.grants or scene.topic in THROW_TOPICS):
        return question_again(scene), _kept(scene, answer), None
    answer = _with_others(scene, slots, answer, others)
    return answer, answer.family or scene.family, None


def _with_others(
    scene: Scene, slots: Slots, answer: Answer, others: Sequence[tuple[str, str]]
) -> Answer:
    """The answer, and what else was asked below it."""
    for topic, answer_id in others:
        beside = replace(scene, topic=topic, answer_id=answer_id)
        answer = _both(answer, _plain(beside, replace(slots, topic=topic)))
    return answer


def _both(first: Answer, second: Answer) -> Answer:
    """Two answers in one: figures of the first where both give them, sources of both."""
    values = first.values
    if isinstance(first.values, Mapping) and isinstance(second.values, Mapping):
        values = {**second.values, **{k: v for k, v in first.values.items() if v is not None}}
    return replace(
        first,
        text=paragraphs(first.text, second.text),
        values=values,
        asks="; ".join(dict.fromkeys(a for a in (first.asks, second.asks) if a)),
        sources=tuple(dict.fromkeys((*first.sources, *second.sources))),
        why=(*first.why, *second.why),
        grants=first.grants or second.grants,
    )


def _plain(scene: Scene, slots: Slots) -> Answer:
    """The computed answer, or the topic's text; a dose asked for is refused in words of its own."""
    if scene.topic == "unknown" and "dose_ask" in scene.reading.acts:
        return replace(topic_answer(scene, "medicine", "dose"), topic="unknown")
    return computed_answer(scene, slots) or topic_answer(scene, scene.topic, scene.answer_id)


def _kept(scene: Scene, answer: Answer) -> Family:
    """The family with an outing that was told, where the answer itself must wait."""
    return answer.family if scene.topic == "log_outing" and answer.family else scene.family
