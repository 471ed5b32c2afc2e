"""Where a figure comes from.

Every number that reaches a family carries one of these, so that "says who?"
always has an answer and a figure nobody has checked can be told from one that
was read in print.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum


class Seen(StrEnum):
    """How a figure entered the content base."""

    SOURCE = "source"
    """Read in the source itself."""
    COPY = "copy"
    """Read in somebody's copy of the source (a league handout, a summary)."""
    MEMORY = "memory"
    """Recalled, not read. May inform or restrict, never permit; marked in answers."""
    COMMON = "common"
    """Common practice in the trade, with no published source behind it."""


@dataclass(frozen=True, slots=True)
class Cite:
    """One figure's origin: register key, place in it, date in force, how it was seen."""

    source: str
    section: str
    in_force: str
    seen: Seen

    @property
    def confirmed(self) -> bool:
        """Whether the figure was read in print and may therefore permit something."""
        return self.seen in (Seen.SOURCE, Seen.COPY)


@dataclass(frozen=True, slots=True)
class Source:
    """An entry of the register content/sources.yaml."""

    key: str
    body: str
    title: str
    year: str
    kind: str
    note: str = ""

    @property
    def short(self) -> str:
        """Body and year, as printed at the end of an answer; no year where none is known."""
        years = re.findall(r"\d{4}", self.year)
        return f"{self.body}, {years[0]}" if years else self.body
