"""A message as plain text, mended words, and everything the word lists know in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from armbot.language.grammar import Grammar
from armbot.language.normal import Cleaned, clean
from armbot.language.patterns import Hit
from armbot.language.tokens import Token, tokenize

MOST_TOKENS = 900
"""Tokens of a message that are understood as one."""


@dataclass(frozen=True, slots=True)
class Parsed:
    """``tokens`` are mended and cut to MOST_TOKENS, ``all_tokens`` are neither.

    ``table`` holds for each token the word classes that begin there, with their sizes.
    """

    cleaned: Cleaned
    all_tokens: Sequence[Token]
    tokens: Sequence[Token]
    table: Sequence[dict[str, tuple[int, ...]]]
    hits: Sequence[Hit]

    @property
    def words(self) -> list[str]:
        """The words of the tokens."""
        return [token.word for token in self.tokens]

    def named(self, prefix: str) -> tuple[str, ...]:
        """Ids named in the text, in order; a longer name hides a shorter one inside it."""
        found = [hit for hit in self.hits if hit.name.startswith(prefix)]
        kept = [
            hit
            for hit in found
            if not any(
                o.start <= hit.start and hit.end <= o.end and o.end - o.start > hit.end - hit.start
                for o in found
            )
        ]
        return tuple(dict.fromkeys(hit.name[len(prefix) :] for hit in kept))

    def acts(self) -> frozenset[str]:
        """What the message does; "first:" before each act that stands at its beginning."""
        acts = [hit for hit in self.hits if hit.name.startswith("act:")]
        first = {f"first:{hit.name[4:]}" for hit in acts if _opens(hit, self.table)}
        return frozenset(hit.name[4:] for hit in acts) | first

    def asks_at_large(self) -> bool:
        """Whether it asks what something is or does, and speaks of nobody: "what is a UCL"."""
        asks = [
            hit for hit in self.hits if hit.name == "act:asks_at_large" and _opens(hit, self.table)
        ]
        own = {place for hit in asks for place in range(hit.start, hit.end)}
        personal = {i for i, here in enumerate(self.table) if "@personal" in here}
        return bool(asks) and personal <= own

    def names(self, athletes: Sequence[str]) -> tuple[str, ...]:
        """The nicknames that the message holds, as they are written on record."""
        return tuple(name for name in athletes if _holds(self.words, name))


def parse(text: str, grammar: Grammar) -> Parsed:
    """The message with everything in it that a word list knows."""
    cleaned = clean(text)
    all_tokens = tokenize(cleaned.text)
    tokens = grammar.speller.mend(all_tokens[:MOST_TOKENS])
    table = grammar.lexicon.spans(tokens)
    return Parsed(cleaned, all_tokens, tokens, table, grammar.lexicon.match(tokens, table))


def _opens(hit: Hit, table: Sequence[Mapping[str, tuple[int, ...]]]) -> bool:
    """Whether an act stands at the beginning, after no more than words of politeness."""
    polite = ("@polite", ",", "!", ".")
    before = table[: hit.start]
    return all(any(feature in here for feature in polite) or not here for here in before)


def _holds(words: Sequence[str], name: str) -> bool:
    wanted = [token.word for token in tokenize(clean(name).text)]
    places = range(len(words)) if wanted else ()
    return any(_is_name(words[i : i + len(wanted)], wanted) for i in places)


def _is_name(words: Sequence[str], name: Sequence[str]) -> bool:
    """Whether the words are the name, or its possessive: "kai", "kai's", "kais"."""
    if len(words) != len(name) or list(words[:-1]) != list(name[:-1]):
        return False
    return words[-1] in (name[-1], f"{name[-1]}'s", f"{name[-1]}s", f"{name[-1]}'")
