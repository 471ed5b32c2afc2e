"""Whether an age is old enough for a kind of pitch, by expert opinion."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from armbot.model.people import AgeSpan
    from armbot.model.season import PitchType


@dataclass(frozen=True, slots=True)
class PitchAdvice:
    """The careful answer for one pitch at an age.

    ``wait`` is True while any part of the age lies below the careful age;
    ``years_to_wait`` counts from the younger end.
    """

    pitch: PitchType
    wait: bool
    careful_age: int
    years_to_wait: int


def pitch_advice(pitch: PitchType, age: AgeSpan) -> PitchAdvice:
    """Whether to wait with ``pitch`` at ``age``; an age span answers for its younger end."""
    careful = pitch.careful_age.value
    return PitchAdvice(pitch, age.first < careful, careful, max(careful - age.first, 0))


def open_pitches(pitches: Mapping[str, PitchType], age: AgeSpan) -> tuple[PitchType, ...]:
    """The pitches whose careful age is reached, youngest first."""
    return tuple(pitch for pitch in pitches.values() if not pitch_advice(pitch, age).wait)
