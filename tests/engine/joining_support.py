"""A chat that joins, played answer by answer, for the tests of joining, settings and record."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING

from conversation import NOW, ROOT, grammar, phrase

from armbot.content.zones import load_zones
from armbot.engine import joining, settings
from armbot.engine.joining import Said
from armbot.engine.say import TELEGRAM_LIMIT, units
from armbot.model.family import Athlete, Consent, Family, Member, Role
from armbot.model.people import BirthMonth

if TYPE_CHECKING:
    from datetime import datetime

    from armbot.core.zones import Zones
    from armbot.model.family import Form, JoinCode

CHAT = 7
LIBRARY = grammar().library
GUARDIAN = Member(1, Role.GUARDIAN, consent=Consent("1", NOW), lang_chosen=True)
BEAR = Athlete("a1", "Bear", BirthMonth(2014, 6), arm="left", rules=("little_league",))


@cache
def zones() -> Zones:
    """The shipped table of time zones."""
    return load_zones(ROOT / "content")


def joined(*members: Member, athletes: tuple[Athlete, ...] = (BEAR,)) -> Family:
    """A family that has joined: a guardian and one athlete, unless others are given."""
    return Family("f", athletes=athletes, members=members or (GUARDIAN,), next_id=9)


@dataclass(slots=True)
class Chat:
    """One chat of a family; ``said`` is the last thing it was told."""

    said: Said
    number: int = CHAT
    now: datetime = NOW

    @property
    def family(self) -> Family:
        """The family as it is now."""
        return self.said.family

    @property
    def member(self) -> Member:
        """The member of this chat."""
        member = self.family.member(self.number)
        assert member is not None
        return member

    @property
    def form(self) -> Form:
        """The form under way."""
        assert self.member.form is not None
        return self.member.form

    @property
    def acts(self) -> list[str]:
        """What the buttons shown would do."""
        return [button.act for button in self.said.choices]

    def tell(self, *texts: str) -> Chat:
        """Answer, one text after the other; each reply is one that a chat can take."""
        for text in texts:
            self.said = joining.step(self.family, self.member, text, LIBRARY, self.now, zones())
            sound(self.said)
        return self

    def tap(self, *acts: str) -> Chat:
        """Press buttons, each of which must be on the screen."""
        for act in acts:
            assert act in self.acts, f"{act} is not among {self.acts}"
            self.tell(act)
        return self

    def set(self, act: str) -> Chat:
        """Do what an act of the settings says."""
        self.said = settings.act(self.family, self.member, act, LIBRARY, self.now, zones())
        sound(self.said)
        return self


def begun(
    family: Family | None = None,
    lang: str = "en",
    code: JoinCode | None = None,
    chat: int = CHAT,
    now: datetime = NOW,
) -> Chat:
    """A chat at its first contact."""
    said = joining.begin(family or Family("f"), chat, lang, now, LIBRARY, code, zones())
    sound(said)
    return Chat(said, chat, now)


def at_step(step: str, lang: str = "en", /, **told: str) -> Chat:
    """A guardian's chat that stands at a step of joining, with these answers given."""
    chat = begun(lang=lang).tell("form:consent:guardian")
    answers = tuple(chat.form.answers + tuple(told.items()))
    member = replace(chat.member, lang=lang, form=replace(chat.form, step=step, answers=answers))
    chat.said = replace(chat.said, family=replace(chat.family, members=(member,)))
    return chat


def opened(family: Family, lang: str = "en") -> Chat:
    """The guardian's chat of a family that has joined, in a language."""
    members = tuple(replace(m, lang=lang) for m in family.members)
    return Chat(Said(replace(family, members=members, lang=lang), ""), members[0].chat)


def sound(said: Said) -> None:
    """What holds of everything said: words, not too many, and buttons that fit."""
    assert said.text.strip()
    assert units(said.text) <= TELEGRAM_LIMIT
    for button in said.choices:
        assert button.label.strip()
        assert len(button.act.encode()) <= 48, button.act


def tells(said: Said, lang: str, key: str, **values: object) -> bool:
    """Whether a phrase stands in what was said."""
    return phrase(lang, key, **values) in said.text
