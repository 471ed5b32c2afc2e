"""What must hold for every log, age and rule set: the careful direction."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from core_support import examples, library
from hypothesis import given, settings
from hypothesis import strategies as st

from armbot.core.ages import AgeNeeded, Who, choose_group
from armbot.core.rest import whole_days
from armbot.core.season import innings_in_12_months
from armbot.core.workload import applicable_sets, eligibility, may_pitch, rest_for
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import AgeSpan, BirthMonth

if TYPE_CHECKING:
    from armbot.model.rules import RuleSet

QUICK = settings(max_examples=60, deadline=None, derandomize=True)
ANCHORS = [date(2027, 12, 20), date(2028, 2, 20), date(2027, 6, 20), date(2027, 8, 25)]
"""Starts of logs that run over a year's end, a leap day, a birthday month, a cut-off."""

anchors = st.sampled_from(ANCHORS)
whos = st.one_of(
    st.builds(lambda a, w: Who(age=AgeSpan(a, a + w)), st.integers(7, 20), st.integers(0, 2)),
    st.builds(BirthMonth, st.integers(2008, 2018), st.integers(1, 12)).map(lambda b: Who(birth=b)),
)
leagues = st.lists(
    st.sampled_from(sorted(name for name, r in library().items() if r.sport == "baseball")),
    max_size=3,
    unique=True,
)


@st.composite
def outings(draw: st.DrawFn, start: date) -> Outing:
    """One outing within twelve days of ``start``, of any kind."""
    pitches = draw(st.one_of(st.none(), st.integers(1, 130)))
    kind = draw(st.sampled_from([OutingKind.GAME] * 4 + [OutingKind.BULLPEN, OutingKind.CATCHING]))
    outs = draw(st.one_of(st.none(), st.integers(0, 21))) if kind is OutingKind.GAME else None
    day = start + timedelta(days=draw(st.integers(0, 11)))
    name = str(draw(st.integers(0, 10**6)))
    return Outing(name, day, kind, pitches=pitches, outs=outs, team=draw(st.sampled_from("ab")))


@st.composite
def logs(draw: st.DrawFn) -> list[Outing]:
    """A log with at least one game pitched."""
    start = draw(anchors)
    first = Outing("first", start, pitches=draw(st.integers(1, 130)))
    return [first, *draw(st.lists(outings(start), max_size=5))]


def first_day(sets: tuple[RuleSet, ...], who: Who, log: list[Outing]) -> date:
    """The first eligible day."""
    return eligibility(sets, who, log).first_eligible


@pytest.mark.parametrize("name", sorted(library()))
def test_more_pitches_never_owe_less_rest(name: str) -> None:
    """In every row of every shipped table rest grows with the count, over every count."""
    rules = library()[name]
    for group in rules.groups:
        answers = [rest_for(rules, group, count) for count in range(1, 201)]
        rests = [answer.rest for answer in answers if answer is not None]
        assert rests == sorted(rests)
        assert len(rests) in (0, 200)


@pytest.mark.parametrize("name", sorted(library()))
def test_younger_rows_never_rest_less(name: str) -> None:
    """A younger row asks at least as much rest as the next older one, unless a note says why."""
    rules = library()[name]
    for younger, older in zip(rules.groups, rules.groups[1:], strict=False):
        if older.stricter_than_younger_note or younger.no_count_beyond_max:
            continue
        for count in range(1, 201):
            low, high = rest_for(rules, younger, count), rest_for(rules, older, count)
            if low and high and not low.beyond_table:
                assert whole_days(low.unit, low.rest) >= whole_days(high.unit, high.rest)


@QUICK
@given(whos, leagues, logs(), st.data())
def test_another_outing_never_opens_earlier(
    who: Who, names: list[str], log: list[Outing], data: st.DataObject
) -> None:
    """More throwing never brings the first eligible day forward."""
    sets = applicable_sets(library(), names)
    more = data.draw(outings(log[0].day))
    assert first_day(sets, who, [*log, more]) >= first_day(sets, who, log)


@QUICK
@given(whos, leagues, logs(), st.integers(0, 12), st.data())
def test_another_outing_never_turns_no_into_yes(
    who: Who, names: list[str], log: list[Outing], ahead: int, data: st.DataObject
) -> None:
    """A day that is closed stays closed whatever is added to the log."""
    sets = applicable_sets(library(), names)
    day = log[0].day + timedelta(days=ahead)
    more = [*log, data.draw(outings(log[0].day))]
    before, after = may_pitch(sets, who, log, day), may_pitch(sets, who, more, day)
    assert before.allowed or not after.allowed
    if before.pitches_left is not None and after.pitches_left is not None:
        assert after.pitches_left <= before.pitches_left


