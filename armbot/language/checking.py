"""The safety check: the tier of what a text reports, however long the text is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from armbot.core.triage import assess
from armbot.language.grammar import Grammar
from armbot.language.normal import LIMIT
from armbot.language.parsed import MOST_TOKENS, Parsed, parse
from armbot.language.second import raised
from armbot.language.signs import read_signs
from armbot.model.reports import Assessment, SignReading, Tier

_OVERLAP = 20
"""Words read twice where a message is read in parts, so that no sign falls between them."""
_PIECE, _PIECE_OVERLAP, _MOST_PIECES = 900, 100, 64
"""Characters of a further part, of what two parts share, and how many parts are read; a
message longer still gets the safety question."""


def signs_of(parsed: Parsed) -> SignReading:
    """The danger signs that the word lists find."""
    return read_signs(parsed.cleaned.text, parsed.tokens, parsed.table, parsed.hits)


def assessed(text: str, parsed: Parsed, signs: SignReading, grammar: Grammar) -> Assessment:
    """The tier of a whole message: of the part understood and of all that lies beyond it."""
    found = _tier(parsed, signs, grammar, likeness=True)
    return _strictest(found, _unread(text, parsed), grammar)


def check_signs(text: str, grammar: Grammar, *, likeness: bool = True) -> Assessment:
    """The safety check alone, for a further part of a message or several turns as one.

    Without ``likeness`` only the word lists are asked: turns strung together are like no
    message that anybody wrote.
    """
    parsed = parse(text, grammar)
    return _tier(parsed, signs_of(parsed), grammar, likeness=likeness)


def _tier(parsed: Parsed, signs: SignReading, grammar: Grammar, *, likeness: bool) -> Assessment:
    library = grammar.library
    found = assess(signs, library.tier_rules, dict(library.public_signs))
    learned = grammar.learned if likeness else None
    return raised(learned, parsed.tokens, signs, found, grammar.settled)


def _unread(text: str, parsed: Parsed) -> list[str]:
    """What is left of a message too long to be understood whole, in short pieces.

    Nothing may hide at the end of a long message, so the safety check reads these too.
    """
    tokens = parsed.all_tokens
    too_many = len(tokens) > MOST_TOKENS
    tail = parsed.cleaned.text[tokens[MOST_TOKENS - _OVERLAP].start :] if too_many else ""
    beyond = text[LIMIT - _PIECE_OVERLAP :] if parsed.cleaned.cut else ""
    step = _PIECE - _PIECE_OVERLAP
    return [
        rest[start : start + _PIECE]
        for rest in (tail, beyond)
        for start in range(0, max(len(rest) - _PIECE_OVERLAP, 0), step)
    ]


def _strictest(found: Assessment, pieces: Sequence[str], grammar: Grammar) -> Assessment:
    """The most urgent of what the message and its further pieces report."""
    for piece in pieces[:_MOST_PIECES]:
        found = max(found, check_signs(piece, grammar), key=lambda item: item.tier)
    if len(pieces) > _MOST_PIECES and found.tier is Tier.NONE:
        return replace(found, tier=Tier.ASK, signs=("other",))
    return found
