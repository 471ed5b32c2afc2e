"""What must be said beside an answer although it moves no date."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from armbot.core.ages import choose_group
from armbot.core.answers import Reason, Rule
from armbot.core.bars import WEEK, bars
from armbot.core.rest import lowest, strictest_rest
from armbot.core.view import View

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date

_LOOK_BACK = WEEK
"""Days before the one asked about whose outings are worth a word."""


def flags_of(views: Sequence[View]) -> tuple[Reason, ...]:
    """The flags of every set, oldest day first within a set."""
    own = tuple(flag for view in views for flag in _flags(view))
    return own + tuple(flag for view in views[:1] for flag in _mound_work(view))


def _flags(view: View) -> Iterator[Reason]:
    if view.choice.straddles:
        others = ", ".join(group.id for group in view.choice.candidates[1:])
        yield view.reason(Rule.STRADDLES, view.ruleset.rest_count_cite, other=others)
    for day in _recent(view):
        yield from _over_maximum(view, day)
        yield from _rest_broken(view, day)
    yield from _several_teams(view)


def _recent(view: View) -> Iterable[date]:
    first = view.day - timedelta(days=_LOOK_BACK)
    return [day for day in view.days if first <= day <= view.day]


def _over_maximum(view: View, day: date) -> Iterator[Reason]:
    """More than the daily maximum, and counts above every published band."""
    total, choice = view.days[day], choose_group(view.ruleset, view.who, day)
    if choice is None or total.known < 1:
        return
    limit = lowest(choice, lambda group: group.daily_max)
    if limit is not None and total.known > limit.value:
        facts = {"limit": limit.value, "over_by": total.known - limit.value}
        yield view.reason(Rule.OVER_DAILY_MAX, limit.cite, day=day, pitches=total.known, **facts)
    answer = strictest_rest(view.ruleset, choice, total.known)
    if answer is not None and answer.beyond_table:
        yield view.reason(
            Rule.BEYOND_TABLE,
            answer.cite,
            day=day,
            pitches=total.known,
            last_count=answer.last_count or 0,
        )


def _rest_broken(view: View, day: date) -> Iterator[Reason]:
    """Pitched on a day that an earlier outing had closed."""
    choice = choose_group(view.ruleset, view.who, day)
    if choice is None or not view.days[day].pitched:
        return
    then = View(view.ruleset, view.who, view.days, day, choice)
    for reason in bars(then)[:1]:
        yield view.reason(Rule.REST_BROKEN, reason.cite, day=day, broken=reason.rule.value)


def _mound_work(view: View) -> Iterator[Reason]:
    """Bullpens and lessons: load on the arm that no game table counts, whatever the set."""
    for day in _recent(view):
        total = view.days[day]
        if total.practised:
            cite = view.ruleset.rest_count_cite
            yield view.reason(Rule.MOUND_WORK, cite, day=day, pitches=total.practice)


def _several_teams(view: View) -> Iterator[Reason]:
    """More than one team within the week, where the set advises one at a time."""
    cite = view.ruleset.side.one_team_at_a_time
    teams = {team for day in _recent(view) for team in view.days[day].teams}
    if cite is not None and len(teams) > 1:
        yield view.reason(Rule.SEVERAL_TEAMS, cite, teams=len(teams))
