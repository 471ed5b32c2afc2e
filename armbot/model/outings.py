"""What an arm did on a day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class OutingKind(StrEnum):
    """The kinds of arm use a family logs."""

    GAME = "game"
    BULLPEN = "bullpen"
    LESSON = "lesson"
    PRACTICE = "practice"
    CATCHING = "catching"
    OVERHEAD_SPORT = "overhead_sport"
    """Another sport that loads the arm overhead: swimming, tennis, quarterback..."""


@dataclass(frozen=True, slots=True)
class Outing:
    """One use of the arm on one calendar day.

    ``pitches`` counts pitches thrown to batters (game) or thrown in the session;
    ``outs`` is innings pitched in thirds (2 1/3 innings = 7 outs);
    ``innings_caught`` counts innings behind the plate, a begun one as one;
    ``last_batter_pitches`` is how many of ``pitches`` went to the last batter faced,
    when the family says so; ``warmup`` counts warm-up throws, never added to pitches.
    """

    id: str
    day: date
    kind: OutingKind = OutingKind.GAME
    pitches: int | None = None
    outs: int | None = None
    innings_caught: int = 0
    last_batter_pitches: int | None = None
    warmup: int = 0
    team: str = ""
    note: str = ""
    pain_free: bool | None = None
