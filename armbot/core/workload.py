"""Rest, eligibility and may-pitch over several rule sets at once.

The health guideline always speaks; a league set is added to it; the stricter answers
and each is named. A set from memory can only move a date back.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from armbot.core.ages import Who, choose_group
from armbot.core.answers import Eligibility, Reason, RestAnswer, Rule, SetAnswer, Verdict
from armbot.core.bars import RESTS, bars
from armbot.core.flags import flags_of
from armbot.core.log import DayTotal, by_day, pitched_days
from armbot.core.rest import (
    confirmed,
    first_day_after,
    longest_rest,
    rest_for,
    strictest_rest,
)
from armbot.core.sameday import limits, outs_left, same_day_bars
from armbot.core.view import View
from armbot.model.rules import RuleKind, RuleSet

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from armbot.model.outings import Outing

__all__ = ["applicable_sets", "eligibility", "first_day_after", "may_pitch", "rest_for"]

_HORIZON = 60
"""Days searched for an open one: far longer than any rest or window a set can hold."""

Days = Mapping[date, DayTotal]


@dataclass(frozen=True, slots=True)
class _Asked:
    """What stays the same while days are tried one after the other."""

    rulesets: Sequence[RuleSet]
    who: Who
    days: Days

    def views(self, day: date) -> list[View]:
        """One view per rule set that has a row for the athlete on ``day``."""
        chosen = ((rules, choose_group(rules, self.who, day)) for rules in self.rulesets)
        return [
            View(rules, self.who, self.days, day, choice)
            for rules, choice in chosen
            if choice is not None
        ]

    def uncovered(self, day: date) -> tuple[str, ...]:
        """The league sets that have no row for the athlete on ``day``."""
        covering = {view.ruleset.id for view in self.views(day)}
        leagues = (r.id for r in self.rulesets if r.kind is not RuleKind.HEALTH_GUIDELINE)
        return tuple(name for name in leagues if name not in covering)


def applicable_sets(
    library: Mapping[str, RuleSet], named: Iterable[str] = (), sport: str = "baseball"
) -> tuple[RuleSet, ...]:
    """Every health guideline of ``sport``, then the league sets the family named.

    Raises ValueError for a set the library does not hold.
    """
    always = [
        rules
        for rules in library.values()
        if rules.kind is RuleKind.HEALTH_GUIDELINE and rules.sport == sport
    ]
    chosen = {rules.id: rules for rules in always}
    for key in named:
        if key not in library:
            raise ValueError(f"no rule set '{key}'; known: {', '.join(sorted(library))}")
        chosen[key] = library[key]
    return tuple(chosen.values())


def eligibility(
    rulesets: Sequence[RuleSet],
    who: Who,
    outings: Iterable[Outing],
    *,
    asking: date | None = None,
) -> Eligibility:
    """The first day no set bars pitching, over the whole log up to ``asking``.

    Outings of one day are added up, whatever the team; rest of every outing runs from
    its own day, so one thrown on a rest day must satisfy both. The answer lies after
    the last day pitched and not before ``asking``.

    Raises AgeNeeded when a set needs an age, ValueError for an impossible outing, for
    an athlete no set covers, or when there is neither an outing nor ``asking``.
    """
    days = by_day(outings, asking)
    asked = _Asked(rulesets, who, days)
    pitched = pitched_days(days)
    if not pitched:
        return _never_pitched(asked, asking)
    last = pitched[-1]
    answers = [_set_answer(asked, rules, last) for rules in _covering(asked, last)]
    answers.sort(key=lambda answer: answer.first_eligible, reverse=True)
    free = max(answer.first_eligible for answer in answers)
    rest_on = _days_between(last, free)
    return Eligibility(
        first_eligible=free if asking is None else max(free, asking),
        rest_on=rest_on,
        rest_days=len(rest_on),
        binding=tuple(reason for answer in answers for reason in answer.reasons),
        by_set=tuple(answers),
        flags=flags_of(asked.views(last)),
        missing_counts=_missing(days),
        confirmed=any(answer.confirmed for answer in answers),
        uncovered=asked.uncovered(last),
        table_days=_table_days(asked, rest_on),
    )


def _table_days(asked: _Asked, rest_on: Sequence[date]) -> int:
    """Days after the last outing up to the last one that a rest table bars."""
    barred = [
        number
        for number, day in enumerate(rest_on, start=1)
        if any(reason.rule in RESTS for reason in _bars_on(asked, day))
    ]
    return max(barred, default=0)


def _never_pitched(asked: _Asked, asking: date | None) -> Eligibility:
    if asking is None:
        raise ValueError("there is no pitching outing and no day asked about")
    views = asked.views(asking)
    backed = any(confirmed(view.choice) for view in views)
    return Eligibility(
        asking,
        (),
        0,
        (),
        flags=flags_of(views),
        confirmed=backed,
        uncovered=asked.uncovered(asking),
    )


def _covering(asked: _Asked, day: date) -> list[RuleSet]:
    """The sets with a row for the athlete; none at all is an error, not a yes."""
    covering = [view.ruleset for view in asked.views(day)]
    if not covering:
        raise ValueError("no rule set given covers this athlete's age")
    return covering


def _days_between(last: date, free: date) -> tuple[date, ...]:
    return tuple(last + timedelta(days=ago) for ago in range(1, (free - last).days))


def _missing(days: Days) -> tuple[date, ...]:
    return tuple(day for day, total in days.items() if total.pitched and total.pitches is None)


def _set_answer(asked: _Asked, rules: RuleSet, last: date) -> SetAnswer:
    """One set's own first eligible day, with the reasons that bar the day before it."""
    alone = _Asked((rules,), asked.who, asked.days)
    free = _first_open(alone, last + timedelta(days=1))
    choice = alone.views(last)[0].choice
    total = asked.days[last]
    answer = _rest_of_day(rules, alone.views(last)[0], total)
    before = free - timedelta(days=1)
    reasons = _bars_on(alone, before) if before > last else ()
    if not reasons and answer is not None:
        reasons = (_free_of_rest(rules, choice.group.id, total, answer),)
    dated = tuple(_with(reason, first_eligible=free) for reason in reasons)
    return SetAnswer(rules.id, free, dated, answer, last, choice, confirmed(choice))


