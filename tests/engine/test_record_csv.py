"""The table of outings: what goes out comes in the same, and what is wrong is named."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date, timedelta
from io import StringIO

import pytest
from conversation import TODAY, phrase
from hypothesis import given
from hypothesis import strategies as st
from joining_support import BEAR, LIBRARY, joined
from quick import QUICK

from armbot.core.log import by_day
from armbot.engine.record_csv import MOST_ROWS, Imported, as_csv, looks_like, read_csv
from armbot.engine.record_rows import (
    COLUMNS,
    MOST_CHARACTERS,
    MOST_OUTS,
    MOST_PITCHES,
    guarded,
    unguarded,
)
from armbot.model.family import Athlete, Family, with_outing
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import BirthMonth

MOOSE = Athlete("a2", "Moose", BirthMonth(2012, 5))
HEADER = "day,athlete,pitches,kind,innings,innings caught,pitches to last batter,pain free,note\n"


def read(text: str, family: Family | None = None, lang: str = "") -> Imported:
    """A table read into a family with one athlete."""
    return read_csv(family or joined(), text, LIBRARY, TODAY, lang)


def rows(*lines: str) -> Imported:
    """Rows below a usual header."""
    return read(HEADER + "\n".join(lines))


words = st.one_of(
    st.text(st.characters(codec="utf-8"), max_size=30),
    st.sampled_from(
        ["=1+1", "+1", "-1", "@sum", "'quoted", '"', "a,b;c\td", "two\nlines", "\r", " x "]
    ),
)
LONG = "x" * (MOST_CHARACTERS + 1)
counts = st.none() | st.integers(0, MOST_PITCHES)


@st.composite
def outings(draw: st.DrawFn) -> Outing:
    """Any outing that can be true."""
    pitches = draw(counts)
    last = draw(st.none() | st.integers(0, pitches)) if pitches is not None else draw(counts)
    return Outing(
        id="",
        day=draw(st.dates(date(2014, 6, 1), TODAY)),
        kind=draw(st.sampled_from(OutingKind)),
        pitches=pitches,
        outs=draw(st.none() | st.integers(0, MOST_OUTS)),
        innings_caught=draw(st.integers(0, MOST_OUTS // 3)),
        last_batter_pitches=last,
        warmup=draw(st.integers(0, MOST_PITCHES)),
        team=draw(words),
        note=draw(words),
        pain_free=draw(st.none() | st.booleans()),
    )


logs = st.lists(st.tuples(st.sampled_from(["a1", "a2"]), outings()), max_size=6)


def logged(pairs: list[tuple[str, Outing]]) -> Family:
    """A family of two with these outings."""
    family = joined(athletes=(BEAR, MOOSE))
    for owner, outing in pairs:
        family, _ = with_outing(family, owner, outing)
    return family


def contents(family: Family) -> list[tuple[str, Outing]]:
    """The log without the numbers of its entries."""
    return [(owner, replace(outing, id="")) for owner, outing in family.outings]


@QUICK
@given(pairs=logs)
def test_what_goes_out_comes_in_the_same(pairs: list[tuple[str, Outing]]) -> None:
    """Into a family without a log: every outing, in order, each field exactly."""
    family = logged(pairs)
    done = read(as_csv(family), joined(athletes=(BEAR, MOOSE)))
    assert contents(done.family) == contents(family)
    assert (done.added, len(done.lines)) == (len(pairs), 1)


@QUICK
@given(pairs=logs)
def test_what_is_there_already_is_not_logged_twice(pairs: list[tuple[str, Outing]]) -> None:
    """Into the same family: nothing is added, and each line is named."""
    family = logged(pairs)
    done = read(as_csv(family), family)
    assert done.family == family
    assert (done.added, len(done.lines)) == (0, 1 + len(pairs))
    assert done.lines[0] == phrase("en", "csv_done", added=0, again=len(pairs), wrong=0)


@QUICK
@given(pairs=logs)
def test_the_table_is_as_other_programs_read_it(pairs: list[tuple[str, Outing]]) -> None:
    """RFC 4180 by Python's own reader: the header and a row for each outing, none a formula."""
    table = list(csv.reader(StringIO(as_csv(logged(pairs)), newline=""), strict=True))
    assert len(table) == 1 + len(pairs)
    for row in table:
        assert len(row) == len(COLUMNS)
        assert not any(cell[:1] in "=+-@\t\r" and cell for cell in row)


@QUICK
@given(text=st.one_of(st.text(max_size=300), st.text(max_size=200).map(lambda t: HEADER + t)))
def test_any_text_is_read_without_a_fault(text: str) -> None:
    """Broken tables, hostile cells: always a report, and a log the engine can add up."""
    done = read(text)
    assert done.lines
    assert all(line.strip() for line in done.lines)
    by_day(done.family.outings_of("a1"))


