"""What one thing that a chat sent does to its family: the order of things on a live channel.

Danger signs come before forms, settings, buttons and files: the engine's safety check reads
every text first, whatever the chat was in the middle of.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum
from zoneinfo import ZoneInfo

from armbot.engine import codes, joining, record_csv, reminder_answers, settings
from armbot.engine.admission import may_talk
from armbot.engine.chores import Chore, command_act, do_chore, menu
from armbot.engine.say import Voice, fit, paragraphs
from armbot.engine.speaking import Bot, Reply, answered, say
from armbot.language.checking import check_signs
from armbot.model.family import Family, Member, Report, Talk, with_member, without_outings
from armbot.model.incoming import Incoming, Kind
from armbot.model.reports import Tier

_KEPT_SEEN = 50
"""Update ids kept: a repeated update comes soon after the first or not at all."""


class Guest(Enum):
    """Whose chat it is, as far as the channel's settings know."""

    FAMILY = "family"
    STRANGER = "stranger"
    """Nobody invited: danger signs are answered, and nothing else."""
    STAFF = "staff"
    """Of the clinic: asks as anybody may, and joins nothing."""


@dataclass(frozen=True, slots=True)
class Handled:
    """The family afterwards; ``report`` is what staff must learn, ``erase`` that it is to go."""

    family: Family
    report: Report | None = None
    erase: bool = False


@dataclass(frozen=True, slots=True)
class Call:
    """One incoming thing and all it is answered with."""

    family: Family
    member: Member
    incoming: Incoming
    bot: Bot
    now: datetime
    guest: Guest
    chance: str

    @property
    def voice(self) -> Voice:
        """The bot in the member's language."""
        return self.bot.voice(self.member)

    @property
    def admitted(self) -> bool:
        """Whether more than danger signs is answered."""
        return self.guest is Guest.STAFF or may_talk(self.family, self.member, self.now)

    def says(self, text: str) -> Call:
        """The same call with other words."""
        return replace(self, incoming=replace(self.incoming, text=text))

    def reply(self, reply: Reply | str) -> Handled:
        """The family with one reply, and nothing else changed."""
        ready = Reply(reply) if isinstance(reply, str) else reply
        return Handled(say(self.family, self.incoming, ready, self.bot))


def handle(  # noqa: PLR0913 - one thing, and all it is answered with
    family: Family,
    incoming: Incoming,
    bot: Bot,
    now: datetime,
    guest: Guest = Guest.FAMILY,
    chance: str = "",
) -> Handled:
    """Act on one incoming thing of a family at ``now`` (aware). Never raises for any text.

    Something acted on before changes nothing. The chat becomes a member of the family when
    it is not one yet. ``chance`` is a fresh random code, for whoever asks for one.
    """
    if incoming.id in family.seen:
        return Handled(family)
    member = family.member(incoming.chat) or Member(incoming.chat, lang=incoming.lang or "en")
    call = Call(with_member(family, member), member, incoming, bot, now, guest, chance)
    done = _BY_KIND[incoming.kind](call)
    seen = (*done.family.seen, incoming.id)[-_KEPT_SEEN:]
    return replace(done, family=replace(done.family, seen=seen))


def _text(call: Call) -> Handled:
    """A typed message: danger signs, then an open form, then chores, then the engine."""
    text = call.incoming.text
    plain = call.admitted and call.member.form is None
    act = _act_of(call) if plain else ""
    # The engine begins with the danger signs itself; before all else they are looked for here.
    if (plain and not act) or check_signs(text, call.bot.grammar).tier >= Tier.ASK:
        return _decided(call)
    if act:
        return _chore(call, act)
    if call.guest is Guest.STRANGER:
        return call.reply(call.voice.say("invitation_needed"))
    return _form(call, text) if call.member.form is not None else _begin(call)


def _act_of(call: Call) -> str:
    """The chore that a text asks for; "" where it asks for none."""
    text = call.incoming.text
    return command_act(text) or settings.understands(text, call.member.lang, call.bot.library)


def _decided(call: Call) -> Handled:
    reply = answered(call.family, call.member, call.incoming, call.bot, call.now)
    return Handled(reply.family, reply.report)


def _form(call: Call, text: str) -> Handled:
    bot = call.bot
    return _said(
        call, joining.step(call.family, call.member, text, bot.library, call.now, bot.zones)
    )


def _begin(call: Call) -> Handled:
    code = codes.use(call.family, call.incoming.text.strip(), call.now)
    chat, lang = call.member.chat, call.member.lang
    return _said(
        call,
        joining.begin(call.family, chat, lang, call.now, call.bot.library, code, call.bot.zones),
    )


def _said(call: Call, said: joining.Said) -> Handled:
    reply = Reply(said.text, said.choices)
    after = say(said.family, call.incoming, reply, call.bot)
    return Handled(after, erase=said.act == "erase")


def _chore(call: Call, act: str) -> Handled:
    done = do_chore(Chore(call.family, call.member, act, call.bot, call.now, call.chance))
    family = done.family
    for reply in done.replies:
        family = say(family, call.incoming, reply, call.bot)
    return Handled(family)


