"""Learns the second reader's numbers from the examples of the content base."""

from __future__ import annotations

from collections.abc import Iterator

from armbot.core.triage import assess
from armbot.language.grammar import Grammar
from armbot.language.normal import clean
from armbot.language.second import Learned, learn, row
from armbot.language.signs import read_signs
from armbot.language.tokens import tokenize
from armbot.model.library import Library
from armbot.model.reports import Tier

_QUIET_STEP = 3
"""Every so many-th topic example is taken as a message that reports nothing: enough to
know ordinary questions, few enough not to drown the reports."""
_SPEAKS_OF_SIGNS = frozenset(
    {"symptom_report", "velocity_drop", "soreness_rules", "when_to_see_clinician"}
)


def learn_from(library: Library, grammar: Grammar) -> Learned:
    """The numbers for this content; deterministic."""
    return learn((tier, _row(text, library, grammar)) for tier, text in _examples(library))


def _examples(library: Library) -> Iterator[tuple[Tier, str]]:
    for example in library.report_examples:
        yield Tier[example.tier.upper()], example.text
    quiet = [
        text
        for topic in library.topics.values()
        if topic.id not in _SPEAKS_OF_SIGNS
        for answer in topic.answers.values()
        for lang in sorted(answer.texts)
        for text in answer.texts[lang].examples
    ]
    for text in quiet[::_QUIET_STEP]:
        yield Tier.NONE, text


def _row(text: str, library: Library, grammar: Grammar) -> dict[str, float]:
    cleaned = clean(text)
    tokens = grammar.speller.mend(tokenize(cleaned.text))
    table = grammar.lexicon.spans(tokens)
    signs = read_signs(cleaned.text, tokens, table, grammar.lexicon.match(tokens, table))
    found = assess(signs, library.tier_rules, dict(library.public_signs))
    return row(tokens, signs, found)
