"""The README's first command, in a fresh copy of the repository and a fresh environment."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from command import environment
from conversation import ROOT

PARTS = ("armbot", "content", "pyproject.toml", "README.md", "LICENSE")


def command_of_the_readme() -> str:
    """The line that installs and starts the chat."""
    readme = (ROOT / "README.md").read_text("utf-8")
    lines = re.findall(r"^python3 -m venv .*chat$", readme, re.MULTILINE)
    assert len(lines) == 1
    return str(lines[0])


def fresh_copy(folder: Path) -> Path:
    """What a clone holds, as far as the package is made of it."""
    clone = folder / "clone"
    clone.mkdir()
    for name in PARTS:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, clone / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, clone / name)
    return clone


@pytest.mark.slow
def test_installed_from_a_fresh_copy_it_answers_from_anywhere(tmp_path: Path) -> None:
    """The content comes along in the package, and the declared packages are enough.

    This is the one test that needs a package index.
    """
    clone, elsewhere = fresh_copy(tmp_path), tmp_path / "elsewhere"
    elsewhere.mkdir()
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    plain = {k: v for k, v in environment().items() if k != "PYTHONPATH"}
    plain |= {"PATH": path, "XDG_DATA_HOME": str(tmp_path / "data")}
    chat = subprocess.run(
        ["/bin/sh", "-c", command_of_the_readme()],
        input="11, threw 62 yesterday, rest days?\nquit\n",
        capture_output=True,
        text=True,
        check=False,
        cwd=clone,
        env=plain,
        timeout=300,
    )
    assert chat.returncode == 0, chat.stderr
    assert "3 full rest days" in chat.stdout
    shutil.rmtree(clone / "content")
    asked = subprocess.run(
        [str(clone / ".venv" / "bin" / "armbot"), "ask", "--jsonl"],
        input='{"id": 1, "text": "his elbow hurts when he throws"}\n',
        capture_output=True,
        text=True,
        check=False,
        cwd=elsewhere,
        env=plain,
        timeout=60,
    )
    assert asked.returncode == 0, asked.stderr
    assert json.loads(asked.stdout)["turns"][0]["tier"] == "stop"
