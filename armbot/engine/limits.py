"""Daily limits, innings in 12 months, and months off."""

from __future__ import annotations

from datetime import date

from armbot.core.ages import choose_group
from armbot.core.season import (
    OUTS_PER_INNING,
    count_months,
    innings_check,
    innings_in_12_months,
    months_check,
)
from armbot.engine.answer import Answer, Scene
from armbot.engine.frames import GUIDELINE, daily_max, innings_text, who_of
from armbot.engine.say import paragraphs, sentence
from armbot.engine.slots import Slots
from armbot.model.people import AgeSpan
from armbot.model.season import OffFrom


def limit_answer(scene: Scene, slots: Slots) -> Answer | None:
    """How many pitches a day at an age; asks for the age where it is not known."""
    voice, frame = scene.voice, slots.frame
    source = (scene.library.rules[GUIDELINE].source,)
    if frame.age is None:
        key = "need_limit" if len(scene.reading.text.split()) <= 4 else "need_age"
        open_limit = key == "need_limit" or "limit" in scene.reading.text
        asks = "age; which limit" if open_limit else "age"
        offered = ("choice_pitches", "choice_rest", "choice_innings") if key == "need_limit" else ()
        return Answer(
            f"**{voice.say(key)}**",
            asks=asks,
            sources=source,
            grants=False,
            values={"daily_max": None},
            choices=tuple(voice.say(c) for c in offered),
        )
    limit = daily_max(scene, frame, scene.today)
    choice = choose_group(scene.library.rules[GUIDELINE], who_of(frame), scene.today)
    if limit is None or choice is None:
        return None
    if frame.kind == "grade" and choice.straddles:
        return Answer(
            f"**{voice.say('need_age')}**",
            asks="exact age",
            sources=source,
            grants=False,
            values={"daily_max": None},
        )
    notes = [voice.say("limit_not_goal")]
    if slots.division and frame.kind == "age":
        notes.insert(0, voice.say("limit_age"))
    if frame.kind == "division" and choice.straddles:
        notes.insert(0, voice.say("straddles", division=voice.age(frame.age)))
    if any(a.birthday_ahead for a in scene.reading.ages):
        notes.insert(0, _after_birthday(scene, frame.age))
    wished = max(scene.reading.planned, default=0)
    if wished > limit:
        over = voice.say("over_max", over=wished - limit, limit=limit, age=voice.age(frame.age))
        notes.insert(0, over)
    text = sentence(voice.say("limit_line", limit=limit, age=voice.age(frame.age)), *notes)
    return Answer(
        text,
        {
            "daily_max": limit,
            **({"over_daily_max": wished > limit} if wished else {}),
            "age": frame.age.first if frame.age.exact else f"{frame.age.first}-{frame.age.last}",
        },
        sources=source,
        why=(voice.say("limit_line", limit=limit, age=voice.age(frame.age)).replace("**", ""),),
    )


def _after_birthday(scene: Scene, age: AgeSpan) -> str:
    """What the next age brings, where a birthday is near."""
    for group in scene.library.rules[GUIDELINE].groups:
        if group.ages and group.ages[0] <= age.first + 1 <= group.ages[1] and group.daily_max:
            return scene.voice.say("limit_birthday", age=age.first + 1, limit=group.daily_max.value)
    return ""


