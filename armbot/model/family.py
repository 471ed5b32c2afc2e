"""The unit of everything kept: one family, its athletes, outings, reports and holds.

Frozen values, without a word on how they are stored (armbot/store/records.py).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime
from enum import StrEnum

from armbot.model.outbox import Outgoing
from armbot.model.outings import Outing
from armbot.model.people import AgeSpan, BirthMonth
from armbot.model.reports import Tier


@dataclass(frozen=True, slots=True)
class Athlete:
    """A young thrower: nickname, birth month if known, else an age as told on a day."""

    id: str
    name: str = ""
    birth: BirthMonth | None = None
    age: AgeSpan | None = None
    age_told_on: date | None = None
    division: str = ""
    rules: tuple[str, ...] = ()
    sport: str = "baseball"
    arm: str = ""
    """The throwing arm: "right", "left", "both", or "" where not told."""

    def span_on(self, day: date) -> AgeSpan | None:
        """The age on ``day`` as far as it is known."""
        if self.birth:
            years = self.birth.age_on(day)
            return AgeSpan(years, years)
        return self.age


@dataclass(frozen=True, slots=True)
class Report:
    """A sign reported in a message: what the clinic will read."""

    at: datetime
    athlete: str
    tier: Tier
    signs: tuple[str, ...]
    said: str
    id: str = ""
    answered: str = ""
    """What the family was told."""
    told: int = 0
    """How many times staff were told of it."""
    told_at: datetime | None = None
    read_at: datetime | None = None
    """When a staff member said that it was read; None while nobody did."""


@dataclass(frozen=True, slots=True)
class Hold:
    """No throwing for this athlete until a clearance is recorded."""

    athlete: str
    since: datetime
    tier: Tier


@dataclass(frozen=True, slots=True)
class Clearance:
    """A recorded end of a hold: by which role, when."""

    athlete: str
    at: datetime
    role: str


@dataclass(frozen=True, slots=True)
class Talk:
    """The open end of the conversation: what was asked, and what is known so far."""

    topic: str = ""
    answer: str = ""
    asks: str = ""
    recent: tuple[str, ...] = ()
    age: AgeSpan | None = None
    age_kind: str = ""
    pitches: int | None = None
    outs: int | None = None
    thrown: date | None = None
    ask_day: date | None = None
    pitch_type: str = ""
    athlete: str = ""
    pending: str = ""
    """An act waiting for a yes, such as "delete:<outing id>"."""
    logged: tuple[str, ...] = ()
    """Outing ids written in this exchange, so that a correction replaces them."""
    why: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    tier: Tier = Tier.NONE
    doubted: int | None = None
    """A count too high to be believed, that was asked about."""
    at_large: bool = False
    """What was asked was asked about nobody in particular."""
    at: datetime | None = None
    """When the last message of it was answered."""
    off_on: date | None = None
    """The day on which a sign was asked about and settled: no throwing on that day."""


class Role(StrEnum):
    """Who writes from a chat."""

    GUARDIAN = "guardian"
    ATHLETE = "athlete"
    UNKNOWN = "unknown"
    """Has not said yet."""


@dataclass(frozen=True, slots=True)
class Consent:
    """What was agreed to, and when; ``version`` is that of the text shown."""

    version: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Form:
    """A row of questions under way: the step it stands at, and what was answered so far."""

    name: str
    step: str
    answers: tuple[tuple[str, str], ...] = ()

    def answer(self, step: str) -> str:
        """What was answered at a step; "" where nothing was."""
        return dict(self.answers).get(step, "")


@dataclass(frozen=True, slots=True)
class Member:
    """One chat that belongs to the family.

    ``athlete`` is the athlete's id where the chat is the athlete's own. ``turn`` counts
    what was said to it, so that a button of an earlier turn is known to be stale.
    ``reachable`` is false once the channel said that the chat is blocked or gone.
    """

    chat: int
    role: Role = Role.UNKNOWN
    athlete: str = ""
    lang: str = "en"
    lang_chosen: bool = False
    consent: Consent | None = None
    reachable: bool = True
    greeted: bool = False
    talk: Talk = field(default_factory=Talk)
    form: Form | None = None
    turn: int = 0


@dataclass(frozen=True, slots=True)
class JoinCode:
    """A one-time code by which one more chat joins the family.

    ``digest`` is a hash of the code: the code itself is shown once and kept nowhere.
    ``athlete`` is set where the code is for that athlete's own phone.
    """

    digest: str
    role: Role
    until: datetime
    athlete: str = ""


@dataclass(frozen=True, slots=True)
class OffSeason:
    """A planned time without throwing: first and last day, both included."""

    athlete: str
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Planned:
    """A day on which an athlete is meant to pitch."""

    athlete: str
    day: date


@dataclass(frozen=True, slots=True)
class Quiet:
    """Hours of the family's day without reminders: from ``first`` up to ``last``.

    Whole hours, 0 to 23; 21 and 8 are nine in the evening to eight in the morning; equal
    means that no hours are quiet.
    """

    first: int = 21
    last: int = 8

    def covers(self, hour: int) -> bool:
        """Whether the hour that begins so is quiet."""
        if self.first <= self.last:
            return self.first <= hour < self.last
        return hour >= self.first or hour < self.last


@dataclass(frozen=True, slots=True)
class Done:
    """A reminder that was dealt with: sent, or found of no use any more."""

    key: str
    day: date


@dataclass(frozen=True, slots=True)
class Family:
    """Everything the bot knows of one family."""

    id: str
    lang: str = "en"
    lang_chosen: bool = False
    zone: str = "America/New_York"
    athletes: tuple[Athlete, ...] = ()
    outings: tuple[tuple[str, Outing], ...] = ()
    """(athlete id, outing), in the order told."""
    reports: tuple[Report, ...] = ()
    holds: tuple[Hold, ...] = ()
    clearances: tuple[Clearance, ...] = ()
    talk: Talk = field(default_factory=Talk)
    greeted: bool = False
    next_id: int = 1
    members: tuple[Member, ...] = ()
    codes: tuple[JoinCode, ...] = ()
    quiet: Quiet = field(default_factory=Quiet)
    muted: tuple[str, ...] = ()
    """Kinds of reminders that are turned off."""
    off_seasons: tuple[OffSeason, ...] = ()
    planned: tuple[Planned, ...] = ()
    done: tuple[Done, ...] = ()
    """Reminders dealt with, the last weeks of them."""
    due: datetime | None = None
    """When the next reminder or alert has to be looked at; None when nothing is coming."""
    outbox: tuple[Outgoing, ...] = ()
    seen: tuple[int, ...] = ()
    """Update ids already acted on, the last of them."""
    told_in: tuple[tuple[int, int, tuple[str, ...]], ...] = ()
    """(chat, message, outing ids) of the last messages that told an outing: an edit of such
    a message corrects them."""

    def hold_of(self, athlete: str) -> Hold | None:
        """The hold on an athlete; a hold on nobody in particular is on everybody."""
        return next((h for h in self.holds if h.athlete in (athlete, "")), None)

    def outings_of(self, athlete: str) -> tuple[Outing, ...]:
        """The log of one athlete."""
        return tuple(outing for owner, outing in self.outings if owner == athlete)

    def member(self, chat: int) -> Member | None:
        """The member who writes from that chat."""
        return next((m for m in self.members if m.chat == chat), None)

    def athlete(self, key: str) -> Athlete | None:
        """The athlete with that id."""
        return next((a for a in self.athletes if a.id == key), None)


def with_outing(family: Family, athlete: str, outing: Outing) -> tuple[Family, Outing]:
    """The family with one more outing, under a fresh id."""
    numbered = replace(outing, id=f"o{family.next_id}")
    grown = replace(
        family, outings=(*family.outings, (athlete, numbered)), next_id=family.next_id + 1
    )
    return grown, numbered


def without_outings(family: Family, ids: tuple[str, ...]) -> Family:
    """The family without the outings of those ids."""
    return replace(family, outings=tuple((a, o) for a, o in family.outings if o.id not in ids))


def with_member(family: Family, member: Member) -> Family:
    """The family with that member in the place of the one of the same chat, or added."""
    if family.member(member.chat) is None:
        return replace(family, members=(*family.members, member))
    members = tuple(member if m.chat == member.chat else m for m in family.members)
    return replace(family, members=members)


def new_athlete_id(family: Family) -> str:
    """An id that no athlete of the family has, also where only a part of them is in sight.

    Ids count up with ``next_id``, which ``seen_by`` never sets back.
    """
    numbers = [int(a.id[1:]) for a in family.athletes if a.id[1:].isdigit()]
    return f"a{max([family.next_id - 1, *numbers]) + 1}"
