"""One rule set looked at for one athlete on one day: what every bar is given."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from itertools import takewhile
from typing import TYPE_CHECKING

from armbot.core.answers import Fact, Reason, Rule
from armbot.core.log import DayTotal
from armbot.core.rest import lowest
from armbot.model.rules import LONGEST_REST

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date

    from armbot.core.ages import GroupChoice, Who
    from armbot.model.cite import Cite
    from armbot.model.rules import Figure, Group, RuleSet


@dataclass(frozen=True, slots=True)
class View:
    """One rule set, one athlete, one log, one day asked about."""

    ruleset: RuleSet
    who: Who
    days: Mapping[date, DayTotal]
    day: date
    choice: GroupChoice

    def back(self, days: int) -> DayTotal:
        """The total of so many days before (0: the day itself)."""
        when = self.day - timedelta(days=days)
        return self.days.get(when, DayTotal(when))

    def window(self, length: int) -> list[DayTotal]:
        """The totals of the ``length - 1`` days before: with the day itself, ``length``."""
        return [self.back(ago) for ago in range(1, length)]

    def pitched_before(self) -> list[DayTotal]:
        """The earlier days pitched whose rest could still reach the day, oldest first."""
        first = self.day - timedelta(days=LONGEST_REST + 1)
        totals = (total for day, total in self.days.items() if first <= day < self.day)
        found = [total for total in totals if total.pitched and total.pitches != 0]
        return sorted(found, key=lambda total: total.day)

    def run(self) -> int:
        """How many days running, up to the day before, were pitched."""
        earlier = (self.back(ago) for ago in range(1, len(self.days) + 1))
        return sum(1 for _ in takewhile(lambda total: total.pitched, earlier))

    def figure(self, read: Callable[[Group], Figure | None]) -> Figure | None:
        """The lowest of a figure over the rows that fit."""
        return lowest(self.choice, read)

    def reason(self, rule: Rule, cite: Cite, **facts: Fact) -> Reason:
        """A reason of this set, with the row it was read from."""
        return Reason(rule, self.ruleset.id, cite, {"group": self.choice.group.id, **facts})
