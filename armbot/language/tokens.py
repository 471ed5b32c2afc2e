"""Words, numbers and stops, each with its place in the plain text."""

from __future__ import annotations

import re
from dataclasses import dataclass

HARD_STOPS = frozenset(".!?\n")
"""Tokens that end a sentence."""
_DROPPED = frozenset('"*$')
"""Marks that part no words: a quoted word is still the next word."""
SOFT_STOPS = frozenset(",;:-()")
"""Tokens that part a sentence without ending it."""

# A number keeps its inner . , / : - only between digits; letters glued to a number
# ("11yr", "45p", "10u") become their own token.
_TOKEN = re.compile(
    r"\d+(?:[.,/:]\d+)*|[a-z]+(?:'[a-z]+)*"
    r"|\.{2,}|[.!?,;:()\n]|-+(?= |$)|(?<= )-+(?=\d)|[#%@&/+=\"$*-]"
)


_CONTRACTED = {
    "will": "wont", "would": "wouldnt", "can": "cant", "could": "couldnt", "do": "dont",
    "does": "doesnt", "did": "didnt", "is": "isnt", "are": "arent", "was": "wasnt",
    "were": "werent", "has": "hasnt", "have": "havent", "had": "hadnt", "should": "shouldnt",
}  # fmt: skip
"""A verb before "not" becomes one word with it, as most people write it."""


@dataclass(frozen=True, slots=True)
class Token:
    """``word`` is the text to match (apostrophes removed); start and end index the plain text."""

    word: str
    start: int
    end: int
    glued: bool = False
    """No space stood before it: the "u" of "10u", the "p" of "33p"."""

    @property
    def hard(self) -> bool:
        """Whether a sentence ends here."""
        return self.word in HARD_STOPS

    @property
    def number(self) -> bool:
        """Whether it starts with a digit."""
        return self.word[0].isdigit()


def tokenize(text: str) -> tuple[Token, ...]:
    """Split plain text (see normal.clean) into tokens, left to right."""
    return tuple(Token(word, start, end, glued) for word, start, end, glued in _pieces(text))


def words_of(text: str) -> list[str]:
    """The words of the tokens of plain text, every number as "0": what likeness compares."""
    return ["0" if word[0].isdigit() else word for word, _, _, _ in _pieces(text)]


def _pieces(text: str) -> list[tuple[str, int, int, bool]]:
    """Word, start, end and whether it is glued to the one before, for every token."""
    found: list[tuple[str, int, int, bool]] = []
    last_end = -1
    for match in _TOKEN.finditer(text):
        word = match.group().replace("'", "")
        if word.startswith(".."):
            word = "."
        if word.startswith("--"):
            word = "-"
        if not word or word in _DROPPED or (word == "-" and _inside_word(text, match.start())):
            continue
        if word == "not" and found and found[-1][0] in _CONTRACTED:
            verb, start, _, glued = found.pop()
            found.append((_CONTRACTED[verb], start, match.end(), glued))
        else:
            found.append((word, match.start(), match.end(), match.start() == last_end))
        last_end = match.end()
    return found


def _inside_word(text: str, place: int) -> bool:
    """A hyphen between two letters joins words; it is no stop."""
    return 0 < place < len(text) - 1 and text[place - 1].isalpha() and text[place + 1].isalpha()
