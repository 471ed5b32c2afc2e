"""Danger signs in a message: what is named, denied, whose it is, and what stands around it.

Words come from content/words; this module only knows how sentences carry them. The rule
of the house: nothing here may silence a danger word by guessing. A sign is dropped only
when it is part of a listed figure of speech, denied within reach of a "no", about another
body part, or plainly about somebody whose arm we do not look after.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from armbot.language.denials import inner_no, is_denied
from armbot.language.friends import is_friends
from armbot.language.message import Scene, body_places, nearest_part, sentences
from armbot.language.owners import owner_elsewhere
from armbot.language.patterns import Hit
from armbot.language.speeds import are_counts
from armbot.language.tokens import Token
from armbot.model.reports import Mention, SignReading

CONTEXT_ONLY = frozenset({"fingers_move", "head_injury", "habit"})

_ALONE_WEAK = frozenset({"veins", "whole_limb", "both_arms", "hot_red", "severe", "only_on_throw"})
"""Signs that say nothing alone: kept only beside another sign."""

_BEYOND_THE_ARM = frozenset(
    {"chest_breath", "collapse", "fever", "cold_blue", "head_injury", "head_worse", "self_harm"}
)
"""Signs that count whatever body part stands beside them."""
_WHOSEVER = frozenset({"self_harm"})
"""Signs that count whoever they are about."""
_LOWERING = frozenset(
    {"everyday_cause", "other_cause", "weather", "muscle_area", "intermittent", "gone", "cleared",
     "long_ago", "denial_all", "unclear_person", "brief_knock", "brief_moment", "funny_knock",
     "gone_now", "info_question", "joint_ok", "layoff", "muscle_cause", "speed_back"}
)  # fmt: skip


def _masked(hits: Sequence[Hit]) -> set[int]:
    return {
        place for hit in hits if hit.name == "idiom:masked" for place in range(hit.start, hit.end)
    }


def _sentence_facts(scene: Scene, masked: set[int]) -> dict[int, set[str]]:
    facts: dict[int, set[str]] = {}
    for hit in scene.hits:
        if hit.name == "context:cleared" and _is_withheld(hit, scene):
            continue
        if hit.name.startswith("context:") and hit.start not in masked:
            facts.setdefault(scene.sentence[hit.start], set()).add(hit.name[8:])
    return facts


_WITHHELD_BY = 3


def _is_withheld(hit: Hit, scene: Scene) -> bool:
    """Whether a clearance is one not given: "has not cleared him", "sin alta"."""
    before = range(max(0, hit.start - _WITHHELD_BY), hit.end)
    return any("@negator" in scene.table[place] for place in before)


def _keep_longest(hits: Sequence[Hit]) -> list[Hit]:
    """Per sign and overlapping place, the longest hit."""
    kept: list[Hit] = []
    for hit in sorted(hits, key=lambda h: (h.name, h.start - h.end, h.start)):
        if not any(k.name == hit.name and hit.start < k.end and k.start < hit.end for k in kept):
            kept.append(hit)
    return sorted(kept, key=lambda h: (h.start, -h.end))


def read_signs(
    text: str,
    tokens: Sequence[Token],
    table: Sequence[dict[str, tuple[int, ...]]],
    hits: Sequence[Hit],
) -> SignReading:
    """Signs of one message from its tokens and pattern hits."""
    scene = Scene(tokens, sentences(tokens), hits, table, text)
    masked = _masked(hits)
    bodies = [b for b in body_places(scene) if b[0] not in masked]
    by_sentence = _sentence_facts(scene, masked)
    everything = set().union(*by_sentence.values()) if by_sentence else set()
    told = [h for h in hits if h.name.startswith("sign:") and not _is_masked(h, masked)]
    found = _keep_longest(told)
    mentions: list[tuple[Hit, str | None]] = []
    denied: list[str] = []
    painless: set[int] = set()
    denied_ends: dict[int, int] = {}
    spans: list[tuple[int, int]] = []
    other_body = False
    for longest in found:
        hit = _undenied(longest, told, scene, denied_ends)
        sign = hit.name[5:]
        if sign == "velocity_loss" and are_counts(hit, scene):
            continue
        if is_denied(hit, scene, denied_ends):
            denied_ends[hit.end - 1] = hit.start
            denied.append(sign)
            spans.append((hit.start, hit.end))
            if sign in ("pain", "soreness"):
                painless.add(scene.sentence[hit.start])
            continue
        part = nearest_part(hit, bodies, scene)
        if part == "other_body" and sign not in _BEYOND_THE_ARM:
            other_body = True
            continue
        if sign == "head_injury":
            other_body = True
        mentions.append((hit, part))
    mentions = [
        (hit, part)
        for hit, part in mentions
        if hit.name[5:] != "joint_named" or scene.sentence[hit.start] not in painless
    ]
    reading = _assemble(
        scene, mentions, denied, by_sentence, everything, bodies, other_body=other_body
    )
    spans += [(i, i + n) for i, here in enumerate(table) for n in here.get("@polite", ())]
    return replace(reading, left_out=tuple(spans))


def _undenied(hit: Hit, told: Sequence[Hit], scene: Scene, denied_ends: dict[int, int]) -> Hit:
    """The hit, or a shorter one of its sign where only the longer reached over a "no".

    "No siente los dedos y no los mueve" must not be taken for a denial of not feeling.
    """
    place = inner_no(hit, scene)
    if place is None:
        return hit
    for other in told:
        before = hit.start <= other.start and other.end <= place
        if other.name == hit.name and before and not is_denied(other, scene, denied_ends):
            return other
    return hit


def _is_masked(hit: Hit, masked: set[int]) -> bool:
    return hit.start in masked or (hit.end - 1) in masked


def _assemble(  # noqa: PLR0913 - the pieces of one message, put together once
    scene: Scene,
    mentions: Sequence[tuple[Hit, str | None]],
    denied: Sequence[str],
    by_sentence: dict[int, set[str]],
    everything: set[str],
    bodies: Sequence[tuple[int, int, str]],
    *,
    other_body: bool,
) -> SignReading:
    arm_parts = {part for _, _, part in bodies if part != "other_body"}
    names = {hit.name[5:] for hit, _ in mentions}
    message = everything - _LOWERING | names - {"habit"}
    habits = {scene.sentence[hit.start] for hit, _ in mentions if hit.name == "sign:habit"}
    if len(denied) and everything & {"denial_all"}:
        message.add("denial_all")
    kept: list[Mention] = []
    whose = "athlete"
    for hit, part in mentions:
        sign = hit.name[5:]
        here = by_sentence.get(scene.sentence[hit.start], set())
        owner = owner_elsewhere(hit, scene, here)
        if owner and sign not in _WHOSEVER:
            whose = owner
            continue
        facts = message | here | _derived(sign, part, here, everything, arm_parts, denied)
        if {scene.sentence[hit.start], scene.sentence[hit.start] + 1} & habits:
            facts.add("habit")
        kept.append(
            Mention(
                sign=sign,
                parts=frozenset({part} if part and part != "other_body" else ()),
                facts=frozenset(facts),
                negated=False,
                words=scene.text[scene.tokens[hit.start].start : scene.tokens[hit.end - 1].end],
            )
        )
    real = _keep_supported(kept, denied)
    if not kept and mentions:
        whose = whose if whose != "athlete" else "other"
    if kept and not names & _WHOSEVER and is_friends([hit for hit, _ in mentions], scene):
        whose = "friend"
    return SignReading(
        mentions=tuple(real),
        denied=tuple(dict.fromkeys(denied)),
        facts=frozenset(everything | names),
        parts=frozenset(arm_parts),
        other_body=other_body,
        whose=whose,
    )


def _keep_supported(kept: Sequence[Mention], denied: Sequence[str]) -> list[Mention]:
    """Mentions that say something: those weak alone only beside another, or a denied, sign."""
    real = [m for m in kept if m.sign not in CONTEXT_ONLY]
    if any(m.sign not in _ALONE_WEAK for m in real):
        return real
    names = {m.sign for m in real}
    if {"whole_limb", "veins"} <= names:
        return real
    if "only_on_throw" in names and {"pain", "soreness"} & set(denied):
        return real
    return [m for m in real if m.sign in ("severe", "both_arms") and m.parts]


def _derived(  # noqa: PLR0913 - facts that need the whole picture
    sign: str,
    part: str | None,
    here: set[str],
    everything: set[str],
    arm_parts: set[str],
    denied: Sequence[str],
) -> set[str]:
    facts: set[str] = set()
    region = {part} if part else arm_parts
    facts |= {f"part:{name}" for name in region}
    if region or arm_parts:
        facts.add("part:any")
    if region - {"arm"} or (region and "throwing" in here):
        facts.add("part:named")
    if "throwing" in here and sign in ("pain", "soreness"):
        facts.add("throwing_pain")
    if "persistent" in here and "throwing" in everything:
        facts.add("persistent_throwing")
    if part == "other_body":
        facts.add("other_body")
    elif part:
        facts.add("part:near")
    if {"gone", "cleared"} & everything or "other_cause" in everything:
        facts |= everything & {"other_cause"}
    if "pain" in denied:
        facts.add("pain_denied")
    facts |= _time_facts(sign, here, everything, denied)
    return facts


def _time_facts(sign: str, here: set[str], everything: set[str], denied: Sequence[str]) -> set[str]:
    """Is it over? "past" lowers to a question, "cleared_past" to nothing."""
    gone = "gone" in everything or sign in denied
    if "ongoing" in here or "back_again" in everything or ("current_only" in here and not gone):
        return set()
    facts = set()
    if "long_ago" in here or (gone and "past_tense" in here):
        facts.add("past")
    if "cleared" in everything and (facts or gone):
        facts.add("cleared_past")
    return facts
