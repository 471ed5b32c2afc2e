"""The log of outings as a table (CSV, RFC 4180), out and in again.

What comes in is checked cell by cell; a line that cannot be read is left out and reported
with its number, column and remedy, and the others are taken. Nothing is logged twice.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from armbot.engine.joining_words import words_in
from armbot.engine.record_rows import (
    COLUMNS,
    INNINGS,
    CellProblem,
    Words,
    cells_of,
    month_first,
    outing_of,
    unguarded,
)
from armbot.engine.say import Voice
from armbot.model.family import Athlete, Family, with_outing
from armbot.model.library import Library
from armbot.model.outings import Outing, OutingKind

MOST_ROWS = 2000
"""Rows read of one table: many seasons of one family."""
_MOST_LINES = 20
"""Problems told one by one; of more only the number is told."""
_SHOWN = 40
"""Characters of a cell that a report repeats."""
_SEPARATORS = ",;\t"
_Key = tuple[str, Outing]
_Row = tuple[int, Mapping[str, str]]
"""The number of the line a row begins on, and its cells by our names of the columns."""


@dataclass(frozen=True, slots=True)
class Imported:
    """The family with what could be read, and the report, a line for each thing to know."""

    family: Family
    lines: tuple[str, ...]
    added: int = 0


@dataclass(frozen=True, slots=True)
class _Table:
    """A table as read: our name of each column with the one it has here, and the rows.

    A row that is no CSV at all has no cells.
    """

    names: Mapping[str, str]
    rows: tuple[_Row, ...]


class _Written(list[str]):
    """What csv writes to: a list of lines."""

    write = list.append


def as_csv(family: Family) -> str:
    """Every outing, one row each: full words as columns, ISO 8601 dates, lines end in CRLF.

    A cell that a spreadsheet would run as a formula is written behind a quote.
    """
    lines = _Written()
    writer = csv.writer(lines, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for owner, outing in family.outings:
        athlete = family.athlete(owner)
        writer.writerow(cells_of(athlete.name or athlete.id if athlete else owner, outing))
    return "".join(lines)


def looks_like(text: str) -> bool:
    """Whether a text file is a table of outings: its first line names a day and more."""
    first = text.lstrip("\ufeff \r\n").partition("\n")[0]
    named = {" ".join(words_in(cell)) for cell in re.split(f"[{_SEPARATORS}]", first)}
    return bool(named & _DAY_NAMES) and bool(named & _COUNT_NAMES)


_DAY_NAMES = frozenset({"day", "dia", "date", "fecha"})
_COUNT_NAMES = frozenset(
    {"pitches", "outs", "innings", "innings caught", "kind", "lanzamientos", "entradas", "tipo"}
)


def read_csv(family: Family, text: str, library: Library, today: date, lang: str = "") -> Imported:
    """The family with the outings of a table, and a report in ``lang`` or the family's language.

    ``today`` is the family's date: later days are refused, as are impossible dates and
    counts, and athletes who are not on record. Columns may stand in any order, parted by
    commas, semicolons or tabs; unknown ones are ignored. Never raises for any text.
    """
    voice = Voice(library, lang or family.lang)
    text = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    table = _table(text, library)
    if "day" not in table.names:
        return Imported(family, (voice.say("csv_no_header", columns=", ".join(COLUMNS)),))
    report = _Report(voice, table)
    state = _State(family, Counter(_content(pair) for pair in family.outings))
    words = _words(library, table)
    for number, row in table.rows[:MOST_ROWS]:
        try:
            _take(row, number, state, report, words, today)
        except CellProblem as problem:
            report.problem(number, problem)
    cut = (voice.say("csv_too_long", most=MOST_ROWS),) if len(table.rows) > MOST_ROWS else ()
    return Imported(state.family, (*report.lines(state.added), *cut), state.added)


@dataclass(slots=True)
class _State:
    """The family as it grows, and the rows of the log that no row of the table has met yet."""

    family: Family
    there: Counter[_Key]
    added: int = 0
    met: frozenset[tuple[str, _Key]] = frozenset()


def _take(  # noqa: PLR0913 - one row, and all it is judged by
    row: Mapping[str, str],
    number: int,
    state: _State,
    report: _Report,
    words: Words,
    today: date,
) -> None:
    """One row into the family, or into the report. Raises CellProblem."""
    if not row:
        raise CellProblem("-", "csv_unreadable")
    athlete = _athlete(row, state.family)
    outing = outing_of(row, words, today)
    if athlete.birth and (outing.day.year, outing.day.month) < (
        athlete.birth.year,
        athlete.birth.month,
    ):
        raise CellProblem("day", "csv_before_birth", cell=outing.day.isoformat())
    key, entry = _content((athlete.id, outing)), row.get("entry", "").strip()
    if (entry, key) in state.met:
        report.again(number, outing)
        return
    state.met |= {(entry, key)}
    if state.there[key] > 0:
        state.there[key] -= 1
        report.again(number, outing)
        return
    _check_entry(entry, athlete, outing, state.family)
    state.family, _ = with_outing(state.family, athlete.id, outing)
    state.added += 1


def _check_entry(entry: str, athlete: Athlete, outing: Outing, family: Family) -> None:
    """Refuse an entry that is in the log with other numbers: it would count twice."""
    for owner, known in family.outings:
        if entry and (owner, known.id, known.day) == (athlete.id, entry, outing.day):
            raise CellProblem("entry", "csv_changed", cell=entry)


def _content(pair: tuple[str, Outing]) -> _Key:
    return pair[0], replace(pair[1], id="")


def _athlete(row: Mapping[str, str], family: Family) -> Athlete:
    """The athlete a row is about: by nickname or id, or the only one there is."""
    cell = row.get("athlete", "").strip()
    if not cell and len(family.athletes) == 1:
        return family.athletes[0]
    named = [a for a in family.athletes if a.name.casefold() == cell.casefold() and cell]
    named += [a for a in family.athletes if a.id == cell and not a.name]
    if not named:
        known = ", ".join(a.name or a.id for a in family.athletes)
        problem = "csv_athlete" if cell else "csv_which_athlete"
        raise CellProblem("athlete", problem, cell=cell, known=known or "-")
    return named[0]


def _table(text: str, library: Library) -> _Table:
    """The table of a text: its first line that is not empty names the columns."""
    lines = re.findall(r"[^\n]*\n|[^\n]+", text.removeprefix("\ufeff"))
    first = next((line for line in lines if line.strip()), "")
    separator = max(_SEPARATORS, key=first.count)
    parsed = [(n, c) for n, c in _parsed(lines, separator) if c is None or any(map(str.strip, c))]
    known = _names(library)
    written = parsed[0][1] or [] if parsed else []
    header = [known.get(" ".join(words_in(cell)), "") for cell in written]
    rows = tuple(
        (number, {h: unguarded(c) for h, c in zip(header, cells or (), strict=False) if h})
        for number, cells in parsed[1:]
    )
    return _Table(dict(zip(header, written, strict=True)), rows)


def _parsed(lines: Sequence[str], separator: str) -> Iterator[tuple[int, list[str] | None]]:
    """Rows with the line each begins on; None for a row that is no CSV at all."""
    reader = csv.reader(lines, delimiter=separator)
    while True:
        begins = reader.line_num + 1
        try:
            yield begins, next(reader)
        except StopIteration:
            return
        except csv.Error:
            yield begins, None


def _names(library: Library) -> Mapping[str, str]:
    """What columns may be called, in every language -> our name."""
    found = {" ".join(words_in(name)): name for name in (*COLUMNS, INNINGS)}
    for phrases in library.words.phrases.values():
        for pair in phrases["csv_columns"].split(","):
            other, _, name = pair.partition("=")
            found[" ".join(words_in(other))] = name.strip()
    return found


def _words(library: Library, table: _Table) -> Words:
    kinds = {kind.value.replace("_", " "): kind for kind in OutingKind}
    for phrases in library.words.phrases.values():
        for pair in phrases["csv_kinds"].split(","):
            other, _, kind = pair.partition("=")
            kinds[other.strip().casefold()] = OutingKind(kind.strip())
    both = library.words.phrases.values()
    yes = frozenset(word.strip() for p in both for word in p["csv_yes"].split(","))
    no = frozenset(word.strip() for p in both for word in p["csv_no"].split(","))
    return Words(kinds, yes, no, month_first(row.get("day", "") for _, row in table.rows))


class _Report:
    """The lines of the report, in the order of the table."""

    def __init__(self, voice: Voice, table: _Table) -> None:
        self._voice = voice
        self._table = table
        self._told: list[str] = []
        self._again = 0
        self._wrong = 0

    def problem(self, number: int, problem: CellProblem) -> None:
        """A line that was left out: where, what, and what to do."""
        self._wrong += 1
        values = {k: v[:_SHOWN] if isinstance(v, str) else v for k, v in problem.values.items()}
        what = self._voice.say(problem.problem, **values)
        column = self._table.names.get(problem.column, problem.column).strip()[:_SHOWN]
        self._tell("csv_line", number, column=column, what=what)

    def again(self, number: int, outing: Outing) -> None:
        """A line that is in the log already."""
        self._again += 1
        self._tell("csv_again", number, day=outing.day.isoformat())

    def _tell(self, key: str, number: int, **values: object) -> None:
        if len(self._told) < _MOST_LINES:
            self._told.append(self._voice.say(key, line=number, **values))

    def lines(self, added: int) -> tuple[str, ...]:
        """The whole report, what was added first."""
        head = self._voice.say("csv_done", added=added, again=self._again, wrong=self._wrong)
        more = self._again + self._wrong - len(self._told)
        tail = (self._voice.say("csv_more", n=more),) if more > 0 else ()
        return (head, *self._told, *tail)
