"""One message in, one decision out.

The order of the steps is the first rule of the house:

danger signs, then the hold, then the computed answers, then content topics, then one
helpful question or an honest "no signed answer".
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from armbot.engine.answer import Answer, Scene
from armbot.engine.computed import computed_answer, is_why, why_answer
from armbot.engine.logbook import remember
from armbot.engine.prose import topic_answer
from armbot.engine.replies import RULE_ID, affirmed, says_well, settles
from armbot.engine.safety import hold_answer, safety_answer, what_to_do
from armbot.engine.say import Voice, fit, paragraphs, sentence
from armbot.engine.several import other_questions
from armbot.engine.slots import Slots, lay
from armbot.engine.subject import GENERIC, topic_of
from armbot.engine.threads import kept_on
from armbot.language.grammar import Grammar
from armbot.language.reading import check_signs, read
from armbot.model.family import Family, Hold, Report, Talk
from armbot.model.reports import Assessment, Tier
from armbot.model.talk import Reading, Turn

THROW_TOPICS = frozenset(
    {"rest_days", "can_pitch_date", "log_outing", "daily_limit", "same_day", "multiple_teams",
     "catcher_rule", "innings_limit", "season_total", "pitch_type_age", "long_toss", "warm_up",
     "radar_gun", "weighted_balls", "return_to_throw", "softball", "other_sports_rest",
     "plan_status"}
)  # fmt: skip
"""Topics whose answers may grant or date throwing: silent on hold and beside a report."""
_JOINT = ", "
"""Fragments are read as one sentence: "pills?", "for the elbow", "how many"."""
_POLITE = ("greeting", "thanks")
_RECENT = 4
"""How many turns are read together with a new fragment."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What to say, and the family as it is afterwards."""

    turn: Turn
    family: Family
    alert: Report | None = None
    """A report the clinic must learn of."""


def decide(family: Family, text: str, grammar: Grammar, now: datetime) -> Decision:
    """Answer one message of a family at ``now`` (aware). Never raises for any text."""
    text = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    local = now.astimezone(ZoneInfo(family.zone))
    names = tuple(a.name for a in family.athletes if a.name)
    kept = family.lang if family.lang_chosen or family.greeted else None
    reading = read(text, grammar, local.date(), lang=kept, names=names)
    voice = Voice(grammar.library, family.lang if family.lang_chosen else reading.lang)
    slots = _within(kept_on(family.talk, lay(family, reading, local.date()), reading), reading)
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
    scene = replace(scene, topic=topic, answer_id=_answer_id(grammar, topic, reading))
    others = other_questions(reading, topic, grammar, local.date()) if _calm(scene, found) else []
    answer, after, alert = _respond(scene, slots, found, others)
    return _closed(scene, slots, found, answer, after, alert, text)


def _within(slots: Slots, reading: Reading) -> Slots:
    """The slots, on no topic at all where nothing ties the message to throwing arms."""
    polite = slots.topic in _POLITE
    if polite and (reading.counts or reading.ages or reading.bare or reading.pitch_types):
        asked = (topic for topic, _ in reading.topics if topic not in _POLITE)
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
    if not talk.recent or not slots.follows or answered:
        return own
    strung = _JOINT.join(t.strip(" ?!.") for t in (*talk.recent, text))
    joined = check_signs(strung[-3000:], grammar, likeness=False)
    floor = max(own.tier, talk.tier)
    best = joined if joined.tier >= own.tier and joined.signs else own
    return replace(best, tier=max(floor, joined.tier if joined.tier >= Tier.STOP else floor))


def _answer_id(grammar: Grammar, topic: str, reading: Reading) -> str:
    return grammar.answer_for(topic, reading.text)


def _calm(scene: Scene, found: Assessment) -> bool:
    """Whether nothing was reported, held or left open: then more than one thing is answered."""
    return found.tier is Tier.NONE and not scene.family.holds and not _waits(scene)


