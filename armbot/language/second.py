"""A second reader of reports: whether a message reads like those that reported something.

The word lists read what they know. Families also say things no list holds, so a linear
model (logistic regression), learned from the example reports in content/symptoms/examples,
reads the same message once more, by its words and pairs of words alone: it must not lean on
what the lists found, since it is there for what they miss. Words that the lists know to be
denied are left out. It may raise a tier and never lowers one. It is learned by a command
(``armbot content learn``) and kept as plain numbers in content/symptoms/learned.json, so
answering needs no training and the same content gives the same answer.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from armbot.language.examples import features
from armbot.language.tokens import Token
from armbot.model.reports import Assessment, SignReading, Tier

PAIR_WEIGHT, PART_WEIGHT = 1.4, 0.2
"""What a pair of words and a named body part count beside a word. Pairs above words, and no
pieces of words, found the most reports of a file that was not learned from."""
TIERS = (Tier.STOP, Tier.ASK, Tier.EMERGENCY)
"""The tiers that the learned numbers speak of, in their order."""
_STOP_FROM_NONE, _STOP_FROM_ASK, _ASK_FROM_NONE, _EMERGENCY_FROM_STOP = 2.0, 4.0, 2.5, 2.5
"""Log odds from which a message is raised. Chosen on messages that were not learned from
(see DEVELOPERS.md)."""
_FEWEST_WORDS, _FEWEST_BESIDE_DENIAL = 4, 8
"""Shorter messages say too little for likeness to mean anything; where all that was named
is denied, so many words must be left beside the denial."""
_ASK_BESIDE_DENIAL = 3.5
"""Log odds for a question where all that was named is denied."""
_READ = ("athlete", "friend")
"""Whose reports are read once more; what is plainly nobody's we look after is not."""
RULE_ID = "reads-like-a-report"
"""Named in answers where this reader, and no rule, raised the tier."""


@dataclass(frozen=True, slots=True)
class Learned:
    """The learned numbers.

    Per feature what it adds to the log odds of each of ``TIERS``, side by side in one array
    (some tens of thousands of features), and where these odds begin.
    """

    place: Mapping[str, int]
    numbers: Sequence[float]
    base: tuple[float, ...]

    def weights(self, feature: str) -> Sequence[float]:
        """What the feature adds to each of ``TIERS``; nothing where it is not known."""
        place = self.place.get(feature)
        return () if place is None else self.numbers[place : place + len(TIERS)]


def learned_of(weights: Mapping[str, Sequence[float]], base: tuple[float, ...]) -> Learned:
    """The numbers laid out in one array."""
    place = {feature: index * len(TIERS) for index, feature in enumerate(weights)}
    return Learned(place, array("f", (v for row in weights.values() for v in row)), base)


def row(tokens: Sequence[Token], signs: SignReading) -> dict[str, float]:
    """The message as weighted features of unit length, what it denies left out."""
    raw = {
        feature: PAIR_WEIGHT if "_" in feature else 1.0
        for feature in features(undenied(tokens, signs))
        if feature[0] != "#"
    }
    length = math.sqrt(sum(v * v for v in raw.values())) or 1.0
    found = {feature: value / length for feature, value in raw.items()}
    for part in signs.parts or ("none",):
        found[f"P:{part}"] = PART_WEIGHT
    return found


def undenied(tokens: Sequence[Token], signs: SignReading) -> list[Token]:
    """The tokens without the signs that are denied, and without politeness."""
    left_out = {place for start, end in signs.left_out for place in range(start, end)}
    return [token for place, token in enumerate(tokens) if place not in left_out]


def odds(learned: Learned, each: Mapping[str, float]) -> tuple[float, ...]:
    """Log odds that the message asks for each of ``TIERS`` or more."""
    sums = list(learned.base)
    for feature, value in each.items():
        for index, weight in enumerate(learned.weights(feature)):
            sums[index] += value * weight
    return tuple(sums)


def raised(
    learned: Learned | None,
    tokens: Sequence[Token],
    signs: SignReading,
    found: Assessment,
    settled: frozenset[str],
) -> Assessment:
    """The assessment, raised where the message reads like a report; never lowered.

    ``settled`` are the rules that lower for a reason they read in the message (over, a light
    knock, two children): what such a rule asked about is not raised for its wording.
    """
    words = sum(1 for token in undenied(tokens, signs) if token.word[0].isalnum())
    fewest = _FEWEST_BESIDE_DENIAL if signs.all_denied else _FEWEST_WORDS
    if learned is None or words < fewest or found.tier is Tier.EMERGENCY:
        return found
    if found.tier is Tier.ASK and settled & set(found.rule_ids):
        return found
    if found.other_body or signs.whose not in _READ or _is_over(signs):
        return found
    stop, ask, emergency = odds(learned, row(tokens, signs))
    tier = _tier(stop, ask - (_ASK_BESIDE_DENIAL - _ASK_FROM_NONE) * signs.all_denied, found.tier)
    if tier >= Tier.STOP and emergency > _EMERGENCY_FROM_STOP:
        tier = Tier.EMERGENCY
    if tier <= found.tier:
        return found
    return replace(
        found, tier=tier, signs=found.signs or ("other",), rule_ids=(*found.rule_ids, RULE_ID)
    )


def _is_over(signs: SignReading) -> bool:
    """Whether all that was named is over and was seen by a clinician."""
    return bool(signs.mentions) and all("cleared_past" in m.facts for m in signs.mentions)


def _tier(stop: float, ask: float, now: Tier) -> Tier:
    if now >= Tier.STOP:
        return now
    if stop > (_STOP_FROM_NONE if now is Tier.NONE else _STOP_FROM_ASK):
        return Tier.STOP
    return Tier.ASK if ask > _ASK_FROM_NONE else now
