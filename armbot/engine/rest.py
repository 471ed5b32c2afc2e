"""Rest days, the next day to pitch, and may-he-pitch: computed, with the arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from armbot.core.ages import Who, choose_group
from armbot.core.answers import Eligibility, Reason, Rule
from armbot.core.rest import strictest_rest
from armbot.core.season import innings_only_rest
from armbot.core.workload import applicable_sets, eligibility, may_pitch
from armbot.engine.answer import Answer, Scene
from armbot.engine.say import paragraphs, sentence
from armbot.engine.slots import Frame, Slots
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import AgeSpan
from armbot.model.rules import RuleKind, RuleSet

GUIDELINE = "mlb_usab"
_USUAL = (10, 25)
"""Pitches an inning may take, for the sentence that innings do not tell."""


@dataclass(frozen=True, slots=True)
class Computed:
    """One frame worked out."""

    text: str
    values: dict[str, object]
    sources: tuple[str, ...]
    why: tuple[str, ...]
    asks: str = ""


def who_of(frame: Frame) -> Who:
    """The athlete's age as the core wants it."""
    if frame.athlete is not None and frame.athlete.birth and frame.kind in ("record", ""):
        return Who(birth=frame.athlete.birth)
    return Who(age=frame.age)


def sets_for(scene: Scene, frame: Frame) -> tuple[RuleSet, ...]:
    """The health guideline and the leagues the family named."""
    named = tuple(frame.athlete.rules if frame.athlete else ()) + scene.reading.rules_named
    usable = [r for r in dict.fromkeys(named) if r in scene.library.rules and scene.library.rules[r].sport == "baseball"]
    return applicable_sets(scene.library.rules, usable)


def daily_max(scene: Scene, frame: Frame, day: date) -> int | None:
    """The lowest daily maximum of the sets that fit."""
    found = []
    for rules in sets_for(scene, frame):
        choice = choose_group(rules, who_of(frame), day)
        if choice:
            found += [g.daily_max.value for g in choice.candidates if g.daily_max]
    return min(found, default=None)


def rest_answer(scene: Scene, slots: Slots) -> Answer:
    """The answer to how long to rest and when he may pitch, for every frame."""
    if missing := _missing(slots):
        return _ask(scene, slots, missing)
    if all(c.kind is not OutingKind.GAME for f in slots.frames for c in f.counts):
        return Answer(
            scene.voice.say("session_load"), _nothing_known(scene, slots.frame),
            sources=(scene.library.rules[GUIDELINE].source,), grants=False,
        )
    done = [_compute(scene, slots, frame) for frame in slots.frames]
    values = [c.values for c in done]
    single = len(done) == 1 or (slots.alternatives and "hypothetical" not in scene.reading.acts)
    return Answer(
        text=paragraphs(*(c.text for c in done)),
        values=values[0] if single else tuple(values),
        asks=next((c.asks for c in done if c.asks), ""),
        sources=tuple(dict.fromkeys(s for c in done for s in c.sources)),
        why=tuple(w for c in done for w in c.why),
    )


def _missing(slots: Slots) -> tuple[str, ...]:
    frame = slots.frame
    missing = []
    if any(f.age is None for f in slots.frames):
        missing.append("age")
    if not any(c.pitches is not None for c in frame.counts):
        missing.append("pitches")
    return tuple(missing)


def _ask(scene: Scene, slots: Slots, missing: tuple[str, ...]) -> Answer:
    """One short question, and what can be said meanwhile."""
    voice = scene.voice
    key = {("age",): "need_age", ("pitches",): "need_pitches"}.get(missing, "need_both")
    extra = ""
    outs = next((c.outs for c in slots.frame.counts if c.outs), None)
    if outs and "pitches" in missing:
        extra = voice.say("innings_not_pitches", low=_USUAL[0], high=_USUAL[1])
        if slots.frame.age:
            row = innings_only_rest(scene.library.season.innings_rest, slots.frame.age, outs)
            if row:
                extra = sentence(extra, voice.say(
                    "innings_rest", rest=row.rest.value, innings=innings_text(outs),
                    age=voice.age(slots.frame.age),
                ))
    asks = "; ".join(missing)
    if slots.which_child and "age" in missing:
        asks, key = f"which child; {asks}", "need_child"
    return Answer(
        text=paragraphs(f"**{voice.say(key)}**", extra),
        asks=asks,
        values=_nothing_known(scene, slots.frame),
        sources=(scene.library.rules[GUIDELINE].source,),
        grants=False,
    )


def _nothing_known(scene: Scene, frame: Frame) -> dict[str, object]:
    return {
        "rest_days": None, "first_eligible": None, "rest_on": None, "may_pitch": None,
        "daily_max": daily_max(scene, frame, scene.today) if frame.age else None,
        "over_daily_max": None,
    }


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
            id=f"told{i}", day=c.day or scene.today, pitches=c.pitches, outs=c.outs,
            kind=c.kind, innings_caught=slots.innings_caught or 0, warmup=c.warmup, team=f"team{i}" if "team_two" in scene.reading.acts else "",
        )
        for i, c in enumerate(frame.counts)
        if c.pitches is not None
    ]


