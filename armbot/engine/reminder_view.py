"""What reminders know of one athlete at one moment: the same functions the answers use."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from armbot.core.answers import Eligibility, Verdict
from armbot.core.log import DayTotal, by_day, is_appearance
from armbot.core.season import WEEK
from armbot.core.workload import eligibility, may_pitch
from armbot.engine.answer import Scene
from armbot.engine.frames import daily_max, sets_for, who_of
from armbot.engine.say import Voice
from armbot.engine.slots import Frame, Slots
from armbot.model.family import Athlete, Family, Hold, OffSeason, Talk
from armbot.model.library import Library
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import AgeSpan
from armbot.model.reports import Tier
from armbot.model.rules import LONGEST_REST, RuleSet
from armbot.model.talk import PitchCount, Reading

BASEBALL = "baseball"
SORE = "sore"
"""Name of the mark in the record that soreness was reported on its day."""


@dataclass(frozen=True, slots=True)
class View:
    """One athlete of a family at a moment; ``now`` is on the family's own clock."""

    family: Family
    library: Library
    athlete: Athlete
    now: datetime

    @property
    def today(self) -> date:
        """The date where the family lives."""
        return self.now.date()

    @property
    def age(self) -> AgeSpan | None:
        """The age today, as far as it is known."""
        return self.athlete.span_on(self.today)

    @property
    def log(self) -> tuple[Outing, ...]:
        """Every outing of the athlete."""
        return self.family.outings_of(self.athlete.id)

    @property
    def hold(self) -> Hold | None:
        """The hold on the athlete, if there is one."""
        return self.family.hold_of(self.athlete.id)

    @property
    def frame(self) -> Frame:
        """The athlete as the answering functions take it."""
        return Frame(self.age, "record", (), self.athlete)

    def scene(self, voice: Voice) -> Scene:
        """The surroundings as the answering functions take them: no message, no topic."""
        reading = Reading("", voice.lang)
        return Scene(self.family, reading, self.library, voice, self.now, "", "default")

    @property
    def by_chart(self) -> bool:
        """Whether the charts speak of this athlete: baseball, and the age is known."""
        return self.athlete.sport == BASEBALL and self.age is not None

    @property
    def rulesets(self) -> tuple[RuleSet, ...]:
        """The health guideline and the leagues the family named."""
        return sets_for(self.scene(Voice(self.library, self.family.lang)), self.frame)

    @property
    def days(self) -> dict[date, DayTotal]:
        """The log by day; empty where it holds an outing that cannot be true."""
        try:
            return by_day(self.log)
        except ValueError:
            return {}


def view_of(family: Family, library: Library, athlete: Athlete, now: datetime) -> View:
    """The athlete at a moment given in any zone."""
    return View(family, library, athlete, now.astimezone(ZoneInfo(family.zone)))


def eligible(view: View) -> Eligibility | None:
    """The first day to pitch again; None where no chart can say.

    Outings so old that no rest or week of any rule set reaches them are left out: the day
    is the same as over the whole log, and a long log costs no more than a short one.
    """
    last = last_pitched(view)
    if not view.by_chart or last is None:
        return None
    reach = last - timedelta(days=LONGEST_REST + WEEK)
    recent = [outing for outing in view.log if outing.day >= reach]
    try:
        return eligibility(view.rulesets, who_of(view.frame), recent)
    except ValueError:  # an age is missing, no row fits, or an outing cannot be true
        return None


def verdict(view: View, day: date) -> Verdict | None:
    """Whether the rules allow pitching on a day; None where no chart can say."""
    if not view.by_chart:
        return None
    try:
        return may_pitch(view.rulesets, who_of(view.frame), view.log, day)
    except ValueError:
        return None


def most_in_a_day(view: View, voice: Voice, day: date) -> int | None:
    """The daily limit at the age on ``day``; None where there is none to tell."""
    return daily_max(view.scene(voice), view.frame, day) if view.by_chart else None


def slots_of(view: View, day: date) -> Slots:
    """A day's counts as if they had just been told, for the notes beside a number."""
    games = [o for o in view.log if o.day == day and o.kind is OutingKind.GAME]
    counts = tuple(PitchCount(o.pitches, o.outs, o.day) for o in games if o.pitches is not None)
    frame = Frame(view.age, "record", counts, view.athlete)
    return Slots("rest_days", (frame,))


def last_pitched(view: View) -> date | None:
    """The last day with pitching in a game."""
    return max((outing.day for outing in view.log if is_appearance(outing)), default=None)


def waits_for_an_answer(view: View) -> bool:
    """Whether throwing answers wait: a safety question is open, or today was called off."""
    return any(_silences(talk, view) for talk in _talks(view.family))


def _talks(family: Family) -> Iterator[Talk]:
    yield family.talk
    yield from (member.talk for member in family.members)


def _silences(talk: Talk, view: View) -> bool:
    about = talk.athlete in ("", view.athlete.id)
    return about and (talk.tier is Tier.ASK or talk.off_on == view.today)


def off_season_on(family: Family, athlete: str, day: date) -> OffSeason | None:
    """The planned off-season that a day lies in."""
    own = (off for off in family.off_seasons if off.athlete == athlete)
    return next((off for off in own if off.first <= day <= off.last), None)


def cleared_since(view: View, day: date) -> bool:
    """Whether a hold was ended on or after a day: then the clinician's plan leads."""
    zone = view.now.tzinfo
    own = (c for c in view.family.clearances if c.athlete in ("", view.athlete.id))
    return any(clearance.at.astimezone(zone).date() >= day for clearance in own)


def mark(name: str, about: str) -> str:
    """The key of a mark in the record, such as that of soreness: never that of a reminder."""
    return f"mark.{name}.{about}"


def marked_on(family: Family, name: str, about: str) -> date | None:
    """The last day on which the mark was set."""
    key = mark(name, about)
    return max((entry.day for entry in family.done if entry.key == key), default=None)


def sore_until(view: View) -> date | None:
    """The last day that the stricter soreness rule keeps free; None after no soreness."""
    sore = marked_on(view.family, SORE, view.athlete.id)
    if sore is None:
        return None
    return sore + timedelta(days=view.library.reminders.soreness.strict.value - 1)


def throwing_run(days: Sequence[date], last: date) -> int:
    """How many days in a row, up to ``last``, are among ``days``."""
    thrown, run = frozenset(days), 0
    while last - timedelta(days=run) in thrown:
        run += 1
    return run
