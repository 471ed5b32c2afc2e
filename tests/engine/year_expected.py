"""The expected reminders of the scripted year, as kept in tests/data/year_<language>.yaml.

Run as a program it writes both files anew: read the difference as a parent would, then keep
it or mend the engine.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.append(str(Path(__file__).parents[1]))

from typing import TYPE_CHECKING

import yaml
from conversation import ROOT
from year_script import year

if TYPE_CHECKING:
    from reminder_clock import Told

LANGUAGES = ("en", "es")


def row(told: Told) -> dict[str, object]:
    """One reminder as the files show it; the time is that of its moment, not of the tick."""
    message = told.message
    return {
        "at": f"{told.local:%a %Y-%m-%d %H:%M %Z}",
        "key": message.key,
        "chat": message.chat,
        "until": f"{message.until.astimezone(told.local.tzinfo):%Y-%m-%d %H:%M}"
        if message.until
        else "",
        "grants": message.grants,
        "text": message.text + "\n",
        "buttons": [f"{button.label} = {button.act}" for button in message.buttons],
    }


def path(lang: str) -> Path:
    """The file of a language."""
    return ROOT / "tests" / "data" / f"year_{lang}.yaml"


def expected(lang: str) -> list[dict[str, object]]:
    """What the file says."""
    rows: list[dict[str, object]] = yaml.safe_load(path(lang).read_text("utf-8"))
    return rows


class _Dumper(yaml.SafeDumper):
    """Texts of several lines as they are read."""


def _text(dumper: yaml.SafeDumper, text: str) -> yaml.ScalarNode:
    style = "|" if "\n" in text else None
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=style)


_Dumper.add_representer(str, _text)

if __name__ == "__main__":
    for language in LANGUAGES:
        rows = [row(told) for told in year(language).told]
        head = "# The reminders of the scripted year (tests/engine/year_script.py), in order.\n"
        body = yaml.dump(rows, Dumper=_Dumper, allow_unicode=True, sort_keys=False, width=100)
        path(language).write_text(head + body, "utf-8")
