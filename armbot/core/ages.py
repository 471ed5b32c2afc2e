"""How old an athlete is for a rule set, and which of its rows that names.

Every doubt ends on the careful side: a birthday month counts as the younger age,
an age known only as a span takes the stricter of the rows it touches, and says so.
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from typing import TYPE_CHECKING

from armbot.model.people import AgeSpan, BirthMonth
from armbot.model.rules import AgeBasis, Group, RuleSet

if TYPE_CHECKING:
    from datetime import date

_UNDER = re.compile(r"(?:u[\s-]?(\d{1,2})|(\d{1,2})[\s-]?(?:u|and under|& under|and younger))\b")
_GRADE_TO_AGE = 5
"""A child is this many years older than the school grade at its start, one more at its
end (kindergarten is grade 0): common practice in US schools."""


class AgeNeeded(ValueError):  # noqa: N818 - a question to the family, not a fault
    """A rule set cannot be applied before an age (or division) is known.

    ``ruleset_id`` names the set that needs it.
    """

    def __init__(self, ruleset_id: str) -> None:
        self.ruleset_id = ruleset_id
        super().__init__(f"rule set '{ruleset_id}' needs an age or a division: ask for it")


@dataclass(frozen=True, slots=True)
class Who:
    """What is known of the athlete's age: any of the four, best first.

    ``age`` is the age on the day asked about; ``division`` as typed, such as "10U";
    ``level`` a school level, such as "varsity".
    """

    birth: BirthMonth | None = None
    age: AgeSpan | None = None
    division: str | None = None
    level: str | None = None


@dataclass(frozen=True, slots=True)
class GroupChoice:
    """The row(s) of a rule set that fit an athlete on a day.

    ``group`` is the first (youngest) of ``candidates``; with more than one the age
    straddles rows and the strictest value of all of them answers. ``below_table`` is
    True when the athlete is younger than the table's first row. ``span`` is the age
    used, None where a division or level named the row.
    """

    group: Group
    candidates: tuple[Group, ...]
    span: AgeSpan | None
    below_table: bool = False

    @property
    def straddles(self) -> bool:
        """Whether more than one row fits."""
        return len(self.candidates) > 1


def league_age(birth: BirthMonth, cutoff: tuple[int, int], year: int) -> AgeSpan:
    """Age on the league's cut-off (month, day) of ``year``; both ages when unsure.

    Only the birth month is known, so a birthday in the cut-off month leaves two ages
    open, except when the cut-off is that month's last day.
    """
    month, day = cutoff
    turning = year - birth.year
    if birth.month < month or (birth.month == month and day == monthrange(year, month)[1]):
        return AgeSpan(turning, turning)
    if birth.month == month:
        return AgeSpan(turning - 1, turning)
    return AgeSpan(turning - 1, turning - 1)


def division_span(division: str) -> AgeSpan | None:
    """The two ages an "under" division holds: "10U" is 9 to 10. None if it is no such label.

    Common practice: youth divisions are two years wide.
    """
    found = _UNDER.search(division.lower())
    if not found:
        return None
    oldest = int(found[1] or found[2])
    return AgeSpan(oldest - 1, oldest) if oldest >= 1 else None


def grade_span(grade: int) -> AgeSpan:
    """The ages usual in a US school grade (0 is kindergarten): grade 7 is 12 to 13.

    Raises ValueError outside 0..12.
    """
    if not 0 <= grade <= 12:
        raise ValueError(f"grade {grade} is not between 0 and 12")
    return AgeSpan(grade + _GRADE_TO_AGE, grade + _GRADE_TO_AGE + 1)


def age_span(who: Who, day: date) -> AgeSpan | None:
    """Age on ``day`` by birth month, else as told, else by division; None if unknown."""
    if who.birth is not None:
        age = who.birth.age_on(day)
        return AgeSpan(age, age)
    if who.age is not None:
        return who.age
    return division_span(who.division) if who.division else None


def choose_group(ruleset: RuleSet, who: Who, day: date) -> GroupChoice | None:
    """The row of ``ruleset`` for ``who`` on ``day``; None when no row covers the athlete.

    Older than the oldest row is never covered; younger than the youngest only where the
    set says that row is a floor.

    Raises AgeNeeded when nothing known of the athlete names a row.
    """
    named = _named(ruleset, who)
    if named and ruleset.age_basis in (AgeBasis.DIVISION, AgeBasis.SCHOOL_LEVEL):
        return GroupChoice(named[0], named, None)
    if all(group.ages is None for group in ruleset.groups):
        return _without_ages(ruleset)
    span = _span_in(ruleset, who, day)
    if span is None:
        if named:
            return GroupChoice(named[0], named, None)
        raise AgeNeeded(ruleset.id)
    choice = _by_age(ruleset, span)
    if choice and choice.below_table and not ruleset.youngest_row_is_floor:
        return None
    return choice


def _named(ruleset: RuleSet, who: Who) -> tuple[Group, ...]:
    """Rows whose division or level label is the athlete's own."""
    division = _label(who.division)
    level = _label(who.level)
    return tuple(
        group
        for group in ruleset.groups
        if (division and division in group.divisions) or (level and level in group.levels)
    )


def _label(text: str | None) -> str:
    """Lower case, single spaces, and every spelling of "10 and under" as "10u"."""
    plain = " ".join(text.lower().split()) if text else ""
    return _UNDER.sub(lambda found: f"{found[1] or found[2]}u", plain)


def _without_ages(ruleset: RuleSet) -> GroupChoice:
    """School levels not told: every row is a candidate, so the strictest answers."""
    return GroupChoice(ruleset.groups[0], ruleset.groups, None)


def _span_in(ruleset: RuleSet, who: Who, day: date) -> AgeSpan | None:
    """The age that counts in this rule set."""
    if ruleset.age_basis is AgeBasis.LEAGUE_AGE and who.birth and ruleset.age_cutoff:
        counted = league_age(who.birth, ruleset.age_cutoff, day.year)
        if ruleset.age_cutoff_cite is not None and ruleset.age_cutoff_cite.confirmed:
            return counted
        # A cut-off from memory must not make the athlete older than today's age.
        today = who.birth.age_on(day)
        return AgeSpan(min(today, counted.first), max(today, counted.last))
    return age_span(who, day)


def _by_age(ruleset: RuleSet, span: AgeSpan) -> GroupChoice | None:
    rows = [group for group in ruleset.groups if group.ages is not None]
    fitting = tuple(row for row in rows if row.ages and _touches(row.ages, span))
    if fitting:
        return GroupChoice(fitting[0], fitting, span)
    younger = [row for row in rows if row.ages and row.ages[1] < span.first]
    if not younger:
        return GroupChoice(rows[0], (rows[0],), span, below_table=True)
    if len(younger) == len(rows):
        return None
    return GroupChoice(younger[-1], (younger[-1],), span)  # a gap: the younger neighbour


def _touches(ages: tuple[int, int], span: AgeSpan) -> bool:
    return ages[0] <= span.last and span.first <= ages[1]