def _edit(call: Call) -> Handled:
    """New words for a message: what the old ones put into the log is taken out first."""
    place = (call.incoming.chat, call.incoming.message)
    family = call.family
    for told in family.told_in:
        if told[:2] == place:
            family = without_outings(family, told[2])
    kept = tuple(told for told in family.told_in if told[:2] != place)
    member = call.member
    if member.talk.tier is Tier.NONE:
        # The old words are not part of the conversation any more; an open safety question is.
        member = replace(member, talk=Talk())
    family = with_member(replace(family, told_in=kept), member)
    return _text(replace(call, family=family, member=member))


def _media(call: Call) -> Handled:
    """Pictures and voices are for a clinician's eyes and ears; a caption is a text."""
    look = Reply(call.voice.say("media_look"))
    if not call.incoming.text.strip():
        return call.reply(look)
    done = _text(call)
    return replace(done, family=say(done.family, call.incoming, look, call.bot))


def _file(call: Call) -> Handled:
    """A table of outings; anything else is answered like a picture, its words read as ever."""
    table = record_csv.looks_like(call.incoming.text)
    if not (call.admitted and table):
        alarming = check_signs(call.incoming.text, call.bot.grammar).tier >= Tier.ASK
        return _media(call if alarming else call.says(""))
    today = call.now.astimezone(ZoneInfo(call.family.zone)).date()
    done = record_csv.read_csv(call.family, call.incoming.text, call.bot.library, today)
    text = fit("\n".join(done.lines))
    if check_signs(call.incoming.text, call.bot.grammar).tier >= Tier.STOP:
        text = paragraphs(call.voice.say("file_has_signs"), text)  # a note may hold a sign
    return Handled(say(done.family, call.incoming, Reply(text), call.bot))


def _button(call: Call) -> Handled:
    """A button: an answer to what was asked, a step of a form, a chore, a reminder's answer."""
    act = call.incoming.text
    kind, _, rest = act.partition(":")
    if kind == "answer" and (chosen := _choice(call.member, rest)) is not None:
        return _text(call.says(chosen))
    if kind == "form" and call.guest is Guest.FAMILY:
        return _form(call, act)
    if call.admitted and kind in ("set", "do"):
        return _chore(call, act)
    if call.admitted and kind == "rem":
        return _reminder(call)
    return call.reply(call.voice.say("button_stale"))


def _choice(member: Member, rest: str) -> str | None:
    """The words of a choice; None where the question it answers is over."""
    turn, _, place = rest.partition(":")
    choices = member.talk.choices
    if turn != str(member.turn) or not place.isdecimal() or int(place) >= len(choices):
        return None
    return choices[int(place)]


def _reminder(call: Call) -> Handled:
    """What a reminder's button stands for; a report is read as if it had been typed."""
    done = reminder_answers.answer(
        call.family, call.member, call.incoming.text, call.bot.library, call.now
    )
    member = done.family.member(call.member.chat) or call.member
    after = replace(call, family=done.family, member=member)
    return _decided(after.says(done.says)) if done.says else after.reply(done.text)


def _started(call: Call) -> Handled:
    """The first contact, or one more: never a second consent from the same chat."""
    if call.guest is Guest.STAFF:
        return call.reply(call.voice.say("staff_hello"))
    # A code is no message: its letters may spell "ow" by chance.
    code = codes.use(call.family, call.incoming.text.strip(), call.now)
    if code is None and check_signs(call.incoming.text, call.bot.grammar).tier >= Tier.ASK:
        return _decided(call)
    if call.guest is Guest.STRANGER:
        return call.reply(call.voice.say("invitation_needed"))
    if call.admitted:
        return call.reply(Reply(call.voice.say("welcome_back"), menu(call.voice)))
    return _begin(call)


def _reachable(call: Call) -> Handled:
    """Blocked: nothing more is sent there; the record stays. Unblocked: it may again."""
    back = call.incoming.kind is Kind.UNBLOCKED
    family = with_member(call.family, replace(call.member, reachable=back))
    if not back:
        outbox = tuple(o for o in family.outbox if o.chat != call.member.chat)
        family = replace(family, outbox=outbox)
    return Handled(family)


def _group(call: Call) -> Handled:
    """One answer for ever: health talk does not belong where others read."""
    if call.member.greeted:
        return Handled(call.family)
    family = with_member(call.family, replace(call.member, greeted=True))
    return replace(call, family=family).reply(call.voice.say("group_private"))


def _moved(call: Call) -> Handled:
    """A group with a new number: what was said there stays said."""
    if not call.incoming.text.removeprefix("-").isdecimal():
        return Handled(call.family)
    old, new = call.member.chat, int(call.incoming.text)
    family = call.family
    members = tuple(replace(m, chat=new) if m.chat == old else m for m in family.members)
    outbox = tuple(replace(o, chat=new) if o.chat == old else o for o in family.outbox)
    return Handled(replace(family, members=members, outbox=outbox))


_BY_KIND: Mapping[Kind, Callable[[Call], Handled]] = {
    Kind.TEXT: _text,
    Kind.EDIT: _edit,
    Kind.BUTTON: _button,
    Kind.MEDIA: _media,
    Kind.FILE: _file,
    Kind.STARTED: _started,
    Kind.BLOCKED: _reachable,
    Kind.UNBLOCKED: _reachable,
    Kind.GROUP: _group,
    Kind.MOVED: _moved,
}
