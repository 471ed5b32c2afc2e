"""The throwing log in plain sentences: add, correct, remove, look up, total."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from armbot.engine.answer import Answer, Scene
from armbot.engine.frames import innings_text
from armbot.engine.rest import rest_answer
from armbot.engine.say import paragraphs, sentence
from armbot.engine.slots import Frame, Slots
from armbot.model.family import (
    Athlete,
    Family,
    new_athlete_id,
    with_outing,
    without_outings,
)
from armbot.model.outings import Outing, OutingKind

NOBODY = ""


def log_answer(scene: Scene, slots: Slots) -> Answer:
    """What the family wants done with the log, and the doing of it."""
    acts = scene.reading.acts
    if "delete" in acts or scene.family.talk.pending:
        return _delete(scene)
    if "query_last" in acts:
        return _last(scene, slots)
    counts = [(f, c) for f in slots.frames for c in f.counts if c.pitches is not None or c.outs]
    if not counts and (other := _other_load(scene, slots)):
        return other
    if not counts:
        asks = "pitches; date; which child"
        return Answer(scene.voice.say("log_what"), asks=asks, grants=False)
    if "change" in acts and not slots.follows:
        return _change(scene, slots)
    return _add(scene, slots)


def _add(scene: Scene, slots: Slots) -> Answer:
    voice = scene.voice
    family = remember(scene, slots)
    lines = []
    for frame in slots.frames:
        for count in frame.counts:
            day = count.day or scene.today
            if count.pitches is not None:
                key = "logged_again" if slots.replaces else "logged_one"
                prefix = f"{voice.age(frame.age)}: " if len(slots.frames) > 1 and frame.age else ""
                kind = voice.say(f"kind_{count.kind.value}")
                lines.append(
                    prefix + voice.say(key, pitches=count.pitches, day=voice.day(day), kind=kind)
                )
            if count.pain_free:
                lines.append(voice.say("logged_pain_free"))
            if count.outs:
                lines.append(voice.say("logged_innings", innings=innings_text(count.outs)))
            if count.warmup:
                lines.append(voice.say("logged_warmup", warmup=count.warmup))
    head = sentence(*lines)
    dated = replace(slots, frames=tuple(_dated(f, scene.today) for f in slots.frames))
    values: object = {}
    extra, asks = "", ""
    sources: tuple[str, ...] = ()
    why: tuple[str, ...] = ()
    knows = all(
        f.age is not None and any(c.pitches is not None for c in f.counts) for f in slots.frames
    )
    if knows:
        rest = rest_answer(replace(scene, reading=scene.reading), dated)
        extra, values, sources, why, asks = (
            rest.text,
            rest.values,
            rest.sources,
            rest.why,
            rest.asks,
        )
    elif any(c.pitches is not None for f in slots.frames for c in f.counts):
        extra, asks = voice.say("need_age"), "age"
        values = _entry_values(slots, scene.today)
    return Answer(
        paragraphs(head, extra, "" if asks else voice.say("logged_check")),
        values,  # type: ignore[arg-type]
        asks=asks,
        sources=sources,
        why=why,
        family=family,
        grants=knows,
    )


def _other_load(scene: Scene, slots: Slots) -> Answer | None:
    """Innings caught, or another overhead sport: no pitches, but no rest either."""
    voice = scene.voice
    days = scene.reading.thrown_days
    day = days[0] if days else scene.today
    sports = [
        s for s in scene.library.season.sports if s.id in scene.reading.sports and not s.rests_arm
    ]
    if slots.innings_caught:
        outing = Outing("", day, OutingKind.CATCHING, innings_caught=slots.innings_caught)
        text = voice.say("logged_caught", n=slots.innings_caught, day=voice.day(day))
    elif sports:
        outing = Outing("", day, OutingKind.OVERHEAD_SPORT, note=sports[0].id)
        text = voice.say("logged_sport", sport=sports[0].names[voice.lang], day=voice.day(day))
    else:
        return None
    family, athlete = _athlete_for(scene.family, slots.frame, scene.today)
    family, _ = with_outing(family, athlete.id, outing)
    return Answer(
        text,
        {"innings_caught": slots.innings_caught, "thrown": day.isoformat()},
        family=family,
        grants=False,
    )


def _entry_values(slots: Slots, today: date) -> object:
    rows = [
        {
            "pitches": c.pitches,
            "thrown": (c.day or today).isoformat(),
            "rest_days": None,
            "first_eligible": None,
        }
        for f in slots.frames
        for c in f.counts
    ]
    return rows[0] if len(rows) == 1 else tuple(rows)


def _dated(frame: Frame, today: date) -> Frame:
    return replace(frame, counts=tuple(replace(c, day=c.day or today) for c in frame.counts))


def remember(scene: Scene, slots: Slots) -> Family:
    """The family with the outings of this exchange in its log, corrections replacing.

    Nothing is kept of a "what if".
    """
    if slots.supposed:
        return scene.family
    family = without_outings(scene.family, slots.replaces) if slots.replaces else scene.family
    if slots.alternatives:
        return family
    ids: list[str] = []
    for frame in slots.frames:
        family, athlete = _athlete_for(family, frame, scene.today)
        for count in frame.counts:
            if count.pitches is None and count.outs is None:
                continue
            day = count.day or scene.today
            known = [
                o
                for o in family.outings_of(athlete.id)
                if o.day == day and o.pitches == count.pitches
            ]
            if known:
                ids.append(known[0].id)
                continue
            outing = Outing(
                id="",
                day=day,
                kind=count.kind,
                pitches=count.pitches,
                outs=count.outs,
                warmup=count.warmup,
                pain_free=count.pain_free,
            )
            family, kept = with_outing(family, athlete.id, outing)
            ids.append(kept.id)
    return replace(family, talk=replace(family.talk, logged=tuple(ids)))


def _athlete_for(family: Family, frame: Frame, today: date) -> tuple[Family, Athlete]:
    """The athlete of a frame; a child first met gets a record of its own."""
    if frame.athlete is not None:
        known = family.athlete(frame.athlete.id) or frame.athlete
        if frame.age and not known.birth and known.age != frame.age and not known.name:
            known = replace(known, age=frame.age, age_told_on=today)
            family = replace(
                family, athletes=tuple(known if a.id == known.id else a for a in family.athletes)
            )
        return family, known
    same = [a for a in family.athletes if frame.age and a.span_on(today) == frame.age]
    if same:
        return family, same[0]
    fresh = Athlete(new_athlete_id(family), age=frame.age, age_told_on=today if frame.age else None)
    return replace(family, athletes=(*family.athletes, fresh)), fresh


def _change(scene: Scene, slots: Slots) -> Answer:
    """Answer "change tuesday to 44 not 46": that day's entry, or a new one if there is none."""
    voice = scene.voice
    count = next(c for f in slots.frames for c in f.counts if c.pitches is not None)
    days = scene.reading.thrown_days or scene.reading.ask_days
    day = count.day or (days[0] if days else scene.today)
    if days and count.day is None:
        day = days[0] if days[0] <= scene.today else date.fromordinal(days[0].toordinal() - 7)
    entries = [(a, o) for a, o in scene.family.outings if o.day == day]
    if not entries:
        dated = replace(slots, frames=(replace(slots.frame, counts=(replace(count, day=day),)),))
        family = remember(scene, dated)
        return Answer(
            voice.say("change_none", day=voice.day(day), pitches=count.pitches),
            {"pitches": count.pitches, "thrown": day.isoformat()},
            family=family,
            grants=False,
        )
    target = entries[-1][1]
    outings = tuple(
        (a, replace(o, pitches=count.pitches) if o.id == target.id else o)
        for a, o in scene.family.outings
    )
    return Answer(
        voice.say("changed", day=voice.day(day), pitches=count.pitches),
        {"pitches": count.pitches, "thrown": day.isoformat()},
        family=replace(scene.family, outings=outings),
        grants=False,
    )


