"""Every way a rule set can bar pitching on a day, each as one small function.

A bar looks back from the day asked about and yields a reason or nothing. Adding an
outing can only add bars, which is why more throwing never brings a date forward.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.core.ages import choose_group
from armbot.core.answers import Fact, Reason, Rule
from armbot.core.rest import (
    first_day_after,
    innings_rule,
    longest_rest,
    rest_in_older_row,
    strictest_rest,
    whole_days,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from armbot.core.ages import GroupChoice
    from armbot.core.log import DayTotal
    from armbot.core.view import View
    from armbot.model.rules import Figure

WEEK = 7
"""Days in the trailing window of a weekly limit: any seven days running, since the
careful week is not the calendar's."""
FOUR_DAYS = 4
"""Days in the window of a four-day limit."""


def rest_owed(view: View) -> Iterator[Reason]:
    """The rest of each earlier outing, counted from its own day."""
    for total in view.pitched_before():
        yield from _rest_of(view, total)


def _rest_of(view: View, total: DayTotal) -> Iterator[Reason]:
    choice = choose_group(view.ruleset, view.who, total.day)
    if choice is None:
        return
    missing = total.pitches is None
    answer = (
        longest_rest(view.ruleset, choice)
        if total.pitches is None
        else strictest_rest(view.ruleset, choice, total.pitches)
    )
    if answer is None or view.day >= first_day_after(total.day, answer.whole_days):
        return
    facts: dict[str, Fact] = {
        "day": total.day,
        "pitches": total.known,
        "rest": answer.rest,
        "unit": answer.unit.value,
        "whole_days": answer.whole_days,
        "first_count": answer.first_count,
        "group": choice.group.id,
    }
    if answer.last_count is not None:
        facts["last_count"] = answer.last_count
    rule = Rule.COUNT_MISSING if missing else Rule.REST
    yield Reason(rule, view.ruleset.id, answer.cite, facts)


def beyond_table(view: View) -> Iterator[Reason]:
    """A count above every band of its row: at least the rest an older row asks for it.

    An unknown count may be such a one wherever the row's table ends.
    """
    for total in view.pitched_before():
        choice = choose_group(view.ruleset, view.who, total.day)
        if choice is not None:
            yield from _beyond(view, total, choice)


def _beyond(view: View, total: DayTotal, choice: GroupChoice) -> Iterator[Reason]:
    count = total.pitches
    rules, last = view.ruleset, choice.group.bands[-1].last if choice.group.bands else None
    if last is None or (count is not None and count <= last):
        return
    floor = rest_in_older_row(rules, choice.group, count)
    if floor is None:
        return
    row, band = floor
    rest = whole_days(rules.rest_count, band.rest)
    if view.day < first_day_after(total.day, rest):
        facts: dict[str, Fact] = {"day": total.day, "pitches": total.known, "rest": band.rest}
        facts |= {"last_count": last, "group": row.id}
        rule = Rule.COUNT_MISSING if count is None else Rule.BEYOND_TABLE
        yield Reason(rule, rules.id, band.cite, facts)


def consecutive_days(view: View) -> Iterator[Reason]:
    """Too many days running, whatever the counts."""
    limit = view.ruleset.side.consecutive_days
    if limit is not None and view.run() >= limit.value:
        yield view.reason(Rule.CONSECUTIVE_DAYS, limit.cite, limit=limit.value, run=view.run())


def rest_after_two_days(view: View) -> Iterator[Reason]:
    """Days off owed after pitching on two days running."""
    owed = view.ruleset.side.rest_after_two_days
    if owed is None:
        return
    pairs = (view.back(ago).pitched and view.back(ago + 1).pitched for ago in _upto(owed.value))
    if any(pairs):
        yield view.reason(Rule.REST_AFTER_TWO_DAYS, owed.cite, rest=owed.value)


def _upto(count: int) -> range:
    return range(1, count + 1)


def appearances(view: View) -> Iterator[Reason]:
    """Too many appearances within so many days, two on one day counting twice."""
    rule = view.ruleset.side.appearances
    if rule is None:
        return
    most, within = rule
    made = sum(total.appearances for total in view.window(within.value))
    if made >= most.value:
        yield view.reason(
            Rule.APPEARANCES, most.cite, limit=most.value, within=within.value, made=made
        )


def next_day_bar(view: View) -> Iterator[Reason]:
    """A long outing the day before, or one whose count is not known."""
    limit = view.ruleset.side.next_day_bar
    if limit is None:
        return
    before = view.back(1)
    if before.pitches is None or before.pitches > limit.value:
        yield view.reason(
            Rule.NEXT_DAY_BAR, limit.cite, limit=limit.value, pitches=before.known, day=before.day
        )