def _respond(  # noqa: C901, PLR0911 - the order of precedence, one return each
    scene: Scene, slots: Slots, found: Assessment, others: Sequence[tuple[str, str]]
) -> tuple[Answer, Family, Report | None]:
    own = scene.reading.assessment
    if is_why(scene) and (own is None or own.tier is Tier.NONE):
        return why_answer(scene), scene.family, None
    if found.tier >= Tier.STOP:
        return _report(scene, slots, found)
    if found.urgent_elsewhere:
        return Answer(scene.voice.say("head"), grants=False), scene.family, None
    if found.tier is Tier.ASK:
        return _asked(scene, slots, found), scene.family, None
    if _resolves(scene, slots):
        return Answer(scene.voice.say("ask_resolved"), grants=False), scene.family, None
    if says_well(scene.family.talk, scene.reading):
        return Answer(scene.voice.say("no_pain_noted"), grants=False), scene.family, None
    if found.other_body and slots.topic in GENERIC:
        answer = Answer(scene.voice.say("other_body"), grants=False, topic="unknown")
        return answer, scene.family, None
    answer = _plain(scene, slots)
    if _off_today(scene, slots) and answer.grants:
        return Answer(scene.voice.say("ask_resolved"), grants=False), _kept(scene, answer), None
    if _held(scene, slots) and (answer.grants or scene.topic in THROW_TOPICS):
        return hold_answer(scene, slots), _kept(scene, answer), None
    if _waits(scene) and (answer.grants or scene.topic in THROW_TOPICS):
        return _first_things_first(scene), _kept(scene, answer), None
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


def _off_today(scene: Scene, slots: Slots) -> bool:
    """Whether today is asked about, on the day that a sign was asked about and settled."""
    if scene.family.talk.off_on != scene.today or scene.topic not in THROW_TOPICS:
        return False
    return not slots.ask_days or scene.today in slots.ask_days


def _ends_the_day(scene: Scene, slots: Slots, found: Assessment) -> bool:
    """Whether no throwing is left for today, though nobody is on hold."""
    elsewhere = found.urgent_elsewhere or (found.other_body and slots.topic in GENERIC)
    return _resolves(scene, slots) or elsewhere


def _kept(scene: Scene, answer: Answer) -> Family:
    """The family with an outing that was told, where the answer itself must wait."""
    return answer.family if scene.topic == "log_outing" and answer.family else scene.family


def _waits(scene: Scene) -> bool:
    """Whether the safety question of an earlier turn is still without an answer."""
    return scene.family.talk.tier is Tier.ASK and not _settles(scene)


def _first_things_first(scene: Scene) -> Answer:
    """The open safety question once more, instead of any throwing answer."""
    voice = scene.voice
    question = sentence(voice.say("safety_ask"), voice.say("ask_generic"))
    return Answer(paragraphs(question, voice.say("nobody_watches")), asks="any pain", grants=False)


def _settles(scene: Scene) -> bool:
    """Whether the message answers the open safety question with nothing to worry about."""
    return settles(scene.family.talk, scene.reading)


def _held(scene: Scene, slots: Slots) -> bool:
    """Whether the athlete meant, or possibly meant, is on hold."""
    family = scene.family
    if not family.holds:
        return False
    athletes = [f.athlete.id for f in slots.frames if f.athlete]
    return any(family.hold_of(a) for a in athletes) if athletes else True


def _resolves(scene: Scene, slots: Slots) -> bool:
    talk = scene.family.talk
    return talk.tier is Tier.ASK and _settles(scene) and slots.follows


def _asked(scene: Scene, slots: Slots, found: Assessment) -> Answer:
    """The safety question, and prose that grants nothing where the message asked for it."""
    question = safety_answer(scene, slots, found, logged=False)
    quiet = ("symptom_report", "unknown", "greeting", "when_to_see_clinician")
    if slots.follows or scene.topic in THROW_TOPICS or scene.topic in quiet:
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


