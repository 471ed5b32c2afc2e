"""The safety check: reported signs held against the tier rules of the content base."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from armbot.model.reports import Assessment, Mention, SignReading, Tier, TierRule


def _holds(rule: TierRule, mention: Mention) -> bool:
    if mention.sign not in rule.signs or rule.unless & mention.facts:
        return False
    return all(group & mention.facts for group in rule.needs)


def match(mention: Mention, rules: Sequence[TierRule]) -> TierRule | None:
    """The rule that answers for one mention: the most urgent that holds.

    A rule marked final lowers what the later, more general rules would say; it never
    lowers one that stands before it.
    """
    best: TierRule | None = None
    for rule in rules:
        if _holds(rule, mention):
            if best is None or rule.tier > best.tier:
                best = rule
            if rule.final:
                break
    return best


def assess(
    reading: SignReading, rules: Sequence[TierRule], public_names: dict[str, str]
) -> Assessment:
    """Tier, signs and the rules behind them for one message.

    ``public_names`` maps the finer signs of the word lists to the published ones
    (content/symptoms/signs.yaml). Adding a mention can only raise the tier.
    """
    tier = Tier.NONE
    signs: list[str] = []
    rule_ids: list[str] = []
    words: list[str] = []
    for mention in reading.mentions:
        rule = match(mention, rules)
        if rule is None:
            continue
        tier = max(tier, rule.tier)
        _append(signs, (public_names.get(mention.sign, mention.sign),))
        _append(rule_ids, (rule.id,))
        _append(words, (mention.words,))
    return Assessment(
        tier=tier,
        signs=tuple(sign for sign in signs if sign),
        rule_ids=tuple(rule_ids),
        parts=tuple(sorted(reading.parts)),
        denied=tuple(dict.fromkeys(public_names.get(s, s) for s in reading.denied)),
        other_body=reading.other_body,
        urgent_elsewhere="head_injury" in reading.facts,
        whose=reading.whose,
        words=tuple(words),
    )


def _append(into: list[str], new: Iterable[str]) -> None:
    into.extend(item for item in new if item not in into)
