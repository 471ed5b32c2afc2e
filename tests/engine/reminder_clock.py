"""A simulated clock over one family: it jumps to what is due or to what happens next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from conversation import grammar

from armbot.engine import off_season
from armbot.engine.clearance import clear
from armbot.engine.decide import decide
from armbot.engine.reminder_answers import answer
from armbot.engine.reminders import next_due, remind, rescheduled
from armbot.model.family import Consent, Family, Member, Planned, Role, with_member, with_outing
from armbot.model.library import Library
from armbot.model.outbox import Outgoing
from armbot.model.outings import Outing

LATE = timedelta(seconds=5)
"""How long after its moment a tick comes."""
AGREED = Consent("1", datetime(2026, 1, 1, tzinfo=UTC))


def library() -> Library:
    """The shipped content."""
    return grammar().library


def guardian(chat: int, lang: str = "en") -> Member:
    """A parent's chat that has agreed."""
    return Member(chat, Role.GUARDIAN, lang=lang, consent=AGREED)


def own_chat(chat: int, athlete: str, lang: str = "en") -> Member:
    """An athlete's own chat that has agreed."""
    return Member(chat, Role.ATHLETE, athlete, lang=lang, consent=AGREED)


def local(text: str, zone: str) -> datetime:
    """A moment from "2026-09-12 14:30" on the clocks of a zone."""
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone))


@dataclass(frozen=True, slots=True)
class Told:
    """One reminder as it was put into the outbox."""

    at: datetime
    zone: str
    message: Outgoing

    @property
    def local(self) -> datetime:
        """When, on the family's own clock of that day."""
        return self.at.astimezone(ZoneInfo(self.zone))


Step = Callable[["Clock"], None]


class Clock:
    """Drives a family through what happens, and keeps every reminder it gets."""

    def __init__(self, family: Family) -> None:
        self.family = family
        self.now = datetime(2026, 1, 1, tzinfo=UTC)
        self.told: list[Told] = []
        self.replies: list[str] = []
        self.down_until: datetime | None = None

    @property
    def today(self) -> date:
        """The date where the family lives."""
        return self.now.astimezone(ZoneInfo(self.family.zone)).date()

    def run(self, events: list[tuple[datetime, Step]], until: datetime) -> None:
        """Everything that happens until then, in the order of time."""
        for at, step in sorted(events, key=lambda event: event[0]):
            self._tick_until(at)
            self.now = max(at, self.now)
            step(self)
            self.family = replace(self.family, due=next_due(self.family, library(), self.now))
        self._tick_until(until)

    def _tick_until(self, end: datetime) -> None:
        while (due := self.family.due) is not None and self._wakes(due) < end:
            self.now = self._wakes(due)
            self.family = remind(self.family, library(), self.now)
            assert self.family.due is None or self.family.due > self.now
            self.told += [Told(self.now, self.family.zone, m) for m in self.family.outbox]
            self.family = replace(self.family, outbox=())

    def _wakes(self, due: datetime) -> datetime:
        wakes = max(due, self.now) + LATE
        return max(wakes, self.down_until) if self.down_until else wakes


def says(text: str) -> Step:
    """The family writes something; the bot's reply is kept."""

    def step(clock: Clock) -> None:
        decision = decide(clock.family, text, grammar(), clock.now)
        clock.family = decision.family
        clock.replies.append(decision.turn.reply)

    return step


def presses(kind: str, choice: str) -> Step:
    """A button below the last reminder of that kind; a report goes through the check."""

    def step(clock: Clock) -> None:
        told = next(t for t in reversed(clock.told) if t.message.key.startswith(f"{kind}."))
        button = next(b for b in told.message.buttons if b.act.endswith(f":{choice}"))
        member = clock.family.member(told.message.chat)
        assert member is not None
        done = answer(clock.family, member, button.act, library(), clock.now)
        clock.family = done.family
        if done.says:
            says(done.says)(clock)
        else:
            clock.replies.append(done.text)

    return step


def imports(athlete: str, outing: Outing) -> Step:
    """An outing comes in from a sheet, with its team."""

    def step(clock: Clock) -> None:
        clock.family, _ = with_outing(clock.family, athlete, outing)

    return step


def plans_day(athlete: str, day: date) -> Step:
    """A game in which the athlete is to pitch."""

    def step(clock: Clock) -> None:
        planned = (*clock.family.planned, Planned(athlete, day))
        clock.family = replace(clock.family, planned=planned)

    return step


def plans_off_season(athlete: str) -> Step:
    """The proposal is taken as it is."""

    def step(clock: Clock) -> None:
        known = clock.family.athlete(athlete)
        assert known is not None
        proposed = off_season.propose(clock.family, known, library(), clock.today)
        assert proposed is not None
        clock.family = off_season.plan(clock.family, proposed)

    return step


def cleared(athlete: str, role: str) -> Step:
    """The clinic records a clearance."""

    def step(clock: Clock) -> None:
        clock.family = clear(clock.family, athlete, role, clock.now, library().clinic)

    return step


def moves(zone: str) -> Step:
    """The family's clock is that of another zone from now on."""

    def step(clock: Clock) -> None:
        moved = replace(clock.family, zone=zone)
        clock.family = rescheduled(clock.family, moved, library(), clock.now)

    return step


def joins(member: Member) -> Step:
    """One more chat."""

    def step(clock: Clock) -> None:
        clock.family = with_member(clock.family, member)

    return step


def server_down(until: datetime) -> Step:
    """Nothing wakes the family before then."""

    def step(clock: Clock) -> None:
        clock.down_until = until

    return step
