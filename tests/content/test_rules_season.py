"""Season content, pitch types, sources and the clinic: shipped files and broken ones."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from armbot.content.clinic import load_clinic
from armbot.content.season import load_pitch_types, load_season
from armbot.content.sources import load_sources
from armbot.content.strict import ContentError
from armbot.model.cite import Seen
from armbot.model.season import OffFrom

CONTENT = Path(__file__).parents[2] / "content"
SOURCES = load_sources(CONTENT / "sources.yaml")


def test_innings_limits() -> None:
    """mlb-usab pages: 60 to age 8, 80 to 12, 100 to 18, no number after."""
    limits = load_season(CONTENT / "season", SOURCES).innings
    found = {row.ages: row.innings.value if row.innings else None for row in limits}
    assert found == {(0, 8): 60, (9, 12): 80, (13, 14): 100, (15, 18): 100, (19, 22): None}


def test_months_off() -> None:
    """mlb-usab pages: four months to 18, from all throwing to 14; three at 19 to 22."""
    rows = load_season(CONTENT / "season", SOURCES).months_off
    assert [row.off_months.value for row in rows] == [4, 4, 4, 4, 3]
    assert [row.off_from is OffFrom.ALL_THROWING for row in rows] == [
        True,
        True,
        True,
        False,
        False,
    ]


def test_weekly_caps_of_2006() -> None:
    """usab-2006-limits: 75, 100 and 125 a week; 1000 a season; 2000 and 3000 a year."""
    caps = {cap.id: cap for cap in load_season(CONTENT / "season", SOURCES).caps}
    found = {name: cap.most.value for name, cap in caps.items() if cap.most}
    assert [found[f"usab_2006_week_{ages}"] for ages in ("9_10", "11_12", "13_14")] == [
        75,
        100,
        125,
    ]
    assert found["usab_2006_season"] == 1000
    assert (found["usab_2006_year_9_10"], found["usab_2006_year_11_14"]) == (2000, 3000)


def test_sports_that_rest_the_arm() -> None:
    """Common practice: swimming and racquet sports are no rest, soccer and running are."""
    sports = {sport.id: sport for sport in load_season(CONTENT / "season", SOURCES).sports}
    assert not any(sports[name].rests_arm for name in ("swimming", "tennis", "racquet", "softball"))
    assert all(sports[name].rests_arm for name in ("soccer", "running", "cycling"))
    assert {sport.cite.seen for sport in sports.values()} == {Seen.COMMON}


def test_findings_say_what_was_measured() -> None:
    """Each ratio says in whom and what was measured, and carries a caution, in both languages."""
    findings = load_season(CONTENT / "season", SOURCES).findings
    by_id = {finding.id: finding for finding in findings}
    assert (by_id["over_100_innings"].multiple, by_id["over_100_innings"].interval) == (
        "3.5",
        "1.16 to 10.44",
    )
    assert by_id["over_80_pitches"].cite.seen is Seen.MEMORY
    for finding in findings:
        for text in (finding.exposure, finding.measured, finding.people, finding.caution):
            assert set(text) == {"en", "es"}


def test_register_is_whole() -> None:
    """Every entry names body, title, year and kind; common practice has an entry of its own."""
    assert len(SOURCES) >= 137
    assert "common-practice" in SOURCES
    for key, source in SOURCES.items():
        assert source.key == key
        assert source.body
        assert source.title
        assert source.short.startswith(source.body)


def test_clinic_is_marked_as_a_demo() -> None:
    """The shipped clinic is invented and says so; its number is a fictional one."""
    clinic = load_clinic(CONTENT / "clinic.yaml")
    assert clinic.demo
    assert (clinic.phone, clinic.emergency_number) == ("555-0100", "911")
    assert "physician" in clinic.who_may_clear


@pytest.mark.parametrize(
    ("name", "old", "new", "words"),
    [
        ("innings.yaml", "ages: [9, 12]", "ages: [10, 12]", "do not follow"),
        ("innings.yaml", "innings: 80", "innings: eighty", "not a whole number"),
        ("months_off.yaml", "run_weeks: {value: 4, cite: to_22}", "", "given once"),
        ("months_off.yaml", "off_from: all_throwing", "off_from: throwing", "not known here"),
        ("pitch_caps.yaml", "most: {value: 75, cite: usab_2006}", "", "needs one measure"),
        ("pitch_caps.yaml", "id: usab_2006_season", "id: usab_2006_week_9_10", "stands twice"),
        ("overhead_sports.yaml", "rests_arm: false", "rests_arm: no", "neither true nor false"),
        ("overhead_sports.yaml", '"swim team"', '"Swim Team"', "lower case"),
        ("study_findings.yaml", "    multiple:", "    times:", "'multiple' is missing"),
        ("innings_only.yaml", "ages: [13, 22]", "ages: [12, 22]", "do not follow"),
    ],
)
def test_mistake_in_a_season_file(
    tmp_path: Path, name: str, old: str, new: str, words: str
) -> None:
    """A broken season file is refused, with the file and a line."""
    folder = tmp_path / "season"
    shutil.copytree(CONTENT / "season", folder)
    text = (folder / name).read_text(encoding="utf-8")
    assert old in text
    (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(ContentError, match=words) as caught:
        load_season(folder, SOURCES)
    assert caught.value.path.name == name
    assert caught.value.line > 1


def test_careful_age_is_never_below_print(tmp_path: Path) -> None:
    """A curveball age below the 14 read in print is refused."""
    text = (CONTENT / "pitch_types" / "pitch_types.yaml").read_text(encoding="utf-8")
    broken = tmp_path / "pitch_types.yaml"
    old = "careful_age: {value: 14, cite: handout}"
    assert old in text
    broken.write_text(text.replace(old, old.replace("14", "12")), encoding="utf-8")
    with pytest.raises(ContentError, match="careful age 12 is below"):
        load_pitch_types(broken, SOURCES)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('phone: "555-0100"', 'phone: "call us"', "cannot be dialled"),
        ("time_zone: America/Chicago", "time_zone: Chicago", "no time zone"),
        ("[physician, physical_therapist, athletic_trainer]", "[]", "nobody may clear"),
        ("demo: true", "", "'demo' is missing"),
    ],
)
def test_mistake_in_the_clinic_file(tmp_path: Path, old: str, new: str, words: str) -> None:
    """A broken clinic file is refused."""
    text = (CONTENT / "clinic.yaml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "clinic.yaml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(ContentError, match=words):
        load_clinic(path)
