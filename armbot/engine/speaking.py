"""From an answer to messages that lie ready to be sent, with their buttons and their mark."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from armbot.engine.decide import Decision, decide
from armbot.engine.say import Voice, fit, paragraphs
from armbot.engine.seen import brought_back, seen_by
from armbot.engine.signed import is_draft
from armbot.language.grammar import Grammar
from armbot.model.family import Family, Member, Report, Role, with_member
from armbot.model.incoming import Incoming
from armbot.model.library import Library
from armbot.model.outbox import Button, Outgoing, Urgency
from armbot.model.reports import Tier

_KEPT_TOLD = 40
"""Messages that told an outing, kept so that an edit can correct them."""
_LABEL = 40


@dataclass(frozen=True, slots=True)
class Bot:
    """What every message is answered with.

    ``zones`` are the names of all time zones; ``trial`` lets unsigned content out under a
    mark; without it an answer that rests on anything unsigned is not given. ``link`` is what
    a code is put behind to make a link that opens the chat, "" where that is not known.
    """

    grammar: Grammar
    zones: Sequence[str]
    trial: bool = False
    link: str = ""

    @property
    def library(self) -> Library:
        """The content."""
        return self.grammar.library

    def voice(self, member: Member) -> Voice:
        """The bot in that member's language."""
        return Voice(self.library, member.lang)


@dataclass(frozen=True, slots=True)
class Reply:
    """What is said to one chat. ``attach`` names a file, as in Outgoing."""

    text: str
    buttons: tuple[Button, ...] = ()
    urgency: Urgency = Urgency.REPLY
    grants: bool = False
    attach: str = ""


@dataclass(frozen=True, slots=True)
class Answered:
    """The family with the answer in its outbox, and the report that staff must learn of."""

    family: Family
    report: Report | None


def say(family: Family, incoming: Incoming, reply: Reply, bot: Bot) -> Family:
    """The family with a reply to ``incoming`` ready to be sent, under the mark of a trial."""
    member = family.member(incoming.chat) or Member(incoming.chat)
    today = incoming.at.astimezone(ZoneInfo(family.zone)).date()
    number = sum(o.key.startswith(f"u{incoming.id}.") for o in family.outbox) + 1
    message = Outgoing(
        f"u{incoming.id}.{number}",
        incoming.chat,
        reply.urgency,
        paragraphs(reply.text, mark(bot, "greeting", member.lang, today)),
        incoming.at,
        reply.buttons,
        grants=reply.grants,
        attach=reply.attach,
    )
    return replace(family, outbox=(*family.outbox, message))


def mark(bot: Bot, topic: str, lang: str, today: date) -> str:
    """The words that no clinician has signed this; "" where one has, or none may go out."""
    draft = bot.trial and is_draft(bot.library, topic, lang, today)
    return Voice(bot.library, lang).say("draft") if draft else ""


def marked(before: Family, after: Family, bot: Bot, today: date) -> Family:
    """The family whose new messages all bear the mark of a trial, whoever wrote them."""
    if not bot.trial:
        return after
    old = {message.key for message in before.outbox}
    outbox = []
    for message in after.outbox:
        member = after.member(message.chat) or Member(message.chat)
        words = mark(bot, "greeting", member.lang, today)
        bare = message.key in old or not words or message.text.endswith(words)
        outbox.append(message if bare else replace(message, text=paragraphs(message.text, words)))
    return replace(after, outbox=tuple(outbox))


def answered(
    family: Family, member: Member, incoming: Incoming, bot: Bot, now: datetime
) -> Answered:
    """The engine's answer to a text, in the outbox; a new hold takes back what grants."""
    own = seen_by(family, member)
    decision = decide(own, incoming.text, bot.grammar, now)
    decision = _if_signed(decision, bot, now.astimezone(ZoneInfo(family.zone)).date())
    after = brought_back(family, member, decision.family)
    report = decision.alert
    if report is not None:
        report = replace(report, answered=decision.turn.reply)
        after = replace(after, reports=(*after.reports[:-1], report))
    after = _remembering(family, after, incoming)
    after = _turned(after, incoming.chat)
    after = say(after, incoming, _reply(decision, after, incoming.chat, bot), bot)
    if len(after.holds) > len(family.holds):
        after = taken_back(after, f"u{incoming.id}.", bot)
    if report is not None and member.role is Role.ATHLETE:
        after = _guardians_told(after, member, incoming, bot)
    return Answered(after, report)