def _log(scene: Scene, frame: Frame, slots: Slots) -> list[Outing]:
    """The athlete's log and what was just told, nothing twice."""
    told = told_outings(scene, frame, slots)
    key = frame.athlete.id if frame.athlete else ""
    logged = [o for o in scene.family.outings_of(key) if o.id not in slots.replaces]
    seen = {(o.day, o.pitches) for o in told}
    return [o for o in logged if (o.day, o.pitches) not in seen] + told


def _compute(scene: Scene, slots: Slots, frame: Frame) -> Computed:
    voice = scene.voice
    dated = all(c.day is not None for c in frame.counts)
    told = [o for o in told_outings(scene, frame, slots) if o.kind is OutingKind.GAME]
    last = max(o.day for o in told)
    pitches = sum(o.pitches or 0 for o in told if o.day == last)
    rulesets = sets_for(scene, frame)
    log = _log(scene, frame, slots) if dated else told
    result = eligibility(rulesets, who_of(frame), log)
    limit = daily_max(scene, frame, last)
    beyond = any(r.rule is Rule.BEYOND_TABLE for r in (*result.flags, *result.binding))
    own = _own_rest(scene, frame, rulesets, pitches, last)
    rest = result.rest_days if dated else own
    values: dict[str, object] = {
        "rest_days": None if beyond else rest,
        "daily_max": limit,
        "over_daily_max": limit is not None and pitches > limit,
        "first_eligible": result.first_eligible.isoformat() if dated and not beyond else None,
        "rest_on": [d.isoformat() for d in result.rest_on] if dated and not beyond else None,
        "may_pitch": None,
    }
    if frame.age and not slots.alternatives:
        values["age"] = frame.age.first if frame.age.exact else f"{frame.age.first}-{frame.age.last}"
    if len(slots.frames) > 1:
        values["pitches"] = pitches
    body = _beyond(scene, frame, limit, pitches, rest) if beyond else _body(
        scene, slots, frame, result, log, values, dated=dated, rest=rest, pitches=pitches, last=last
    )
    asks = "any soreness" if beyond or values["over_daily_max"] or _broken(result) else ""
    if not asks and frame.kind in ("division", "grade") and frame.age and _straddles(scene, frame):
        asks = "exact age"
    text = paragraphs(
        body,
        _notes(scene, frame, slots, result, limit, pitches),
        voice.say("how_feels") if asks == "any soreness" else voice.say("if_normal"),
    )
    return Computed(text, values, _sources(scene, result), _why(scene, frame, result, told), asks)


def _own_rest(
    scene: Scene, frame: Frame, rulesets: Sequence[RuleSet], pitches: int, day: date
) -> int:
    """Rest for a count with no day: the strictest of the sets."""
    found = [0]
    for rules in rulesets:
        choice = choose_group(rules, who_of(frame), day)
        answer = strictest_rest(rules, choice, pitches) if choice else None
        if answer:
            found.append(answer.whole_days)
    return max(found)


def _beyond(scene: Scene, frame: Frame, limit: int | None, pitches: int, rest: int) -> str:
    voice = scene.voice
    age = voice.age(frame.age) if frame.age else ""
    return paragraphs(
        "**" + voice.say("over_max", over=pitches - (limit or 0), limit=limit, age=age) + "**",
        voice.say("beyond_table", age=age, rest=voice.rest(rest)),
    )


def _body(  # noqa: PLR0913 - the parts of one computed sentence
    scene: Scene, slots: Slots, frame: Frame, result: Eligibility, log: Sequence[Outing],
    values: dict[str, object], *, dated: bool, rest: int, pitches: int, last: date,
) -> str:
    voice = scene.voice
    age = voice.age(frame.age) if frame.age else ""
    arithmetic = _arithmetic(scene, frame, result, rest, pitches, age)
    if len(slots.frames) > 1:
        arithmetic = f"{age}: {arithmetic}"
    if not dated:
        return sentence(arithmetic, voice.say("next_after", n=rest + 1))
    when = sentence(
        voice.say("thrown_on", day=voice.day(last)),
        voice.say("rest_on", days=voice.listing([voice.weekday(d) for d in result.rest_on])) if result.rest_on else "",
        voice.say("next_day", day=voice.day(result.first_eligible)),
    )
    days = [d for d in slots.ask_days if d >= last] or ([scene.today] if _asks_now(scene, slots, last) else [])
    if not days:
        return paragraphs(arithmetic, when)
    asked = days[0] if len(days) == 1 else days[-1]
    first_line = []
    for day in days:
        verdict = may_pitch(sets_for(scene, frame), who_of(frame), log, day)
        allowed = verdict.allowed and result.confirmed
        first_line.append(voice.say("can_yes" if allowed else "can_no", day=voice.day(day)))
        if day == asked:
            values["may_pitch"] = allowed
    coming = _coming(scene, asked, result.first_eligible, allowed=bool(values["may_pitch"]))
    return paragraphs(sentence(*first_line, coming), arithmetic.replace("**", ""), when)


