"""Which computed answer, if any, fits the topic: None leaves it to the prose."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date

from armbot.engine.answer import Answer, Scene
from armbot.engine.frames import daily_max
from armbot.engine.limits import innings_answer, limit_answer, months_answer
from armbot.engine.logbook import log_answer, remember, total_answer
from armbot.engine.pitches import pitch_answer, pitch_list
from armbot.engine.rest import from_log, rest_answer
from armbot.engine.say import paragraphs, sentence
from armbot.engine.slots import Slots
from armbot.engine.unclear import not_plain

Answering = Callable[[Scene, Slots], Answer | None]


def computed_answer(scene: Scene, slots: Slots) -> Answer | None:
    """The computed answer to the question at hand, or None."""
    if (asked := not_plain(scene, slots, _BY_TOPIC)) is not None:
        return asked
    if _softball(scene) and scene.topic not in ("log_outing", "season_total"):
        return None
    if scene.family.talk.pending:
        return log_answer(scene, slots)
    answering = _BY_TOPIC.get(scene.topic)
    return answering(scene, slots) if answering else None


def _softball(scene: Scene) -> bool:
    """Softball has no chart of this guideline: prose only, unless baseball is named too."""
    return "softball" in scene.reading.acts and "baseball" not in scene.reading.text.split()


def is_why(scene: Scene) -> bool:
    """Whether the message asks how the last answer came about, and nothing else."""
    return "why" in scene.reading.acts and len(scene.reading.text.split()) <= 4


def why_answer(scene: Scene) -> Answer:
    """The working of the last answer, line by line."""
    voice, why = scene.voice, scene.family.talk.why
    if not why:
        return Answer(voice.say("why_none"), grants=False)
    lines = "\n".join(f"- {line}" for line in why)
    return Answer(
        paragraphs(voice.say("why_head"), lines),
        why=why,
        topic=scene.family.talk.topic,
        grants=False,
    )


def _has_count(slots: Slots) -> bool:
    return any(c.pitches is not None or c.outs for f in slots.frames for c in f.counts)


def _rest(scene: Scene, slots: Slots) -> Answer | None:
    """Rest and dates; a general question ("does the day count?") is prose."""
    general = not _has_count(slots) and scene.answer_id != "default"
    asked = bool(scene.reading.ask_days or scene.reading.thrown_days)
    if general and slots.frame.age is None and not slots.follows and not asked:
        return None
    if scene.topic == "rest_days" and general and not slots.follows and not asked:
        return None
    answer = rest_answer(scene, slots)
    if answer.asks and "pitches" in answer.asks:
        return answer
    if (
        _has_count(slots)
        and not slots.alternatives
        and all(c.day for f in slots.frames for c in f.counts)
    ):
        return replace(answer, family=remember(scene, slots))
    return answer


def _counted(slots: Slots) -> bool:
    """Whether every child's age and pitches are known: then the rest can be told too."""
    return bool(slots.frames) and all(
        f.age is not None and any(c.pitches is not None for c in f.counts) for f in slots.frames
    )


def _stay(scene: Scene, slots: Slots) -> Answer | None:
    """Whatever else is said around it, a count at an age gets the chart's answer."""
    return rest_answer(scene, slots) if _counted(slots) else None


def _baseball_after_all(scene: Scene, slots: Slots) -> Answer | None:
    """Baseball named beside softball: the baseball chart answers a count at an age."""
    if _softball(scene) or not _counted(slots):
        return None
    return replace(rest_answer(scene, slots), topic="rest_days")


def _limit(scene: Scene, slots: Slots) -> Answer | None:
    """The daily limit; with a count, whether it was passed and the rest that follows."""
    if scene.reading.planned:
        slots = from_log(scene, slots)
    if _counted(slots):
        rest, limit = rest_answer(scene, slots), limit_answer(scene, slots)
        over = isinstance(rest.values, Mapping) and rest.values.get("over_daily_max")
        if over or limit is None:
            return rest
        if "left_question" in scene.reading.acts and isinstance(rest.values, Mapping):
            return _left(scene, slots, rest)
        return replace(rest, text=paragraphs(limit.text, rest.text.replace("**", "")))
    if (
        scene.answer_id not in ("default", "playing_up", "birthday", "over_limit")
        and slots.frame.age is None
    ):
        return None
    return limit_answer(scene, slots)


def _innings(scene: Scene, slots: Slots) -> Answer | None:
    if "weekend_innings" in scene.reading.acts:
        return None
    return innings_answer(scene, slots)


def _months(scene: Scene, slots: Slots) -> Answer | None:
    if scene.answer_id != "default" and slots.frame.age is None:
        return None
    if scene.answer_id in ("hitting", "lose_strength", "doctor_shutdown"):
        return None
    if slots.frame.age is None:
        return None
    return months_answer(scene, slots)


