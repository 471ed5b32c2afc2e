"""The parts of README.md that the program makes itself."""

from __future__ import annotations

import io
import re
import tempfile
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from scored import FILES, scored

from armbot.channels.terminal import Terminal
from armbot.chat import Setting, converse
from armbot.model.family import Family

if TYPE_CHECKING:
    from armbot.language.grammar import Grammar

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
AT = datetime(2026, 6, 10, 19, 0, tzinfo=ZoneInfo("America/Chicago"))
"""The Wednesday evening on which the transcript is set."""
SAID = (
    "my kid is 11 and threw 62 on tuesday. can he pitch friday?",
    "why",
    "his elbow is a little sore on the inside but he says he's fine",
    "so can he pitch saturday?",
    "quit",
)


class _Typing(io.StringIO):
    """A keyboard that shows what is typed on the screen, after a prompt."""

    def __init__(self, lines: tuple[str, ...], screen: io.StringIO) -> None:
        super().__init__("".join(line + "\n" for line in lines))
        self._screen = screen

    def readline(self, size: int = -1, /) -> str:  # type: ignore[override]  # of the byte base
        """The next line, echoed."""
        line = super().readline(size)
        self._screen.write(f"> {line}\n" if line else "")
        return line


def transcript(grammar: Grammar) -> str:
    """The conversation of the README, played by the program."""
    screen = io.StringIO()
    complaints: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        setting = Setting(
            grammar=grammar,
            folder=Path(folder) / "data",
            fresh=Family(id="readme", zone="America/Chicago"),
            lang="en",
            zone=None,
            clock=lambda: AT,
            complain=complaints.append,
        )
        converse(Terminal(_Typing(SAID, screen), screen, styled=False), setting)
    assert complaints == [], complaints
    return f"```text\n{screen.getvalue().strip()}\n```"


def scores() -> str:
    """What ``armbot content evaluate`` finds in each labelled file."""
    rows = ["| file | check | right | of | share |", "| --- | --- | ---: | ---: | ---: |"]
    for name in FILES:
        rows += [
            f"| {name} | {check} | {score.right} | {score.asked} | {100 * score.share:.1f} % |"
            for check, score in sorted(scored(name).scores.items())
        ]
    return "\n".join(rows)


def part(text: str, name: str) -> str:
    """The part of that name as it stands in ``text``. Raises ValueError if there is none."""
    found = _pattern(name).search(text)
    if found is None:
        raise ValueError(f"README.md has no part '{name}' between its two marks")
    return found[2].strip()


def with_part(text: str, name: str, content: str) -> str:
    """``text`` with the part of that name replaced."""
    part(text, name)
    return _pattern(name).sub(lambda m: f"{m[1]}\n{content}\n{m[3]}", text)


def _pattern(name: str) -> re.Pattern[str]:
    return re.compile(rf"(<!-- made: {name} -->)\n(.*?)(<!-- end -->)", re.DOTALL)