@QUICK
@given(whos, leagues, st.sampled_from(sorted(library())), logs(), st.integers(0, 12))
def test_another_rule_set_never_opens_earlier(
    who: Who, names: list[str], added: str, log: list[Outing], ahead: int
) -> None:
    """The stricter of all sets answers, so a set more never loosens an answer."""
    sets = applicable_sets(library(), names)
    more = (*sets, library()[added]) if library()[added] not in sets else sets
    assert first_day(more, who, log) >= first_day(sets, who, log)
    day = log[0].day + timedelta(days=ahead)
    if library()[added].sport == "baseball":
        assert may_pitch(sets, who, log, day).allowed or not may_pitch(more, who, log, day).allowed


@QUICK
@given(whos, logs(), st.integers(0, 12))
def test_set_from_memory_only_restricts(who: Who, log: list[Outing], ahead: int) -> None:
    """The later table, known from memory, never opens a day that print keeps closed."""
    printed = (library()["mlb_usab"],)
    both = (*printed, library()["mlb_usab_later"])
    assert first_day(both, who, log) >= first_day(printed, who, log)
    day = log[0].day + timedelta(days=ahead)
    assert may_pitch(printed, who, log, day).allowed or not may_pitch(both, who, log, day).allowed


@QUICK
@given(whos, leagues, logs())
def test_eligibility_and_verdict_agree(who: Who, names: list[str], log: list[Outing]) -> None:
    """Every rest day is a no, and the first eligible day is a yes where no row forbids it."""
    sets = applicable_sets(library(), names)
    answer = eligibility(sets, who, log)
    assert not any(may_pitch(sets, who, log, day).allowed for day in answer.rest_on)
    verdict = may_pitch(sets, who, log, answer.first_eligible)
    assert (
        verdict.allowed
        or any(outing.day >= answer.first_eligible for outing in log)
        or {reason.rule.value for reason in verdict.reasons} <= {"below_table", "not_confirmed"}
    )


def sums_pitches(rules: RuleSet) -> bool:
    """Whether a set caps sums of pitches, where an unknown count stands for the maximum only."""
    return any(group.week_max or group.four_day_max for group in rules.groups)


@QUICK
@given(whos, leagues, logs(), st.integers(0, 5))
def test_unknown_count_never_opens_earlier(
    who: Who, names: list[str], log: list[Outing], index: int
) -> None:
    """Forgetting a count can only keep the arm at rest longer."""
    sets = applicable_sets(library(), [n for n in names if not sums_pitches(library()[n])])
    chosen = log[index % len(log)]
    unknown = Outing(chosen.id, chosen.day, chosen.kind, outs=chosen.outs, team=chosen.team)
    forgotten = [unknown if outing is chosen else outing for outing in log]
    assert first_day(sets, who, forgotten) >= first_day(sets, who, log)


@pytest.mark.parametrize("age", range(7, 23))
@pytest.mark.parametrize("count", [1, 20, 35, 50, 55, 66, 80, 105, 130, 200])
def test_unknown_count_rests_as_long_as_any(age: int, count: int) -> None:
    """At every age an unknown count owes at least what any count would."""
    day, who = date(2027, 6, 1), Who(age=AgeSpan(age, age))
    for rules in library().values():
        if sums_pitches(rules) or may_pitch([rules], who, [], day).uncovered:
            continue
        known = [Outing("known", day, pitches=count, outs=3)]
        unknown = [Outing("unknown", day, outs=3)]
        if choose_group(rules, who, day) is not None:
            assert first_day((rules,), who, unknown) >= first_day((rules,), who, known)


@QUICK
@given(whos, st.integers(2, 130), st.integers(1, 129), anchors)
def test_splitting_a_day_changes_nothing(who: Who, total: int, part: int, day: date) -> None:
    """Two outings of a day owe what their sum owes."""
    first = min(part, total - 1)
    whole = [Outing("whole", day, pitches=total)]
    split = [Outing("a", day, pitches=first), Outing("b", day, pitches=total - first)]
    sets = applicable_sets(library())
    assert first_day(sets, who, whole) == first_day(sets, who, split)


@QUICK
@given(logs())
def test_unknown_age_is_never_guessed(log: list[Outing]) -> None:
    """Without an age every log ends in the question for it."""
    with pytest.raises(AgeNeeded):
        eligibility(applicable_sets(library()), Who(), log)


@QUICK
@given(logs(), st.integers(0, 400))
def test_innings_window_only_loses_old_innings(log: list[Outing], ahead: int) -> None:
    """A later window holds no innings that the earlier one did not, once the log has ended."""
    end = max(outing.day for outing in log)
    now = innings_in_12_months(log, end)
    later = innings_in_12_months(log, end + timedelta(days=ahead))
    assert 0 <= later.outs <= now.outs


def test_every_worked_example_is_run() -> None:
    """No worked example up to W71 is copied here without a test that names it."""
    from pathlib import Path  # noqa: PLC0415 - only this test reads the other tests

    here = Path(__file__).parent
    text = "".join(path.read_text(encoding="utf-8") for path in here.glob("test_core_*.py"))
    named = {f"W{number:02}" for number in range(1, 17)}  # run as a range
    assert sorted(examples()) == [f"W{number:02}" for number in range(1, 72)]
    assert not [name for name in examples() if name not in named and name not in text]
