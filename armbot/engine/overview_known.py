"""One athlete's record up to today and the tables that fit, as the overview reads them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from armbot.core.ages import Who, choose_group
from armbot.core.log import DayTotal, by_day
from armbot.core.workload import applicable_sets
from armbot.engine.frames import GUIDELINE
from armbot.model.family import Athlete, Family, OffSeason
from armbot.model.library import Library
from armbot.model.outings import Outing
from armbot.model.rules import RuleSet

WEEKS = 5
"""Weeks shown, the one of today included: what fits a phone in a size that can be read."""
WEEK = 7


@dataclass(frozen=True, slots=True)
class Known:
    """The record of one athlete up to today, and the tables that fit."""

    family: Family
    athlete: Athlete
    library: Library
    today: date
    who: Who
    sets: tuple[RuleSet, ...]
    """Empty where no table held here is meant for the athlete's sport."""
    log: tuple[Outing, ...]
    totals: dict[date, DayTotal]
    start: date
    off_seasons: tuple[OffSeason, ...]
    """Those of the athlete that reach into the days shown, or are to come."""

    def limit(self, day: date) -> int | None:
        """The lowest daily maximum of the tables that fit on ``day``."""
        found = []
        for rules in self.sets:
            try:
                choice = choose_group(rules, self.who, day)
            except ValueError:  # no age: no row
                continue
            if choice is not None:
                found += [row.daily_max.value for row in choice.candidates if row.daily_max]
        return min(found, default=None)

    def local(self, moment: datetime) -> date:
        """The date of ``moment`` where the family lives."""
        return moment.astimezone(ZoneInfo(self.family.zone)).date()

    def hold_since(self) -> date | None:
        """The day on which the hold began; None without one."""
        hold = self.family.hold_of(self.athlete.id)
        return None if hold is None else self.local(hold.since)

    def holds(self) -> list[tuple[date, date | None]]:
        """First and last day of each hold, None where it is not over.

        The day of a clearance is free again, unless the hold began on it.
        """
        owners, family = (self.athlete.id, ""), self.family
        begun = {(r.athlete, r.at) for r in family.reports if r.tier.holds and r.athlete in owners}
        begun |= {(h.athlete, h.since) for h in family.holds if h.athlete in owners}
        return [(self.local(at), self._hold_ended(owner, at)) for owner, at in begun]

    def _hold_ended(self, owner: str, at: datetime) -> date | None:
        """The last day of a hold; that of the report where nothing else is left of it."""
        family, first = self.family, self.local(at)
        if any(h.athlete == owner and h.since <= at for h in family.holds):
            return None
        ends = [c.at for c in family.clearances if c.athlete == owner and c.at >= at]
        return max(first, self.local(min(ends)) - timedelta(days=1)) if ends else first

    def in_off_season(self, day: date) -> bool:
        """Whether no throwing is planned for ``day``."""
        return any(off.first <= day <= off.last for off in self.off_seasons)


def known_of(family: Family, athlete: Athlete, library: Library, today: date) -> Known:
    """What is known of ``athlete`` up to ``today``; ValueError for an impossible outing."""
    log = tuple(outing for outing in family.outings_of(athlete.id) if outing.day <= today)
    monday = today - timedelta(days=today.weekday())
    start = monday - timedelta(days=WEEK * (WEEKS - 1))
    off = (o for o in family.off_seasons if o.athlete == athlete.id and o.last >= start)
    return Known(
        family=family,
        athlete=athlete,
        library=library,
        today=today,
        who=_who(athlete),
        sets=_sets(athlete, library),
        log=log,
        totals=by_day(log),
        start=start,
        off_seasons=tuple(sorted(off, key=lambda o: (o.first, o.last))),
    )


def _who(athlete: Athlete) -> Who:
    if athlete.birth is not None:
        return Who(birth=athlete.birth)
    return Who(age=athlete.age, division=athlete.division or None)


def _sets(athlete: Athlete, library: Library) -> tuple[RuleSet, ...]:
    """The tables the answers go by: none for a sport that has only prose here."""
    if athlete.sport != library.rules[GUIDELINE].sport:
        return ()
    own = [r for r in athlete.rules if r in library.rules]
    usable = [r for r in own if library.rules[r].sport == athlete.sport]
    return applicable_sets(library.rules, usable, athlete.sport)