def _delete(scene: Scene) -> Answer:
    """Never removed before the family has confirmed which one."""
    voice, talk = scene.voice, scene.family.talk
    if talk.pending.startswith("delete:"):
        if "yes" in scene.reading.acts:
            family = without_outings(scene.family, (talk.pending[7:],))
            return Answer(voice.say("log_deleted"), family=_settled(family), grants=False)
        return Answer(voice.say("log_kept"), family=_settled(scene.family), grants=False)
    if not scene.family.outings:
        return Answer(
            paragraphs(voice.say("log_delete_which"), voice.say("log_none")),
            asks="which entry; which child",
            grants=False,
        )
    _, last = scene.family.outings[-1]
    family = replace(scene.family, talk=replace(talk, pending=f"delete:{last.id}"))
    return Answer(
        voice.say("log_delete_sure", pitches=last.pitches, day=voice.day(last.day)),
        asks="which entry",
        choices=(voice.say("yes"), voice.say("no")),
        family=family,
        grants=False,
    )


def _settled(family: Family) -> Family:
    return replace(family, talk=replace(family.talk, pending=""))


def _last(scene: Scene, slots: Slots) -> Answer:
    voice = scene.voice
    if len(scene.family.athletes) > 1 and slots.frame.athlete is None:
        return Answer(f"**{voice.say('log_which_child')}**", asks="which child", grants=False)
    entries = _own_entries(scene, slots)
    if not entries:
        return Answer(
            paragraphs(voice.say("total_none"), voice.say("log_which_child")),
            asks="which child",
            grants=False,
        )
    last = entries[-1]
    return Answer(
        voice.say("log_last", pitches=last.pitches, day=voice.day(last.day)),
        {"pitches": last.pitches, "thrown": last.day.isoformat()},
        grants=False,
    )


def _own_entries(scene: Scene, slots: Slots) -> list[Outing]:
    athlete = slots.frame.athlete
    return [o for a, o in scene.family.outings if athlete is None or a == athlete.id]


def total_answer(scene: Scene, slots: Slots) -> Answer:
    """Pitches logged in all, or in the month named."""
    voice = scene.voice
    entries = _own_entries(scene, slots)
    month = scene.reading.month
    if month:
        entries = [o for o in entries if o.day.month == month]
    if len(scene.family.athletes) > 1 and slots.frame.athlete is None:
        return Answer(f"**{voice.say('log_which_child')}**", asks="which child", grants=False)
    counted = [o for o in entries if o.pitches is not None]
    if not counted:
        return Answer(
            paragraphs(voice.say("total_none"), voice.say("total_only_logged")),
            {"total_pitches": None},
            asks="which child",
            grants=False,
        )
    total = sum(o.pitches or 0 for o in counted)
    span = voice.say("total_month", month=voice.month(month)) if month else ""
    return Answer(
        sentence(
            voice.say("total_line", pitches=total, outings=len(counted), span=span),
            voice.say("total_only_logged"),
        ),
        {"total_pitches": total, "outings": len(counted)},
        grants=False,
        why=tuple(f"{o.day.isoformat()}: {o.pitches}" for o in counted),
    )
