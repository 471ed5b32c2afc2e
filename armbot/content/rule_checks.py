"""Whether a rule set means something sound, and the cases it must answer rightly.

Each check yields ContentErrors with the line to mend. The careful direction is built
in: more pitches never owe less rest, an older row is never stricter without saying
why, and a figure from memory opens nothing.
"""

from __future__ import annotations

from calendar import monthrange
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING

from armbot.content.strict import ContentError, Node, load
from armbot.model.rules import LONGEST_REST, AgeBasis, RuleCase, SecondGame

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from armbot.model.cite import Cite
    from armbot.model.rules import Group, RestBand, RuleSet

SCOPES = ("all", "season", "tournament")
_A_YEAR = 2000
"""Any leap year will do to check that a cut-off day exists."""


def problems(rules: RuleSet, node: Node) -> Iterator[ContentError]:
    """Every problem of meaning in one rule set; ``node`` is the file it was read from."""
    top = node.mapping()
    yield from _head(rules, top)
    rows = list(zip(rules.groups, top["groups"].items(), strict=True))
    if not rows:
        yield top["groups"].fail("no row", "add at least one group")
    for group, place in rows:
        yield from _bands(group, place)
        yield from _innings(group, place)
    for (younger, _), (older, place) in pairwise(rows):
        yield from _order(younger, older, place)
    yield from _permissions(rules, top.get("side", node))


def _head(rules: RuleSet, top: Mapping[str, Node]) -> Iterator[ContentError]:
    if rules.scope not in SCOPES:
        yield top["scope"].fail(f"no scope '{rules.scope}'", f"use one of: {', '.join(SCOPES)}")
    if (rules.age_basis is AgeBasis.LEAGUE_AGE) != (rules.age_cutoff is not None):
        yield top["age"].fail(
            "a league age needs a cut-off, and only a league age has one",
            "add cutoff: {month, day, cite}, or choose another basis",
        )
    if rules.age_cutoff is not None and not _is_day(rules.age_cutoff):
        yield top["age"].fail("the cut-off is no day of a year", "write such as month: 8, day: 31")
    for language, words in rules.aliases.items():
        for word in words:
            if word != word.lower():
                yield top["aliases"].fail(f"'{word}' ({language})", "write aliases in lower case")


def _is_day(day: tuple[int, int]) -> bool:
    return 1 <= day[0] <= 12 and 1 <= day[1] <= monthrange(_A_YEAR, day[0])[1]


def _bands(group: Group, place: Node) -> Iterator[ContentError]:
    """Bands cover every count from 1 once, and more pitches never owe less rest."""
    if not group.bands:
        return
    where = place.mapping()["rest"].mapping()["bands"].items()
    if group.bands[0].first != 1:
        yield where[0].fail(f"row '{group.id}': the first band starts late", "start at 1")
    for (lower, upper), node in zip(pairwise(group.bands), where[1:], strict=True):
        yield from _joined(group, lower, upper, node)
    if group.bands[-1].rest > LONGEST_REST:
        yield where[-1].fail(f"row '{group.id}': more than {LONGEST_REST} days", "check the rest")
    yield from _top(group, where[-1])


def _joined(group: Group, lower: RestBand, upper: RestBand, where: Node) -> Iterator[ContentError]:
    if lower.last is None or upper.first != lower.last + 1:
        kind = "overlap" if lower.last is None or upper.first <= lower.last else "leave a gap"
        yield where.fail(
            f"row '{group.id}': the bands {kind} before {upper.first}",
            "let each band start one pitch after the one before",
        )
    if upper.rest < lower.rest:
        yield where.fail(
            f"row '{group.id}': {upper.first} pitches owe less rest than {lower.first}",
            "more pitches never owe less rest: check both bands",
        )


def _top(group: Group, where: Node) -> Iterator[ContentError]:
    """The last band is open, or the table is said to end at the daily maximum."""
    last = group.bands[-1].last
    if last is None:
        if group.no_count_beyond_max:
            yield where.fail(
                f"row '{group.id}': ends_at_maximum, but the last band is open",
                "close the last band, or leave ends_at_maximum out",
            )
        return
    if group.partial_bands_note:
        return
    if not group.no_count_beyond_max:
        yield where.fail(
            f"row '{group.id}': no band above {last}",
            "write 66+ where the source does, or ends_at_maximum: true, or partial: why",
        )
    elif group.daily_max is None or group.daily_max.value != last:
        yield where.fail(
            f"row '{group.id}': the table ends at {last}, not at the daily maximum",
            "end the last band at daily_max",
        )


def _innings(group: Group, place: Node) -> Iterator[ContentError]:
    rule = group.innings
    if rule is None:
        return
    spans = (
        *(rule.outs_to_pitch_next_day, rule.outs_per_day, rule.outs_per_two_days),
        *(rule.outs_per_three_days, rule.outs_per_week),
    )
    known = [outs for outs in spans if outs is not None]
    if known != sorted(known):
        yield place.mapping()["innings"].fail(
            f"row '{group.id}': a longer span allows fewer outs than a shorter one",
            "check the outs: one inning is three",
        )


