"""Reads the whole content base into one frozen Library."""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.content.clinic import load_clinic
from armbot.content.contract import Importance, load_contract, missing_files
from armbot.content.learned import load_numbers
from armbot.content.paths import content_folder
from armbot.content.problems import Problems
from armbot.content.reminders import load_reminders
from armbot.content.rules import load_rules
from armbot.content.season import load_pitch_types, load_season
from armbot.content.signoff import load_items
from armbot.content.sources import LANGUAGES, load_sources
from armbot.content.symptoms import load_public_signs, load_report_examples, load_tier_rules
from armbot.content.topics import load_topics
from armbot.content.words import merge, read_word_files
from armbot.model.library import Library

if TYPE_CHECKING:
    from pathlib import Path

    from armbot.model.words import Words


def load_library(folder: Path | None = None, *, for_learning: bool = False) -> Library:
    """Read a content base, by default the one this package came with.

    Raises ContentError (file, line, problem, remedy) for the first mistake in shape or
    origin. Whether it hangs together and reads well is the check's business
    (armbot.content.check), which takes longer and lists every mistake.

    ``for_learning`` reads the example reports, which answering does not need, in place of
    the numbers learned from them.
    """
    base = folder or content_folder()
    sources = load_sources(base / "sources.yaml")
    symptoms = base / "symptoms"
    return Library(
        sources=sources,
        clinic=load_clinic(base / "clinic.yaml"),
        rules=load_rules(base / "rules", sources),
        season=load_season(base / "season", sources),
        reminders=load_reminders(base / "reminders" / "reminders.yaml", sources),
        pitch_types=load_pitch_types(base / "pitch_types" / "pitch_types.yaml", sources),
        topics=load_topics(base / "topics", sources),
        tier_rules=load_tier_rules(symptoms / "tiers.yaml", sources),
        public_signs=load_public_signs(symptoms / "signs.yaml"),
        report_examples=load_report_examples(symptoms / "examples") if for_learning else (),
        words=_words(base),
        items=load_items(base),
        languages=LANGUAGES,
        learned=None if for_learning else load_numbers(base),
    )


def _words(base: Path) -> Words:
    """The word lists, once every required file is there."""
    problems = Problems()
    files = read_word_files(base / "words", problems)
    contract = load_contract(base / "contract.yaml")
    problems.extend(missing_files(contract, files, base / "words", Importance.REQUIRED))
    return merge(files, problems)
