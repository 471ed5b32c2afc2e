"""The settings of reminders and their words: sourced, whole in both languages, and few."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from conversation import ROOT, grammar

from armbot.content.readability import reading_level, too_hard
from armbot.content.reminders import load_reminders
from armbot.content.sources import load_sources
from armbot.content.strict import ContentError
from armbot.engine.reminder_people import OWN
from armbot.model.cite import Seen
from armbot.model.reminders import Limit, ReminderKind

if TYPE_CHECKING:
    from pathlib import Path

FILE = ROOT / "content" / "reminders" / "reminders.yaml"
SOURCES = load_sources(ROOT / "content" / "sources.yaml")


def test_every_kind_has_its_hour_and_its_limit_of_use() -> None:
    """The default hours of the family's day, all outside the default quiet hours."""
    kinds = grammar().library.reminders.kinds
    assert {kind: found.hour.value for kind, found in kinds.items()} == {
        "seen": 10, "planned": 18, "arm": 8, "eligible": 9, "rest": 19, "off": 17, "limits": 20,
    }  # fmt: skip
    assert all(found.names.keys() == {"en", "es"} for found in kinds.values())


def test_hours_are_marked_as_common_practice_and_medical_figures_are_sourced() -> None:
    """No published source says when to remind; soreness rest and practice days have one."""
    found = grammar().library.reminders
    assert {kind.hour.cite.seen for kind in found.kinds.values()} == {Seen.COMMON}
    assert found.soreness.least.cite.source == "ud-pitcher"
    assert found.soreness.strict.cite.source == "pt-soreness-variant"
    assert (found.soreness.least.value, found.soreness.strict.value) == (1, 2)
    assert (found.limits.days_running.value, found.limits.days_running.cite.source) == (
        6,
        "jrubber",
    )


def test_follow_ups_are_few() -> None:
    """The day after, then every three days, four in all: ten days."""
    plan = grammar().library.reminders.follow_ups
    assert (plan.first_day.value, plan.every_days.value, plan.most.value) == (1, 3, 4)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("hour: {value: 19,", "hour: {value: 24,", "no hour of the day"),
        ("useful_hours: {value: 14,", "useful_hours: {value: 0,", "never let it come"),
        ("- id: rest", "- id: nap", "'nap' is not known"),
        ("- id: rest", "- id: arm", "stands twice"),
        ("kept_days: {value: 42,", "kept_days: {value: 28,", "no longer than the 28"),
        ("strict: {value: 2,", "strict: {value: 0,", "is below 1"),
        ("near_percent: {value: 90,", "near_percent: {value: 190,", "is no share"),
        ("usual_month: {value: 11,", "usual_month: {value: 13,", "is no month"),
        ("[game, bullpen, lesson]", "[game, pinball]", "'pinball' is not known"),
        ("    teams: {value: 28, cite: usual}\n", "", "'teams' is missing"),
        ("source: jrubber", "source: nobody", "no source 'nobody'"),
        ("can_wait: true", "can_wait: maybe", "neither true nor false"),
    ],
)
def test_a_mistake_in_the_settings_is_told_with_its_line(
    tmp_path: Path, old: str, new: str, words: str
) -> None:
    """A broken file is refused, with the line and a remedy."""
    text = FILE.read_text("utf-8")
    assert old in text
    broken = tmp_path / "reminders.yaml"
    broken.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(ContentError, match=words) as caught:
        load_reminders(broken, SOURCES)
    assert caught.value.line > 1
    assert " -- " in str(caught.value)


def test_a_kind_left_out_is_missed(tmp_path: Path) -> None:
    """All seven have to be there."""
    text = FILE.read_text("utf-8")
    start, end = text.index("  - id: limits"), text.index("# Outings that the next morning")
    broken = tmp_path / "reminders.yaml"
    broken.write_text(text[:start] + "\n" + text[end:], "utf-8")
    with pytest.raises(ContentError, match="the kind 'limits' is missing"):
        load_reminders(broken, SOURCES)


def phrases(lang: str) -> dict[str, str]:
    """What reminders say."""
    known = grammar().library.words.phrases[lang]
    return {key: text for key, text in known.items() if key.startswith(("rem_", "off_"))}


@pytest.mark.parametrize("lang", ["en", "es"])
def test_no_reminder_shouts_or_promises(lang: str) -> None:
    """No exclamation marks, nobody cheered, nothing certain about an arm."""
    for key, text in phrases(lang).items():
        assert "!" not in text, key
        assert not re.search(r"(?i)\b(guarantee|definitely|100|garantiz|seguro que)\b", text), key


@pytest.mark.parametrize("lang", ["en", "es"])
def test_reminders_are_easy_to_read(lang: str) -> None:
    """Grade 6 or lower in English; 70 or more on the Spanish scale (as content/contract.yaml)."""
    prose = [
        re.sub(r"\{[a-z_]+\}", "Kai", text).replace("**", "")
        for key, text in phrases(lang).items()
        if not key.startswith("rem_b_") and len(text.split()) > 6
    ]
    limit = {"en": 6, "es": 70}[lang]
    whole = " ".join(prose)
    assert not too_hard(whole, lang, limit), reading_level(whole, lang)


def test_a_phrase_to_the_athlete_stands_beside_one_about_the_athlete() -> None:
    """No key in the second person is an orphan."""
    for lang in ("en", "es"):
        known = grammar().library.words.phrases[lang]
        for key in phrases(lang):
            if key.endswith(OWN):
                assert key.removesuffix(OWN) in known, key


def test_to_the_athlete_the_name_is_not_said() -> None:
    """It is your arm, not Kai's arm, in what is said to Kai; reports in Kai's words keep it."""
    for lang in ("en", "es"):
        for key, text in phrases(lang).items():
            if key.endswith(OWN):
                assert "{name}" not in text, key


@pytest.mark.parametrize("lang", ["en", "es"])
def test_every_button_label_is_short(lang: str) -> None:
    """Two or three side by side on a phone: 22 characters (common practice)."""
    for key, text in phrases(lang).items():
        if key.startswith("rem_b_"):
            assert len(text) <= 22, key


def test_kinds_and_limits_are_those_of_the_model() -> None:
    """What settings and the record name them by: changing one would lose what was muted."""
    assert [str(kind) for kind in ReminderKind] == [
        "seen", "planned", "arm", "eligible", "rest", "off", "limits",
    ]  # fmt: skip
    assert {str(limit) for limit in Limit} == {"innings", "months", "week", "days", "teams"}
