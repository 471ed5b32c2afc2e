"""Every case beside a rule set, computed by armbot.core and held against what it expects."""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.content.rule_checks import load_cases
from armbot.content.strict import Node, load
from armbot.core.ages import AgeNeeded, Who, choose_group
from armbot.core.rest import first_day_after, rest_for
from armbot.model.people import AgeSpan

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from armbot.content.strict import ContentError
    from armbot.model.cite import Source
    from armbot.model.rules import RuleCase, RuleSet


def case_problems(
    folder: Path, rulesets: Mapping[str, RuleSet], sources: Mapping[str, Source]
) -> Iterator[ContentError]:
    """Cases that a rule set answers otherwise, or whose source is not in the register.

    Raises ContentError for a mistake in the shape of a case.
    """
    for case in load_cases(folder, rulesets):
        wrong = list(_differences(case, rulesets[case.ruleset_id]))
        if case.source not in sources:
            place = _place(folder, case)
            yield place.mapping()["source"].fail(
                f"case '{case.id}': no source '{case.source}' in the register",
                "add it to sources.yaml, or correct the key",
            )
        if wrong:
            yield _place(folder, case).fail(
                f"case '{case.id}': {'; '.join(wrong)}",
                "the figures or the case are wrong: read the source again",
            )


def _place(folder: Path, case: RuleCase) -> Node:
    """Where a case is written."""
    root = load(folder / case.ruleset_id / "cases.yaml").mapping()
    return next(node for node in root["cases"] if node.mapping()["id"].text() == case.id)


def _differences(case: RuleCase, rules: RuleSet) -> Iterator[str]:
    age = AgeSpan(case.age, case.age) if case.age is not None else None
    who = Who(age=age, division=case.division, level=case.level)
    try:
        choice = choose_group(rules, who, case.day)
    except AgeNeeded:
        choice = None
    if choice is None:
        yield "no row of the rule set fits"
        return
    answer = rest_for(rules, choice.group, case.pitches, last_batter_pitches=case.last_batter)
    if answer is None:
        yield "the row has no rest table"
        return
    pairs = (
        ("rest days", case.rest, answer.rest),
        ("first day", case.first_eligible, first_day_after(case.day, answer.whole_days)),
        ("over the daily maximum", case.over_daily_max, answer.over_daily_max),
        ("beyond the table", case.beyond_table, answer.beyond_table),
    )
    for what, expected, computed in pairs:
        if expected != computed:
            yield f"{what} expected {expected}, computed {computed}"
