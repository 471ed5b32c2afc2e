"""One broken rule file per mistake: the error names the line, what is wrong and how to mend it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from armbot.content.rule_checks import load_cases
from armbot.content.rules import load_rules
from armbot.content.sources import load_sources
from armbot.content.strict import ContentError

if TYPE_CHECKING:
    from pathlib import Path

REGISTER = """\
league-2027: {body: A league, title: Pitching rule, year: "2027", kind: rule book}
common-practice: {body: Common practice, title: Usual, year: undated, kind: common practice}
"""
RULES = """\
id: league
kind: league
sport: baseball
scope: all
source: league-2027
names: {en: A league, es: Una liga}
short_names: {en: League, es: Liga}
aliases: {en: [the league], es: [la liga]}
cites:
  table: {source: league-2027, section: table, in_force: "2027", seen: copy}
  recalled: {source: league-2027, section: table, in_force: "2027", seen: memory}
age: {basis: age_today}
rest_count: {unit: calendar_days, cite: table}
groups:
  - id: "9-10"
    ages: [9, 10]
    daily_max: {value: 75, cite: table}
    rest:
      cite: table
      bands:
        - {pitches: 1-20, rest: 0}
        - {pitches: 21-35, rest: 1}
        - {pitches: 36+, rest: 2}
  - id: "11-12"
    ages: [11, 12]
    daily_max: {value: 85, cite: table}
    rest:
      cite: table
      bands:
        - {pitches: 1-20, rest: 0}
        - {pitches: 21-35, rest: 1}
        - {pitches: 36+, rest: 2}
side:
  consecutive_days: {value: 2, cite: table}
"""
CASES = """\
rule_set: league
cases:
  - id: one
    age: 9
    pitches: 20
    date: 2027-04-03
    expected: {rest_days: 0, first_eligible: 2027-04-04, over_daily_max: false}
    source: league-2027
    working: "20 is in 1-20"
