"""Reads content/rules/<id>/rules.yaml into rule sets, and the cases beside them.

One file holds one rule set. Origins are named once under ``cites`` and every figure
points to one of them, so that no number can enter without its source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.content.rule_checks import check_aliases, problems
from armbot.content.sources import LANGUAGES, Cites, by_language, choice, read_cites
from armbot.content.strict import ContentError, Node, load
from armbot.model.rules import (
    AgeBasis,
    Figure,
    Group,
    InningsRule,
    RestBand,
    RestCount,
    RuleKind,
    RuleSet,
    SecondGame,
    SideRules,
)

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from armbot.model.cite import Cite, Source

_TOP_KEYS = (
    *("id", "kind", "sport", "scope", "source", "names", "short_names", "aliases"),
    *("cites", "age", "rest_count", "groups"),
)
_LAST_BATTER = "rest_by_first_pitch_of_last_batter"
_SIDE_KEYS = (
    *("consecutive_days", "rest_after_two_days", "appearances", "second_game"),
    *("finish_batter", _LAST_BATTER, "intentional_walk_pitches", "pitcher_to_catcher_bar"),
    *("catcher_to_pitcher_bar", "catch_pitch_catch", "never_pitch_and_catch", "next_day_bar"),
    *("return_to_mound", "one_team_at_a_time", "innings_not_pitches_note"),
    *("no_catching_on_rest_days", "avoid_catching"),
)
_GROUP_KEYS = (
    *("ages", "divisions", "levels", "rest", "innings", "later_day_max", "may_not_pitch"),
    *("older_is_stricter", "daily_max", "game_max", "week_max", "four_day_max"),
    *("season_max", "year_max", "throwing_days_per_week"),
)
_REST_KEYS = ("cite", "bands")
_INNINGS = (
    "outs_to_pitch_next_day",
    "outs_per_day",
    "outs_per_two_days",
    "outs_per_three_days",
    "outs_per_week",
)


def load_rules(folder: Path, sources: Mapping[str, Source]) -> dict[str, RuleSet]:
    """Read every rule set under ``folder``: id to rule set, in order of id.

    Raises ContentError (file, line, problem, remedy) for the first mistake in shape,
    origin or meaning.
    """
    found: dict[str, RuleSet] = {}
    for path in sorted(folder.glob("*/rules.yaml")):
        node = load(path)
        rules = _rule_set(node, sources)
        if rules.id != path.parent.name:
            raise node.fail(
                f"the id '{rules.id}' differs from its folder '{path.parent.name}'",
                "give both the same name",
            )
        for problem in problems(rules, node):
            raise problem
        found[rules.id] = rules
    if not found:
        raise ContentError(folder, 1, "no rule set found", "add <id>/rules.yaml")
    for problem in check_aliases(found, folder):
        raise problem
    return found


def _rule_set(node: Node, sources: Mapping[str, Source]) -> RuleSet:
    top = node.mapping(
        required=_TOP_KEYS, optional=("counts_practice", "youngest_row_is_floor", "side", "notes")
    )
    cites = read_cites(top["cites"], sources)
    rest_count = top["rest_count"].mapping(required=("unit", "cite"), optional=())
    age = top["age"].mapping(required=("basis",), optional=("cutoff",))
    cutoff, cutoff_cite = _cutoff(age.get("cutoff"), cites)
    return RuleSet(
        id=top["id"].text(),
        kind=choice(top["kind"], RuleKind),
        sport=top["sport"].text(),
        scope=top["scope"].text(),
        names=by_language(top["names"]),
        short_names=by_language(top["short_names"]),
        aliases=_aliases(top["aliases"]),
        source=_known_source(top["source"], sources),
        age_basis=choice(age["basis"], AgeBasis),
        age_cutoff=cutoff,
        age_cutoff_cite=cutoff_cite,
        rest_count=choice(rest_count["unit"], RestCount),
        rest_count_cite=cites.cite(rest_count["cite"]),
        groups=tuple(_group(group, cites) for group in top["groups"]),
        side=_side(top["side"], cites) if "side" in top else SideRules(),
        notes=by_language(top["notes"]) if "notes" in top else {},
        youngest_row_is_floor=_yes(top, "youngest_row_is_floor"),
        counts_practice=_yes(top, "counts_practice"),
    )


def _aliases(node: Node) -> dict[str, tuple[str, ...]]:
    fields = node.mapping(required=LANGUAGES, optional=())
    return {language: words.words() for language, words in fields.items()}


def _cutoff(node: Node | None, cites: Cites) -> tuple[tuple[int, int] | None, Cite | None]:
    if node is None:
        return None, None
    fields = node.mapping(required=("month", "day", "cite"), optional=())
    day = (fields["month"].integer(), fields["day"].integer())
    return day, cites.cite(fields["cite"])


def _known_source(node: Node, sources: Mapping[str, Source]) -> str:
    key = node.text()
    if key not in sources:
        raise node.fail(f"no source '{key}' in the register", "add it to sources.yaml")
    return key


def _group(node: Node, cites: Cites) -> Group:
    fields = node.mapping(required=("id",), optional=_GROUP_KEYS)
    rest = (
        fields["rest"].mapping(_REST_KEYS, ("ends_at_maximum", "partial"))
        if "rest" in fields
        else {}
    )
    return Group(
        id=fields["id"].text(),
        ages=_ages(fields.get("ages")),
        divisions=fields["divisions"].words() if "divisions" in fields else (),
        levels=fields["levels"].words() if "levels" in fields else (),
        daily_max=cites.figure_if(fields, "daily_max"),
        game_max=cites.figure_if(fields, "game_max"),
        bands=_bands(rest, cites) if rest else (),
        stricter_than_younger_note=_text_if(fields, "older_is_stricter"),
        innings=_innings(fields["innings"], cites) if "innings" in fields else None,
        week_max=cites.figure_if(fields, "week_max"),
        four_day_max=cites.figure_if(fields, "four_day_max"),
        season_max=cites.figure_if(fields, "season_max"),
        year_max=cites.figure_if(fields, "year_max"),
        throwing_days_per_week=cites.figure_if(fields, "throwing_days_per_week"),
        later_day_max=tuple(map(cites.figure, _items_if(fields, "later_day_max"))),
        no_count_beyond_max=_yes(rest, "ends_at_maximum"),
        partial_bands_note=_text_if(rest, "partial"),
        may_not_pitch=cites.cite_if(fields, "may_not_pitch"),
    )


def _text_if(fields: Mapping[str, Node], key: str) -> str:
    return fields[key].text() if key in fields else ""


def _yes(fields: Mapping[str, Node], key: str) -> bool:
    return key in fields and fields[key].boolean()


def _items_if(fields: Mapping[str, Node], key: str) -> tuple[Node, ...]:
    return fields[key].items() if key in fields else ()


def _bands(rest: Mapping[str, Node], cites: Cites) -> tuple[RestBand, ...]:
    """The bands of a row, each with its own origin or the table's."""
    table = cites.cite(rest["cite"])
    bands = []
    for node in rest["bands"]:
        fields = node.mapping(required=("pitches", "rest"), optional=("cite",))
        first, last = _span(fields["pitches"])
        own = cites.cite_if(fields, "cite") or table
        bands.append(RestBand(first, last, fields["rest"].integer(), own))
    return tuple(bands)


