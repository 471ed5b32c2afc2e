"""The word lists of all languages, as read from content/words, ready to be compiled."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

Table = Mapping[str, str]
Lists = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Words:
    """Merged over the languages, because one message may mix them.

    ``lists`` holds named lists ("quantities.pitches_after"), ``tables`` named tables
    from a word to a number in text form ("calendar.weekdays"), ``classes`` and
    ``patterns`` what armbot.language.patterns compiles, ``common`` the everyday words
    by language (for telling languages apart), ``spelling`` a word for a misspelling.
    """

    classes: Lists
    patterns: Lists
    lists: Lists
    tables: Mapping[str, Table]
    common: Mapping[str, frozenset[str]]
    spelling: Table
    phrases: Mapping[str, Table]
    """What the bot says: language -> phrase key -> text with placeholders."""
