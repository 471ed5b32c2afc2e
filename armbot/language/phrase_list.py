"""Phrases of one list, looked for right after or right before a place."""

from __future__ import annotations

from collections.abc import Sequence

from armbot.language.tokens import Token


class PhraseList:
    """The phrases of one list; where several fit, the longest answers."""

    def __init__(self, phrases: Sequence[str]) -> None:
        split = {tuple(p.replace("'", "").split()) for p in phrases}
        self._by_first: dict[str, list[tuple[str, ...]]] = {}
        self._by_last: dict[str, list[tuple[str, ...]]] = {}
        for phrase in sorted(split, key=lambda p: -len(p)):
            self._by_first.setdefault(phrase[0], []).append(phrase)
            self._by_last.setdefault(phrase[-1], []).append(phrase)

    def after(self, tokens: Sequence[Token], place: int) -> int:
        """How many tokens from ``place`` on are one of the phrases (0: none)."""
        if place >= len(tokens):
            return 0
        for phrase in self._by_first.get(tokens[place].word, ()):
            size = len(phrase)
            if tuple(t.word for t in tokens[place : place + size]) == phrase:
                return size
        return 0

    def before(self, tokens: Sequence[Token], place: int) -> int:
        """How many tokens just before ``place`` are one of the phrases (0: none)."""
        if place <= 0:
            return 0
        for phrase in self._by_last.get(tokens[place - 1].word, ()):
            size = len(phrase)
            if size <= place and tuple(t.word for t in tokens[place - size : place]) == phrase:
                return size
        return 0
