"""The shape of what a reminder says, and the buttons below it."""

from __future__ import annotations

from dataclasses import dataclass

from armbot.core.reminders import Item
from armbot.engine.reminder_people import Tongue
from armbot.model.outbox import Button

OK, STOP = "ok", "stop"
"""Answers that every kind knows: taken note of, and no more of this kind."""


@dataclass(frozen=True, slots=True)
class Said:
    """One reminder in words, for one listener.

    ``answers`` are the buttons below it, each the last part of its act; ``grants`` is true
    where the text could be read as leave to throw or names a day on which throwing may
    begin. ``marks`` are set in the record once it is sent.
    """

    text: str
    answers: tuple[str, ...] = (OK,)
    grants: bool = False
    marks: tuple[str, ...] = ()


def act_of(item: Item, answer: str) -> str:
    """What pressing an answer of a reminder means: "rem:<kind>:<athlete>:<date>:<answer>"."""
    return f"rem:{item.kind}:{item.athlete}:{item.day:%Y%m%d}:{answer}"


def buttons_of(item: Item, said: Said, tongue: Tongue) -> tuple[Button, ...]:
    """The buttons below a reminder, in the listener's words."""
    return tuple(Button(tongue.say(f"rem_b_{a}"), act_of(item, a)) for a in said.answers)
