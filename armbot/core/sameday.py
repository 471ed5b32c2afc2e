"""What the same day already holds: a second game, the daily maximum, catching."""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.core.answers import Rule
from armbot.core.bars import (
    FOUR_DAYS,
    WEEK,
    innings_windows,
    later_day_limit,
    outs_counted,
    pitches_counted,
    sum_limit,
    thrown_within,
)
from armbot.core.rest import innings_rule, strictest_rest
from armbot.model.rules import SecondGame

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from armbot.core.answers import Reason
    from armbot.core.view import View
    from armbot.model.cite import Cite


def may_not_pitch(view: View) -> Iterator[Reason]:
    """A row that does not pitch at all, or an athlete younger than every row."""
    for group in view.choice.candidates:
        if group.may_not_pitch is not None:
            yield view.reason(Rule.MAY_NOT_PITCH, group.may_not_pitch)
    if view.choice.below_table:
        youngest = view.choice.group.ages
        yield view.reason(
            Rule.BELOW_TABLE, view.ruleset.rest_count_cite, youngest=youngest[0] if youngest else 0
        )


def second_game(view: View) -> Iterator[Reason]:
    """Pitching again on a day already pitched."""
    side, today = view.ruleset.side, view.back(0)
    if side.second_game is None or not today.pitched or _second_game_open(view):
        return
    cite = side.second_game_cite or view.ruleset.rest_count_cite
    limit = side.second_game_first_at_most
    facts = {"mode": side.second_game.value, "pitches": today.known}
    if limit is not None:
        facts["limit"] = limit.value
    yield view.reason(Rule.SECOND_GAME, cite, **facts)


def _second_game_open(view: View) -> bool:
    """Whether the set lets the day's pitching go on; a rule from memory never does."""
    side, today = view.ruleset.side, view.back(0)
    if side.second_game_cite is None or not side.second_game_cite.confirmed:
        return False
    if side.second_game is SecondGame.WITHIN_DAILY_MAX:
        return True
    if today.pitches is None or side.second_game is SecondGame.NEVER:
        return False
    if side.second_game is SecondGame.IF_FIRST_AT_MOST:
        limit = side.second_game_first_at_most
        return limit is not None and today.pitches <= limit.value
    answer = strictest_rest(view.ruleset, view.choice, max(today.pitches, 1))
    return answer is not None and answer.rest == 0 and not answer.beyond_table


def daily_max(view: View) -> Iterator[Reason]:
    """The daily maximum, already reached."""
    limit, thrown = view.figure(lambda group: group.daily_max), _thrown_today(view)
    if limit is not None and thrown >= limit.value:
        yield view.reason(Rule.DAILY_MAX, limit.cite, limit=limit.value, pitches=thrown, left=0)


def _thrown_today(view: View) -> int:
    return pitches_counted(view, view.back(0), practice=view.ruleset.counts_practice)


def caught_today(view: View) -> Iterator[Reason]:
    """Catching that closes the mound for the rest of the day."""
    side, caught = view.ruleset.side, view.back(0).caught
    limit = side.catcher_to_pitcher_bar
    if limit is not None and caught >= limit.value:
        yield view.reason(
            Rule.CATCHER_TO_PITCHER, limit.cite, limit=limit.value, innings_caught=caught
        )
    if side.never_pitch_and_catch is not None and caught > 0:
        yield view.reason(Rule.PITCH_AND_CATCH, side.never_pitch_and_catch, innings_caught=caught)


def innings_today(view: View) -> Iterator[Reason]:
    """The innings of the day, or of a window ending today, used up."""
    rule, left = innings_rule(view.choice), outs_left(view)
    if rule is not None and left == 0:
        outs = outs_counted(view, view.back(0))
        yield view.reason(
            Rule.INNINGS_WINDOW,
            rule.cite,
            limit_outs=rule.outs_per_day or outs,
            outs=outs,
            within=1,
        )


SAME_DAY: tuple[Callable[[View], Iterator[Reason]], ...] = (
    may_not_pitch,
    second_game,
    daily_max,
    caught_today,
    innings_today,
)
"""Every bar that comes from the athlete's row or the day itself."""


def same_day_bars(view: View) -> tuple[Reason, ...]:
    """Every reason in the day itself why this set does not allow pitching on it."""
    return tuple(reason for bar in SAME_DAY for reason in bar(view))


def limits(view: View) -> tuple[Reason, ...]:
    """Each pitch limit of this set for the day, with ``left`` after what was thrown."""
    thrown = _thrown_today(view)
    found: list[Reason] = []
    _add(found, view, Rule.DAILY_MAX, thrown)
    _add(found, view, Rule.GAME_MAX, 0)
    _add(found, view, Rule.LATER_DAY_MAX, thrown)
    for rule, within in ((Rule.WEEK_MAX, WEEK), (Rule.FOUR_DAY_MAX, FOUR_DAYS)):
        practice = rule is Rule.WEEK_MAX
        today = pitches_counted(view, view.back(0), practice=practice)
        _add(found, view, rule, thrown_within(view, rule, within) + today)
    return tuple(found)


def _add(found: list[Reason], view: View, rule: Rule, thrown: int) -> None:
    limit = _limit(view, rule)
    if limit is not None:
        value, cite = limit
        left = max(value - thrown, 0)
        found.append(view.reason(rule, cite, limit=value, pitches=thrown, left=left))


def _limit(view: View, rule: Rule) -> tuple[int, Cite] | None:
    if rule is Rule.LATER_DAY_MAX:
        later = later_day_limit(view)
        figure = later[0] if later else None
    elif rule is Rule.DAILY_MAX:
        figure = view.figure(lambda group: group.daily_max)
    elif rule is Rule.GAME_MAX:
        figure = view.figure(lambda group: group.game_max)
    else:
        figure = sum_limit(view, rule)
    return (figure.value, figure.cite) if figure else None


def outs_left(view: View) -> int | None:
    """Outs still open today under the set's innings limits; None where it has none."""
    rule = innings_rule(view.choice)
    if rule is None:
        return None
    today = outs_counted(view, view.back(0))
    open_outs = [] if rule.outs_per_day is None else [rule.outs_per_day - today]
    for limit, within in innings_windows(view):
        before = sum(outs_counted(view, total) for total in view.window(within))
        open_outs.append(limit - before - today)
    return max(min(open_outs), 0) if open_outs else None