def _left(scene: Scene, slots: Slots, rest: Answer) -> Answer:
    """What is left of the daily limit in the game being pitched."""
    voice, frame = scene.voice, slots.frame
    pitches = sum(c.pitches or 0 for c in frame.counts)
    limit = daily_max(scene, frame, scene.today) or 0
    age = voice.age(frame.age) if frame.age else ""
    text = voice.say("left_today", limit=limit, pitches=pitches, left=limit - pitches, age=age)
    values = (
        {**rest.values, "pitches_left": limit - pitches}
        if isinstance(rest.values, Mapping)
        else rest.values
    )
    return replace(rest, text=text, values=values)


_PITCH_PROSE = frozenset({"natural_movement", "evidence", "not_listed", "how_to_throw"})
"""Questions about a pitch that the age alone does not answer."""


def _pitch(scene: Scene, slots: Slots) -> Answer | None:
    if scene.answer_id in _PITCH_PROSE and not slots.follows:
        return None
    if not slots.pitch_types:
        wants = scene.answer_id in ("default", "full_list", "list", "all_pitches")
        return pitch_list(scene) if wants else None
    return pitch_answer(scene, slots)


def _same_day(scene: Scene, slots: Slots) -> Answer | None:
    """A second game: no; and with a count, the rest the day's total asks for."""
    if not _has_count(slots) or slots.frame.age is None or slots.frame.counts[0].pitches is None:
        return None
    voice = scene.voice
    days = [c.day for c in slots.frame.counts if c.day]
    if days and slots.ask_days and max(days) < slots.ask_days[-1]:
        return rest_answer(scene, slots)
    dated = replace(
        slots,
        ask_days=(),
        frames=tuple(
            replace(f, counts=tuple(replace(c, day=c.day or scene.today) for c in f.counts))
            for f in slots.frames
        ),
    )
    rest = rest_answer(scene, dated)
    return replace(
        rest,
        text=paragraphs(voice.say("second_game_no"), rest.text),
        values={**rest.values, "may_pitch": False}
        if isinstance(rest.values, Mapping)
        else rest.values,
    )


def _teams(scene: Scene, slots: Slots) -> Answer | None:
    if not _has_count(slots) or slots.frame.age is None or slots.frame.counts[0].pitches is None:
        return None
    rest = rest_answer(scene, slots)
    return replace(
        rest,
        text=paragraphs(scene.voice.say("teams_add"), rest.text),
        asks=rest.asks or "any soreness",
    )


def _catcher(scene: Scene, slots: Slots) -> Answer | None:
    """Catching and pitching on one day, where a count or innings caught are told."""
    voice = scene.voice
    league = scene.library.rules["little_league"]
    side = league.side
    caught, pitches = (
        slots.innings_caught,
        slots.frame.counts[0].pitches if slots.frame.counts else None,
    )
    if (
        caught is not None
        and side.catcher_to_pitcher_bar
        and caught >= side.catcher_to_pitcher_bar.value
    ):
        return Answer(
            voice.say("caught_bar", n=caught),
            {"may_pitch": False},
            sources=(league.source,),
            grants=False,
        )
    if pitches is not None and side.pitcher_to_catcher_bar:
        limit = side.pitcher_to_catcher_bar.value
        key = "pc_bar" if pitches >= limit else "pc_under"
        text = voice.say(key, pitches=pitches, limit=limit)
        if slots.frame.age:
            rest = rest_answer(scene, replace(slots, ask_days=()))
            day = _catching_on_rest_day(slots, rest)
            if day is not None:
                text = voice.say("catch_rest_day", day=voice.day(day))
            return replace(rest, text=paragraphs(text, rest.text))
        return Answer(
            sentence(text, voice.say("need_age")),
            {"may_catch": pitches < limit or False},
            asks="league; age",
            sources=(league.source,),
            grants=False,
        )
    return None


def _catching_on_rest_day(slots: Slots, rest: Answer) -> date | None:
    """The day asked about, where it is one on which the pitcher rests."""
    resting = rest.values.get("rest_on") if isinstance(rest.values, Mapping) else None
    if not slots.ask_days or not isinstance(resting, list):
        return None
    return next((day for day in slots.ask_days if day.isoformat() in resting), None)


_BY_TOPIC: Mapping[str, Answering] = {
    "rest_days": _rest,
    "can_pitch_date": _rest,
    "daily_limit": _limit,
    "innings_limit": _innings,
    "months_off": _months,
    "pitch_type_age": _pitch,
    "log_outing": log_answer,
    "season_total": total_answer,
    "same_day": _same_day,
    "multiple_teams": _teams,
    "catcher_rule": _catcher,
    "unknown": _stay,
    "softball": _baseball_after_all,
}
