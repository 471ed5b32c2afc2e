"""What the workload tests share: the shipped content, the worked examples, short builders."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import yaml

from armbot.content.rules import load_rules
from armbot.content.season import load_pitch_types, load_season
from armbot.content.sources import load_sources
from armbot.core.ages import Who
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import AgeSpan

if TYPE_CHECKING:
    from armbot.model.cite import Source
    from armbot.model.rules import RuleSet
    from armbot.model.season import PitchType, Season

ROOT = Path(__file__).parents[2]
CONTENT = ROOT / "content"


@dataclass(frozen=True, slots=True)
class Example:
    """One worked example: what is given and what a right answer holds."""

    id: str
    source: tuple[str, ...]
    given: dict[str, Any]
    expected: dict[str, Any]


@cache
def sources() -> dict[str, Source]:
    """The shipped register."""
    return load_sources(CONTENT / "sources.yaml")


@cache
def library() -> dict[str, RuleSet]:
    """The shipped rule sets."""
    return load_rules(CONTENT / "rules", sources())


@cache
def season() -> Season:
    """The shipped season content."""
    return load_season(CONTENT / "season", sources())


@cache
def pitch_types() -> dict[str, PitchType]:
    """The shipped pitch types."""
    return load_pitch_types(CONTENT / "pitch_types" / "pitch_types.yaml", sources())


@cache
def examples() -> dict[str, Example]:
    """The worked examples by id."""
    text = (ROOT / "tests" / "data" / "worked_examples.yaml").read_text(encoding="utf-8")
    rows = yaml.safe_load(text)["examples"]
    return {
        row["id"]: Example(row["id"], tuple(row["source"]), row["given"], row["expected"])
        for row in rows
    }


def on(text: str) -> date:
    """The day written as year-month-day."""
    return date.fromisoformat(text)


def aged(first: int, last: int | None = None) -> Who:
    """An athlete of whom only the age (or an age span) is known."""
    return Who(age=AgeSpan(first, first if last is None else last))


def game(
    day: date,
    pitches: int | None = None,
    *,
    outs: int | None = None,
    last_batter: int | None = None,
    team: str = "",
) -> Outing:
    """A game pitched."""
    name = f"{day}-{pitches}-{outs}-{team}"
    return Outing(name, day, pitches=pitches, outs=outs, last_batter_pitches=last_batter, team=team)


def caught(day: date, innings: int) -> Outing:
    """A game caught."""
    return Outing(f"{day}-caught", day, kind=OutingKind.CATCHING, innings_caught=innings)


def bullpen(day: date, pitches: int) -> Outing:
    """A bullpen session."""
    return Outing(f"{day}-pen-{pitches}", day, kind=OutingKind.BULLPEN, pitches=pitches)


def outs_of(innings: str | int) -> int:
    """Innings such as "33 and 2/3" in outs."""
    whole, _, part = str(innings).partition(" and ")
    outs = (int(whole) + Fraction(part or 0)) * 3
    if outs.denominator != 1:
        raise ValueError(f"{innings} innings are no whole number of outs")
    return int(outs)
