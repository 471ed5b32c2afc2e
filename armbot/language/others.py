"""Counts that another athlete threw: "his friend threw 80 yesterday" is no outing of ours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from armbot.language.message import sentences
from armbot.language.outings import Told
from armbot.language.patterns import Hit
from armbot.language.tokens import Token
from armbot.model.talk import PitchCount

_THROWERS = frozenset({"context:friend", "context:friend_of_his", "context:other_thrower"})
_BACK_TO_OURS = frozenset(
    "he she i im ive mine my we our says said say told thinks asked yo mi mio mia nosotros dice "
    "dijo conto pregunto counted counts count tracked kept recorded him her clicker book "
    "apunto lleva llevaba cuenta".split()
)
"""Words that, between another athlete and a count, give the count back to ours."""
_BESIDE = frozenset(
    "with w to at from vs against than like for as versus con contra a que como para".split()
)
"""Before another athlete these say that somebody else threw: "45 with my friend"."""


def without_others(
    told: Told, tokens: Sequence[Token], hits: Sequence[Hit]
) -> tuple[Told, tuple[PitchCount, ...]]:
    """What was told of ours, and the counts that another athlete threw."""
    throwers = [
        hit
        for hit in hits
        if hit.name in _THROWERS and not (hit.start and tokens[hit.start - 1].word in _BESIDE)
    ]
    if not throwers:
        return told, ()
    numbers = sentences(tokens)
    theirs = tuple(c for c in told.counts if _is_theirs(c.place, throwers, tokens, numbers))
    ours = tuple(c for c in told.counts if c not in theirs)
    gone = {c.day for c in theirs} - {c.day for c in ours}
    days = tuple(day for day in told.thrown_days if day not in gone)
    return replace(told, counts=ours, thrown_days=days), theirs


def _is_theirs(
    place: int, throwers: Sequence[Hit], tokens: Sequence[Token], numbers: Sequence[int]
) -> bool:
    """Whether the last athlete named before the count, in its sentence, is another's."""
    before = [h for h in throwers if h.end <= place and numbers[h.start] == numbers[place]]
    if not before:
        return False
    named = max(before, key=lambda hit: hit.end)
    between = {token.word for token in tokens[named.end : place]}
    return not between & _BACK_TO_OURS