def innings_answer(scene: Scene, slots: Slots) -> Answer | None:
    """Innings in any 12 months at an age, and what is left of them."""
    voice, age = scene.voice, slots.frame.age
    limits = scene.library.season.innings
    if age is None:
        return None
    told = _season_outs(scene, slots)
    check = innings_check(limits, age, told)
    if check is None:
        return None
    cite = check.limit.cite
    open_age = slots.frame.kind in ("grade", "division") and _touches_more(scene, age)
    if check.limit_outs is None:
        return Answer(
            voice.say("innings_none", age=voice.age(age)),
            {"innings_12_months": None},
            sources=(cite.source,),
        )
    limit = check.limit_outs // OUTS_PER_INNING
    values: dict[str, object] = {"innings_12_months": limit}
    line = voice.say("innings_limit", limit=limit, age=voice.age(age))
    asks = ""
    logged = told and not any((c.outs or 0) > _ONE_GAME for c in slots.frame.counts)
    if told and check.over_by_outs:
        line = paragraphs(
            voice.say(
                "innings_over",
                have=innings_text(told),
                limit=limit,
                age=voice.age(age),
                over=innings_text(check.over_by_outs),
            ),
            voice.say("innings_pain"),
        )
        values["innings_over_by"] = check.over_by_outs // OUTS_PER_INNING
        asks = "any pain or fatigue"
    elif told:
        left = innings_text(check.left_outs or 0)
        line = sentence(
            voice.say("innings_left", limit=limit, have=innings_text(told), left=left), line
        )
        values["innings_left"] = (check.left_outs or 0) // OUTS_PER_INNING
        if logged:
            line = sentence(line, voice.say("total_only_logged"))
    if open_age and not asks:
        asks, line = "exact age", paragraphs(line, f"**{voice.say('need_age')}**")
    elif told and not check.over_by_outs and (check.left_outs or 0) * 10 <= check.limit_outs:
        asks, line = "any pain or fatigue", paragraphs(line, voice.say("innings_pain"))
    return Answer(
        line,
        values,
        asks=asks,
        sources=(cite.source,),
        why=(voice.say("innings_limit", limit=limit, age=voice.age(age)).replace("**", ""),),
    )


_ONE_GAME = 9 * OUTS_PER_INNING
"""More outs than this are a season's total, not one game's."""


def _season_outs(scene: Scene, slots: Slots) -> int:
    """Outs told as a season's total, else those of the last 12 months in the log."""
    told = next((c.outs for c in slots.frame.counts if c.outs), 0) or 0
    if told > _ONE_GAME:
        return told
    owner = slots.frame.athlete.id if slots.frame.athlete else ""
    return innings_in_12_months(scene.family.outings_of(owner), scene.today).outs


def _touches_more(scene: Scene, age: AgeSpan) -> bool:
    """Whether the age given as a span touches rows with different limits."""
    rows = {
        row.innings.value if row.innings else 0
        for row in scene.library.season.innings
        if row.ages[0] <= age.last and age.first <= row.ages[1]
    }
    return len(rows) > 1


def months_answer(scene: Scene, slots: Slots) -> Answer | None:
    """Months off at an age, with a date where the end of a season was named."""
    voice, age = scene.voice, slots.frame.age
    if age is None:
        return None
    check = months_check(scene.library.season.months_off, age, count_months((), scene.today))
    if check is None:
        return None
    row = check.row
    run = f"{row.run_months[0].value}-{row.run_months[1].value}" if row.run_months else "1"
    what = voice.say("months_all" if row.off_from is OffFrom.ALL_THROWING else "months_pitching")
    text = voice.say(
        "months_line", months=row.off_months.value, what=what, age=voice.age(age), run=run
    )
    ended = scene.reading.thrown_days[0] if scene.reading.thrown_days else None
    if ended and row.run_months and not scene.family.holds:
        until = _plus_months(ended, row.run_months[1].value)
        text = sentence(
            text, voice.say("months_until", day=voice.day(ended), until=voice.day(until))
        )
    values: dict[str, object] = {"months_off": row.off_months.value, "months_in_a_row": run}
    owner = slots.frame.athlete.id if slots.frame.athlete else ""
    if log := scene.family.outings_of(owner):
        spent = count_months(log, scene.today)
        values |= {
            "months_pitched_logged": len(spent.pitched),
            "months_off_logged": len(spent.off),
            "longest_run_off_logged": spent.longest_run,
        }
        text = paragraphs(
            text,
            sentence(
                voice.say(
                    "season_months",
                    pitched=len(spent.pitched),
                    off=len(spent.off),
                    run=spent.longest_run,
                ),
                voice.say("season_open") if spent.unknown else "",
            ),
        )
    return Answer(
        text,
        values,
        sources=(row.off_months.cite.source,),
        why=(text.replace("**", ""),),
        grants=False,
    )


def _plus_months(day: date, months: int) -> date:
    number = day.year * 12 + day.month - 1 + months
    return date(number // 12, number % 12 + 1, min(day.day, 28))
