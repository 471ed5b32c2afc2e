"""Days on which an athlete is meant to pitch: told in words, kept for the rule check before.

While a hold stands no day is taken and none is shown.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from armbot.engine.joining_form import Said, Scene
from armbot.engine.joining_steps import PLANNED
from armbot.engine.joining_words import MOST_WORDS, is_just, words_in
from armbot.engine.say import fit, paragraphs
from armbot.language.days import DayReader, resolve_future
from armbot.language.normal import clean
from armbot.language.tokens import tokenize
from armbot.model.family import Athlete, Family, Form, Planned, with_member
from armbot.model.outbox import Button

STEP = "day"
MOST_PLANNED = 24
"""Planned days kept for one athlete: more than a season's outings ahead."""


def question(scene: Scene, athlete: Athlete) -> Said:
    """The days on record, and which to add; on hold that there are none."""
    if scene.family.hold_of(athlete.id) is not None:
        return _on_hold(scene, athlete)
    form = Form(PLANNED, STEP, (("athlete", athlete.id),))
    family = with_member(scene.family, replace(scene.member, form=form))
    days = days_ahead(family, athlete.id, scene.today)
    shown = scene.voice.listing([scene.voice.day(day) for day in days])
    known = scene.say("plan_known", name=_name(scene, athlete), days=shown) if days else ""
    ask = scene.say("plan_ask", name=_name(scene, athlete))
    return Said(family, fit(paragraphs(known, ask)), remove_buttons(scene, athlete.id, days))


def remove_buttons(scene: Scene, athlete: str, days: Iterable[date]) -> tuple[Button, ...]:
    """A button for each planned day that takes it off the list."""
    return tuple(
        Button(scene.say("label_unplan", day=scene.voice.day(day)), f"set:unplan:{athlete}:{day}")
        for day in days
    )


def days_ahead(family: Family, athlete: str, today: date) -> tuple[date, ...]:
    """The planned days of an athlete from today on, the next first."""
    days = {p.day for p in family.planned if p.athlete == athlete and p.day >= today}
    return tuple(sorted(days))


def answered(scene: Scene, kind: str, value: str) -> Said:
    """Days typed are added; "stop" or "none" leaves; anything else is asked again."""
    athlete = scene.family.athlete(scene.form.answer("athlete"))
    left = with_member(scene.family, replace(scene.member, form=None))
    done = any(is_just(scene.library, value, key) for key in ("stop", "back", "none", "no"))
    if athlete is None or (done and not kind):
        return Said(left, scene.say("form_stopped"))
    if scene.family.hold_of(athlete.id) is not None:
        return _on_hold(scene, athlete)
    days = () if kind else read_days(scene, value)
    if days:
        return _saved(scene, left, athlete, days)
    again = question(scene, athlete)
    hint = scene.say("hint_day") if value and not kind else ""
    return replace(again, text=fit(paragraphs(hint, again.text)))


def _saved(scene: Scene, left: Family, athlete: Athlete, days: tuple[date, ...]) -> Said:
    name = _name(scene, athlete)
    planned = _with_days(left, athlete.id, days, scene.today)
    if len(days_ahead(planned, athlete.id, scene.today)) > MOST_PLANNED:
        return Said(left, scene.say("plan_full", name=name))
    shown = scene.voice.listing([scene.voice.day(day) for day in days])
    text = scene.say("plan_saved", name=name, days=shown)
    return Said(planned, fit(text), remove_buttons(scene, athlete.id, days))


def read_days(scene: Scene, text: str) -> tuple[date, ...]:
    """The days from today on that a text names, within a year."""
    if len(words_in(text)) > MOST_WORDS:
        return ()
    tokens = tokenize(clean(text).text)
    reader = DayReader(scene.library.words)
    mentions = reader.read(tokens, scene.today, spanish=scene.voice.lang == "es")
    days = {resolve_future(mention, scene.today) for mention in mentions}
    return tuple(sorted(day for day in days if day >= scene.today))


def _with_days(family: Family, athlete: str, days: Iterable[date], today: date) -> Family:
    """The family with these days planned; days gone by fall off the list."""
    ahead = tuple(p for p in family.planned if p.day >= today)
    new = tuple(Planned(athlete, day) for day in days)
    return replace(family, planned=(*ahead, *(p for p in new if p not in ahead)))


def _on_hold(scene: Scene, athlete: Athlete) -> Said:
    family = with_member(scene.family, replace(scene.member, form=None))
    return Said(family, scene.say("hold_on", name=_name(scene, athlete)))


def _name(scene: Scene, athlete: Athlete) -> str:
    return athlete.name or scene.voice.say("the_child")
