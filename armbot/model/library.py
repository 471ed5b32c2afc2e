"""The whole content base, frozen: what every answer is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from armbot.model.cite import Source
from armbot.model.clinic import Clinic
from armbot.model.reminders import Reminders
from armbot.model.reports import TierRule
from armbot.model.rules import RuleSet
from armbot.model.season import PitchType, Season
from armbot.model.signoff import ContentItem
from armbot.model.topics import Topic
from armbot.model.words import Words


@dataclass(frozen=True, slots=True)
class ReportExample:
    """A message that reports (or seems to report) a sign, with its tier and sign."""

    text: str
    tier: str
    sign: str
    lang: str


@dataclass(frozen=True, slots=True)
class Library:
    """Everything content/ holds, checked and read-only."""

    sources: Mapping[str, Source]
    clinic: Clinic
    rules: Mapping[str, RuleSet]
    season: Season
    reminders: Reminders
    pitch_types: Mapping[str, PitchType]
    topics: Mapping[str, Topic]
    tier_rules: tuple[TierRule, ...]
    public_signs: Mapping[str, str]
    """The finer signs of the word lists -> the name reports carry ("" = none)."""
    report_examples: tuple[ReportExample, ...]
    words: Words
    items: Mapping[str, ContentItem]
    """Signable items by id."""
    languages: tuple[str, ...] = ("en", "es")
    learned: object = None
    """The second reader's numbers, an armbot.language.second.Learned; None before learning."""

    def phrase(self, lang: str, key: str) -> str:
        """What the bot says under ``key``. Raises KeyError for a key no language has."""
        return self.words.phrases[lang][key]
