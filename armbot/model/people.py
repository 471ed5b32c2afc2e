"""Athletes, and how old they are for which purpose."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class BirthMonth:
    """Year and month of birth: all the bot ever knows of a birthday.

    The day is not asked for, so an athlete counts as the younger age for the
    whole birthday month: the more careful band answers until it is over.
    """

    year: int
    month: int

    def age_on(self, day: date) -> int:
        """Age in whole years on ``day``, the careful way within the birthday month."""
        return day.year - self.year - (day.month <= self.month)

    def __str__(self) -> str:
        return f"{self.year:04d}-{self.month:02d}"


def birth_month(text: str) -> BirthMonth:
    """Read "2015-06" as a BirthMonth. Raises ValueError for anything else."""
    year, _, month = text.partition("-")
    if not (len(year) == 4 and year.isdigit() and month.isdigit() and 1 <= int(month) <= 12):
        raise ValueError(f"birth '{text}' is not of the form YYYY-MM")
    return BirthMonth(int(year), int(month))


@dataclass(frozen=True, slots=True)
class AgeSpan:
    """An age that is known exactly (first == last) or only as a span, as in "10U".

    Both ends are whole years and included.
    """

    first: int
    last: int

    @property
    def exact(self) -> bool:
        """Whether there is only one age it can be."""
        return self.first == self.last
