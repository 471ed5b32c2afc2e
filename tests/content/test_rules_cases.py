"""The cases beside each rule set, and what all shipped rule sets must have."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from armbot.content.rule_checks import load_cases
from armbot.content.rules import load_rules
from armbot.content.sources import load_sources
from armbot.core.ages import Who, choose_group
from armbot.core.workload import eligibility, first_day_after, rest_for
from armbot.model.cite import Cite, Seen, Source
from armbot.model.outings import Outing
from armbot.model.people import AgeSpan
from armbot.model.rules import RuleCase, RuleKind, RuleSet

CONTENT = Path(__file__).parents[2] / "content"


@cache
def register() -> dict[str, Source]:
    """The shipped register."""
    return load_sources(CONTENT / "sources.yaml")


@cache
def library() -> dict[str, RuleSet]:
    """The shipped rule sets."""
    return load_rules(CONTENT / "rules", register())


CASES = load_cases(CONTENT / "rules", library())


def who_of(case: RuleCase) -> Who:
    """The athlete as the case names the row."""
    age = AgeSpan(case.age, case.age) if case.age is not None else None
    return Who(age=age, division=case.division, level=case.level)


def cites(rules: RuleSet) -> list[Cite]:
    """Every origin of a table figure in the set."""
    found = [rules.rest_count_cite]
    for group in rules.groups:
        found += [band.cite for band in group.bands]
        figures = (group.daily_max, group.game_max, group.week_max, group.four_day_max)
        found += [figure.cite for figure in (*figures, *group.later_day_max) if figure]
    return found


@pytest.mark.parametrize("case", CASES, ids=[case.id for case in CASES])
def test_case(case: RuleCase) -> None:
    """The rule set answers the case as written: rest, first day, over the maximum, beyond."""
    rules = library()[case.ruleset_id]
    choice = choose_group(rules, who_of(case), case.day)
    assert choice is not None
    answer = rest_for(rules, choice.group, case.pitches, last_batter_pitches=case.last_batter)
    assert answer is not None
    assert answer.rest == case.rest
    assert first_day_after(case.day, answer.whole_days) == case.first_eligible
    assert answer.over_daily_max is case.over_daily_max
    assert answer.beyond_table is case.beyond_table
    assert case.source in register()


def test_cases_hold_in_the_log_too() -> None:
    """Read from a log, a case is answered the same, or later where the count passed the table."""
    for case in CASES:
        rules = library()[case.ruleset_id]
        log = [Outing(case.id, case.day, pitches=case.pitches)]
        answer = eligibility([rules], who_of(case), log)
        if case.last_batter is None and not case.beyond_table:
            assert answer.first_eligible == case.first_eligible, case.id
        assert answer.first_eligible >= case.first_eligible, case.id


def test_every_set_with_a_table_has_cases() -> None:
    """Each band's first count of each shipped table is the subject of a case."""
    covered = {(case.ruleset_id, case.pitches) for case in CASES}
    for rules in library().values():
        for group in rules.groups:
            if group.partial_bands_note or any(not band.cite.confirmed for band in group.bands):
                continue
            missing = [b.first for b in group.bands if (rules.id, b.first) not in covered]
            assert not missing, (rules.id, group.id)


def test_every_figure_names_a_known_source() -> None:
    """Whatever reaches a family can be traced to an entry of the register."""
    for rules in library().values():
        assert rules.source in register()
        assert {cite.source for cite in cites(rules)} <= set(register())


def test_figures_from_memory_are_marked() -> None:
    """What was recalled and not read stays marked: these sets and rows, and no others."""
    recalled = {rules.id for rules in library().values() if not all(_printed(rules))}
    assert recalled == {
        "baseball_bc_nights",
        "little_league",
        "mlb_usab_later",
        "softball_society",
    }
    assert not any(_printed(library()["mlb_usab_later"]))


def _printed(rules: RuleSet) -> list[bool]:
    return [cite.seen in (Seen.COPY, Seen.SOURCE) for cite in cites(rules)]


def test_health_guideline_is_marked_as_such() -> None:
    """Only medical advice is always applied: a guideline in baseball, two in softball."""
    always = {r.id for r in library().values() if r.kind is RuleKind.HEALTH_GUIDELINE}
    assert always == {"mlb_usab", "mlb_usab_later", "softball_society", "softball_weekly"}


def test_names_in_both_languages() -> None:
    """Every set can be named, and recognised, in both languages."""
    for rules in library().values():
        for language in ("en", "es"):
            assert rules.names[language]
            assert rules.short_names[language]
            assert rules.aliases[language]
