"""A sign that is a friend's and plainly not our athlete's: told, and advised on, but no hold.

"My friend has elbow pain, not me" is answered with what to do; our own athlete is not put on
hold for it. In doubt the arm is ours: where the writer's own arm, "both" or "too" stand in
the message, or where "his friend" may only have seen or done it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from armbot.language.message import Scene
from armbot.language.patterns import Hit

_WRITER = frozenset("i im ive ill me my mine myself we us our yo me mi mis mio nos".split())
"""Words of the writer that, outside a denial, may give the sign back to ours."""
_TELLS = frozenset(
    "says said say tells thinks noticed saw hit hits threw pulled grabbed pushed stepped kicked "
    "dice dijo cree vio pego golpeo jalo empujo piso aventado noto".split()
)
"""What a friend may have said of, or done to, our own arm."""


def is_friends(hits: Sequence[Hit], scene: Scene) -> bool:
    """Whether every sign is plainly a friend's.

    A friend is named before the first sign. "My friend" is enough where the writer's own arm
    is not spoken of; "his friend" needs a plain word that ours is not meant.
    """
    if not hits:
        return False
    first = min(hit.start for hit in hits)
    last = max(hit.end for hit in hits)
    named = [h for h in _of(scene, "friend", "friend_of_his") if h.end <= first + 1]
    if not named or any(True for _ in _of(scene, "friend_and_us")):
        return False
    friend = max(named, key=lambda hit: hit.end)
    told = {token.word for token in scene.tokens[friend.end : last]}
    if told & _TELLS or _writer_speaks(scene):
        return False
    denied = any(True for _ in _of(scene, "not_ours"))
    mine = friend.name == "context:friend" and scene.sentence[friend.start] == scene.sentence[first]
    return denied or mine


def _of(scene: Scene, *names: str) -> Iterator[Hit]:
    wanted = {f"context:{name}" for name in names}
    return (hit for hit in scene.hits if hit.name in wanted)


def _writer_speaks(scene: Scene) -> bool:
    """Whether the writer speaks of more than the friend, the denial and what to do."""
    own = {
        place
        for hit in _of(scene, "friend", "friend_of_his", "not_ours", "friend_asker")
        for place in range(hit.start, hit.end)
    }
    return any(
        token.word in _WRITER for place, token in enumerate(scene.tokens) if place not in own
    )
