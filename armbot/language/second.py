"""A second reader of reports: whether a message reads like those that reported something.

The word lists read what they know. Families also say things no list holds, so a naive
Bayes model, learned from the example reports in content/symptoms/examples, reads the same
message once more: its words, pairs and pieces, and what the lists found. It may raise a
tier and never lowers one. It is learned by a command (``armbot content learn``) and kept
as plain numbers in content/symptoms/learned.json, so answering needs no training and the
same content gives the same answer.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from armbot.language.examples import features
from armbot.language.tokens import Token
from armbot.model.reports import Assessment, SignReading, Tier

SMOOTHING = 0.05
_LIST_WEIGHT = 4.0
"""How much what the word lists found counts beside a word of middling rarity."""
_FROM_NONE, _FROM_ASK, _TO_ASK, _TO_EMERGENCY = 7.0, 14.0, 7.0, 12.0
"""Log odds from which a tier is raised: from none or ask to a stop, from none to a
question, from a stop to an emergency. Chosen on messages that were not learned from
(see DEVELOPERS.md): far fewer missed reports for a few more questions."""
_FEWEST_WORDS = 4
"""Shorter messages say too little for likeness to mean anything."""
RULE_ID = "reads-like-a-report"
"""Named in answers where this reader, and no rule, raised the tier."""


@dataclass(frozen=True, slots=True)
class Learned:
    """The learned numbers: per feature its rarity weight and a log score per tier."""

    rarity: Mapping[str, float]
    scores: Mapping[str, tuple[float, ...]]
    unseen: tuple[float, ...]
    """Log score per tier of a feature no example of that tier holds."""


def row(tokens: Sequence[Token], signs: SignReading, assessment: Assessment) -> dict[str, float]:
    """The message as weighted features: words at unit length, then what the lists found."""
    raw = {
        feature: 0.4 if feature[0] == "#" else 0.7 if "_" in feature else 1.0
        for feature in features(tokens)
    }
    length = math.sqrt(sum(v * v for v in raw.values())) or 1.0
    found = {feature: value / length for feature, value in raw.items()}
    for mention in signs.mentions:
        found[f"S:{mention.sign}"] = 0.6
    for sign in signs.denied:
        found[f"D:{sign}"] = 0.6
    for fact in signs.facts:
        found[f"C:{fact}"] = 0.3
    for part in signs.parts:
        found[f"P:{part}"] = 0.2
    found["P:any" if signs.parts else "P:none"] = 0.2
    found[f"W:{signs.whose}"] = 0.3
    found[f"T:{int(assessment.tier)}"] = 0.8
    return found


def is_list_feature(feature: str) -> bool:
    """Whether a feature comes from the word lists and not from the words themselves."""
    return feature[1:2] == ":"


def learn(rows: Iterable[tuple[Tier, Mapping[str, float]]]) -> Learned:
    """Learn from (tier, row) pairs, in one pass."""
    known = list(rows)
    seen: dict[str, int] = {}
    for _, each in known:
        for feature in each:
            seen[feature] = seen.get(feature, 0) + 1
    rarity = {
        f: _LIST_WEIGHT if is_list_feature(f) else math.log((len(known) + 1) / (n + 0.5))
        for f, n in seen.items()
    }
    sums: list[dict[str, float]] = [{} for _ in Tier]
    for tier, each in known:
        into = sums[tier]
        for feature, value in each.items():
            into[feature] = into.get(feature, 0.0) + value * rarity[feature]
    totals = [math.log(sum(s.values()) + SMOOTHING * len(seen)) for s in sums]
    scores = {
        f: tuple(
            round(math.log(s.get(f, 0.0) + SMOOTHING) - total, 2)
            for s, total in zip(sums, totals, strict=True)
        )
        for f, n in seen.items()
        if n > 1 or not f.startswith("#")
    }
    unseen = tuple(round(math.log(SMOOTHING) - total, 2) for total in totals)
    return Learned({f: round(rarity[f], 2) for f in scores}, scores, unseen)


def shares(learned: Learned, each: Mapping[str, float]) -> tuple[float, ...]:
    """How likely each tier is, from NONE to EMERGENCY; sums to one."""
    logs = [0.0] * len(learned.unseen)
    for feature, value in each.items():
        scores = learned.scores.get(feature)
        if scores is None:
            continue
        weight = value * learned.rarity[feature]
        for index, score in enumerate(scores):
            logs[index] += weight * score
    best = max(logs)
    raw = [math.exp(score - best) for score in logs]
    total = sum(raw)
    return tuple(value / total for value in raw)


def raised(
    learned: Learned | None, tokens: Sequence[Token], signs: SignReading, found: Assessment
) -> Assessment:
    """The assessment, raised where the message reads like a report; never lowered."""
    words = sum(1 for token in tokens if token.word[0].isalnum())
    if learned is None or words < _FEWEST_WORDS or found.other_body:
        return found
    if signs.whose != "athlete" or (signs.all_denied and not signs.mentions):
        return found
    tier = _tier(shares(learned, row(tokens, signs, found)), found.tier)
    if tier <= found.tier:
        return found
    return replace(
        found, tier=tier, signs=found.signs or ("other",), rule_ids=(*found.rule_ids, RULE_ID)
    )


def _tier(share: Sequence[float], now: Tier) -> Tier:
    if now >= Tier.STOP:
        return Tier.EMERGENCY if _odds(share, Tier.EMERGENCY) > _TO_EMERGENCY else now
    if _odds(share, Tier.STOP) > (_FROM_NONE if now is Tier.NONE else _FROM_ASK):
        likeliest = max(Tier.STOP, Tier.STOP_URGENT, Tier.EMERGENCY, key=lambda t: share[t])
        return min(likeliest, Tier.STOP_URGENT)
    if now is Tier.NONE and _odds(share, Tier.ASK) > _TO_ASK:
        return Tier.ASK
    return now


def _odds(share: Sequence[float], tier: Tier) -> float:
    """Log odds that the message is of ``tier`` or above."""
    above = sum(share[tier:])
    return math.log(max(above, 1e-12) / max(1 - above, 1e-12))
