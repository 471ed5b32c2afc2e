"""Clean-up before anything is understood: one plain form for many ways to type.

What stays: ASCII letters and digits, sentence punctuation, single spaces and line
breaks. What goes: accents, look-alike letters, invisible characters, emoji. The
work is linear in the text's length and the text is cut first, so a hostile message
costs no more than a long one.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import lru_cache

LIMIT = 4096
"""Longest text that is read, in characters: Telegram's own limit for a message."""

# Letters of other scripts that look Latin. NFKC leaves them alone, so a danger word
# written with one of them would otherwise slip past the matcher.
_LOOKALIKES = str.maketrans(
    {
        # Cyrillic and Armenian
        "а": "a", "в": "b", "с": "c", "ԁ": "d", "е": "e", "һ": "h", "і": "i", "ј": "j",
        "к": "k", "ӏ": "l", "м": "m", "ո": "n", "о": "o", "р": "p", "ԛ": "q", "г": "r",
        "ѕ": "s", "т": "t", "ս": "u", "ԝ": "w", "х": "x", "у": "y",
        # Greek
        "α": "a", "β": "b", "ε": "e", "ι": "i", "κ": "k", "ν": "n", "ο": "o", "ρ": "p",
        "τ": "t", "υ": "u", "χ": "x",
        # Latin letters that do not decompose
        "ʏ": "y", "ɑ": "a", "ɡ": "g", "ı": "i", "ø": "o", "ł": "l", "đ": "d", "ß": "ss",
        # punctuation
        "’": "'", "‘": "'", "ʼ": "'", "´": "'", "`": "'", "“": '"', "”": '"', "«": '"',
        "»": '"', "–": "-", "—": " - ", "―": " - ", "‐": "-", "‑": "-", "−": "-",
        "…": ". ", "¿": " . ", "¡": " ",
    }
)  # fmt: skip
_WORDS_FOR_SIGNS = {"½": " 1/2 ", "⅓": " 1/3 ", "⅔": " 2/3 ", "¼": " 1/4 ", "°": " ", "º": " "}
_BIDI_CONTROLS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_PLAIN = frozenset("abcdefghijklmnopqrstuvwxyz0123456789 .,;:!?/'#+-=()&%@\n\"$*")


@dataclass(frozen=True, slots=True)
class Cleaned:
    """The plain form of a message.

    ``doubtful`` is true where invisible direction marks stood beside digits, so that
    what the family saw may not be the number we read.
    """

    text: str
    doubtful: bool
    cut: bool


@lru_cache(maxsize=4096)
def _plain_character(character: str) -> str:
    """The plain form of one lower-case character, possibly empty or several."""
    if character in _PLAIN:
        return character
    if character.isspace():
        return "\n" if character in "\r\u2028\u2029\x0b\x0c" else " "
    digit = unicodedata.decimal(character, None)
    if digit is not None:
        return str(digit)
    mapped = character.translate(_LOOKALIKES)
    if mapped != character:
        return mapped
    category = unicodedata.category(character)
    if category in ("Cf", "Mn", "Me", "Cc", "Cs", "Co", "Cn"):
        return ""
    folded = unicodedata.normalize("NFKD", character)[:8].lower()
    kept = "".join(part for part in folded if part in _PLAIN)
    return kept or " "


_ASCII = {place: _plain_character(chr(place)) for place in range(128)}
"""The plain form of the characters that most messages are made of, at once."""


def clean(text: str) -> Cleaned:
    """Bring ``text`` into plain form. Never fails, whatever the text holds."""
    cut = len(text) > LIMIT
    raw = text[:LIMIT]
    doubtful = any(mark in raw for mark in _BIDI_CONTROLS) and any(c.isdigit() for c in raw)
    for sign, words in _WORDS_FOR_SIGNS.items():
        raw = raw.replace(sign, words)
    raw = raw.lower()
    plain = raw.translate(_ASCII) if raw.isascii() else "".join(map(_plain_character, raw))
    plain = plain[:LIMIT]
    lines = (" ".join(line.split()) for line in plain.split("\n"))
    return Cleaned("\n".join(line for line in lines if line), doubtful, cut)
