"""One row of an outing table: its columns, its cells as text, and the outing back.

Figures here bound what can be a slip of typing; they allow nothing (limits live in content).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from armbot.model.outings import Outing, OutingKind

COLUMNS = (
    *("entry", "athlete", "day", "kind", "pitches", "outs", "innings caught"),
    *("pitches to last batter", "warm-up throws", "team", "pain free", "note"),
)
"""Columns as they are written, in order. "outs" are innings pitched in thirds."""
INNINGS = "innings"
"""A column read in place of "outs": "2.1" or "2 1/3" innings are 7 outs."""
MOST_PITCHES = 200
"""Most pitches or warm-up throws believed of one outing (common practice: beyond any game)."""
MOST_OUTS = 72
"""Most outs believed: 24 innings, longer than any game on record of youth (from memory)."""
MOST_CHARACTERS = 200
"""Longest team or note."""
FORMULA = frozenset("=+-@\t\r'")
"""First characters of a cell that a spreadsheet would take for a formula, and the quote that
keeps it from doing so (OWASP, CSV injection)."""
_PLAIN_NUMBER = re.compile(r"\d{1,6}")
_INNINGS = re.compile(r"(\d{1,3})(?:\.([012])| ([12])/3)?")
_DAY = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_LOCAL_DAY = re.compile(r"(\d{1,2})[/.-](\d{1,2})[/.-](\d{4})")
"""A date as spreadsheets write it where they live: month first, or day first."""


class CellProblem(ValueError):  # noqa: N818 - told to the family, no fault of the program
    """A cell that cannot be read: the column, and the phrases of what is wrong and to do."""

    def __init__(self, column: str, problem: str, **values: object) -> None:
        self.column = column
        self.problem = problem
        self.values = values
        super().__init__(f"{column}: {problem}")


@dataclass(frozen=True, slots=True)
class Words:
    """What the table's closed values may be called: kinds, and yes or no, in any language.

    ``month_first`` says how the table writes dates such as 6/25/2026; None where no date in
    it tells month and day apart.
    """

    kinds: Mapping[str, OutingKind]
    yes: frozenset[str]
    no: frozenset[str]
    month_first: bool | None = None


def guarded(text: str) -> str:
    """A cell that no spreadsheet runs as a formula; ``unguarded`` gives the text back."""
    return f"'{text}" if text[:1] in FORMULA and text else text


def unguarded(cell: str) -> str:
    """The text of a cell that ``guarded`` wrote; any other cell as it is."""
    return cell[1:] if cell[:1] == "'" and cell[1:2] in FORMULA and cell[1:] else cell


def cells_of(name: str, outing: Outing) -> list[str]:
    """An outing of the athlete of that nickname as cells, in the order of COLUMNS."""
    free = {None: "", True: "yes", False: "no"}
    values = (
        *(outing.id, name, outing.day.isoformat(), outing.kind.value),
        *(_number(outing.pitches), _number(outing.outs), _number(outing.innings_caught)),
        *(_number(outing.last_batter_pitches), _number(outing.warmup), outing.team),
        *(free[outing.pain_free], outing.note),
    )
    return [guarded(value) for value in values]


def _number(value: int | None) -> str:
    return "" if value is None else str(value)


def outing_of(row: Mapping[str, str], words: Words, today: date) -> Outing:
    """The outing that a row tells. Raises CellProblem for the first cell that is wrong."""
    pitches = _count(row, "pitches", MOST_PITCHES)
    last = _count(row, "pitches to last batter", MOST_PITCHES)
    if last is not None and pitches is not None and last > pitches:
        raise CellProblem("pitches to last batter", "csv_last", most=pitches)
    return Outing(
        id="",
        day=_day(row, words, today),
        kind=_kind(row, words),
        pitches=pitches,
        outs=_outs(row),
        innings_caught=_count(row, "innings caught", MOST_OUTS // 3) or 0,
        last_batter_pitches=last,
        warmup=_count(row, "warm-up throws", MOST_PITCHES) or 0,
        team=_text(row, "team"),
        note=_text(row, "note"),
        pain_free=_pain_free(row, words),
    )


def month_first(cells: Iterable[str]) -> bool | None:
    """Whether dates such as 6/25/2026 have the month first; None where nothing in them tells."""
    pairs = [found.groups() for cell in cells if (found := _LOCAL_DAY.fullmatch(cell.strip()))]
    second = any(int(day) > 12 for _, day, _ in pairs)
    first = any(int(day) > 12 for day, _, _ in pairs)
    return None if first == second else second


def _day(row: Mapping[str, str], words: Words, today: date) -> date:
    cell = row.get("day", "").strip()
    year, month, number = _parts(cell, words)
    try:
        day = date(year, month, number)
    except ValueError:
        raise CellProblem("day", "csv_no_such_day", cell=cell) from None
    if day > today:
        raise CellProblem("day", "csv_future", cell=cell)
    return day


def _parts(cell: str, words: Words) -> tuple[int, int, int]:
    """Year, month and day of a date cell."""
    iso = _DAY.fullmatch(cell) if cell.isascii() else None
    if iso:
        return int(iso[1]), int(iso[2]), int(iso[3])
    local = _LOCAL_DAY.fullmatch(cell) if cell.isascii() else None
    if local is None:
        raise CellProblem("day", "csv_day", cell=cell)
    if words.month_first is None:
        raise CellProblem("day", "csv_day_order", cell=cell)
    first, second, year = int(local[1]), int(local[2]), int(local[3])
    return (year, first, second) if words.month_first else (year, second, first)


def _kind(row: Mapping[str, str], words: Words) -> OutingKind:
    cell = row.get("kind", "").strip()
    if not cell:
        return OutingKind.GAME
    found = words.kinds.get(cell.casefold().replace("_", " "))
    if found is None:
        raise CellProblem("kind", "csv_kind", cell=cell)
    return found


def _count(row: Mapping[str, str], column: str, most: int) -> int | None:
    cell = row.get(column, "").strip()
    if not cell:
        return None
    if not (_PLAIN_NUMBER.fullmatch(cell) and cell.isascii()):
        raise CellProblem(column, "csv_number", cell=cell)
    if int(cell) > most:
        raise CellProblem(column, "csv_too_many", cell=cell, most=most)
    return int(cell)


def _outs(row: Mapping[str, str]) -> int | None:
    cell = row.get(INNINGS, "").strip()
    if row.get("outs", "").strip() or not cell:
        return _count(row, "outs", MOST_OUTS)
    found = _INNINGS.fullmatch(cell)
    if not (found and cell.isascii()):
        raise CellProblem(INNINGS, "csv_innings", cell=cell)
    outs = 3 * int(found[1]) + int(found[2] or found[3] or 0)
    if outs > MOST_OUTS:
        raise CellProblem(INNINGS, "csv_too_many", cell=cell, most=MOST_OUTS // 3)
    return outs


def _pain_free(row: Mapping[str, str], words: Words) -> bool | None:
    cell = row.get("pain free", "").strip().casefold()
    if not cell:
        return None
    if cell in words.yes or cell in words.no:
        return cell in words.yes
    raise CellProblem("pain free", "csv_yes_no", cell=cell)


def _text(row: Mapping[str, str], column: str) -> str:
    text = row.get(column, "")
    if len(text) > MOST_CHARACTERS:
        raise CellProblem(column, "csv_long", most=MOST_CHARACTERS)
    return text
