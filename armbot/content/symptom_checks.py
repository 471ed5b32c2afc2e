"""Whether the safety rules name signs and facts that the reader can find at all.

A misspelt sign or fact would not fail: the rule would silently never hold. So each name
must be one of a word list's, or one that armbot.language.signs derives.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.language.message import ARM_PARTS
from armbot.language.signs import CONTEXT_ONLY
from armbot.model.reports import Tier

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from armbot.content.strict import ContentError, Node
    from armbot.model.library import ReportExample
    from armbot.model.reports import TierRule
    from armbot.model.words import Words

DERIVED_FACTS = frozenset(
    {
        "throwing_pain",
        "persistent_throwing",
        "past",
        "cleared_past",
        "other_body",
        "denial_all",
        "pain_denied",
    }
    | {f"part:{name}" for name in (*ARM_PARTS, "any", "named", "near")}
)
"""Facts that no list names: armbot.language.signs puts them together."""


def sign_names(words: Words) -> frozenset[str]:
    """The signs that have a word list."""
    return _named(words, "sign:")


def _named(words: Words, prefix: str) -> frozenset[str]:
    return frozenset(
        name.removeprefix(prefix) for name in words.patterns if name.startswith(prefix)
    )


def tier_problems(
    rules: Sequence[tuple[TierRule, Node]], words: Words, public: Mapping[str, str]
) -> Iterator[ContentError]:
    """Signs and facts of every rule exist."""
    signs = sign_names(words) | public.keys()
    facts = sign_names(words) | _named(words, "context:") | DERIVED_FACTS
    for rule, node in rules:
        fields = node.mapping()
        for name in sorted(rule.signs - signs):
            yield fields["sign"].fail(
                f"rule '{rule.id}': no sign '{name}'", "name a list of words/<language>/signs.yaml"
            )
        for key, names in (("with", frozenset().union(*rule.needs)), ("unless", rule.unless)):
            for name in sorted(names - facts):
                yield fields[key].fail(
                    f"rule '{rule.id}': no fact '{name}'",
                    "name a sign, or a list of words/<language>/context.yaml",
                )


def public_problems(words: Words, public: Mapping[str, str], place: Node) -> Iterator[ContentError]:
    """Every sign a family can report has a public name."""
    for name in sorted(sign_names(words) - public.keys() - CONTEXT_ONLY):
        yield place.fail(
            f"the sign '{name}' has no public name", "add it, with ~ where it needs none"
        )


def unspoken_signs(words: Words, public: Mapping[str, str], place: Node) -> Iterator[ContentError]:
    """Public names of signs that no word list can find."""
    for name in sorted(public.keys() - sign_names(words)):
        yield place.mapping()[name].fail(
            f"the sign '{name}' has no word list", "add one, or remove the name"
        )


def example_problems(
    examples: Sequence[tuple[ReportExample, Node]], public: Mapping[str, str]
) -> Iterator[ContentError]:
    """An example of a report that asks for care names a public sign."""
    names = set(public.values())
    for example, node in examples:
        if example.tier != Tier.NONE.word and example.sign not in names:
            yield node.fail(f"no public sign '{example.sign}'", "use a name of symptoms/signs.yaml")
