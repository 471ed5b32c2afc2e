"""The safety message: what to do now, whom to call, and the few questions that may raise it."""

from __future__ import annotations

from armbot.engine.answer import Answer, Scene
from armbot.engine.say import paragraphs, sentence
from armbot.engine.slots import Slots
from armbot.model.reports import Assessment, Tier

_ASK_BY_RULE = (
    ("numb", "ask_numb"),
    ("care", "ask_care"),
)
_ASK_BY_SIGN = {
    "numb_tingle": "ask_numb",
    "velocity_loss": "ask_speed",
    "control_loss": "ask_speed",
    "fatigue": "ask_tired",
    "soreness": "ask_soreness",
    "tightness": "ask_soreness",
    "pain": "ask_pain",
    "cold_blue": "ask_numb",
}
_ASKS = {
    "ask_numb": "any numbness now; with throwing",
    "ask_speed": "any pain; tired; workload",
    "ask_tired": "any pain; numbness; velocity",
    "ask_soreness": "where; since when; any soreness",
    "ask_pain": "where it hurts; since when; any pain",
    "ask_past": "was he seen; has a clinician cleared him; where the pain was",
    "ask_found": "was he seen; has a clinician cleared him; when throwing may start",
    "ask_who": "which child; where; since when",
    "ask_care": "does it hurt now; any pain",
    "ask_click": "locking; pain; since when",
    "ask_blister": "open or bleeding; grip",
    "ask_generic": "any pain; any soreness",
}


def safety_answer(scene: Scene, slots: Slots, found: Assessment, *, logged: bool) -> Answer:
    """The reply to a report of tier ask or above. It never grants, dates or implies throwing."""
    if found.tier is Tier.ASK:
        return _ask(scene, found)
    voice, tier = scene.voice, found.tier
    do_key = what_to_do(scene, found)
    heard = (
        voice.say("safety_heard", signs=voice.listing(_named(scene, found)))
        if found.signs and do_key != "do_found"
        else ""
    )
    do = voice.say(do_key)
    if do_key == "do_self_harm":
        return _for_a_life(scene, found, do)
    name = _name(scene, slots)
    asks = _followups(found)
    head = found.urgent_elsewhere and tier is not Tier.EMERGENCY
    return Answer(
        paragraphs(
            sentence(voice.say(headline(scene, found)), do),
            voice.say("head") if head else "",
            sentence(heard, voice.say("thanks_for_telling")),
            _questions(scene, asks) if tier is not Tier.EMERGENCY else "",
            sentence(
                "" if tier is Tier.EMERGENCY else voice.say("worse"), voice.say("nobody_watches")
            ),
            sentence(
                voice.say("hold_set", name=name), voice.say("other_recorded") if logged else ""
            ),
        ),
        asks="; ".join(_ask_words(found)) if tier is not Tier.EMERGENCY else "",
        sources=_sources(scene, found),
        why=_why(scene, found),
        grants=False,
    )


def friend_answer(scene: Scene, found: Assessment) -> Answer:
    """What to do for somebody else's child: the same advice, without a hold or a question."""
    voice = scene.voice
    return Answer(
        paragraphs(
            sentence(voice.say(headline(scene, found)), voice.say(what_to_do(scene, found))),
            sentence(voice.say("worse") if found.tier is not Tier.EMERGENCY else ""),
            sentence(voice.say("friend_tell"), voice.say("nobody_watches")),
        ),
        sources=_sources(scene, found),
        why=_why(scene, found),
        grants=False,
    )


def headline(scene: Scene, found: Assessment) -> str:
    """The phrase the safety message opens with."""
    under_care = what_to_do(scene, found) == "do_found"
    return "safety_found" if under_care else f"safety_{found.tier.word}"


def what_to_do(scene: Scene, found: Assessment) -> str:
    """The phrase that says what to do now."""
    if found.tier is Tier.STOP and _under_care(found):
        return "do_found"
    if found.tier is not Tier.EMERGENCY:
        return "do_stop_urgent" if found.tier is Tier.STOP_URGENT else "do_stop"
    by_id = {rule.id: rule for rule in scene.library.tier_rules}
    urgent = {r for r in found.rule_ids if r in by_id and by_id[r].tier is Tier.EMERGENCY}
    if "self-harm" in urgent:
        return "do_self_harm"
    return "do_body" if urgent and urgent <= _BODY else "do_emergency"


_UNDER_CARE = frozenset({"finding-before-throwing", "finding-told", "before-the-clinicians-date"})
"""A clinician has looked already: "until somebody has looked" would let the child throw."""

_PART_ONLY = frozenset({"joint-named-with-throwing", "joint-named"})
"""Rules about where the finding is: no sign besides it."""


def _under_care(found: Assessment) -> bool:
    """Whether all that was reported is what a clinician has found or forbidden."""
    rules = set(found.rule_ids)
    return bool(rules & _UNDER_CARE) and rules <= _UNDER_CARE | _PART_ONLY


_BODY = frozenset({"chest-or-breath", "collapse", "head-and-worse"})
"""Emergencies of the whole child: keeping an arm still is not what helps."""


