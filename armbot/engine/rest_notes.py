"""What stands beside a number of rest days: warnings, other leagues, sources, the workings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from armbot.core.ages import choose_group
from armbot.core.answers import Eligibility, Reason, Rule
from armbot.core.workload import eligibility
from armbot.engine.answer import Scene
from armbot.engine.frames import GUIDELINE, outings_known, sets_for, who_of
from armbot.engine.say import sentence
from armbot.engine.slots import Frame, Slots
from armbot.model.outings import Outing
from armbot.model.rules import RuleKind


def notes_beside(  # noqa: PLR0913 - the answer and all it was made from
    scene: Scene,
    frame: Frame,
    slots: Slots,
    result: Eligibility,
    limit: int | None,
    pitches: int,
    *,
    running_said: bool = False,
) -> str:
    """What must be said beside the number.

    ``running_said`` is true where the answer said already that a third day running is out.
    """
    voice = scene.voice
    notes = []
    if (
        limit is not None
        and pitches > limit
        and frame.age
        and not any(f.rule is Rule.BEYOND_TABLE for f in result.flags)
    ):
        notes.append(
            voice.say("over_max", over=pitches - limit, limit=limit, age=voice.age(frame.age))
        )
    notes += [
        _too_early(scene, frame, slots, _date(flag, "day"))
        for flag in result.flags
        if flag.rule is Rule.REST_BROKEN
    ]
    if not_running(result) and not running_said:
        notes.append(voice.say("third_day"))
    if len({c.day for c in frame.counts}) < len([c for c in frame.counts if c.pitches]):
        notes.append(voice.say("several_days"))
    if frame.kind in ("division", "grade") and frame.age and straddles(scene, frame):
        notes.append(voice.say("straddles", division=voice.age(frame.age)))
    notes += _differing_sets(scene, result)
    return sentence(*notes)


def _too_early(scene: Scene, frame: Frame, slots: Slots, day: date) -> str:
    """That an outing broke a rest, and until when it was owed."""
    before = [o for o in outings_known(scene, frame, slots) if o.day < day]
    owed = eligibility(sets_for(scene, frame), who_of(frame), before).first_eligible
    voice = scene.voice
    return voice.say("broke_rest", day=voice.day(day), until=voice.day(owed - timedelta(days=1)))


def straddles(scene: Scene, frame: Frame) -> bool:
    """Whether the ages meant reach into two rows of the guideline."""
    choice = choose_group(scene.library.rules[GUIDELINE], who_of(frame), scene.today)
    return bool(choice and choice.straddles)


def not_running(result: Eligibility) -> bool:
    """Whether the next day is out because it would be one too many in a row."""
    return any(reason.rule is Rule.CONSECUTIVE_DAYS for reason in result.binding)


def broke_rest(result: Eligibility) -> bool:
    """Whether an outing came before its rest was over."""
    return any(flag.rule is Rule.REST_BROKEN for flag in result.flags)


def _date(reason: Reason, key: str) -> date:
    value = reason.facts[key]
    return value if isinstance(value, date) else date.fromisoformat(str(value))


def _differing_sets(scene: Scene, result: Eligibility) -> list[str]:
    """Leagues and versions that say something else: named, the stricter one answering."""
    voice = scene.voice
    found = []
    health = [
        a
        for a in result.by_set
        if scene.library.rules[a.ruleset_id].kind is RuleKind.HEALTH_GUIDELINE
    ]
    rests = [a.rest.whole_days for a in health if a.rest]
    if len(set(rests)) > 1:
        found.append(voice.say("disputed", a=voice.rest(max(rests)), b=voice.rest(min(rests))))
    for answer in result.by_set:
        rules = scene.library.rules[answer.ruleset_id]
        if rules.kind is RuleKind.HEALTH_GUIDELINE:
            continue
        name = rules.short_names[voice.lang]
        key = "league_differs" if answer.first_eligible != result.first_eligible else "also_league"
        found.append(voice.say(key, league=name, day=voice.day(answer.first_eligible)))
    return found


def sources_of(scene: Scene, result: Eligibility) -> tuple[str, ...]:
    """Source ids of every confirmed set the answer rests on; the guideline's where none is."""
    return tuple(
        dict.fromkeys(
            scene.library.rules[answer.ruleset_id].source
            for answer in result.by_set
            if answer.confirmed
        )
    ) or (scene.library.rules[GUIDELINE].source,)


def workings(
    scene: Scene, frame: Frame, result: Eligibility, told: Sequence[Outing]
) -> tuple[str, ...]:
    """Inputs, rule, arithmetic, source: one line each, in the family's language."""
    voice = scene.voice
    age = voice.age(frame.age) if frame.age else "?"
    lines = [
        voice.say(
            "why_input", age=age[:1].upper() + age[1:], pitches=o.pitches, day=voice.day(o.day)
        )
        for o in told
    ]
    lines += [_rule_line(scene, reason) for reason in result.binding]
    best = max(result.by_set, key=lambda a: a.first_eligible, default=None)
    if best is not None and best.rest_day is not None:
        whole = (best.first_eligible - best.rest_day).days - 1
        lines.append(
            voice.say(
                "why_sum",
                day=voice.day(best.rest_day),
                rest=whole,
                free=voice.day(best.first_eligible),
            )
        )
    return tuple(dict.fromkeys(lines))


def _rule_line(scene: Scene, reason: Reason) -> str:
    """One rule with its numbers, where it was read and from when it is."""
    voice, facts, cite = scene.voice, reason.facts, reason.cite
    name = scene.library.rules[reason.ruleset_id].short_names[voice.lang]
    seen = voice.say(f"seen_{cite.seen.value}")
    if reason.rule is Rule.REST and isinstance(whole := facts.get("whole_days"), int):
        last = facts.get("last_count")
        band = f"{facts['first_count']}-{last}" if last else f"{facts['first_count']}+"
        return voice.say(
            "why_band", name=name, band=band, rest=voice.rest(whole), seen=seen, force=cite.in_force
        )
    known = scene.library.words.phrases[voice.lang]
    key = f"rule_{reason.rule.value}"
    rule = voice.say(key) if key in known else voice.say("rule_other")
    return voice.say("why_rule", name=name, rule=rule, seen=seen, force=cite.in_force)
