"""Numbers that look like a lost speed and are pitch counts: "throws 60 today, 45 on monday".

Both a speed and a count are bare numbers of the same size. A list by days, told with a verb
of throwing and without a word of comparing or of speed, is a list of counts.
"""

from __future__ import annotations

from armbot.language.message import Scene
from armbot.language.patterns import Hit

_LINKS = frozenset("on this last el este pasado pitches p lanzamientos".split())
_TO_DAY = 3
"""Words from a number to its day: "45 pitches on monday"."""
_FEWEST = 2
_UNIT = 2
"""Words after the last number in which its unit may stand: "65 mph"."""


def are_counts(hit: Hit, scene: Scene) -> bool:
    """Whether a "lost speed" is really two or more counts, each with a day of its own."""
    inside = range(hit.start, hit.end)
    around = range(hit.start, min(hit.end + _UNIT, len(scene.tokens)))
    if any("@speed_talk" in scene.table[place] for place in around):
        return False
    if not any("@count_verb" in scene.table[place] for place in inside):
        return False
    numbers = [place for place in inside if "@speed" in scene.table[place]]
    days = [_day_of(place, scene) for place in numbers]
    return len(numbers) >= _FEWEST and None not in days and len(set(days)) == len(days)


def _day_of(place: int, scene: Scene) -> str | None:
    """The day that a number stands beside, as it is written; None where there is none."""
    for at in range(place + 1, min(place + 1 + _TO_DAY, len(scene.tokens))):
        here = scene.table[at]
        if "@weekday" in here or "@dayword" in here:
            return scene.tokens[at].word
        if scene.tokens[at].word not in _LINKS:
            return None
    return None