def _innings(node: Node, cites: Cites) -> InningsRule:
    fields = node.mapping(required=("cite",), optional=("bars_next_day", *_INNINGS))
    pairs = [
        pair.mapping(required=("outs", "days"), optional=())
        for pair in _items_if(fields, "bars_next_day")
    ]
    outs = {key: fields[key].integer() for key in _INNINGS if key in fields}
    return InningsRule(
        outs_to_pitch_next_day=outs.get("outs_to_pitch_next_day"),
        outs_per_day=outs.get("outs_per_day"),
        outs_per_two_days=outs.get("outs_per_two_days"),
        outs_per_three_days=outs.get("outs_per_three_days"),
        outs_per_week=outs.get("outs_per_week"),
        cite=cites.cite(fields["cite"]),
        bars_next_day=tuple((pair["outs"].integer(), pair["days"].integer()) for pair in pairs),
    )


def _side(node: Node, cites: Cites) -> SideRules:
    fields = node.mapping(optional=_SIDE_KEYS)
    second = _second_game(fields.get("second_game"), cites)
    pair = fields.get("appearances")
    most = (cites.figure(pair, "most"), cites.figure(pair, "within")) if pair else None
    return SideRules(
        consecutive_days=cites.figure_if(fields, "consecutive_days"),
        rest_after_two_days=cites.figure_if(fields, "rest_after_two_days"),
        appearances=most,
        second_game=second[0],
        second_game_first_at_most=second[1],
        second_game_cite=second[2],
        finish_batter=cites.cite_if(fields, "finish_batter"),
        rest_by_first_pitch_of_last_batter=cites.cite_if(fields, _LAST_BATTER),
        intentional_walk_pitches=cites.figure_if(fields, "intentional_walk_pitches"),
        pitcher_to_catcher_bar=cites.figure_if(fields, "pitcher_to_catcher_bar"),
        catcher_to_pitcher_bar=cites.figure_if(fields, "catcher_to_pitcher_bar"),
        catch_pitch_catch_bar=tuple(
            (
                entry.mapping(required=("from_age",))["from_age"].integer(),
                cites.figure(entry, "pitches"),
            )
            for entry in _items_if(fields, "catch_pitch_catch")
        ),
        never_pitch_and_catch=cites.cite_if(fields, "never_pitch_and_catch"),
        next_day_bar=cites.figure_if(fields, "next_day_bar"),
        return_to_mound=tuple(
            _returning(entry, cites) for entry in _items_if(fields, "return_to_mound")
        ),
        one_team_at_a_time=cites.cite_if(fields, "one_team_at_a_time"),
        innings_not_pitches_note=cites.cite_if(fields, "innings_not_pitches_note"),
        no_catching_on_rest_days=cites.cite_if(fields, "no_catching_on_rest_days"),
        avoid_catching=cites.cite_if(fields, "avoid_catching"),
    )