def _for_a_life(scene: Scene, found: Assessment, do: str) -> Answer:
    """A child who may harm itself: nothing about arms or pitching beside it."""
    voice = scene.voice
    return Answer(
        paragraphs(sentence(voice.say("safety_emergency"), do), voice.say("nobody_watches")),
        why=_why(scene, found),
        grants=False,
    )


def _named(scene: Scene, found: Assessment) -> list[str]:
    known = scene.library.words.phrases[scene.voice.lang]
    return [known[f"sign_{s}"] for s in found.signs if f"sign_{s}" in known]


def _name(scene: Scene, slots: Slots) -> str:
    athlete = slots.frame.athlete
    return athlete.name if athlete and athlete.name else scene.voice.say("the_athlete")


def _followups(found: Assessment) -> list[str]:
    """At most three questions, none about what was already said."""
    said = set(found.signs) | set(found.denied)
    asks = []
    if not said & {"numb_tingle"}:
        asks.append("q_numb")
    if not said & {"cannot_straighten", "locking"} and set(found.parts) & {
        "elbow",
        "arm",
        "forearm",
        "upper_arm",
    }:
        asks.append("q_straight")
    if not said & {"pop", "swelling", "bruising"}:
        asks.append("q_pop")
    if len(asks) < 3:
        asks.append("q_when")
    return asks[:3]


def _questions(scene: Scene, asks: list[str]) -> str:
    voice = scene.voice
    return paragraphs(sentence(voice.say("questions_intro"), *(voice.say(a) for a in asks)))


def _ask_words(found: Assessment) -> list[str]:
    words = {
        "q_numb": "numbness",
        "q_straight": "locking; motion",
        "q_pop": "pop/swelling",
        "q_when": "where; since when",
    }
    return [words[a] for a in _followups(found)] + ["age", "how bad"]


def question_key(found: Assessment) -> str:
    """The one clarifying question for a report that is not plain yet."""
    rules = " ".join(found.rule_ids)
    if "pain-past" in rules or "past" in rules:
        return "ask_past"
    if "finding-told" in rules:
        return "ask_found"
    if "unclear-person" in rules:
        return "ask_who"
    if set(found.signs) == {"other"}:
        return _other_question(found)
    for sign, key in _ASK_BY_SIGN.items():
        if sign in found.signs:
            return key
    return "ask_generic"


def _other_question(found: Assessment) -> str:
    words = " ".join(found.words)
    if any(w in words for w in ("click", "crack", "pop", "cruje", "truena", "noise")):
        return "ask_click"
    if any(w in words for w in ("blister", "nail", "ampolla", "fingernail")):
        return "ask_blister"
    if any(
        w in words
        for w in ("ice", "hielo", "tape", "sleeve", "brace", "before", "antes", "heat", "cream")
    ):
        return "ask_care"
    return "ask_pain"


def _ask(scene: Scene, found: Assessment) -> Answer:
    voice, key = scene.voice, question_key(found)
    return Answer(
        paragraphs(sentence(voice.say("safety_ask"), voice.say(key)), voice.say("nobody_watches")),
        asks=_ASKS[key],
        sources=_sources(scene, found),
        why=_why(scene, found),
        grants=False,
    )


def _sources(scene: Scene, found: Assessment) -> tuple[str, ...]:
    by_id = {rule.id: rule for rule in scene.library.tier_rules}
    keys = (by_id[r].source for r in found.rule_ids if r in by_id)
    return tuple(k for k in dict.fromkeys(keys) if k != "common-practice")[:2]


def _why(scene: Scene, found: Assessment) -> tuple[str, ...]:
    """The words that were read as a sign, and the rules that settled the tier."""
    voice = scene.voice
    by_id = {rule.id: rule for rule in scene.library.tier_rules}
    lines = [voice.say("why_sign", words=words) for words in found.words]
    for rule_id in found.rule_ids:
        if rule_id in by_id:
            rule = by_id[rule_id]
            lines.append(
                voice.say(
                    "why_tier",
                    rule=rule_id,
                    tier=rule.tier.word,
                    source=rule.source,
                    seen=voice.say(f"seen_{rule.seen.value}"),
                )
            )
    return tuple(lines)


def hold_answer(scene: Scene, slots: Slots) -> Answer:
    """What an athlete on hold is told instead of any throwing answer."""
    voice = scene.voice
    athlete = slots.frame.athlete.id if slots.frame.athlete else ""
    hold = scene.family.hold_of(athlete) or (scene.family.holds[0] if scene.family.holds else None)
    day = voice.day(hold.since.date()) if hold else voice.day(scene.today)
    name = _name(scene, slots)
    return Answer(
        paragraphs(
            voice.say("hold_on", name=name[:1].upper() + name[1:]),
            voice.say("catching_no") if scene.topic == "catcher_rule" else "",
            sentence(voice.say("hold_why", day=day), voice.say("nobody_watches")),
        ),
        grants=False,
        choices=tuple(voice.say("hold_choices").split("|")),
        why=(voice.say("why_hold", day=day),),
    )
