"""Plain words that ask for a setting or a chore: "change the time zone", "borrar todo".

Strict on purpose: the whole message has to be the request. A question about throwing that
merely holds the word "reminder" or "chart" is the engine's.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from armbot.engine.joining_words import close, meanings, words_in
from armbot.model.library import Library
from armbot.model.reminders import ReminderKind

ACTS = {
    "settings": "set:show",
    "language": "set:lang",
    "zone": "set:zone",
    "quiet": "set:quiet",
    "reminders": "set:remind",
    "people": "set:people",
    "add": "set:add",
    "leagues": "set:leagues",
    "plan_days": "set:plan",
    "data": "do:data",
    "export": "do:export",
    "import": "do:import",
    "erase": "do:erase",
    "invite": "do:invite",
    "phone": "do:phone",
    "chart": "do:chart",
    "calendar": "do:calendar",
    "off_season": "do:off",
}
"""What is asked for (phrases ``ask_...``), and the act that it is."""
_MOST_WORDS = 12
_MOST_ASKED = 7
"""Words, fillers aside, of the longest request: a verb of three about a kind of four. Most
questions are longer, and are let through without a look at every request."""
_SHORTEST = 5
"""Letters from which a word may hold a slip of the pen here."""


def understands(text: str, lang: str, library: Library) -> str:
    """The act that a message asks for; "" where it is anything else.

    "set:..." are for settings.act; "do:..." are the caller's: data, export, import, erase,
    invite (the other parent), phone (the athlete's own), chart, calendar, off (plan an
    off-season). ``lang`` is the member's language, for a word that both languages have.
    """
    words = words_in(text)
    if not words or len(words) > _MOST_WORDS or lang not in library.languages:
        return ""
    rest = tuple(word for word in words if word not in _fillers(library))
    if len(rest) > _MOST_ASKED:
        return ""
    for other in library.languages:
        if _is_one_of(rest, library, f"lang_{other}"):
            return f"set:lang:{other}"
    turned = _reminders(rest, library)
    if turned:
        return turned
    return next((act for key, act in ACTS.items() if _is_one_of(rest, library, f"ask_{key}")), "")


def _fillers(library: Library) -> frozenset[str]:
    """Words that a request may hold or leave out."""
    return _single(meanings(library, "fillers"))


@lru_cache(maxsize=8)
def _single(phrases: tuple[tuple[str, ...], ...]) -> frozenset[str]:
    return frozenset(word for phrase in phrases for word in phrase)


def requests(library: Library, key: str) -> tuple[tuple[str, ...], ...]:
    """The requests under a key, without fillers."""
    return _bare(meanings(library, key), _fillers(library))


@lru_cache(maxsize=512)
def _bare(
    phrases: tuple[tuple[str, ...], ...], fillers: frozenset[str]
) -> tuple[tuple[str, ...], ...]:
    bare = (tuple(word for word in phrase if word not in fillers) for phrase in phrases)
    return tuple(dict.fromkeys(b or phrase for b, phrase in zip(bare, phrases, strict=True)))


def _is_one_of(rest: Sequence[str], library: Library, key: str) -> bool:
    """Whether the words, fillers aside, are one of the requests under a key."""
    wanted = requests(library, key)
    return bool(rest) and (rest in wanted or any(_same(rest, phrase) for phrase in wanted))


def _same(words: Sequence[str], phrase: Sequence[str]) -> bool:
    return len(words) == len(phrase) and all(map(_alike, words, phrase))


def _alike(word: str, other: str) -> bool:
    return word == other or (min(len(word), len(other)) >= _SHORTEST and close(word, other))


def _reminders(rest: Sequence[str], library: Library) -> str:
    """A way and a kind, and no word more: "turn off the morning reminder"."""
    for way in ("off", "on"):
        for verb in requests(library, f"ask_turn_{way}"):
            about = _beside(rest, verb)
            if about and (kind := _kind(about, library)):
                return f"set:remind:{kind}:{way}"
    return ""


def _beside(words: Sequence[str], verb: Sequence[str]) -> tuple[str, ...]:
    """The words without those of a verb, in its order ("turn reminders off"); () without it."""
    left = list(words)
    place = 0
    for part in verb:
        if part not in left[place:]:
            return ()
        place = left.index(part, place)
        del left[place]
    return tuple(left)


def _kind(rest: Sequence[str], library: Library) -> str:
    keys = ("all", *(kind.value for kind in ReminderKind))
    return next((k for k in keys if _is_one_of(rest, library, f"ask_kind_{k}")), "")