def _report(scene: Scene, slots: Slots, found: Assessment) -> tuple[Answer, Family, Report | None]:
    """Hold, report, safety message; what else the text held is still recorded."""
    counted = any(c.pitches is not None and c.day for c in scene.reading.counts)
    logged = counted and not slots.alternatives
    family = remember(scene, slots) if logged else scene.family
    owner = _owner(family, slots)
    if slots.follows and _adds_to_last(scene.family, owner, found):
        return _added(scene, slots, found), _with_words(family, scene.reading, found), None
    report = Report(scene.now, owner, found.tier, found.signs, scene.reading.text[:1000])
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
    name = voice.say(f"safety_{found.tier.word}")
    text = paragraphs(
        sentence(name, voice.say(what_to_do(scene, found))),
        sentence(voice.say("noted"), voice.say("nobody_watches")),
    )
    return replace(full, text=text)


def _with_words(family: Family, reading: Reading, found: Assessment) -> Family:
    """What was added goes to the clinic with the report it belongs to."""
    last = family.reports[-1]
    said = f"{last.said}\n{reading.text[:300]}"[:2000]
    signs = tuple(dict.fromkeys((*last.signs, *found.signs)))
    return replace(family, reports=(*family.reports[:-1], replace(last, said=said, signs=signs)))


def _closed(  # noqa: PLR0913 - one turn put together
    scene: Scene,
    slots: Slots,
    found: Assessment,
    answer: Answer,
    family: Family,
    alert: Report | None,
    text: str,
) -> Decision:
    topic = answer.topic or scene.topic
    talk = _talk(scene, slots, found, answer, family, topic, text)
    family = replace(family, talk=talk, lang=scene.voice.lang, greeted=True)
    reply = fit(paragraphs(answer.text, scene.voice.sources(answer.sources)))
    turn = Turn(
        topic=topic,
        tier=found.tier.word,
        signs=found.signs,
        hold=_held(replace(scene, family=family), slots),
        entities=_entities(slots),
        values=answer.values,
        asks=answer.asks or None,
        reply=reply,
        choices=answer.choices,
        sources=answer.sources,
        lang=scene.voice.lang,
        why=(*answer.why,),
    )
    return Decision(turn, family, alert)


def _talk(  # noqa: PLR0913 - the open end is made of all that was understood
    scene: Scene,
    slots: Slots,
    found: Assessment,
    answer: Answer,
    family: Family,
    topic: str,
    text: str,
) -> Talk:
    frame, old = slots.frame, scene.family.talk
    count = next((c for c in frame.counts if c.pitches is not None or c.outs), None)
    recent = (*old.recent, text[:600])[-_RECENT:] if slots.follows else (text[:600],)
    return Talk(
        topic=topic if topic not in ("thanks", "greeting") else "",
        answer=scene.answer_id,
        asks=answer.asks,
        recent=recent,
        age=frame.age,
        age_kind=frame.kind,
        pitches=count.pitches if count else None,
        outs=count.outs if count else None,
        thrown=(count.day if count else None)
        or (next((c.day for c in frame.counts if c.day), None)),
        ask_day=slots.ask_days[-1] if slots.ask_days else None,
        pitch_type=slots.pitch_types[0] if slots.pitch_types else "",
        athlete=frame.athlete.id if frame.athlete else "",
        pending=family.talk.pending if answer.family is not None else "",
        logged=family.talk.logged
        if answer.family is not None
        else (old.logged if slots.follows else ()),
        why=answer.why,
        choices=answer.choices,
        tier=_open_tier(scene, slots, found),
        off_on=scene.today if _ends_the_day(scene, slots, found) else old.off_on,
    )


def _open_tier(scene: Scene, slots: Slots, found: Assessment) -> Tier:
    """The tier the open conversation stands at; a denial ends an open question, no more."""
    old = scene.family.talk.tier
    if old is Tier.ASK and _settles(scene):
        return found.tier
    return max(found.tier, old) if slots.follows or _waits(scene) else found.tier


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


Decider = Callable[[Family, str, Grammar, datetime], Decision]
