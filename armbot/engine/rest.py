"""Rest days, the next day to pitch, and may-he-pitch: computed, with the arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from armbot.core.ages import choose_group
from armbot.core.answers import Eligibility, Rule
from armbot.core.rest import strictest_rest
from armbot.core.season import innings_only_rest
from armbot.core.workload import eligibility, may_pitch
from armbot.engine.answer import Answer, Scene
from armbot.engine.frames import (
    GUIDELINE,
    daily_max,
    innings_text,
    outings_known,
    sets_for,
    told_outings,
    who_of,
)
from armbot.engine.leaning import DAY_THROWN
from armbot.engine.rest_notes import (
    broke_rest,
    not_running,
    notes_beside,
    sources_of,
    straddles,
    workings,
)
from armbot.engine.say import paragraphs, sentence
from armbot.engine.slots import Frame, Slots
from armbot.model.outings import Outing, OutingKind
from armbot.model.rules import RuleSet
from armbot.model.talk import PitchCount


@dataclass(frozen=True, slots=True)
class Computed:
    """One frame worked out."""

    text: str
    values: dict[str, object]
    sources: tuple[str, ...]
    why: tuple[str, ...]
    asks: str = ""


def rest_answer(scene: Scene, slots: Slots) -> Answer:
    """The answer to how long to rest and when he may pitch, for every frame."""
    logged = from_log(scene, slots)
    if logged is not slots:
        answer = rest_answer(scene, logged)
        return replace(answer, text=paragraphs(answer.text, scene.voice.say("from_log")))
    if missing := _missing(slots):
        return _ask(scene, slots, missing)
    if all(c.kind is not OutingKind.GAME for f in slots.frames for c in f.counts):
        return Answer(
            scene.voice.say("session_load"),
            _nothing_known(scene, slots.frame),
            sources=(scene.library.rules[GUIDELINE].source,),
            grants=False,
        )
    if any(daily_max(scene, f, scene.today) is None for f in slots.frames):
        return Answer(scene.voice.say("no_table"), _nothing_known(scene, slots.frame), grants=False)
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


def from_log(scene: Scene, slots: Slots) -> Slots:
    """The slots with the last logged outing, where the message brings no count of its own."""
    frame = slots.frame
    counted = any(c.pitches is not None or c.outs for c in frame.counts)
    if counted or frame.athlete is None or len(slots.frames) > 1:
        return slots
    recent = [
        o
        for o in scene.family.outings_of(frame.athlete.id)
        if o.pitches is not None
        and o.kind is OutingKind.GAME
        and 0 <= (scene.today - o.day).days <= _LOG_REACHES
    ]
    if not recent:
        return slots
    last = max(o.day for o in recent)
    if any(c.day != last for c in frame.counts):
        return slots  # thrown on a day that the log does not know
    counts = tuple(PitchCount(o.pitches, o.outs, o.day) for o in recent if o.day == last)
    return replace(slots, frames=(replace(frame, counts=counts),))


_LOG_REACHES = 7
"""Days back to which a logged outing answers alone: past every table's longest rest, and
few enough that another one is not likely forgotten (common practice)."""


def _missing(slots: Slots) -> tuple[str, ...]:
    frame = slots.frame
    missing = []
    if any(f.age is None for f in slots.frames):
        missing.append("age")
    if not any(c.pitches is not None for c in frame.counts):
        missing.append("pitches")
    return tuple(missing)


_ASKED = {"age": "need_age", "pitches": "need_pitches"}


def _ask(scene: Scene, slots: Slots, missing: tuple[str, ...]) -> Answer:
    """One short question, and what can be said meanwhile."""
    voice = scene.voice
    key = _ASKED.get("; ".join(missing), "need_both")
    extra = ""
    outs = next((c.outs for c in slots.frame.counts if c.outs), None)
    if outs and "pitches" in missing:
        extra = voice.say("innings_not_pitches")
        if slots.frame.age:
            row = innings_only_rest(scene.library.season.innings_rest, slots.frame.age, outs)
            if row:
                extra = sentence(
                    extra,
                    voice.say(
                        "innings_rest",
                        rest=row.rest.value,
                        innings=innings_text(outs),
                        age=voice.age(slots.frame.age),
                    ),
                )
    asks = "; ".join(missing)
    if scene.reading.planned and missing == ("pitches",):
        asks, key, extra = f"{asks}; {DAY_THROWN}", "need_last", _too_many(scene, slots.frame)
    if slots.which_child and "age" in missing:
        asks, key = f"which child; {asks}", "need_child"
    return Answer(
        text=paragraphs(f"**{voice.say(key)}**", extra),
        asks=asks,
        values=_nothing_known(scene, slots.frame),
        sources=(scene.library.rules[GUIDELINE].source,),
        grants=False,
    )


def _too_many(scene: Scene, frame: Frame) -> str:
    """What the daily limit says of the pitches that are asked for."""
    wished, limit = max(scene.reading.planned), daily_max(scene, frame, scene.today)
    if frame.age is None or limit is None or wished <= limit:
        return ""
    age = scene.voice.age(frame.age)
    return scene.voice.say("over_max", over=wished - limit, limit=limit, age=age)


def _nothing_known(scene: Scene, frame: Frame) -> dict[str, object]:
    return {
        "rest_days": None,
        "first_eligible": None,
        "rest_on": None,
        "may_pitch": None,
        "daily_max": daily_max(scene, frame, scene.today) if frame.age else None,
        "over_daily_max": None,
    }


def _compute(scene: Scene, slots: Slots, frame: Frame) -> Computed:
    voice = scene.voice
    dated = all(c.day is not None for c in frame.counts)
    told = [o for o in told_outings(scene, frame, slots) if o.kind is OutingKind.GAME]
    last = max(o.day for o in told)
    rulesets = sets_for(scene, frame)
    log = outings_known(scene, frame, slots) if dated else told
    pitches = sum(o.pitches or 0 for o in log if o.day == last and o.kind is OutingKind.GAME)
    result = eligibility(rulesets, who_of(frame), log)
    limit = daily_max(scene, frame, last)
    beyond = any(r.rule is Rule.BEYOND_TABLE for r in (*result.flags, *result.binding))
    own = _own_rest(frame, rulesets, pitches, last)
    rest = result.table_days if dated else own
    values: dict[str, object] = {
        "rest_days": None if beyond else rest,
        "daily_max": limit,
        "over_daily_max": limit is not None and pitches > limit,
        "first_eligible": result.first_eligible.isoformat() if dated and not beyond else None,
        "rest_on": [d.isoformat() for d in result.rest_on] if dated and not beyond else None,
        "may_pitch": None,
    }
    if frame.age and not slots.alternatives:
        values["age"] = (
            frame.age.first if frame.age.exact else f"{frame.age.first}-{frame.age.last}"
        )
    if len(slots.frames) > 1:
        values["pitches"] = pitches
    body = (
        _beyond(scene, frame, limit, pitches, rest)
        if beyond
        else _body(
            scene,
            slots,
            frame,
            result,
            log,
            values,
            dated=dated,
            rest=rest,
            pitches=pitches,
            last=last,
        )
    )
    asks = "any soreness" if beyond or values["over_daily_max"] or broke_rest(result) else ""
    if not asks and frame.kind in ("division", "grade") and frame.age and straddles(scene, frame):
        asks = "exact age"
    owed = not asks and not dated and scene.topic in _OF_A_DAY and not slots.alternatives
    asks = DAY_THROWN if owed else asks
    text = paragraphs(
        body,
        notes_beside(scene, frame, slots, result, limit, pitches, running_said=not rest),
        voice.say("how_feels") if asks == "any soreness" else voice.say("if_normal"),
        voice.say("need_day") if owed else "",
    )
    return Computed(
        text, values, sources_of(scene, result), workings(scene, frame, result, told), asks
    )


_OF_A_DAY = frozenset({"can_pitch_date", "multiple_teams", "same_day"})
"""Topics that only a date answers: the day thrown is asked for where it is missing."""


def _own_rest(frame: Frame, rulesets: Sequence[RuleSet], pitches: int, day: date) -> int:
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
    scene: Scene,
    slots: Slots,
    frame: Frame,
    result: Eligibility,
    log: Sequence[Outing],
    values: dict[str, object],
    *,
    dated: bool,
    rest: int,
    pitches: int,
    last: date,
) -> str:
    voice = scene.voice
    age = voice.age(frame.age) if frame.age else ""
    arithmetic = _arithmetic(scene, result, rest, pitches, age)
    if len(slots.frames) > 1:
        arithmetic = f"{age}: {arithmetic}"
    if not dated:
        return sentence(arithmetic, voice.say("next_after", n=rest + 1))
    when = sentence(
        voice.say("thrown_on", day=voice.day(last)),
        voice.say("rest_on", days=voice.listing([voice.weekday(d) for d in result.rest_on]))
        if result.rest_on
        else "",
        voice.say("next_day", day=voice.day(result.first_eligible)),
    )
    days = [d for d in slots.ask_days if d >= last] or (
        [scene.today] if _asks_now(scene, slots, last) else []
    )
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


def _arithmetic(scene: Scene, result: Eligibility, rest: int, pitches: int, age: str) -> str:
    """Say "3 full rest days. 62 pitches at 11: the 51-65 band asks for 3."""
    voice = scene.voice
    if not rest and not_running(result):
        return voice.say("rest_zero_run", pitches=pitches, age=age)
    if not rest:
        return voice.say("rest_zero", pitches=pitches, age=age)
    own = max((a.rest for a in result.by_set if a.rest), key=lambda r: r.whole_days, default=None)
    if own is not None and own.whole_days == rest:
        band = (
            f"{own.first_count}+"
            if own.last_count is None
            else f"{own.first_count}-{own.last_count}"
        )
        return voice.say("rest_line", days=voice.rest(rest), pitches=pitches, age=age, band=band)
    return voice.say("rest_long", days=voice.rest(rest), pitches=pitches, age=age)


def _asks_now(scene: Scene, slots: Slots, last: date) -> bool:
    return (
        slots.topic == "can_pitch_date"
        and last < scene.today
        and "tonight" in scene.reading.text.split()
    )


def _coming(scene: Scene, asked: date, free: date, *, allowed: bool) -> str:
    """Where the day asked about is already past: the same weekday of this week too."""
    if allowed or asked >= scene.today:
        return ""
    ahead = asked + timedelta(days=7 * ((scene.today - asked).days // 7 + 1))
    if (scene.today - asked).days % 7 == 0:
        ahead = scene.today
    return scene.voice.say("coming_day", day=scene.voice.day(ahead)) if ahead >= free else ""
