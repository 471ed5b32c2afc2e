"""Starts this project's own command, as a person at a terminal would."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import armbot

HOME = Path(armbot.__file__).parents[1]
"""Where the armbot under test lies, so that a child process uses the same one."""


def environment(**extra: str) -> dict[str, str]:
    """The environment of a child process, without the settings of whoever runs the tests."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("XDG_", "PYTHON", "NO_COLOR"))}
    return {**kept, "PYTHONPATH": str(HOME), **extra}


def armbot_command(
    *words: str, typed: str | bytes = "", cwd: Path | None = None, **extra: str
) -> subprocess.CompletedProcess[str]:
    """Run ``armbot WORDS`` with ``typed`` on its standard input, to the end."""
    given = typed.encode("utf-8") if isinstance(typed, str) else typed
    done = subprocess.run(
        [sys.executable, "-m", "armbot", *words],
        input=given,
        capture_output=True,
        check=False,
        cwd=cwd,
        env=environment(**extra),
        timeout=60,
    )
    return subprocess.CompletedProcess(
        done.args, done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8")
    )
