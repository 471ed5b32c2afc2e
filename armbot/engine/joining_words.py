"""What a short typed answer means: words of both languages, with slips of the pen.

The words stand in the phrases named ``hear_...``, a comma between them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from armbot.language.normal import clean
from armbot.language.tokens import tokenize
from armbot.model.library import Library

MOST_WORDS = 12
"""A longer text is a message of its own, no answer to a question of a form."""
_NOT = frozenset({"not", "isnt", "no", "ni", "nunca", "never", "neither"})
_SHORTEST = 3
"""Letters above which a word may hold a slip of the pen."""
_LONG = 7
"""Letters above which it may hold two."""


def words_in(text: str) -> list[str]:
    """The words and numbers of a text in plain form, without stops."""
    found = [token.word for token in tokenize(clean(text).text)]
    return [word for word in found if word[0].isalnum()]


def meanings(library: Library, key: str) -> tuple[tuple[str, ...], ...]:
    """The words of all languages under ``hear_<key>``, each phrase as its words."""
    return listed(tuple(p.get(f"hear_{key}", "") for p in library.words.phrases.values()))


@lru_cache(maxsize=512)
def listed(texts: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """The phrases of texts that part them by commas, each as its words and once."""
    split = (tuple(words_in(part)) for text in texts for part in text.split(","))
    return tuple(dict.fromkeys(words for words in split if words))


def hear(library: Library, text: str, keys: Sequence[str]) -> str:
    """Which of the meanings a typed answer has; "" where none or more than one.

    A meaning that is denied ("not left") is none: what is meant instead has to be asked.
    """
    words = words_in(text)
    if not words or len(words) > MOST_WORDS:
        return ""
    known = {key: meanings(library, key) for key in keys}
    exact = next((key for key in keys if tuple(words) in known[key]), "")
    if exact:
        return exact
    found = _said(words, known)
    if not found:
        found = {key for key in keys if _misspelt(words, known[key])}
    return found.pop() if len(found) == 1 else ""


def is_just(library: Library, text: str, key: str) -> bool:
    """Whether the whole text is one of the words of a meaning, as it is spelt there.

    A slip is not looked for: "Buck" is a nickname, and no "back".
    """
    return tuple(words_in(text)) in meanings(library, key)


def spoken_in(library: Library, text: str, keys: Sequence[str]) -> set[str]:
    """The languages whose words for any of these meanings stand in a short text."""
    words = words_in(text)
    if len(words) > MOST_WORDS:
        return set()
    plain = f" {' '.join(words)} "
    return {
        lang
        for lang, phrases in library.words.phrases.items()
        for key in keys
        for part in phrases[f"hear_{key}"].split(",")
        if f" {' '.join(words_in(part))} " in plain
    }


def _said(words: Sequence[str], known: Mapping[str, Iterable[tuple[str, ...]]]) -> set[str]:
    """The meanings whose phrases stand in the words; the longer phrase takes its words."""
    phrases = sorted(
        ((phrase, key) for key, own in known.items() for phrase in own), key=lambda p: -len(p[0])
    )
    free = [True] * len(words)
    found: set[str] = set()
    for phrase, key in phrases:
        for start in range(len(words) - len(phrase) + 1):
            span = slice(start, start + len(phrase))
            if tuple(words[span]) == phrase and all(free[span]):
                free[span] = [False] * len(phrase)
                denied = start > 0 and words[start - 1] in _NOT and free[start - 1]
                found.add("" if denied else key)
    return found


def _misspelt(words: Iterable[str], phrases: Iterable[tuple[str, ...]]) -> bool:
    single = [phrase[0] for phrase in phrases if len(phrase) == 1]
    return any(close(word, other) for word in words for other in single)


def close(word: str, other: str) -> bool:
    """Whether two words differ by no more than slips of the pen: one, or two in a long word."""
    if min(len(word), len(other)) <= _SHORTEST or word[0] != other[0]:
        return word == other
    allowed = 1 + (min(len(word), len(other)) > _LONG)
    return slips(word, other) <= allowed


def slips(one: str, other: str) -> int:
    """Letters dropped, added, changed or swapped between two words (OSA distance)."""
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, a in enumerate(one, start=1):
        new = [i]
        for j, b in enumerate(other, start=1):
            cost = min(row[j] + 1, new[j - 1] + 1, row[j - 1] + (a != b))
            if i > 1 and j > 1 and a == other[j - 2] and one[i - 2] == b:
                cost = min(cost, before[j - 2] + 1)
            new.append(cost)
        before, row = row, new
    return row[-1]