@QUICK
@given(text=words)
def test_guarding_a_cell_loses_nothing(text: str) -> None:
    """OWASP, CSV injection: = + - @ tab and return begin formulas."""
    assert unguarded(guarded(text)) == text
    assert guarded(text)[:1] not in ("=", "+", "-", "@", "\t", "\r")


@pytest.mark.parametrize(
    ("lang", "row", "column", "key", "values"),
    [
        ("en", "2026-02-30,Bear,40", "day", "csv_no_such_day", {"cell": "2026-02-30"}),
        ("es", "2026-06-11,Bear,40", "day", "csv_future", {"cell": "2026-06-11"}),
        ("en", "soon,Bear,40", "day", "csv_day", {"cell": "soon"}),
        ("en", ",Bear,40", "day", "csv_day", {"cell": ""}),
        ("es", "6/5/2026,Bear,40", "day", "csv_day_order", {"cell": "6/5/2026"}),
        ("en", "2014-05-31,Bear,40", "day", "csv_before_birth", {"cell": "2014-05-31"}),
        ("en", "2026-06-01,Bear,-4", "pitches", "csv_number", {"cell": "-4"}),
        ("es", "2026-06-01,Bear,4.5", "pitches", "csv_number", {"cell": "4.5"}),
        ("en", "2026-06-01,Bear,٤٠", "pitches", "csv_number", {"cell": "٤٠"}),
        ("en", "2026-06-01,Bear,900", "pitches", "csv_too_many", {"cell": "900", "most": 200}),
        ("en", "2026-06-01,Max,40", "athlete", "csv_athlete", {"cell": "Max", "known": "Bear"}),
        ("en", "2026-06-01,Bear,40,swim", "kind", "csv_kind", {"cell": "swim"}),
        ("en", "2026-06-01,Bear,40,,2.5", "innings", "csv_innings", {"cell": "2.5"}),
        ("en", "2026-06-01,Bear,40,,99", "innings", "csv_too_many", {"cell": "99", "most": 24}),
        ("en", "2026-06-01,Bear,40,,,,41", "pitches to last batter", "csv_last", {"most": 40}),
        ("es", "2026-06-01,Bear,40,,,,,maybe", "pain free", "csv_yes_no", {"cell": "maybe"}),
        ("en", f"2026-06-01,Bear,40,,,,,,{LONG}", "note", "csv_long", {"most": MOST_CHARACTERS}),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_named_with_line_column_and_remedy(
    lang: str, row: str, column: str, key: str, values: dict[str, object]
) -> None:
    """The line is left out, and the others are taken."""
    text = f"{HEADER}2026-06-02,Bear,30\n{row}\n2026-06-03,Bear,20\n"
    done = read(text, lang=lang)
    what = phrase(lang, key, **values)
    assert done.lines[1:] == (phrase(lang, "csv_line", line=3, column=column, what=what),)
    assert [o.pitches for _, o in done.family.outings] == [30, 20]
    assert done.lines[0] == phrase(lang, "csv_done", added=2, again=0, wrong=1)


def test_innings_may_stand_in_place_of_outs() -> None:
    """2.1 and 2 1/3 innings are seven outs (scorer's notation)."""
    done = rows(
        "2026-06-01,Bear,40,game,2.1", "2026-06-02,Bear,40,game,2 1/3", "2026-06-03,Bear,40,game,3"
    )
    assert [o.outs for _, o in done.family.outings] == [7, 7, 9]


def test_a_table_in_spanish_is_read() -> None:
    """With Spanish columns and kinds, and semicolons, as spreadsheets there write it."""
    text = "\ufeffFecha;Apodo;Lanzamientos;Tipo;Sin dolor\r\n2026-06-01;Bear;40;Práctica;sí\r\n"
    outing = read(text).family.outings[0][1]
    assert (outing.pitches, outing.kind, outing.pain_free) == (40, OutingKind.PRACTICE, True)


def test_columns_stand_in_any_order_and_unknown_ones_are_ignored() -> None:
    """Tabs part cells as well; case and underscores do not matter."""
    text = "Weather\tPITCHES\tinnings_caught\tDay\nsunny\t40\t2\t2026-06-01\n"
    outing = read(text).family.outings[0][1]
    assert (outing.pitches, outing.innings_caught, outing.day) == (40, 2, date(2026, 6, 1))


@pytest.mark.parametrize(
    ("cells", "days"),
    [(("6/5/2026", "5/25/2026"), [(6, 5), (5, 25)]), (("6/5/2026", "25/5/2026"), [(5, 6), (5, 25)]),
     (("6.5.2026", "13.4.2026"), [(5, 6), (4, 13)]), (("6/5/2026", "5/25/2026", "25/5/2026"), [])],
)  # fmt: skip
def test_dates_as_spreadsheets_write_them_are_read_where_the_table_tells(
    cells: tuple[str, ...], days: list[tuple[int, int]]
) -> None:
    """One date past the twelfth says which part is the day; else nothing is guessed."""
    done = rows(*(f"{cell},Bear,40" for cell in cells))
    assert [(o.day.month, o.day.day) for _, o in done.family.outings] == days


def test_without_a_name_the_only_athlete_is_meant() -> None:
    """With two the name has to be there."""
    text = "day,pitches\n2026-06-01,40\n"
    assert read(text).added == 1
    done = read(text, joined(athletes=(BEAR, MOOSE)))
    assert done.added == 0
    assert "Bear, Moose" in done.lines[1]


def test_a_line_that_stands_twice_is_logged_once() -> None:
    """Unless the entries are two by their numbers, as in a table that was exported."""
    twice = "2026-06-01,Bear,40"
    assert rows(twice, twice).added == 1
    text = "entry,day,pitches\no1,2026-06-01,40\no2,2026-06-01,40\no2,2026-06-01,40\n"
    assert read(text).added == 2


def test_an_outing_told_in_the_chat_is_not_logged_again_from_a_table() -> None:
    """The same day, athlete and numbers, whatever else of the season is in the table."""
    family, _ = with_outing(joined(), "a1", Outing("", date(2026, 6, 1), pitches=40))
    done = read("day,pitches\n2026-06-01,40\n2026-06-05,22\n", family)
    assert [o.pitches for _, o in done.family.outings] == [40, 22]
    assert done.lines[1] == phrase("en", "csv_again", line=2, day="2026-06-01")


def test_an_entry_that_was_changed_is_not_counted_twice() -> None:
    """The same entry of the same day with another count is a correction, not an outing."""
    family, outing = with_outing(joined(), "a1", Outing("", date(2026, 6, 1), pitches=40))
    done = read(f"entry,day,pitches\n{outing.id},2026-06-01,44\n", family)
    assert done.family == family
    assert phrase("en", "csv_changed", cell=outing.id) in done.lines[1]
    assert read(f"entry,day,pitches\n{outing.id},2026-06-02,44\n", family).added == 1


@pytest.mark.parametrize("text", ["", "hello", "pitches\n40\n", "\n\n", "day;\n"[:0], '"'])
def test_a_text_without_a_header_changes_nothing(text: str) -> None:
    """And it is said which columns there are."""
    done = read(text)
    assert done.family == joined()
    assert "day" in done.lines[0]


def test_a_long_report_is_cut_and_says_so() -> None:
    """Twenty problems one by one, of the rest only the number."""
    done = rows(*["2026-06-01,Max,40"] * 25)
    assert len(done.lines) == 22
    assert done.lines[-1] == phrase("en", "csv_more", n=5)


def test_a_table_longer_than_any_log_is_cut_and_says_so() -> None:
    """The first rows are taken."""
    day = date(2020, 1, 1)
    lines = [f"{day + timedelta(days=n)},Bear,1" for n in range(MOST_ROWS + 3)]
    done = rows(*lines)
    assert done.added == MOST_ROWS
    assert done.lines[-1] == phrase("en", "csv_too_long", most=MOST_ROWS)


def test_a_cell_longer_than_csv_allows_is_named() -> None:
    """A quote that is never closed swallows the rest; that line is reported, with its number."""
    done = rows("2026-06-01,Bear,40", '2026-06-02,Bear,"40' + "x" * 200_000)
    assert done.added == 1
    assert phrase("en", "csv_unreadable") in done.lines[1]


def test_a_nickname_like_a_formula_goes_out_guarded_and_comes_back() -> None:
    """The athlete is found again under the same name."""
    family = joined(athletes=(replace(BEAR, name="=Ace"),))
    family, _ = with_outing(family, "a1", Outing("", date(2026, 6, 1), pitches=40))
    text = as_csv(family)
    assert ",'=Ace," in text
    assert read(text, joined(athletes=family.athletes)).added == 1


@pytest.mark.parametrize(
    ("text", "is_table"),
    [(HEADER, True), ("Fecha;Lanzamientos\n", True), ("\ufeff\nday,kind\n", True), ("hello", False),
     ("day\n", False), ("dear bot, my day was long", False), ("", False)],
)  # fmt: skip
def test_a_table_is_told_from_another_text(text: str, is_table: bool) -> None:  # noqa: FBT001 - a table of cases
    """By its first line."""
    assert looks_like(text) == is_table


def test_what_was_exported_looks_like_a_table() -> None:
    """Also an empty one."""
    assert looks_like(as_csv(joined()))
    assert as_csv(joined()) == ",".join(COLUMNS) + "\r\n"