def _turned(family: Family, chat: int) -> Family:
    """One turn on: buttons of earlier turns are stale from here."""
    member = family.member(chat)
    return with_member(family, replace(member, turn=member.turn + 1)) if member else family


def _reply(decision: Decision, family: Family, chat: int, bot: Bot) -> Reply:
    turn = decision.turn
    member = family.member(chat) or Member(chat)
    tier = Tier[turn.tier.upper()]
    text = turn.reply
    if tier >= Tier.STOP and member.role is Role.ATHLETE:
        text = _to_a_child(text, bot.voice(member))
    return Reply(
        text,
        tuple(
            Button(words[:_LABEL], f"answer:{member.turn}:{place}")
            for place, words in enumerate(turn.choices)
        ),
        Urgency.SAFETY if tier >= Tier.STOP else Urgency.REPLY,
        grants=decision.grants,
    )


def _to_a_child(text: str, voice: Voice) -> str:
    """The safety message as an athlete reads it alone: after what to do, whom to tell."""
    first, _, rest = text.partition("\n\n")
    return fit(paragraphs(first, voice.say("tell_grown_up"), rest))


def _if_signed(decision: Decision, bot: Bot, today: date) -> Decision:
    """The decision, or "no signed answer" on a live channel; a safety message always goes."""
    turn = decision.turn
    safety = turn.tier != Tier.NONE.word or turn.hold
    if bot.trial or safety or not is_draft(bot.library, turn.topic, turn.lang, today):
        return decision
    voice = Voice(bot.library, turn.lang)
    text = paragraphs(voice.say("no_signed_answer"), voice.say("nobody_watches"))
    return replace(decision, turn=replace(turn, reply=text, choices=(), why=()), grants=False)


def _remembering(before: Family, after: Family, incoming: Incoming) -> Family:
    """The family that knows which message told which outings."""
    known = {outing.id for _, outing in before.outings}
    ids = tuple(outing.id for _, outing in after.outings if outing.id not in known)
    if not ids:
        return after
    told = (incoming.chat, incoming.message, ids)
    return replace(after, told_in=(*after.told_in, told)[-_KEPT_TOLD:])


def taken_back(family: Family, stem: str, bot: Bot) -> Family:
    """The family whose unsent messages no longer grant: a hold came before they went.

    ``stem`` is the beginning of the keys of the answer that brought the hold.
    """
    kept = []
    for message in family.outbox:
        if not message.grants or message.key.startswith(stem):
            kept.append(message)
        elif message.urgency is Urgency.REPLY:
            member = family.member(message.chat) or Member(message.chat)
            name = bot.voice(member).say("the_athlete")
            text = bot.voice(member).say("hold_on", name=name[:1].upper() + name[1:])
            kept.append(replace(message, text=text, buttons=(), grants=False, attach=""))
    return replace(family, outbox=tuple(kept))


def _guardians_told(family: Family, member: Member, incoming: Incoming, bot: Bot) -> Family:
    """The grown-ups of an athlete who reported a sign from its own phone hear of it."""
    athlete = family.athlete(member.athlete)
    for number, other in enumerate(family.members):
        if other.role is not Role.GUARDIAN or other.consent is None or not other.reachable:
            continue
        voice = bot.voice(other)
        name = athlete.name if athlete and athlete.name else voice.say("the_athlete")
        text = paragraphs(voice.say("child_reported", name=name), voice.say("nobody_watches"))
        message = Outgoing(
            f"u{incoming.id}.g{number}", other.chat, Urgency.SAFETY, text, incoming.at
        )
        family = replace(family, outbox=(*family.outbox, message))
    return family
