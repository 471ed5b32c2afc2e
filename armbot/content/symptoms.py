"""Reads content/symptoms/: the tier rules, the public names of signs, example reports."""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.content.problems import Problems
from armbot.content.sources import LANGUAGES, choice
from armbot.content.strict import ContentError, Node, load
from armbot.model.cite import Seen
from armbot.model.library import ReportExample
from armbot.model.reports import Tier, TierRule

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from armbot.model.cite import Source

TIERS = {tier.word: tier for tier in Tier}


def load_tier_rules(path: Path, sources: Mapping[str, Source]) -> tuple[TierRule, ...]:
    """Read tiers.yaml, in the order written. Raises ContentError for the first mistake."""
    return tuple(rule for rule, _ in read_tier_rules(path, sources, Problems()))


def read_tier_rules(
    path: Path, sources: Mapping[str, Source], problems: Problems
) -> list[tuple[TierRule, Node]]:
    """Read tiers.yaml: each rule with its place; mistakes go to ``problems``."""
    found: dict[str, tuple[TierRule, Node]] = {}
    for node in load(path).mapping(required=("rules",), optional=())["rules"]:
        with problems.here():
            rule = _rule(node, sources)
            if rule.id in found:
                raise node.fail(f"the rule '{rule.id}' stands twice", "give it another id")
            found[rule.id] = (rule, node)
    return list(found.values())


def _rule(node: Node, sources: Mapping[str, Source]) -> TierRule:
    fields = node.mapping(
        required=("id", "tier", "sign", "source", "seen"), optional=("with", "unless", "final")
    )
    source = fields["source"].text()
    if source not in sources:
        raise fields["source"].fail(
            f"no source '{source}' in the register", "add it to sources.yaml, or correct the key"
        )
    return TierRule(
        id=fields["id"].text(),
        tier=tier_of(fields["tier"].text(), fields["tier"]),
        signs=_some(fields["sign"]),
        needs=tuple(_some(row) for row in fields["with"]) if "with" in fields else (),
        unless=_some(fields["unless"]) if "unless" in fields else frozenset(),
        source=source,
        seen=choice(fields["seen"], Seen),
        final="final" in fields and fields["final"].boolean(),
    )


def _some(node: Node) -> frozenset[str]:
    names = frozenset(node.words())
    if not names:
        raise node.fail("the list is empty", "name at least one, or leave the key out")
    return names


def tier_of(word: str, node: Node) -> Tier:
    """The tier of that name; ContentError at ``node`` lists the names."""
    if word not in TIERS:
        raise node.fail(f"no tier '{word}'", f"use one of: {', '.join(TIERS)}")
    return TIERS[word]


def load_public_signs(path: Path) -> dict[str, str]:
    """Read signs.yaml: sign of the word lists -> public name, empty for none.

    Raises ContentError for a mistake in shape.
    """
    top = load(path).mapping(required=("public",), optional=())
    return {
        sign: "" if node.empty else node.text() for sign, node in top["public"].mapping().items()
    }


def load_report_examples(folder: Path) -> tuple[ReportExample, ...]:
    """Read symptoms/examples/<language>.yaml where they are: tier -> sign -> texts.

    A language without a file has no examples. Raises ContentError for an unknown tier,
    a mistake in shape, or one text under two tiers or signs.
    """
    return tuple(example for example, _ in read_report_examples(folder, Problems()))


def read_report_examples(folder: Path, problems: Problems) -> list[tuple[ReportExample, Node]]:
    """Read the example reports with their places; mistakes go to ``problems``."""
    found: dict[str, tuple[ReportExample, Node]] = {}
    for path in sorted(folder.glob("*")):
        with problems.here():
            if path.stem not in LANGUAGES or path.suffix != ".yaml":
                raise ContentError(
                    path, 1, f"'{path.name}' is not read", "name it after a language: en.yaml"
                )
            for tier, signs in load(path).mapping().items():
                tier_of(tier, signs)
                for sign, texts in signs.mapping().items():
                    with problems.here():
                        _add_examples(found, texts, (tier, sign, path.stem))
    return list(found.values())


def _add_examples(
    found: dict[str, tuple[ReportExample, Node]], texts: Node, where: tuple[str, str, str]
) -> None:
    tier, sign, language = where
    for node in texts:
        example = ReportExample(text=node.text(), tier=tier, sign=sign, lang=language)
        other = found.get(example.text)
        if other is not None:
            raise node.fail(
                f"this example already stands under {other[0].tier}, {other[0].sign}",
                "keep it in one place",
            )
        found[example.text] = (example, node)
