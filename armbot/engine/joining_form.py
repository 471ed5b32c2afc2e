"""The parts a form is made of: what is asked, what was heard, and the place it stands at."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from armbot.core.zones import Zones
from armbot.engine.say import Voice
from armbot.model.family import Family, Form, Member, Role
from armbot.model.library import Library
from armbot.model.outbox import Button


@dataclass(frozen=True, slots=True)
class Said:
    """What is said to one chat, and the family afterwards.

    ``act`` is what only the caller can do: "erase" (remove the record), else "".
    """

    family: Family
    text: str
    choices: tuple[Button, ...] = ()
    act: str = ""


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything a step may look at; nothing changes under it."""

    family: Family
    member: Member
    form: Form
    library: Library
    now: datetime
    zones: Zones

    @property
    def voice(self) -> Voice:
        """The bot in the member's language."""
        return Voice(self.library, self.member.lang)

    @property
    def today(self) -> date:
        """The date where the family lives."""
        return self.now.astimezone(ZoneInfo(self.family.zone)).date()

    @property
    def own(self) -> bool:
        """Whether the member is the athlete the form is about, and is spoken to so."""
        return self.answer("role") == Role.ATHLETE or (
            not self.answer("role") and self.member.role is Role.ATHLETE
        )

    @property
    def name(self) -> str:
        """The athlete's nickname, as far as it is told."""
        found = self.family.athlete(self.answer("athlete"))
        return self.answer("name") or (found.name if found else "")

    def answer(self, step: str) -> str:
        """What was answered at a step; "" where nothing was."""
        return self.form.answer(step)

    def say(self, key: str, **values: object) -> str:
        """A phrase, in the words for an athlete where it is one who reads it.

        ``key`` with "_you" behind it is the phrase for athletes, where there is one.
        """
        own = f"{key}_you"
        spoken = own if self.own and own in self.library.words.phrases[self.voice.lang] else key
        return self.voice.say(
            spoken, **{"name": self.name or self.voice.say("the_child"), **values}
        )


@dataclass(frozen=True, slots=True)
class Question:
    """What a step asks, and the likely answers as buttons.

    ``again`` is a shorter text for asking it once more, where the first one is long.
    """

    text: str
    buttons: tuple[Button, ...] = ()
    again: str = ""


@dataclass(frozen=True, slots=True)
class Heard:
    """What a step made of a text.

    ``answers`` finish the step; without any the question is put again, after ``hint`` and
    with ``buttons`` where they are narrower. ``notes`` are kept either way.
    """

    answers: tuple[tuple[str, str], ...] = ()
    hint: str = ""
    buttons: tuple[Button, ...] = ()
    notes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """One question of a form.

    ``hear`` reads typed words, ``pick`` the value of one of its buttons.
    """

    name: str
    ask: Callable[[Scene], Question]
    hear: Callable[[Scene, str], Heard]
    pick: Callable[[Scene, str], Heard]


def button(step: str, value: str, label: str) -> Button:
    """A button that answers a step."""
    return Button(label, f"form:{step}:{value}")


def with_answers(form: Form, answers: Iterable[tuple[str, str]]) -> Form:
    """The form with these answers, each in the place of an earlier one of its step."""
    return replace(form, answers=tuple({**dict(form.answers), **dict(answers)}.items()))


def without_answers(form: Form, steps: Sequence[str]) -> Form:
    """The form as if those steps had not been answered."""
    return replace(form, answers=tuple(a for a in form.answers if a[0] not in steps))
