"""The clinic's commands and the content's commands, as printed."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from command import armbot_command
from conversation import NOW, ROOT, after, grammar, new_family, phrase

from armbot import cli, commands
from armbot.app import open_store
from armbot.commands import Failure, list_reports, record_clearance
from armbot.language.patterns import PatternError
from armbot.model.family import Athlete, Family, Hold, Report
from armbot.model.reports import Tier
from armbot.store.base import NEW
from armbot.store.records import to_document

if TYPE_CHECKING:
    from pathlib import Path

TODAY = date(2026, 6, 10)
CHECK_DIGEST = re.compile(r"[0-9a-f]{64}")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Where the family of the test is kept."""
    return tmp_path / "data"


def keep(folder: Path, family: Family) -> None:
    """Put a family into the folder."""
    with open_store(folder) as store:
        store.commit(family.id, to_document(family), NEW)


def clear(folder: Path, role: str | None = "physician", athlete: str | None = None) -> None:
    """Record a clearance one hour after the report."""
    library, now = grammar().library, NOW + timedelta(hours=1)
    record_clearance(library, folder, "test", role=role, athlete=athlete, now=now)


def two_held() -> Family:
    """Sam and Ana, both on hold."""
    return replace(
        new_family(),
        athletes=(Athlete("a1", "Sam"), Athlete("a2", "Ana")),
        holds=(Hold("a1", NOW, Tier.STOP), Hold("a2", NOW, Tier.STOP_URGENT)),
    )


