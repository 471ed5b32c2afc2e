"""A count too high to be believed: asked about once more before anything rests on it.

"Threw 400 today" is most likely a slip of the pen. Logged as it stands it would be answered
with the longest rest, which is careful; but the true count would then never be known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from armbot.engine.answer import Answer, Scene
from armbot.engine.child import NUMBER_TOPICS
from armbot.engine.slots import Frame, Slots
from armbot.model.family import Talk
from armbot.model.outings import OutingKind
from armbot.model.talk import PitchCount, Reading

_LONGEST = 3
"""Digits of a number that may be a count of one day; a longer one is a year or a total."""
_FEWEST = 10
"""What is left of a number without one of its digits is a count worth offering from here."""


def questioned(slots: Slots, talk: Talk, reading: Reading, most: int) -> Slots:
    """The slots without a count above ``most``, unless it is told for the second time."""
    if slots.alternatives or slots.topic not in NUMBER_TOPICS:
        return slots
    high = max((n for n in _told(slots, talk, reading) if n > most), default=None)
    confirmed = talk.doubted is not None and (
        high == talk.doubted or (high is None and "first:yes" in reading.acts)
    )
    if confirmed and talk.doubted is not None:
        return _with_count(slots, talk.doubted, talk)
    if high is None:
        return slots
    frames = tuple(_without_high(frame, most) for frame in slots.frames)
    return replace(slots, frames=frames, doubted=high, number_unclear=None, replaces=())


def _told(slots: Slots, talk: Talk, reading: Reading) -> list[int]:
    """Counts of games, and bare numbers that can only be one: too high to be read as such."""
    counts = [
        c.pitches for c in reading.counts if c.pitches is not None and c.kind is OutingKind.GAME
    ]
    asked = slots.follows and ("pitches" in talk.asks or "correction" in reading.acts)
    may_be = asked or bool(reading.thrown_days) or "log" in reading.acts
    bare = [n for n in reading.bare if len(str(n)) <= _LONGEST] if may_be and not counts else []
    return counts + bare


def _with_count(slots: Slots, pitches: int, talk: Talk) -> Slots:
    """The slots with a doubted count after all, on the day it was told for."""
    days = [c.day for c in slots.frame.counts if c.day]
    count = PitchCount(pitches, None, days[0] if days else talk.thrown)
    return replace(slots, frames=(replace(slots.frame, counts=(count,)),), number_unclear=None)


def _without_high(frame: Frame, most: int) -> Frame:
    """The frame with the days of its counts, but none above ``most``."""
    counts = tuple(
        replace(c, pitches=None) if c.pitches is not None and c.pitches > most else c
        for c in frame.counts
    )
    return replace(frame, counts=counts)


def doubt_answer(scene: Scene, count: int) -> Answer:
    """The question, with the counts that the number may have been meant for."""
    voice = scene.voice
    most = scene.library.clinic.doubtful_pitches
    kind = voice.say("kind_game")
    likely = tuple(f"{n} {kind}" for n in _likely(str(count), most))
    return Answer(
        voice.say("doubtful_count", n=count),
        asks="pitches",
        choices=(*likely, voice.say("doubtful_yes", n=count)),
        grants=False,
    )


def _likely(digits: str, most: int) -> Sequence[int]:
    """The number without one of its digits: "400" was meant for 40, "182" for 18, 12 or 82."""
    places = reversed(range(len(digits)))
    shorter = [int(digits[:place] + digits[place + 1 :]) for place in places]
    return tuple(dict.fromkeys(n for n in shorter if _FEWEST <= n <= most))