def _order(younger: Group, older: Group, place: Node) -> Iterator[ContentError]:
    """Rows run from young to old, and the older is not stricter without a note."""
    if younger.ages and older.ages and older.ages < younger.ages:
        yield place.fail(f"row '{older.id}' is younger than the one above", "order rows by age")
    if older.stricter_than_younger_note:
        return
    for figure in ("daily_max", "game_max", "week_max", "four_day_max"):
        low, high = getattr(younger, figure), getattr(older, figure)
        if low is not None and high is not None and high.value < low.value:
            yield _stricter(older, f"{figure} is lower", place)
    for band in (*younger.bands, *older.bands):
        low_rest, high_rest = _rest(younger, band.first), _rest(older, band.first)
        if low_rest is not None and high_rest is not None and high_rest > low_rest:
            yield _stricter(older, f"{band.first} pitches owe more rest", place)


def _stricter(older: Group, what: str, place: Node) -> ContentError:
    return place.fail(
        f"row '{older.id}' is stricter than the younger one: {what}",
        "correct it, or say why in older_is_stricter",
    )


def _rest(group: Group, pitches: int) -> int | None:
    """Rest for a count; None where the row has no band for it."""
    for band in group.bands:
        if band.first <= pitches and (band.last is None or pitches <= band.last):
            return band.rest
    return None


def _permissions(rules: RuleSet, place: Node) -> Iterator[ContentError]:
    """What opens something must have been read in print."""
    side = rules.side
    opening: list[tuple[str, Cite | None]] = [
        ("finish_batter", side.finish_batter),
        ("rest_by_first_pitch_of_last_batter", side.rest_by_first_pitch_of_last_batter),
    ]
    if side.second_game is not None and side.second_game is not SecondGame.NEVER:
        opening.append(("second_game", side.second_game_cite))
    opening += [
        ("return_to_mound", cite) for _, times, cite in side.return_to_mound if times != "no"
    ]
    for name, cite in opening:
        if cite is not None and not cite.confirmed:
            yield place.fail(
                f"{name} would permit something on a figure seen as '{cite.seen}'",
                "read it in print first, or leave it out: such figures may only restrict",
            )
    needs_limit = side.second_game is SecondGame.IF_FIRST_AT_MOST
    if needs_limit != (side.second_game_first_at_most is not None):
        yield place.fail("first_at_most goes with if_first_at_most", "add it, or leave it out")


def check_aliases(rulesets: Mapping[str, RuleSet], folder: Path) -> Iterator[ContentError]:
    """No alias names two rule sets: a family's word must lead to one."""
    owner: dict[str, str] = {}
    for rules in rulesets.values():
        for word in sorted({word for words in rules.aliases.values() for word in words}):
            if owner.setdefault(word, rules.id) != rules.id:
                yield ContentError(
                    folder / rules.id / "rules.yaml",
                    1,
                    f"the alias '{word}' already names '{owner[word]}'",
                    "keep it in one of the two",
                )


def load_cases(folder: Path, rulesets: Mapping[str, RuleSet]) -> tuple[RuleCase, ...]:
    """Read every cases.yaml under ``folder``.

    Raises ContentError for a mistake in shape, a doubled id, or an unknown rule set.
    """
    cases: dict[str, RuleCase] = {}
    for path in sorted(folder.glob("*/cases.yaml")):
        top = load(path).mapping(required=("rule_set", "cases"), optional=())
        name = top["rule_set"].text()
        if name not in rulesets or name != path.parent.name:
            raise top["rule_set"].fail(f"no rule set '{name}' here", "name the folder's own")
        for node in top["cases"]:
            case = _case(node, name)
            if case.id in cases:
                raise node.fail(f"the case id '{case.id}' stands twice", "number it anew")
            cases[case.id] = case
    return tuple(cases.values())


def _case(node: Node, name: str) -> RuleCase:
    fields = node.mapping(
        required=("id", "pitches", "date", "expected", "source", "working"),
        optional=("age", "division", "level", "last_batter"),
    )
    expected = fields["expected"].mapping(
        required=("rest_days", "first_eligible", "over_daily_max"), optional=("beyond_table",)
    )
    if sum(key in fields for key in ("age", "division", "level")) != 1:
        raise node.fail("a case names its row once", "give one of age, division, level")
    return RuleCase(
        id=fields["id"].text(),
        ruleset_id=name,
        pitches=fields["pitches"].integer(),
        day=_day(fields["date"]),
        rest=expected["rest_days"].integer(),
        first_eligible=_day(expected["first_eligible"]),
        over_daily_max=expected["over_daily_max"].boolean(),
        beyond_table="beyond_table" in expected and expected["beyond_table"].boolean(),
        source=fields["source"].text(),
        working=fields["working"].text(),
        age=fields["age"].integer() if "age" in fields else None,
        division=fields["division"].text() if "division" in fields else None,
        level=fields["level"].text() if "level" in fields else None,
        last_batter=fields["last_batter"].integer() if "last_batter" in fields else None,
    )


def _day(node: Node) -> date:
    try:
        return date.fromisoformat(node.text())
    except ValueError:
        raise node.fail(f"'{node.text()}' is no date", "write year-month-day") from None
