"""The other throwing position: when pitching closes catching."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from armbot.core.ages import Who, choose_group
from armbot.core.answers import Reason, Rule, Verdict
from armbot.core.bars import bars
from armbot.core.log import by_day
from armbot.core.view import View

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from armbot.core.log import DayTotal
    from armbot.model.outings import Outing
    from armbot.model.rules import RuleSet

_HORIZON = 60
"""Days searched for an open one: far longer than any rest a set can hold."""


def innings_counted(full: int, *, live_pitch_in_next: bool) -> int:
    """Innings caught: one live pitch received makes a begun inning count, warm-ups do not.

    Source: ll-reg-vi, catcher to pitcher.
    """
    return full + live_pitch_in_next


def may_catch(
    rulesets: Sequence[RuleSet], who: Who, outings: Iterable[Outing], day: date
) -> Verdict:
    """Whether every set allows catching on ``day``; ``pitches_left`` is always None.

    A set that says so closes catching on every pitching rest day. The league's
    finish-the-batter exception holds only when the outing says how many pitches went to
    the last batter. ``flags`` carry the advice against doing both.
    Raises AgeNeeded and ValueError as armbot.core.workload.eligibility does.
    """
    days = by_day(outings, day)

    def views(when: date) -> list[View]:
        chosen = ((rules, choose_group(rules, who, when)) for rules in rulesets)
        return [View(rules, who, days, when, choice) for rules, choice in chosen if choice]

    barred = tuple(reason for view in views(day) for reason in _bars(view))
    later = (day + timedelta(days=ahead) for ahead in range(1, _HORIZON))
    free = (when for when in later if not any(reason for v in views(when) for reason in _bars(v)))
    return Verdict(
        allowed=not barred,
        first_eligible=next(free) if barred else day,
        pitches_left=None,
        reasons=barred,
        flags=tuple(flag for view in views(day) for flag in _advice(view)),
    )


def _bars(view: View) -> Iterator[Reason]:
    yield from _rest_day(view)
    today = view.back(0)
    if not today.pitched:
        return
    side = view.ruleset.side
    limit = side.pitcher_to_catcher_bar
    if limit is not None and _reaches(today, limit.value):
        yield view.reason(
            Rule.PITCHER_TO_CATCHER, limit.cite, limit=limit.value, pitches=today.known
        )
    if side.never_pitch_and_catch is not None:
        yield view.reason(Rule.PITCH_AND_CATCH, side.never_pitch_and_catch, pitches=today.known)
    yield from _caught_before(view, today)


def _rest_day(view: View) -> Iterator[Reason]:
    """No catching while rest from pitching is owed, from today's outing too."""
    cite = view.ruleset.side.no_catching_on_rest_days
    if cite is not None and bars(view):
        yield view.reason(Rule.CATCHING_ON_REST_DAY, cite)


def _reaches(today: DayTotal, limit: int) -> bool:
    """Whether the count reaches ``limit``, the last batter finished being forgiven.

    An unknown count reaches it.
    """
    if today.pitches is None:
        return True
    forgiven = today.last_batter is not None and today.last_batter >= 1
    if today.appearances == 1 and forgiven and today.last_batter is not None:
        return today.pitches - today.last_batter + 1 >= limit
    return today.pitches >= limit


def _caught_before(view: View, today: DayTotal) -> Iterator[Reason]:
    """Caught, then pitched: that many pitches close the way back behind the plate.

    The log does not say which came first, so both on one day count as that order.
    """
    if not today.caught:
        return
    age = view.choice.span.first if view.choice.span else 0
    fitting = [limit for since, limit in view.ruleset.side.catch_pitch_catch_bar if age >= since]
    if fitting and _reaches(today, fitting[-1].value):
        limit = fitting[-1]
        yield view.reason(
            Rule.CATCH_PITCH_CATCH, limit.cite, limit=limit.value, pitches=today.known
        )


def _advice(view: View) -> Iterator[Reason]:
    cite = view.ruleset.side.avoid_catching
    if cite is not None:
        yield view.reason(Rule.AVOID_CATCHING, cite)