def _rest_of_day(rules: RuleSet, view: View, total: DayTotal) -> RestAnswer | None:
    if total.pitches is None:
        return longest_rest(rules, view.choice)
    return strictest_rest(rules, view.choice, total.pitches) if total.pitches else None


def _free_of_rest(rules: RuleSet, group: str, total: DayTotal, answer: RestAnswer) -> Reason:
    """A set that owes no rest still says so, with its own band."""
    facts: dict[str, int | str | date] = {
        "day": total.day,
        "pitches": total.known,
        "rest": answer.rest,
        "unit": answer.unit.value,
        "whole_days": answer.whole_days,
        "first_count": answer.first_count,
        "group": group,
    }
    if answer.last_count is not None:
        facts["last_count"] = answer.last_count
    return Reason(Rule.REST, rules.id, answer.cite, facts)


def _with(reason: Reason, **facts: int | str | date) -> Reason:
    return replace(reason, facts={**reason.facts, **facts})


def _bars_on(asked: _Asked, day: date) -> tuple[Reason, ...]:
    return tuple(reason for view in asked.views(day) for reason in bars(view))


def _first_open(asked: _Asked, start: date) -> date:
    """The first day from ``start`` on that earlier days do not bar."""
    for ahead in range(_HORIZON):
        day = start + timedelta(days=ahead)
        if not _bars_on(asked, day):
            return day
    raise ValueError(f"no open day within {_HORIZON} days of {start}: check the rule sets' limits")


def may_pitch(
    rulesets: Sequence[RuleSet], who: Who, outings: Iterable[Outing], day: date
) -> Verdict:
    """Whether every set allows pitching on ``day``, and how many pitches are left.

    Outings after ``day`` do not count. Not allowed either when only figures from memory
    would allow it, when no set covers the athlete, or below the youngest row of any set.
    ``first_eligible`` looks at earlier days only: where a reason is the athlete's row
    itself (MAY_NOT_PITCH, BELOW_TABLE, NOT_CONFIRMED) no date may be told.
    Raises AgeNeeded and ValueError as ``eligibility`` does, and without any rule set.
    """
    if not rulesets:
        raise ValueError("no rule set given: nothing can allow pitching")
    days = by_day(outings, day)
    asked = _Asked(rulesets, who, days)
    views = asked.views(day)
    barred = _bars_on(asked, day) + tuple(r for view in views for r in same_day_bars(view))
    barred += _unbacked(rulesets, views)
    found = tuple(reason for view in views for reason in limits(view))
    start = day + timedelta(days=1) if barred else day
    return Verdict(
        allowed=not barred,
        first_eligible=_first_open(asked, start),
        pitches_left=0 if barred else _least(found),
        reasons=barred or found,
        flags=flags_of(views),
        missing_counts=_missing(days),
        outs_left=_least_outs(views),
        uncovered=asked.uncovered(day),
    )


def _unbacked(rulesets: Sequence[RuleSet], views: Sequence[View]) -> tuple[Reason, ...]:
    """A reason against a yes that no figure read in print stands behind."""
    if any(confirmed(view.choice) for view in views) or not rulesets:
        return ()
    first = rulesets[0]
    return (Reason(Rule.NOT_CONFIRMED, first.id, first.rest_count_cite),)


def _least(found: Sequence[Reason]) -> int | None:
    left = [value for reason in found if isinstance(value := reason.facts["left"], int)]
    return min(left, default=None)


def _least_outs(views: Sequence[View]) -> int | None:
    left = [outs for view in views if (outs := outs_left(view)) is not None]
    return min(left, default=None)
