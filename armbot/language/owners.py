"""Whose arm a danger sign is about: ours to answer for, unless plainly somebody else's."""

from __future__ import annotations

from armbot.language.message import Scene
from armbot.language.patterns import Hit

_OURS = frozenset(
    "my mi mis our nuestro nuestra i im me mine but pero says said say told tells tell "
    "thinks think "
    "knows wants dice dijo dicen cree quiere makes made want".split()
)
"""Words that, between somebody else and a sign, give the sign back to the family."""

_STRUCK = frozenset(
    "hit hits drilled plunked pegged nailed beaned smoked stepped spiked ran crashed into "
    "pego golpeo dio choco piso".split()
)
"""What an opponent does to ours: "their pitcher hit his elbow" is our elbow."""

_ELSEWHERE = ("pro", "own_adult", "opponent")

_ASKER = frozenset("i im id ive me we us our you your yo nos nosotros usted tu".split())
"""Who asks for a list or a slide; not the one whose arm it would be about."""
_NEAR_ASKER = 3

_IF = frozenset("if si when cuando incase in en".split())


def owner_elsewhere(hit: Hit, scene: Scene, here: set[str]) -> str | None:
    """Whose arm it is when it is nobody's we look after; None when it is ours to answer for.

    Another owner must be named before the sign, in its sentence, with nothing between
    that turns back to the family: "my dad tore his cuff" is his, "my mom says my elbow
    hurts" is not hers.
    """
    for name in _ELSEWHERE:
        if name in here and _named_before(hit, scene, name):
            return "other"
    if _is_general(hit, scene) or _is_taught(hit, scene):
        return "general_question"
    if "general" in here and _asked_at_large(hit, scene):
        return "general_question"
    return None


def _named_before(hit: Hit, scene: Scene, name: str) -> bool:
    for other in scene.hits:
        if (
            other.name != f"context:{name}"
            or scene.sentence[other.start] != scene.sentence[hit.start]
        ):
            continue
        if other.start <= hit.start:
            between = [t.word for t in scene.tokens[other.end : hit.start]]
            struck = name == "opponent" and _STRUCK & set(between)
            if not struck and not _OURS & set(between):
                return True
        elif other.start < hit.end or (other.start - hit.end <= 6 and name == "own_adult"):
            return True
    return False


def _asked_at_large(hit: Hit, scene: Scene) -> bool:
    """A general question: about nobody in particular, or an "if it ever" about somebody."""
    number = scene.sentence[hit.start]
    places = [i for i, n in enumerate(scene.sentence) if n == number]
    if not any("@personal" in scene.table[i] for i in places):
        return True
    return any(
        other.name == "context:general"
        and scene.sentence[other.start] == number
        and scene.tokens[other.start].word in _IF
        for other in scene.hits
    )


def _is_taught(hit: Hit, scene: Scene) -> bool:
    """A sign named for a handout, a slide or a class, with nobody's arm beside it."""
    number = scene.sentence[hit.start]
    if not any(
        other.name == "context:teaching" and scene.sentence[other.start] == number
        for other in scene.hits
    ):
        return False
    for place, word in enumerate(token.word for token in scene.tokens):
        if scene.sentence[place] != number or "@personal" not in scene.table[place]:
            continue
        if word not in _ASKER or 0 <= hit.start - place <= _NEAR_ASKER:
            return False
    return True


def _is_general(hit: Hit, scene: Scene) -> bool:
    """A question about throwers at large: no one person's arm in the sentence."""
    number = scene.sentence[hit.start]
    places = [i for i, n in enumerate(scene.sentence) if n == number]
    asks = scene.tokens[places[-1]].word == "?" or any(
        "@question" in scene.table[i] for i in places[:2]
    )
    return (
        asks
        and any("@generic" in scene.table[i] for i in places)
        and not any("@personal" in scene.table[i] for i in places)
    )