"""


def write(folder: Path, rules: str, cases: str = CASES) -> Path:
    """A rules folder with one set."""
    (folder / "rules" / "league").mkdir(parents=True)
    (folder / "sources.yaml").write_text(REGISTER, encoding="utf-8")
    (folder / "rules" / "league" / "rules.yaml").write_text(rules, encoding="utf-8")
    (folder / "rules" / "league" / "cases.yaml").write_text(cases, encoding="utf-8")
    return folder / "rules"


def test_the_unbroken_file_is_read(tmp_path: Path) -> None:
    """The file that the mistakes below are made in is itself sound."""
    rules = write(tmp_path, RULES)
    found = load_rules(rules, load_sources(tmp_path / "sources.yaml"))
    assert list(found) == ["league"]
    assert len(load_cases(rules, found)) == 1


MISTAKES = [
    ("gap", "21-35, rest: 1", "22-35, rest: 1", 22, "leave a gap before 22"),
    ("overlap", "21-35, rest: 1", "20-35, rest: 1", 22, "overlap before 20"),
    ("late start", "1-20, rest: 0", "2-20, rest: 0", 21, "starts late"),
    ("less rest", "36+, rest: 2", "36+, rest: 0", 23, "owe less rest"),
    ("too long", "36+, rest: 2", "36+, rest: 200", 23, "more than 30 days"),
    ("no top", "36+, rest: 2", "36-75, rest: 2", 23, "no band above 75"),
    ("older stricter", "value: 85", "value: 60", 24, "stricter than the younger"),
    ("unknown origin", "value: 75, cite: table", "value: 75, cite: tabel", 17, "no origin 'tabel'"),
    ("unsourced", "{value: 75, cite: table}", "{value: 75}", 17, "'cite' is missing"),
    ("bare number", "{value: 75, cite: table}", "75", 17, "a mapping is expected"),
    (
        "unknown source",
        'source: league-2027, section: table, in_force: "2027", seen: copy',
        'source: leage, section: table, in_force: "2027", seen: copy',
        10,
        "no source 'leage'",
    ),
    ("seen", "seen: copy", "seen: yes", 10, "'yes' is not known here"),
    ("common", "seen: memory", "seen: common", 11, "cannot have been seen as 'common'"),
    ("not a number", "value: 75", "value: seventy", 17, "not a whole number"),
    ("span", "pitches: 21-35", "pitches: 21 to 35", 22, "no span of pitches"),
    ("kind", "kind: league", "kind: club", 2, "'club' is not known here"),
    ("scope", "scope: all", "scope: spring", 4, "no scope 'spring'"),
    ("id", "id: league", "id: leage", 1, "differs from its folder"),
    (
        "language",
        "names: {en: A league, es: Una liga}",
        "names: {en: A league}",
        6,
        "'es' is missing",
    ),
    ("alias case", "[the league]", "[The League]", 8, "lower case"),
    (
        "typo in key",
        "daily_max: {value: 75",
        "dayly_max: {value: 75",
        17,
        "unknown key 'dayly_max'",
    ),
    ("doubled key", "scope: all", "scope: all\nscope: all", 5, "stands here twice"),
    ("ages", "ages: [9, 10]", "ages: [10, 9]", 16, "youngest and the oldest"),
    ("row order", "ages: [11, 12]", "ages: [7, 8]", 24, "order rows by age"),
    ("cutoff missing", "basis: age_today", "basis: league_age", 12, "needs a cut-off"),
    (
        "no such day",
        "{basis: age_today}",
        "{basis: league_age, cutoff: {month: 2, day: 30, cite: table}}",
        12,
        "no day of a year",
    ),
    (
        "memory permits",
        "consecutive_days: {value: 2, cite: table}",
        "finish_batter: recalled",
        34,
        "would permit something",
    ),
    (
        "memory opens game two",
        "consecutive_days: {value: 2, cite: table}",
        "second_game: {mode: within_daily_max, cite: recalled}",
        34,
        "would permit something",
    ),
    (
        "limit missing",
        "consecutive_days: {value: 2, cite: table}",
        "second_game: {mode: if_first_at_most, cite: table}",
        34,
        "first_at_most",
    ),
]


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [mistake[1:] for mistake in MISTAKES],
    ids=[mistake[0] for mistake in MISTAKES],
)
def test_mistake_in_a_rule_file(tmp_path: Path, old: str, new: str, line: int, words: str) -> None:
    """The mistake is refused with file, line, problem and remedy."""
    assert old in RULES
    folder = write(tmp_path, RULES.replace(old, new, 1))
    with pytest.raises(ContentError) as caught:
        load_rules(folder, load_sources(tmp_path / "sources.yaml"))
    assert words in str(caught.value)
    assert caught.value.path.name == "rules.yaml"
    assert caught.value.line == line
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("rule_set: league", "rule_set: leage", 1, "no rule set 'leage'"),
        ("    age: 9\n", "", 3, "names its row once"),
        ("    age: 9\n", "    age: 9\n    division: 10u\n", 3, "names its row once"),
        ("date: 2027-04-03", "date: 2027-04-31", 6, "no date"),
        ("over_daily_max: false", "over_daily_max: no", 7, "neither true nor false"),
        ("    source: league-2027\n", "", 3, "'source' is missing"),
    ],
)
def test_mistake_in_a_case_file(tmp_path: Path, old: str, new: str, line: int, words: str) -> None:
    """A broken case is refused with its line."""
    folder = write(tmp_path, RULES, CASES.replace(old, new, 1))
    found = load_rules(folder, load_sources(tmp_path / "sources.yaml"))
    with pytest.raises(ContentError) as caught:
        load_cases(folder, found)
    assert words in str(caught.value)
    assert caught.value.line == line


def test_alias_of_two_sets(tmp_path: Path) -> None:
    """A family's word for a league must lead to one rule set."""
    folder = write(tmp_path, RULES)
    (folder / "other").mkdir()
    text = RULES.replace("id: league", "id: other", 1)
    (folder / "other" / "rules.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(ContentError, match="already names 'league'"):
        load_rules(folder, load_sources(tmp_path / "sources.yaml"))


def test_empty_folder(tmp_path: Path) -> None:
    """A rules folder without a rule set is an error, not an empty library."""
    with pytest.raises(ContentError, match="no rule set found"):
        load_rules(tmp_path, {})
