"""Looking a pitch count up in a rest table."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from armbot.core.answers import RestAnswer
from armbot.model.rules import Figure, Group, InningsRule, RestBand, RestCount, RuleSet

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from armbot.core.ages import GroupChoice


def rest_for(
    ruleset: RuleSet, group: Group, pitches: int, *, last_batter_pitches: int | None = None
) -> RestAnswer | None:
    """The rest that ``pitches`` thrown on one day owe in a row; None if it has no table.

    The total thrown is looked up: the careful reading. With ``last_batter_pitches``, and
    only where the set has such a rule, the first pitch of the last batter is looked up
    instead (pitches before that batter, plus one): the league's own reading.

    Raises ValueError for a count below 1 or a last batter with more pitches than thrown.
    """
    if pitches < 1:
        raise ValueError(f"pitches is {pitches}; a rest table starts at 1")
    if not group.bands:
        return None
    count = _lookup_count(ruleset, pitches, last_batter_pitches)
    band, beyond = _band(group, count)
    maximum = group.daily_max.value if group.daily_max else None
    return RestAnswer(
        rest=band.rest,
        unit=ruleset.rest_count,
        whole_days=whole_days(ruleset.rest_count, band.rest),
        first_count=band.first,
        last_count=band.last,
        daily_max=maximum,
        over_daily_max=maximum is not None and pitches > maximum,
        beyond_table=beyond,
        cite=band.cite,
        lookup_count=count,
    )


def _lookup_count(ruleset: RuleSet, pitches: int, last_batter: int | None) -> int:
    if last_batter is None:
        return pitches
    if not 1 <= last_batter <= pitches:
        raise ValueError(f"last_batter_pitches is {last_batter}; it must be 1 to {pitches}")
    if ruleset.side.rest_by_first_pitch_of_last_batter is None:
        return pitches
    return pitches - last_batter + 1


def _band(group: Group, count: int) -> tuple[RestBand, bool]:
    """The band holding ``count``, and whether the count lies above every band."""
    for band in group.bands:
        if _holds(band, count):
            return band, False
    return group.bands[-1], True


def whole_days(unit: RestCount, rest: int) -> int:
    """Rest as whole calendar days: N nights are N-1 whole days, never below none."""
    return max(rest - 1, 0) if unit is RestCount.NIGHTS else rest


def first_day_after(day: date, whole: int) -> date:
    """The first day after ``whole`` calendar days of rest; the day thrown never counts."""
    return day + timedelta(days=whole + 1)


def strictest_rest(ruleset: RuleSet, choice: GroupChoice, pitches: int) -> RestAnswer | None:
    """The longest rest over every row that fits; the younger row on a tie."""
    answers = [rest_for(ruleset, group, pitches) for group in choice.candidates]
    known = [answer for answer in answers if answer is not None]
    return max(known, key=lambda answer: answer.whole_days, default=None)


def rest_in_older_row(
    ruleset: RuleSet, group: Group, pitches: int | None
) -> tuple[Group, RestBand] | None:
    """The longest rest that older rows ask for a count above every band of ``group``.

    A younger arm is never owed less than an older one, so it is a floor. ``pitches`` None
    is an unknown count, which may lie in any of their bands.
    """
    older = ruleset.groups[ruleset.groups.index(group) + 1 :]
    bands = [(row, band) for row in older for band in row.bands]
    if pitches is not None:
        bands = [pair for pair in bands if _holds(pair[1], pitches)]
    return max(bands, key=lambda pair: pair[1].rest, default=None)


def _holds(band: RestBand, count: int) -> bool:
    return band.first <= count and (band.last is None or count <= band.last)


def longest_rest(ruleset: RuleSet, choice: GroupChoice) -> RestAnswer | None:
    """The longest rest any count can owe: kept where the count is not known."""
    counts = {band.first for group in choice.candidates for band in group.bands}
    answers = [strictest_rest(ruleset, choice, count) for count in sorted(counts)]
    known = [answer for answer in answers if answer is not None]
    return max(known, key=lambda answer: answer.whole_days, default=None)


def lowest(choice: GroupChoice, read: Callable[[Group], Figure | None]) -> Figure | None:
    """The lowest of a figure over every row that fits; None where none has it."""
    figures = [read(group) for group in choice.candidates]
    known = [figure for figure in figures if figure is not None]
    return min(known, key=lambda figure: figure.value, default=None)


def innings_rule(choice: GroupChoice) -> InningsRule | None:
    """The innings limits of the youngest row that fits and has any."""
    rules = [group.innings for group in choice.candidates if group.innings is not None]
    return rules[0] if rules else None


def confirmed(choice: GroupChoice) -> bool:
    """Whether each chosen row holds a figure read in print, so that it may permit.

    Never below the table's youngest row, nor in a row that does not pitch.
    """
    if choice.below_table or any(group.may_not_pitch for group in choice.candidates):
        return False
    return all(_row_confirmed(group) for group in choice.candidates)


def _row_confirmed(group: Group) -> bool:
    cites = [band.cite for band in group.bands]
    # A weekly ceiling says nothing of a single day, so it cannot carry a yes.
    figures = (group.daily_max, group.game_max, *group.later_day_max)
    cites += [figure.cite for figure in figures if figure is not None]
    if group.innings is not None:
        cites.append(group.innings.cite)
    return any(cite.confirmed for cite in cites)
