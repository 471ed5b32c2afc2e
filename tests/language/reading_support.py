"""Short ways to read one text with the shipped words on the fixed day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from conversation import TODAY, grammar

from armbot.language.normal import clean
from armbot.language.reading import Writer, read
from armbot.language.tokens import Token, tokenize

if TYPE_CHECKING:
    from armbot.language.patterns import Hit
    from armbot.model.reports import SignReading
    from armbot.model.talk import Reading


def reading(text: str, lang: str | None = None, names: tuple[str, ...] = ()) -> Reading:
    """What a text says on the fixed Wednesday."""
    return read(text, grammar(), TODAY, Writer(lang=lang, names=names))


def tokens(text: str) -> tuple[Token, ...]:
    """The tokens of a text, spelling untouched."""
    return tokenize(clean(text).text)


def mended(text: str) -> list[str]:
    """The words of a text after the speller has seen it."""
    return [token.word for token in grammar().speller.mend(tokens(text))]


def signs(text: str) -> SignReading:
    """What a text says about signs."""
    return reading(text).signs


def reported(text: str) -> set[str]:
    """The signs a text reports."""
    return {mention.sign for mention in signs(text).mentions}


def hits(text: str, prefix: str) -> list[Hit]:
    """The pattern hits of a text whose list name begins so."""
    seen = grammar().speller.mend(tokens(text))
    lexicon = grammar().lexicon
    return [hit for hit in lexicon.match(seen, lexicon.spans(seen)) if hit.name.startswith(prefix)]