def test_a_clearance_is_said_and_listed(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The report stays, the hold does not."""
    keep(folder, after("he is 11 and his elbow hurts when he throws"))
    clear(folder)
    assert "The hold is over" in capsys.readouterr().out
    list_reports(folder, "test")
    lines = capsys.readouterr().out.splitlines()
    assert [line.split("  ")[0] for line in lines] == ["stop", "cleared"]
    assert lines[1].endswith("by: physician")


@pytest.mark.parametrize("role", ["Physical Therapist", "physical-therapist"])
def test_a_role_may_be_written_in_words(
    folder: Path, capsys: pytest.CaptureFixture[str], role: str
) -> None:
    """The settings write physical_therapist; a person need not."""
    keep(folder, after("his elbow hurts"))
    clear(folder, role)
    assert "physical therapist" in capsys.readouterr().out


def test_another_role_is_refused_in_the_words_of_the_bot(folder: Path) -> None:
    """It names who may."""
    keep(folder, after("his elbow hurts"))
    roles = ", ".join(grammar().library.clinic.who_may_clear)
    with pytest.raises(Failure) as caught:
        clear(folder, "coach")
    assert str(caught.value) == phrase("en", "cleared_role", role="coach", roles=roles)


def test_without_a_role_it_asks_for_one(folder: Path) -> None:
    """Nobody clears by default."""
    keep(folder, after("his elbow hurts"))
    with pytest.raises(Failure, match="--role with one of physician"):
        clear(folder, None)


def test_with_several_on_hold_the_athlete_has_to_be_named(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The names are offered; the one named is cleared, the other stays."""
    keep(folder, two_held())
    with pytest.raises(Failure, match="Sam, Ana"):
        clear(folder)
    clear(folder, athlete=" sam")
    assert "for Sam by physician" in capsys.readouterr().out
    list_reports(folder, "test")
    held = [line for line in capsys.readouterr().out.splitlines() if line.startswith("on hold")]
    assert len(held) == 1
    assert "Ana" in held[0]


def test_an_unknown_athlete_is_named_with_those_on_record(folder: Path) -> None:
    """A slip of the name clears nobody."""
    keep(folder, two_held())
    with pytest.raises(Failure, match="no athlete 'Tom' on record; on record: Sam, Ana"):
        clear(folder, athlete="Tom")


def test_without_a_hold_there_is_nothing_to_clear(folder: Path) -> None:
    """It says so, and keeps nothing."""
    keep(folder, after("hello"))
    with pytest.raises(Failure, match=phrase("en", "cleared_none")):
        clear(folder)


@pytest.mark.parametrize("act", [clear, lambda folder: list_reports(folder, "test")])
def test_a_folder_that_is_not_there_is_not_an_empty_record(tmp_path: Path, act: object) -> None:
    """The words "nothing was reported" must never come from a slip in the folder's name."""
    assert callable(act)
    with pytest.raises(Failure, match="no records in"):
        act(tmp_path / "elsewhere")
    assert not (tmp_path / "elsewhere").exists()


def test_reports_are_listed_most_urgent_first(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Tier, time, athlete, signs and what was said, on one line that steers no terminal."""
    early, late = NOW, NOW + timedelta(hours=5)
    reports = (
        Report(early, "a1", Tier.STOP, ("pain",), "hurts\nhere\x1b[2J"),
        Report(late, "", Tier.STOP, (), "again"),
        Report(early, "a2", Tier.EMERGENCY, ("deformity", "pain"), "bent"),
    )
    keep(folder, replace(two_held(), reports=reports, holds=()))
    list_reports(folder, "test")
    assert capsys.readouterr().out.splitlines() == [
        'emergency  2026-06-10 19:00-04:00  athlete: Ana  signs: deformity, pain  said: "bent"',
        'stop  2026-06-11 00:00-04:00  athlete: no athlete named  signs: none named  said: "again"',
        'stop  2026-06-10 19:00-04:00  athlete: Sam  signs: pain  said: "hurts here[2J"',
    ]


def test_no_report_is_said_in_words(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An empty screen could be a fault."""
    keep(folder, after("hello"))
    list_reports(folder, "test")
    assert capsys.readouterr().out == "nothing was reported\n"


def broken_content(tmp_path: Path) -> Path:
    """A copy of the content with one mistake in its clinic file."""
    copy = tmp_path / "content"
    shutil.copytree(ROOT / "content", copy)
    clinic = copy / "clinic.yaml"
    clinic.write_text(clinic.read_text("utf-8").replace('"555-0100"', '"call us"'), "utf-8")
    return copy


def test_the_content_check_names_file_line_problem_and_remedy(tmp_path: Path) -> None:
    """One line an error, and 1 at the end."""
    done = armbot_command("content", "check", str(broken_content(tmp_path)))
    assert done.returncode == 1
    assert re.search(r"clinic\.yaml:\d+: 'call us' cannot be dialled -- write digits", done.stdout)
    assert re.search(r"^\d+ errors$", done.stdout.splitlines()[-1])


def test_the_content_check_sums_up_the_signatures(capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is signed so far, and it says so; the shipped content has no error."""
    code = commands.check_content(ROOT / "content", TODAY)
    lines = capsys.readouterr().out.splitlines()
    count = len(grammar().library.items)
    assert lines == [
        f"sign-offs: 0 signed, {count} unsigned, 0 expired, 0 broken",
        "no errors",
    ]
    assert code == 0


def test_a_content_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    """2, for a check that could not be made."""
    done = armbot_command("content", "check", str(tmp_path / "nowhere"))
    assert done.returncode == 2
    assert "nowhere: no such folder" in done.stderr


def test_every_item_is_listed_with_its_digest(capsys: pytest.CaptureFixture[str]) -> None:
    """What a clinician copies into signoffs.yaml, one item a line."""
    assert commands.list_signoffs(TODAY) == 0
    rows = [line.split() for line in capsys.readouterr().out.splitlines()]
    assert {row[1]: row[2] for row in rows} == {
        item.id: item.digest for item in grammar().library.items.values()
    }
    assert {row[0] for row in rows} == {"unsigned"}
    assert all(CHECK_DIGEST.fullmatch(row[2]) for row in rows)


def test_a_labelled_file_is_scored_and_its_misses_listed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A wrong label is a miss that names id, check, wanted and found."""
    rows = [
        {"id": "m1", "text": "his elbow hurts when he throws", "label": "stop"},
        {"id": "m2", "text": "his elbow hurts when he throws", "label": "ask"},
    ]
    path = tmp_path / "labelled.jsonl"
    path.write_text("".join(json.dumps(row) + "\n" for row in rows), "utf-8")
    commands.evaluate_file(grammar(), path)
    out = capsys.readouterr().out
    assert re.search(r"^tier +1 of 2 +50\.0 %$", out, re.MULTILINE)
    assert "m2  tier: wanted ask, found stop  | his elbow hurts" in out
    assert "m1" not in out


def test_a_file_that_is_not_labelled_is_refused_with_its_line(tmp_path: Path) -> None:
    """2, and no traceback."""
    path = tmp_path / "labelled.jsonl"
    path.write_text('{"id": "m1", "text": "a", "label": "urgent"}\n', "utf-8")
    done = armbot_command("content", "evaluate", str(path))
    assert done.returncode == 2
    assert "labelled.jsonl:1: field 'label': 'urgent' is none of benign" in done.stderr
    missing = armbot_command("content", "evaluate", str(tmp_path / "none.jsonl"))
    assert missing.returncode == 2
    assert "none.jsonl: No such file" in missing.stderr


def test_content_that_cannot_be_compiled_is_told_without_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """2, and where to look."""

    def unreadable(_library: object) -> None:
        raise PatternError("pattern '..' must begin and end with a word")

    monkeypatch.setattr(cli, "Grammar", unreadable)
    assert cli.main(["ask", "--jsonl"]) == 2
    problem = capsys.readouterr().err
    assert problem.startswith("armbot: content: pattern '..' must begin")
    assert "armbot content check" in problem


@pytest.mark.parametrize("words", [(), ("ask",), ("content",), ("sing",)])
def test_an_incomplete_command_shows_how_it_is_used(words: tuple[str, ...]) -> None:
    """2, with the usage line of the part that is incomplete."""
    done = armbot_command(*words)
    assert done.returncode == 2
    assert done.stderr.startswith("usage: armbot")
