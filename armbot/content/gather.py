"""Reads a content base to the end in spite of mistakes, and keeps the place of every part."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from armbot.content.clinic import load_clinic
from armbot.content.contract import Contract, load_contract
from armbot.content.reminders import load_reminders
from armbot.content.rule_checks import check_aliases, problems
from armbot.content.rules import _rule_set as read_rule_set
from armbot.content.season import load_pitch_types, load_season
from armbot.content.signoff import load_items
from armbot.content.sources import LANGUAGES, load_sources
from armbot.content.strict import ContentError, Node, load
from armbot.content.symptoms import load_public_signs, read_report_examples, read_tier_rules
from armbot.content.topics import TopicFiles, read_topics
from armbot.content.words import Files, merge, read_word_files
from armbot.model.library import Library, ReportExample
from armbot.model.reminders import Reminders
from armbot.model.season import Season

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from armbot.content.problems import Problems
    from armbot.model.cite import Source
    from armbot.model.clinic import Clinic
    from armbot.model.reports import TierRule
    from armbot.model.rules import RuleSet
    from armbot.model.season import PitchType
    from armbot.model.signoff import ContentItem
    from armbot.model.words import Words

Read = TypeVar("Read")


@dataclass(frozen=True, slots=True)
class Base:
    """What could be read of a content base, with its places."""

    folder: Path
    contract: Contract
    clinic: Clinic
    sources: Mapping[str, Source]
    rules: Mapping[str, RuleSet]
    season: Season
    reminders: Reminders | None
    pitch_types: Mapping[str, PitchType]
    topics: Mapping[str, TopicFiles]
    tier_rules: list[tuple[TierRule, Node]]
    public_signs: Mapping[str, str]
    report_examples: list[tuple[ReportExample, Node]]
    files: Files
    words: Words
    items: Mapping[str, ContentItem]

    @property
    def topic_names(self) -> frozenset[str]:
        """Every topic there is, also one with mistakes that could not be read."""
        return frozenset(path.name for path in (self.folder / "topics").glob("*/"))

    def library(self) -> Library:
        """The same as the bot would load it, without what could not be read."""
        return Library(
            sources=self.sources,
            clinic=self.clinic,
            rules=self.rules,
            season=self.season,
            reminders=self.reminders,  # type: ignore[arg-type]  # None is a mistake reported
            pitch_types=self.pitch_types,
            topics={name: files.topic for name, files in self.topics.items()},
            tier_rules=tuple(rule for rule, _ in self.tier_rules),
            public_signs=self.public_signs,
            report_examples=tuple(example for example, _ in self.report_examples),
            words=self.words,
            items=self.items,
            languages=LANGUAGES,
        )


def gather(folder: Path, problems: Problems) -> Base | None:
    """Read everything; mistakes go to ``problems``.

    None where the contract, the register of sources or the clinic's file cannot be read:
    nothing can be judged without them.
    """
    contract = _try(problems, lambda: load_contract(folder / "contract.yaml"), None)
    clinic = _try(problems, lambda: load_clinic(folder / "clinic.yaml"), None)
    sources = _try(problems, lambda: load_sources(folder / "sources.yaml"), None)
    if contract is None or clinic is None or sources is None:
        return None
    files = read_word_files(folder / "words", problems)
    symptoms = folder / "symptoms"
    return Base(
        folder=folder,
        contract=contract,
        clinic=clinic,
        sources=sources,
        rules=_rules(folder / "rules", sources, problems),
        season=_try(problems, lambda: load_season(folder / "season", sources), _NO_SEASON),
        reminders=_try(
            problems,
            lambda: load_reminders(folder / "reminders" / "reminders.yaml", sources),
            None,
        ),
        pitch_types=_try(
            problems,
            lambda: load_pitch_types(folder / "pitch_types" / "pitch_types.yaml", sources),
            {},
        ),
        topics=read_topics(folder / "topics", sources, problems),
        tier_rules=_try(
            problems, lambda: read_tier_rules(symptoms / "tiers.yaml", sources, problems), []
        ),
        public_signs=_try(problems, lambda: load_public_signs(symptoms / "signs.yaml"), {}),
        report_examples=read_report_examples(symptoms / "examples", problems),
        files=files,
        words=merge(files, problems),
        items=_try(problems, lambda: load_items(folder), {}),
    )


_NO_SEASON = Season(
    innings=(),
    months_off=(),
    months_advice=(),
    pitching_months_most=None,  # type: ignore[arg-type]  # never read: the mistake is reported
    sports=(),
    caps=(),
    findings=(),
    innings_rest=(),
)


def _try(problems: Problems, read: Callable[[], Read], otherwise: Read) -> Read:
    with problems.here():
        return read()
    return otherwise


def _rules(folder: Path, sources: Mapping[str, Source], found: Problems) -> dict[str, RuleSet]:
    """Every rule set that can be read; one with mistakes of meaning is kept."""
    rulesets: dict[str, RuleSet] = {}
    for path in sorted(folder.glob("*/rules.yaml")):
        with found.here():
            node = load(path)
            rules = read_rule_set(node, sources)
            if rules.id != path.parent.name:
                raise node.fail(
                    f"the id '{rules.id}' differs from its folder '{path.parent.name}'",
                    "give both the same name",
                )
            rulesets[rules.id] = rules
            found.extend(problems(rules, node))
    if not rulesets:
        found.add(ContentError(folder, 1, "no rule set found", "add <id>/rules.yaml"))
    found.extend(check_aliases(rulesets, folder))
    return rulesets