def innings(view: View) -> Iterator[Reason]:
    """Limits by innings, in outs; an outing without innings counts as the daily limit."""
    rule = innings_rule(view.choice)
    if rule is None:
        return
    before = outs_counted(view, view.back(1))
    limit = rule.outs_to_pitch_next_day
    if limit is not None and before > limit:
        yield view.reason(
            Rule.INNINGS_NEXT_DAY, rule.cite, limit_outs=limit, outs=before, day=view.back(1).day
        )
    for limit, within in innings_windows(view):
        outs = sum(outs_counted(view, total) for total in view.window(within))
        if outs >= limit:
            yield view.reason(
                Rule.INNINGS_WINDOW, rule.cite, limit_outs=limit, outs=outs, within=within
            )


def innings_windows(view: View) -> list[tuple[int, int]]:
    """(outs, days including the day asked about) of every window that applies."""
    rule = innings_rule(view.choice)
    if rule is None:
        return []
    windows = (
        (rule.outs_per_two_days, 2),
        (rule.outs_per_three_days, 3),
        (rule.outs_per_week, WEEK),
    )
    limits = [(outs, days) for outs, days in windows if outs is not None]
    # "So many in N days: rest the next day" looks at the N days before the day asked.
    return limits + [(outs, days + 1) for outs, days in rule.bars_next_day]


def outs_counted(view: View, total: DayTotal) -> int:
    """Outs of a day; the daily limit where they are not known."""
    if total.outs is not None:
        return total.outs
    rule = innings_rule(view.choice)
    return (rule.outs_per_day or 0) if rule else 0


def pitches_counted(view: View, total: DayTotal, *, practice: bool) -> int:
    """Pitches of a day; the daily maximum where a game's count is not known."""
    limit = view.figure(lambda group: group.daily_max)
    game = total.pitches
    if game is None:
        game = max(total.known, limit.value if limit else 0)
    return game + (total.practice if practice else 0)


def week_max(view: View) -> Iterator[Reason]:
    """All full-effort throws of any seven days, bullpens and lessons included."""
    yield from _sum_limit(view, Rule.WEEK_MAX, WEEK)


def four_day_max(view: View) -> Iterator[Reason]:
    """Game pitches of any four days."""
    yield from _sum_limit(view, Rule.FOUR_DAY_MAX, FOUR_DAYS)


def sum_limit(view: View, rule: Rule) -> Figure | None:
    """The limit of a summing rule for the rows that fit."""
    if rule is Rule.WEEK_MAX:
        return view.figure(lambda group: group.week_max)
    return view.figure(lambda group: group.four_day_max)


def thrown_within(view: View, rule: Rule, within: int) -> int:
    """What counts toward a summing rule on the days before, the day itself left out."""
    practice = rule is Rule.WEEK_MAX
    return sum(pitches_counted(view, total, practice=practice) for total in view.window(within))


def _sum_limit(view: View, rule: Rule, within: int) -> Iterator[Reason]:
    limit = sum_limit(view, rule)
    if limit is None:
        return
    thrown = thrown_within(view, rule, within)
    if thrown >= limit.value:
        yield view.reason(rule, limit.cite, limit=limit.value, thrown=thrown, within=within)


def throwing_days(view: View) -> Iterator[Reason]:
    """Too many throwing days in any seven."""
    limit = view.figure(lambda group: group.throwing_days_per_week)
    if limit is None:
        return
    count = sum(1 for total in view.window(WEEK) if total.threw)
    if count >= limit.value:
        yield view.reason(
            Rule.THROWING_DAYS, limit.cite, limit=limit.value, days=count, within=WEEK
        )


def later_day_limit(view: View) -> tuple[Figure, int] | None:
    """The ceiling of this consecutive day and its number; past the table it stays closed."""
    rows = [group.later_day_max for group in view.choice.candidates if group.later_day_max]
    if not rows:
        return None
    number = view.run() + 1
    figures = [row[number - 1] if number <= len(row) else row[-1] for row in rows]
    return min(figures, key=lambda figure: figure.value), number


def later_day_max(view: View) -> Iterator[Reason]:
    """A consecutive day for which the table gives nothing."""
    found = later_day_limit(view)
    if found is None:
        return
    limit, number = found
    lengths = [len(g.later_day_max) for g in view.choice.candidates if g.later_day_max]
    if limit.value == 0 or number > min(lengths):
        yield view.reason(Rule.LATER_DAY_MAX, limit.cite, limit=0, day_number=number)


LOOKING_BACK: tuple[Callable[[View], Iterator[Reason]], ...] = (
    rest_owed,
    beyond_table,
    consecutive_days,
    rest_after_two_days,
    appearances,
    next_day_bar,
    innings,
    week_max,
    four_day_max,
    throwing_days,
    later_day_max,
)
"""Every bar that comes from earlier days."""


RESTS = frozenset(
    {Rule.REST, Rule.BEYOND_TABLE, Rule.COUNT_MISSING, Rule.REST_AFTER_TWO_DAYS, Rule.NEXT_DAY_BAR}
)
"""The rules that ask for rest after what was thrown; the others limit days, sums or games."""


def bars(view: View) -> tuple[Reason, ...]:
    """Every reason from earlier days why this set does not allow pitching on the day."""
    return tuple(reason for bar in LOOKING_BACK for reason in bar(view))
