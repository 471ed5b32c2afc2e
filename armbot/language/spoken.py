"""Which language a message is in.

A family that chose its language keeps it unless a message plainly is in the other one. With
no choice each message is answered in its own language, however short: "62 ayer" after "12".
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from armbot.language.normal import clean
from armbot.language.tokens import Token, words_of

_CLEARLY = 3
"""Everyday words from which on a message is plainly in a language."""
_OFTEN, _LONG = 2, 3
"""Examples that a word stands in, and letters that it has, before it tells a language."""


def own_words(texts: Mapping[str, Iterable[str]]) -> dict[str, frozenset[str]]:
    """Language -> words that only its own example messages hold."""
    counts = {
        lang: Counter(word for text in known for word in set(words_of(clean(text).text)))
        for lang, known in texts.items()
    }
    return {
        lang: frozenset(
            word
            for word, number in words.items()
            if number >= _OFTEN
            and len(word) >= _LONG
            and word.isalpha()
            and not any(word in other for name, other in counts.items() if name != lang)
        )
        for lang, words in counts.items()
    }


def language_of(
    tokens: Sequence[Token],
    common: Mapping[str, frozenset[str]],
    own: Mapping[str, frozenset[str]],
    *,
    chosen: str | None = None,
    before: str | None = None,
) -> str:
    """The message's language, "en" or "es".

    ``common`` are the everyday words of each language and ``own`` words that no message in
    the other one holds; ``chosen`` is what the family chose, ``before`` the language of its
    last turn, which answers where the words do not decide.
    """
    words = [token.word for token in tokens if len(token.word) > 1]
    if chosen is not None:
        return _kept(words, common, chosen)
    everyday = _most(words, common, 1)
    if before is None and everyday is not None:
        return everyday
    both = {lang: common[lang] | own.get(lang, frozenset()) for lang in common}
    if before is None:
        return _most(words, both, 1) or "en"
    # One word that the other language only happens to use ("ni idea") turns nothing.
    told = _most(words, both, 2)
    alone = told is not None and told not in (everyday, before) and _counts(words, both)[told] == 1
    return before if told is None or alone else told


def _kept(words: Sequence[str], common: Mapping[str, frozenset[str]], chosen: str) -> str:
    """The chosen language, or the other one where the message plainly is in it."""
    counts = _counts(words, common)
    other = max(counts, key=lambda lang: (lang != chosen, counts[lang]))
    clear = counts[other] >= _CLEARLY and counts[other] > 2 * counts[chosen]
    return other if clear else chosen


def _most(words: Sequence[str], known: Mapping[str, frozenset[str]], times: int) -> str | None:
    """The language with the most words, ``times`` as many as any other; None where none has."""
    counts = _counts(words, known)
    best = max(counts, key=lambda lang: counts[lang])
    rest = [number for lang, number in counts.items() if lang != best]
    clear = all(counts[best] > number and counts[best] >= times * number for number in rest)
    return best if clear else None


def _counts(words: Sequence[str], known: Mapping[str, frozenset[str]]) -> dict[str, int]:
    return {lang: sum(word in own for word in words) for lang, own in known.items()}
