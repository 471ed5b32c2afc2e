"""Chores: what a family has done that is no question about throwing.

An act is "set:..." for a setting, or "do:..." for a file, an invitation, an off-season.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from armbot.engine import codes, off_season, record, settings
from armbot.engine.joining_form import Said
from armbot.engine.reminder_people import tongue_for
from armbot.engine.say import Voice, paragraphs, sentence
from armbot.engine.speaking import Bot, Reply
from armbot.model.family import Athlete, Family, Member, Role
from armbot.model.outbox import Button

_CODE_DAYS = 2
"""How long a family's own code is good: it is made with the other phone at hand."""
_LABEL = 24


@dataclass(frozen=True, slots=True)
class Chore:
    """One act, of whom, and with what; ``chance`` is a fresh random code."""

    family: Family
    member: Member
    act: str
    bot: Bot
    now: datetime
    chance: str

    @property
    def voice(self) -> Voice:
        """The bot in the member's language."""
        return self.bot.voice(self.member)

    @property
    def rest(self) -> str:
        """What stands behind the act's two words."""
        return self.act.split(":", 2)[2] if self.act.count(":") > 1 else ""

    def says(self, *replies: Reply | str) -> Done:
        """Replies, and nothing changed."""
        return Done(self.family, tuple(Reply(r) if isinstance(r, str) else r for r in replies))


@dataclass(frozen=True, slots=True)
class Done:
    """The family afterwards, and what is said."""

    family: Family
    replies: tuple[Reply, ...]


def do_chore(chore: Chore) -> Done:
    """Do what the act says; one that is not known is answered by what can be done."""
    bot = chore.bot
    if chore.act.startswith("set:"):
        said = settings.act(
            chore.family, chore.member, chore.act, bot.library, chore.now, bot.zones
        )
        return _said(said)
    name = chore.act.split(":")[1] if ":" in chore.act else ""
    return _BY_NAME.get(name, _help)(chore)


def _said(said: Said) -> Done:
    return Done(said.family, (Reply(said.text, said.choices),))


def menu(voice: Voice) -> tuple[Button, ...]:
    """The few things that have a button of their own."""
    acts = {"settings": "set:show", "chart": "do:chart", "calendar": "do:calendar"}
    acts["help"] = "do:help"
    return tuple(Button(voice.say(f"menu_{name}"), act) for name, act in acts.items())


def _help(chore: Chore) -> Done:
    voice = chore.voice
    text = paragraphs(voice.say("help"), sentence(voice.say("worse"), voice.say("nobody_watches")))
    return chore.says(Reply(text, menu(voice)))


def _data(chore: Chore) -> Done:
    return _said(
        record.summary(chore.family, chore.member, chore.bot.library, chore.now, chore.bot.zones)
    )


def _export(chore: Chore) -> Done:
    """The whole record, and the outings as a table: the grown-ups' to take along."""
    if not settings.may_change(chore.family, chore.member):
        return chore.says(chore.voice.say("set_grown_up"))
    say = chore.voice.say
    return chore.says(
        Reply(say("export_record"), attach="record"), Reply(say("export_outings"), attach="outings")
    )


def _import(chore: Chore) -> Done:
    return chore.says(chore.voice.say("import_how"))


def _erase(chore: Chore) -> Done:
    return _said(record.erase_question(chore.family, chore.member, chore.bot.library, chore.now))


def _invite(chore: Chore) -> Done:
    """A code for one more grown-up."""
    return _code(chore, Role.GUARDIAN, None)


def _phone(chore: Chore) -> Done:
    """A code for an athlete's own phone; where there are several, it is asked whose."""
    athlete = _chosen(chore)
    if athlete is None:
        return _which(chore, "phone")
    return _code(chore, Role.ATHLETE, athlete)


