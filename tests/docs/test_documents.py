"""README.md and DEVELOPERS.md say what is so: their commands run, their tables are true."""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
from functools import cache
from typing import TYPE_CHECKING

import pytest
from command import HOME, environment
from conversation import ROOT, grammar
from readme_parts import part, scores, transcript

from armbot.cli import parser
from armbot.request import FIELDS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

README, DEVELOPERS = "README.md", "DEVELOPERS.md"
REFRESH = "run: python tests/docs/refresh.py, and read the difference"


@cache
def document(name: str) -> str:
    """One of the two documents."""
    return (ROOT / name).read_text("utf-8")


def blocks(name: str, kind: str) -> list[str]:
    """The fenced blocks of a kind."""
    return re.findall(rf"^```{kind}\n(.*?)^```", document(name), re.DOTALL | re.MULTILINE)


def shown_commands() -> Iterator[tuple[str, str]]:
    """Every command in a console block, with what is shown below it."""
    for name in (README, DEVELOPERS):
        for block in blocks(name, "console"):
            for entry in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
                command, _, output = entry.partition("\n")
                yield command, output


def as_pattern(shown: str) -> re.Pattern[str]:
    """What is shown, with "..." for anything; after the last line anything may follow."""
    parts = (re.escape(piece) for piece in shown.strip().split("..."))
    return re.compile(".*?".join(parts), re.DOTALL)


@pytest.fixture
def bin_folder(tmp_path: Path) -> Path:
    """A folder with the command ``armbot`` of the code under test."""
    folder = tmp_path / "bin"
    folder.mkdir()
    script = folder / "armbot"
    script.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m armbot "$@"\n', "utf-8")
    script.chmod(0o755)
    return folder


@pytest.mark.parametrize(("command", "output"), list(shown_commands()))
def test_a_command_shown_prints_what_is_shown(
    command: str, output: str, bin_folder: Path, tmp_path: Path
) -> None:
    """Run from the repository, as the documents say."""
    path = f"{bin_folder}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(
        ["/bin/sh", "-c", command],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
        env=environment(PATH=path, XDG_DATA_HOME=str(tmp_path), PYTHONPATH=str(HOME)),
        timeout=60,
    )
    assert as_pattern(output).match(done.stdout + done.stderr), done.stdout[:2000] + done.stderr
    assert not (ROOT / "nowhere").exists()


def test_the_transcript_is_what_the_program_says() -> None:
    """Word for word, from the greeting to the end."""
    assert part(document(README), "transcript") == transcript(grammar()), REFRESH


def test_the_scores_are_what_the_program_scores() -> None:
    """On all four labelled files."""
    assert part(document(README), "scores") == scores(), REFRESH


def test_the_speed_table_is_filled_in() -> None:
    """Its figures depend on the machine; that there are some does not."""
    assert re.search(r"decide, median +\d+\.\d\d ms", part(document(README), "speed"))


def commands_of(top: argparse.ArgumentParser, words: str) -> Iterator[tuple[str, str]]:
    """Every command with each of its options."""
    for action in top._actions:  # noqa: SLF001  # argparse has no public way to list them
        if isinstance(action, argparse._SubParsersAction):  # noqa: SLF001
            for name, inner in action.choices.items():
                yield from commands_of(inner, f"{words} {name}")
        else:
            options = [o for o in action.option_strings if o.startswith("--") and o != "--help"]
            yield from ((words, option) for option in options or [""])


@pytest.mark.parametrize(("command", "option"), sorted(set(commands_of(parser(), "armbot"))))
def test_every_command_and_option_is_in_the_readme(command: str, option: str) -> None:
    """In the row of that command, or in the text of the batch door."""
    if command in {"armbot", "armbot content"}:
        return
    rows = [row for row in document(README).splitlines() if row.startswith(f"| `{command}")]
    assert len(rows) == 1, f"{command} has no row of its own"
    assert option in rows[0]


def test_every_field_of_the_batch_door_is_in_the_readme() -> None:
    """Each in backticks in a table."""
    text = document(README)
    for field in FIELDS:
        assert re.search(rf"^\|.*`{field}`", text, re.MULTILINE), field


def test_every_folder_of_the_package_is_on_the_map() -> None:
    """A new folder has to be explained."""
    for folder in sorted(
        p.name for p in (ROOT / "armbot").iterdir() if (p / "__init__.py").is_file()
    ):
        assert f"| `armbot/{folder}/` |" in document(README)


@pytest.mark.parametrize("name", [README, DEVELOPERS])
def test_links_and_paths_lead_somewhere(name: str) -> None:
    """Files in links and in the text exist."""
    text = document(name)
    paths = re.findall(r"\]\(([\w./-]+)\)", text)
    paths += re.findall(r"(?:armbot|tests|content)/[\w/]+\.(?:py|yaml|md|jsonl)", text)
    assert paths
    missing = [path for path in paths if not (ROOT / path).exists()]
    assert missing == []


def test_the_gate_runs_the_tests_as_the_readme_does() -> None:
    """The same tools, the same way."""
    gate = (ROOT / ".ci" / "run").read_text("utf-8")
    (command,) = (b for b in blocks(README, "sh") if "pytest" in b)
    tests = command.strip().rpartition("/bin/")[2]
    assert tests == "pytest -q"
    assert '"$bin/pytest" -q' in gate
    assert "pip\" install -q --disable-pip-version-check '.[dev]'" in gate
    for step in ('ruff" check', 'mypy"', 'armbot" content check'):
        assert step in gate


def test_the_cautions_are_there() -> None:
    """What must be said before anybody uses it."""
    text = document(README)
    for words in (
        "never a diagnosis",
        "never a dose",
        "No clinician has reviewed or signed",
        "Nobody reads along",
        "call the emergency number",
        "copies of the published",
        "Local rules and the licensed clinicians",
    ):
        assert words in " ".join(text.split()), words