def _second_game(
    node: Node | None, cites: Cites
) -> tuple[SecondGame | None, Figure | None, Cite | None]:
    if node is None:
        return None, None, None
    fields = node.mapping(required=("mode", "cite"), optional=("first_at_most",))
    cite = cites.cite(fields["cite"])
    limit = fields.get("first_at_most")
    return (
        choice(fields["mode"], SecondGame),
        Figure(limit.integer(), cite) if limit else None,
        cite,
    )


def _returning(node: Node, cites: Cites) -> tuple[int, str, Cite]:
    fields = node.mapping(required=("from_age", "times", "cite"), optional=())
    times = fields["times"].text()
    if times not in ("no", "once"):
        raise fields["times"].fail(f"'{times}' is not known here", "use no or once")
    return fields["from_age"].integer(), times, cites.cite(fields["cite"])


def _ages(node: Node | None) -> tuple[int, int] | None:
    if node is None:
        return None
    ages = [age.integer() for age in node]
    if len(ages) != 2 or ages[0] > ages[1]:
        raise node.fail("ages are the youngest and the oldest", "write such as [9, 10]")
    return ages[0], ages[1]


def _span(node: Node) -> tuple[int, int | None]:
    """'21-35' or '66+'."""
    text = node.text()
    first, _, last = text.partition("-")
    if text.endswith("+") and text[:-1].isdecimal():
        return int(text[:-1]), None
    if not (first.isdecimal() and last.isdecimal() and int(first) <= int(last)):
        raise node.fail(f"'{text}' is no span of pitches", "write such as 21-35 or 66+")
    return int(first), int(last)