def _code(chore: Chore, role: Role, athlete: Athlete | None) -> Done:
    if chore.member.role is not Role.GUARDIAN:
        return chore.says(chore.voice.say("set_grown_up"))
    until = chore.now + timedelta(days=_CODE_DAYS)
    key = athlete.id if athlete else ""
    family = codes.make(chore.family, role, key, chore.chance, until)
    name = athlete.name if athlete and athlete.name else chore.voice.say("the_athlete")
    link = f"{chore.bot.link}{chore.chance}" if chore.bot.link else f"/start {chore.chance}"
    phrase = "code_athlete" if athlete else "code_guardian"
    text = chore.voice.say(phrase, link=link, name=name, days=_CODE_DAYS)
    return Done(family, (Reply(text),))


def _chart(chore: Chore) -> Done:
    athlete = _chosen(chore)
    if athlete is None:
        return _which(chore, "chart")
    return chore.says(Reply("", attach=f"chart:{athlete.id}"))


def _calendar(chore: Chore) -> Done:
    return chore.says(Reply(chore.voice.say("calendar_here"), attach="calendar"))


def _off(chore: Chore) -> Done:
    """A proposed off-season, and a button to plan it so."""
    athlete = _chosen(chore)
    if athlete is None:
        return _which(chore, "off")
    today = _today(chore)
    tongue = tongue_for(chore.member, athlete, chore.bot.library)
    found = off_season.propose(chore.family, athlete, chore.bot.library, today)
    if found is None:
        text = off_season.no_proposal_text(chore.family, athlete, tongue, today)
        return chore.says(text)
    text = off_season.proposal_text(chore.family, found, tongue)
    agree = Button(chore.voice.say("off_agree"), f"do:plan:{athlete.id}")
    held = chore.family.hold_of(athlete.id) is not None
    return chore.says(Reply(text, () if held else (agree,)))


def _plan(chore: Chore) -> Done:
    """The off-season that was proposed, as it would be proposed now."""
    athlete = chore.family.athlete(chore.rest)
    if athlete is None:
        return chore.says(chore.voice.say("button_stale"))
    tongue = tongue_for(chore.member, athlete, chore.bot.library)
    found = off_season.propose(chore.family, athlete, chore.bot.library, _today(chore))
    if found is None:
        text = off_season.no_proposal_text(chore.family, athlete, tongue, _today(chore))
        return chore.says(text)
    family = off_season.plan(chore.family, found)
    return Done(family, (Reply(off_season.planned_text(family, found, tongue)),))


def _chosen(chore: Chore) -> Athlete | None:
    """The athlete named in the act, or the only one there is to this member."""
    if chore.rest:
        return chore.family.athlete(chore.rest)
    own = [a for a in chore.family.athletes if chore.member.athlete in ("", a.id)]
    return own[0] if len(own) == 1 else None


def _which(chore: Chore, name: str) -> Done:
    """Which athlete it is about; or that there is none yet."""
    athletes = chore.family.athletes
    if not athletes:
        return chore.says(chore.voice.say("no_athlete_yet"))
    buttons = tuple(
        Button((a.name or chore.voice.say("the_athlete"))[:_LABEL], f"do:{name}:{a.id}")
        for a in athletes
    )
    return chore.says(Reply(chore.voice.say("log_which_child"), buttons))


def _today(chore: Chore) -> date:
    return chore.now.astimezone(ZoneInfo(chore.family.zone)).date()


_BY_NAME: Mapping[str, Callable[[Chore], Done]] = {
    "help": _help,
    "data": _data,
    "export": _export,
    "import": _import,
    "erase": _erase,
    "invite": _invite,
    "phone": _phone,
    "chart": _chart,
    "calendar": _calendar,
    "off": _off,
    "plan": _plan,
}
COMMANDS = {
    "help": "do:help",
    "settings": "set:show",
    "chart": "do:chart",
    "calendar": "do:calendar",
    "data": "do:data",
}
"""The commands of the menu besides /start, and the acts that they are."""


def command_act(text: str) -> str:
    """The act of a command such as "/chart" or "/chart@name"; "" where it is none."""
    if not text.startswith("/"):
        return ""
    words = text[1:].split(maxsplit=1)
    return COMMANDS.get(words[0].partition("@")[0].lower(), "") if words else ""
