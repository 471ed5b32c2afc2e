"""What the core needs to know of one frame: who throws, under which rules, and how much."""

from __future__ import annotations

from datetime import date

from armbot.core.ages import Who, choose_group
from armbot.core.workload import applicable_sets
from armbot.engine.answer import Scene
from armbot.engine.slots import Frame, Slots
from armbot.model.outings import Outing
from armbot.model.rules import RuleSet

GUIDELINE = "mlb_usab"


def who_of(frame: Frame) -> Who:
    """The athlete's age as the core wants it."""
    if frame.athlete is not None and frame.athlete.birth and frame.kind in ("record", ""):
        return Who(birth=frame.athlete.birth)
    return Who(age=frame.age)


def sets_for(scene: Scene, frame: Frame) -> tuple[RuleSet, ...]:
    """The health guideline and the leagues the family named."""
    named = tuple(frame.athlete.rules if frame.athlete else ()) + scene.reading.rules_named
    usable = [
        r
        for r in dict.fromkeys(named)
        if r in scene.library.rules and scene.library.rules[r].sport == "baseball"
    ]
    return applicable_sets(scene.library.rules, usable)


def daily_max(scene: Scene, frame: Frame, day: date) -> int | None:
    """The lowest daily maximum of the sets that fit."""
    found = []
    for rules in sets_for(scene, frame):
        choice = choose_group(rules, who_of(frame), day)
        if choice:
            found += [g.daily_max.value for g in choice.candidates if g.daily_max]
    return min(found, default=None)


def innings_text(outs: int) -> str:
    """Outs as innings: 7 -> "2 1/3"."""
    whole, rest = divmod(outs, 3)
    if not rest:
        return str(whole)
    return f"{whole} {rest}/3" if whole else f"{rest}/3"


def told_outings(scene: Scene, frame: Frame, slots: Slots) -> list[Outing]:
    """The counts of this exchange as outings; without a day they count as thrown today."""
    return [
        Outing(
            id=f"told{i}",
            day=c.day or scene.today,
            pitches=c.pitches,
            outs=c.outs,
            kind=c.kind,
            innings_caught=slots.innings_caught or 0,
            warmup=c.warmup,
            team=f"team{i}" if "team_two" in scene.reading.acts else "",
        )
        for i, c in enumerate(frame.counts)
        if c.pitches is not None
    ]


def outings_known(scene: Scene, frame: Frame, slots: Slots) -> list[Outing]:
    """The athlete's log and what was just told, nothing twice."""
    told = told_outings(scene, frame, slots)
    key = frame.athlete.id if frame.athlete else ""
    logged = [o for o in scene.family.outings_of(key) if o.id not in slots.replaces]
    seen = {(o.day, o.pitches) for o in told}
    return [o for o in logged if (o.day, o.pitches) not in seen] + told
