"""Which language a message is in."""

from __future__ import annotations

from collections.abc import Sequence

from armbot.language.grammar import Grammar
from armbot.language.tokens import Token


def language_of(tokens: Sequence[Token], grammar: Grammar, kept: str | None) -> str:
    """The message's language; the family's own where the words do not decide."""
    counts = {
        lang: sum(1 for token in tokens if token.word in words)
        for lang, words in grammar.common.items()
    }
    english, spanish = counts.get("en", 0), counts.get("es", 0)
    if kept is None:
        return "es" if spanish > english else "en"
    other = "es" if kept == "en" else "en"
    clear = counts.get(other, 0) >= 3 and counts.get(other, 0) > 2 * counts.get(kept, 0)
    return other if clear else kept
