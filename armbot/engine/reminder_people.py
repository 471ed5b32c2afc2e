"""Whom a reminder goes to, and how each of them is spoken to."""

from __future__ import annotations

from dataclasses import dataclass

from armbot.engine.say import Voice
from armbot.model.family import Athlete, Family, Member, Role
from armbot.model.library import Library

OWN = "_own"
"""End of the key of a phrase that speaks to the athlete, beside the one that speaks of it."""


def recipients(family: Family, athlete: str) -> tuple[Member, ...]:
    """The members a reminder about an athlete goes to: guardians, and the athlete's own chat.

    Only chats that can be reached and whose consent was given. ``athlete`` "" means that
    nobody knows which of them: guardians alone.
    """
    return tuple(
        member
        for member in family.members
        if member.reachable
        and member.consent is not None
        and (member.role is Role.GUARDIAN or is_own(member, athlete))
    )


def is_own(member: Member, athlete: str) -> bool:
    """Whether the chat is that athlete's own."""
    return member.role is Role.ATHLETE and bool(athlete) and member.athlete == athlete


@dataclass(frozen=True, slots=True)
class Tongue:
    """Speaks to one member about one athlete, who may be that member."""

    voice: Voice
    name: str
    own: bool

    def say(self, key: str, **values: object) -> str:
        """The phrase for this listener, with a capital where it begins with the name."""
        known = self.voice.library.words.phrases[self.voice.lang]
        spoken = key + OWN if self.own and key + OWN in known else key
        return _capital(self.voice.say(spoken, name=self.name, **values))


def tongue_for(member: Member, athlete: Athlete | None, library: Library) -> Tongue:
    """How the bot speaks to ``member`` about ``athlete``; None: nobody knows which."""
    voice = Voice(library, member.lang)
    name = athlete.name if athlete and athlete.name else voice.say("rem_nobody")
    return Tongue(voice, name, athlete is not None and is_own(member, athlete.id))


def _capital(text: str) -> str:
    """The text with its first letter large, whatever marks stand before it."""
    place = next((i for i, sign in enumerate(text) if sign.isalnum()), 0)
    return text[:place] + text[place : place + 1].upper() + text[place + 1 :]
