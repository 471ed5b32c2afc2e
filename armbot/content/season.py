"""Reads content/season/*.yaml and content/pitch_types/pitch_types.yaml."""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.content.sources import LANGUAGES, Cites, by_language, choice, read_cites
from armbot.content.strict import Node, load
from armbot.model.season import (
    Ages,
    CapSpan,
    InningsLimit,
    InningsRest,
    MonthsAdvice,
    MonthsOff,
    OffFrom,
    PitchAge,
    PitchCap,
    PitchType,
    Season,
    Sport,
    StudyFinding,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from armbot.model.cite import Source
    from armbot.model.rules import Figure


def load_season(folder: Path, sources: Mapping[str, Source]) -> Season:
    """Read every season file of ``folder``.

    Raises ContentError (file, line, problem, remedy) for a mistake in shape, origin or
    meaning: ages must run on without a gap, a doubled id is refused.
    """

    def read(name: str, *keys: str) -> tuple[dict[str, Node], Cites]:
        fields = load(folder / name).mapping(required=("cites", *keys), optional=())
        return fields, read_cites(fields["cites"], sources)

    innings, innings_cites = read("innings.yaml", "limits")
    months, months_cites = read("months_off.yaml", "rows", "advice", "pitching_months_most")
    sports, sports_cites = read("overhead_sports.yaml", "sports")
    caps, caps_cites = read("pitch_caps.yaml", "caps")
    findings, findings_cites = read("study_findings.yaml", "findings")
    fallback, fallback_cites = read("innings_only.yaml", "rows")
    season = Season(
        innings=tuple(_innings(node, innings_cites) for node in innings["limits"]),
        months_off=tuple(_months_off(node, months_cites) for node in months["rows"]),
        months_advice=tuple(_advice(node, months_cites) for node in months["advice"]),
        pitching_months_most=months_cites.figure(months["pitching_months_most"]),
        sports=tuple(_sport(node, sports_cites) for node in sports["sports"]),
        caps=tuple(_cap(node, caps_cites) for node in caps["caps"]),
        findings=tuple(_finding(node, findings_cites) for node in findings["findings"]),
        innings_rest=tuple(_innings_rest(node, fallback_cites) for node in fallback["rows"]),
    )
    _ages_run_on(innings["limits"], [row.ages for row in season.innings])
    _ages_run_on(months["rows"], [row.ages for row in season.months_off])
    _ages_run_on(fallback["rows"], [row.ages for row in season.innings_rest])
    for place, ids in (
        (months["advice"], [row.id for row in season.months_advice]),
        (sports["sports"], [row.id for row in season.sports]),
        (caps["caps"], [row.id for row in season.caps]),
        (findings["findings"], [row.id for row in season.findings]),
    ):
        _no_doubles(place, ids)
    return season


def _ages_run_on(place: Node, rows: list[Ages]) -> None:
    """Every age between the first and the last row stands in exactly one of them."""
    for node, lower, upper in zip(place.items()[1:], rows, rows[1:], strict=False):
        if upper[0] != lower[1] + 1:
            raise node.fail(
                f"ages {upper[0]} to {upper[1]} do not follow {lower[0]} to {lower[1]}",
                "let each row start one year after the one before",
            )


def _no_doubles(place: Node, ids: Iterable[str]) -> None:
    seen: set[str] = set()
    for node, name in zip(place.items(), ids, strict=True):
        if name in seen:
            raise node.fail(f"the id '{name}' stands twice", "keep one of the two")
        seen.add(name)


def _ages(node: Node) -> Ages:
    ages = [age.integer() for age in node]
    if len(ages) != 2 or ages[0] > ages[1]:
        raise node.fail("ages are the youngest and the oldest", "write such as [9, 12]")
    return ages[0], ages[1]


def _innings(node: Node, cites: Cites) -> InningsLimit:
    fields = node.mapping(required=("ages", "cite"), optional=("innings",))
    cite = cites.cite(fields["cite"])
    limit = cites.figure(node, "innings") if "innings" in fields else None
    return InningsLimit(_ages(fields["ages"]), limit, cite)


def _months_off(node: Node, cites: Cites) -> MonthsOff:
    fields = node.mapping(
        required=("ages", "off_months", "off_from"),
        optional=("run_months_least", "run_months_better", "run_weeks"),
    )
    least = cites.figure_if(fields, "run_months_least")
    better = cites.figure_if(fields, "run_months_better") or least
    weeks = cites.figure_if(fields, "run_weeks")
    if (least is None) == (weeks is None):
        raise node.fail(
            "time off in a row is given once", "give run_months_least or run_weeks, not both"
        )
    return MonthsOff(
        ages=_ages(fields["ages"]),
        off_months=cites.figure(fields["off_months"]),
        off_from=choice(fields["off_from"], OffFrom),
        run_months=(least, better) if least and better else None,
        run_weeks=weeks,
    )


def _advice(node: Node, cites: Cites) -> MonthsAdvice:
    fields = node.mapping(required=("id", "months", "says"), optional=())
    return MonthsAdvice(
        fields["id"].text(), cites.figure(fields["months"]), by_language(fields["says"])
    )


def words_by_language(node: Node) -> dict[str, tuple[str, ...]]:
    """A list of words in each language, lower case."""
    fields = node.mapping(required=LANGUAGES, optional=())
    for words in fields.values():
        for word in words:
            if word.text() != word.text().lower():
                raise word.fail(f"'{word.text()}'", "write aliases in lower case")
    return {language: words.words() for language, words in fields.items()}


def _sport(node: Node, cites: Cites) -> Sport:
    fields = node.mapping(required=("id", "names", "aliases", "rests_arm", "cite"), optional=())
    return Sport(
        id=fields["id"].text(),
        names=by_language(fields["names"]),
        aliases=words_by_language(fields["aliases"]),
        rests_arm=fields["rests_arm"].boolean(),
        cite=cites.cite(fields["cite"]),
    )


def _cap(node: Node, cites: Cites) -> PitchCap:
    fields = node.mapping(
        required=("id", "span", "ages", "counts_practice", "names"),
        optional=("most", "most_per_year_of_age"),
    )
    if ("most" in fields) == ("most_per_year_of_age" in fields):
        raise node.fail("a cap needs one measure", "give most or most_per_year_of_age, not both")
    return PitchCap(
        id=fields["id"].text(),
        span=choice(fields["span"], CapSpan),
        ages=_ages(fields["ages"]),
        most=cites.figure_if(fields, "most"),
        most_per_year_of_age=cites.figure_if(fields, "most_per_year_of_age"),
        counts_practice=fields["counts_practice"].boolean(),
        names=by_language(fields["names"]),
    )


def _finding(node: Node, cites: Cites) -> StudyFinding:
    texts = ("exposure", "measured", "people", "caution")
    fields = node.mapping(required=("id", "multiple", "cite", *texts), optional=("interval",))
    return StudyFinding(
        id=fields["id"].text(),
        exposure=by_language(fields["exposure"]),
        measured=by_language(fields["measured"]),
        people=by_language(fields["people"]),
        multiple=fields["multiple"].text(),
        interval=fields["interval"].text() if "interval" in fields else "",
        cite=cites.cite(fields["cite"]),
        caution=by_language(fields["caution"]),
    )


def _innings_rest(node: Node, cites: Cites) -> InningsRest:
    fields = node.mapping(required=("ages", "from_outs", "rest"), optional=("most_outs",))
    most = fields.get("most_outs")
    return InningsRest(
        ages=_ages(fields["ages"]),
        from_outs=fields["from_outs"].integer(),
        most_outs=most.integer() if most else None,
        rest=cites.figure(fields["rest"]),
    )


def load_pitch_types(path: Path, sources: Mapping[str, Source]) -> dict[str, PitchType]:
    """Read the pitch types: id to pitch type, youngest first.

    Raises ContentError; also where the careful age is below a confirmed opinion, since
    an answer must not be looser than what was read in print.
    """
    fields = load(path).mapping(required=("cites", "pitch_types"), optional=())
    cites = read_cites(fields["cites"], sources)
    found: dict[str, PitchType] = {}
    for node in fields["pitch_types"]:
        pitch = _pitch_type(node, cites)
        if pitch.id in found:
            raise node.fail(f"the id '{pitch.id}' stands twice", "keep one of the two")
        found[pitch.id] = pitch
    return dict(sorted(found.items(), key=lambda item: item[1].careful_age.value))


def _pitch_type(node: Node, cites: Cites) -> PitchType:
    fields = node.mapping(
        required=("id", "names", "aliases", "careful_age", "opinions", "notes"), optional=()
    )
    careful = cites.figure(fields["careful_age"])
    opinions = tuple(_opinion(opinion, cites) for opinion in fields["opinions"])
    _not_looser(fields["careful_age"], careful, opinions)
    return PitchType(
        id=fields["id"].text(),
        names=by_language(fields["names"]),
        aliases=words_by_language(fields["aliases"]),
        careful_age=careful,
        opinions=opinions,
        notes=by_language(fields["notes"]),
    )


def _opinion(node: Node, cites: Cites) -> PitchAge:
    fields = node.mapping(required=("age", "says", "cite"), optional=())
    return PitchAge(cites.figure(node, "age"), by_language(fields["says"]))


def _not_looser(place: Node, careful: Figure, opinions: Iterable[PitchAge]) -> None:
    for opinion in opinions:
        if opinion.age.cite.confirmed and careful.value < opinion.age.value:
            raise place.fail(
                f"careful age {careful.value} is below the {opinion.age.value} read in print",
                "the more careful age answers",
            )
