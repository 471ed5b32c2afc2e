"""A tokenised message with everything recognised in it, and the body part a sign is about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from armbot.language.patterns import Hit
from armbot.language.tokens import Token

ARM_PARTS = ("elbow", "shoulder", "forearm", "upper_arm", "arm", "wrist", "hand", "fingers", "neck")


@dataclass(frozen=True, slots=True)
class Scene:
    """A tokenised message with the places of everything that was recognised."""

    tokens: Sequence[Token]
    sentence: Sequence[int]
    hits: Sequence[Hit]
    table: Sequence[dict[str, tuple[int, ...]]]
    text: str


def sentences(tokens: Sequence[Token]) -> list[int]:
    """Sentence number of every token."""
    numbers: list[int] = []
    current = 0
    for token in tokens:
        numbers.append(current)
        if token.hard:
            current += 1
    return numbers


_UNMISTAKABLE = frozenset(
    {"deformity", "open_wound", "cold_blue", "no_pulse", "instability", "numb_tingle",
     "cannot_move", "swelling", "chest_breath", "collapse", "fever"}
)  # fmt: skip
"""Signs that another body word in the sentence does not take away from the arm."""


def body_places(scene: Scene) -> list[tuple[int, int, str]]:
    """(start, end, body part) for every body word; longer names win over shorter."""
    found: list[tuple[int, int, str]] = []
    for place, here in enumerate(scene.table):
        best: tuple[int, str] | None = None
        for part in (*ARM_PARTS, "other_body"):
            for size in here.get(f"@{part}", ()):
                if best is None or size > best[0]:
                    best = (size, part)
        if best:
            found.append((place, place + best[0], best[1]))
    covered: set[int] = set()
    kept = []
    for start, end, part in sorted(found, key=lambda item: item[0] - item[1]):
        if not covered & set(range(start, end)):
            kept.append((start, end, part))
            covered |= set(range(start, end))
    return kept


def nearest_part(hit: Hit, bodies: Sequence[tuple[int, int, str]], scene: Scene) -> str | None:
    """The body part a hit is about: inside it, else nearest in its sentence within 8 words."""
    inside = [part for start, end, part in bodies if start >= hit.start and end <= hit.end]
    if inside:
        return inside[0] if inside[0] != "other_body" or len(inside) == 1 else inside[-1]
    best: tuple[int, str] | None = None
    arm_named = any(
        part != "other_body" and scene.sentence[start] == scene.sentence[hit.start]
        for start, _, part in bodies
    )
    for start, end, part in bodies:
        if scene.sentence[start] != scene.sentence[hit.start]:
            continue
        if part == "other_body" and hit.name[5:] in _UNMISTAKABLE and arm_named:
            continue
        gap = start - hit.end if start >= hit.end else hit.start - end
        if 0 <= gap <= 8 and (best is None or gap < best[0]):
            best = (gap, part)
    return best[1] if best else None