def _arithmetic(  # noqa: PLR0913 - one sentence, its six parts
    scene: Scene, frame: Frame, result: Eligibility, rest: int, pitches: int, age: str
) -> str:
    """"3 full rest days. 62 pitches at 11: the 51-65 band asks for 3."""
    voice = scene.voice
    if not rest:
        return voice.say("rest_zero", pitches=pitches, age=age)
    own = max((a.rest for a in result.by_set if a.rest), key=lambda r: r.whole_days, default=None)
    band = ""
    if own is not None and own.whole_days == rest:
        band = f"{own.first_count}+" if own.last_count is None else f"{own.first_count}-{own.last_count}"
        return voice.say("rest_line", days=voice.rest(rest), pitches=pitches, age=age, band=band)
    return voice.say("rest_long", days=voice.rest(rest), pitches=pitches, age=age)


def _asks_now(scene: Scene, slots: Slots, last: date) -> bool:
    return slots.topic == "can_pitch_date" and last < scene.today and "tonight" in scene.reading.text.split()


def _coming(scene: Scene, asked: date, free: date, *, allowed: bool) -> str:
    """Where the day asked about is already past: the same weekday of this week too."""
    if allowed or asked >= scene.today:
        return ""
    ahead = asked + timedelta(days=7 * ((scene.today - asked).days // 7 + 1))
    if (scene.today - asked).days % 7 == 0:
        ahead = scene.today
    return scene.voice.say("coming_day", day=scene.voice.day(ahead)) if ahead >= free else ""


def _broken(result: Eligibility) -> bool:
    return any(flag.rule is Rule.REST_BROKEN for flag in result.flags)


def _notes(
    scene: Scene, frame: Frame, slots: Slots, result: Eligibility, limit: int | None, pitches: int
) -> str:
    """What must be said beside the number."""
    voice = scene.voice
    notes = []
    if limit is not None and pitches > limit and frame.age and not any(f.rule is Rule.BEYOND_TABLE for f in result.flags):
        notes.append(voice.say("over_max", over=pitches - limit, limit=limit, age=voice.age(frame.age)))
    for flag in result.flags:
        if flag.rule is Rule.REST_BROKEN:
            notes.append(_too_early(scene, frame, slots, _date(flag, "day")))
    if any(r.rule is Rule.CONSECUTIVE_DAYS for r in result.binding):
        notes.append(voice.say("third_day"))
    if len({c.day for c in frame.counts}) < len([c for c in frame.counts if c.pitches]):
        notes.append(voice.say("several_days"))
    if frame.kind in ("division", "grade") and frame.age and _straddles(scene, frame):
        notes.append(voice.say("straddles", division=voice.age(frame.age)))
    notes += _differing_sets(scene, result)
    return sentence(*notes)


def _too_early(scene: Scene, frame: Frame, slots: Slots, day: date) -> str:
    """That an outing broke a rest, and until when it was owed."""
    before = [o for o in _log(scene, frame, slots) if o.day < day]
    owed = eligibility(sets_for(scene, frame), who_of(frame), before).first_eligible
    voice = scene.voice
    return voice.say("broke_rest", day=voice.day(day), until=voice.day(owed - timedelta(days=1)))


def _straddles(scene: Scene, frame: Frame) -> bool:
    choice = choose_group(scene.library.rules[GUIDELINE], who_of(frame), scene.today)
    return bool(choice and choice.straddles)


def _date(reason: Reason, key: str) -> date:
    value = reason.facts[key]
    return value if isinstance(value, date) else date.fromisoformat(str(value))


def _differing_sets(scene: Scene, result: Eligibility) -> list[str]:
    """Leagues and versions that say something else: named, the stricter one answering."""
    voice = scene.voice
    found = []
    health = [a for a in result.by_set if scene.library.rules[a.ruleset_id].kind is RuleKind.HEALTH_GUIDELINE]
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


def _sources(scene: Scene, result: Eligibility) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(
            scene.library.rules[answer.ruleset_id].source
            for answer in result.by_set
            if answer.confirmed
        )
    ) or (scene.library.rules[GUIDELINE].source,)


def _why(
    scene: Scene, frame: Frame, result: Eligibility, told: Sequence[Outing]
) -> tuple[str, ...]:
    """Inputs, rule, arithmetic, source: one line each, in the family's language."""
    voice = scene.voice
    age = voice.age(frame.age) if frame.age else "?"
    lines = [
        voice.say("why_input", age=age[:1].upper() + age[1:], pitches=o.pitches, day=voice.day(o.day))
        for o in told
    ]
    lines += [_rule_line(scene, reason) for reason in result.binding]
    best = max(result.by_set, key=lambda a: a.first_eligible, default=None)
    if best is not None and best.rest_day is not None:
        whole = (best.first_eligible - best.rest_day).days - 1
        lines.append(
            voice.say(
                "why_sum", day=voice.day(best.rest_day), rest=whole, free=voice.day(best.first_eligible)
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


def age_text(scene: Scene, span: AgeSpan | None) -> str:
    """The age in words, empty when unknown."""
    return scene.voice.age(span) if span else ""
