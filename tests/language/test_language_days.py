"""Days as families name them, read on Wednesday 10 June 2026."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from conversation import TODAY, grammar
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from reading_support import reading

from armbot.language.reading import read

THROWN = {
    "en": {
        "today": 0, "this morning": 0, "tonight": 0, "yesterday": -1, "last night": -1,
        "day before yesterday": -2, "2 days ago": -2, "three days ago": -3, "monday": -2,
        "mon": -2, "last monday": -2, "tues": -1, "sat": -4, "on saturday": -4,
        "last wednesday": -7, "wednesday": 0, "thursday": -6, "on the 5th": -5, "6/5": -5,
        "june 5": -5, "june 5th": -5, "5 june": -5, "on 6/5/2026": -5, "a week ago": -7,
    },
    "es": {
        "hoy": 0, "esta mañana": 0, "ayer": -1, "anoche": -1, "anteayer": -2, "antier": -2,
        "hace 2 días": -2, "hace tres días": -3, "el lunes": -2, "el lunes pasado": -2,
        "el sábado": -4, "el sabado": -4, "el miércoles": 0, "el jueves": -6,
        "el 5 de junio": -5, "el día 5": -5, "hace una semana": -7,
    },
}  # fmt: skip
ASKED = {
    "en": {
        "tomorrow": 1, "tmrw": 1, "saturday": 3, "next saturday": 3, "friday": 2, "in 3 days": 3,
        "day after tomorrow": 2, "on the 14th": 4, "june 14": 4, "6/14": 4, "tonight": 0,
        "today": 0, "this weekend saturday": 3,
    },
    "es": {
        "mañana": 1, "el sábado": 3, "el próximo sábado": 3, "el sábado que viene": 3,
        "pasado mañana": 2, "el viernes": 2, "en 3 días": 3, "el 14 de junio": 4, "hoy": 0,
        "dentro de tres días": 3,
    },
}  # fmt: skip


def cases(table: dict[str, dict[str, int]]) -> list[tuple[str, str, int]]:
    """The rows of a table by language."""
    return [(lang, said, days) for lang, rows in table.items() for said, days in rows.items()]


@pytest.mark.parametrize(("lang", "said", "days"), cases(THROWN))
def test_a_day_thrown(lang: str, said: str, days: int) -> None:
    """A day beside a count is the latest such day, today included."""
    text = f"he threw 40 pitches {said}" if lang == "en" else f"lanzó 40 lanzamientos {said}"
    (count,) = reading(text, lang).counts
    assert (count.pitches, count.day) == (40, TODAY + timedelta(days=days))


@pytest.mark.parametrize(
    ("lang", "said", "day"),
    [
        ("en", "january 3", date(2026, 1, 3)),
        ("en", "december 20", date(2025, 12, 20)),
        ("en", "on 12/20", date(2025, 12, 20)),
        ("es", "el 20 de diciembre", date(2025, 12, 20)),
        ("en", "on 5/30/2025", date(2025, 5, 30)),
        ("en", "on 5/30/25", date(2025, 5, 30)),
        ("en", "may 30, 2025", date(2025, 5, 30)),
        ("es", "el 30/5/2025", date(2025, 5, 30)),
    ],
)
def test_a_date_thrown_is_past_and_a_written_year_counts(lang: str, said: str, day: date) -> None:
    """Of a date without a year the last one; nothing was thrown yet on a day to come."""
    text = f"he threw 40 pitches {said}" if lang == "en" else f"lanzó 40 lanzamientos {said}"
    (count,) = reading(text, lang).counts
    assert (count.pitches, count.day) == (40, day)


@pytest.mark.parametrize(("lang", "said", "days"), cases(ASKED))
def test_a_day_asked_about(lang: str, said: str, days: int) -> None:
    """A day in a question about pitching is the next such day."""
    text = f"can he pitch {said}?" if lang == "en" else f"¿puede lanzar {said}?"
    found = reading(text, lang)
    assert found.ask_days == (TODAY + timedelta(days=days),)
    assert not found.thrown_days


@pytest.mark.parametrize(("lang", "said", "days"), cases(ASKED))
def test_a_day_ahead_is_never_a_day_thrown(lang: str, said: str, days: int) -> None:
    """Nobody has thrown on a day that is still to come."""
    text = f"can he pitch {said}?" if lang == "en" else f"¿puede lanzar {said}?"
    thrown = reading(text, lang).thrown_days
    assert all(day <= TODAY for day in thrown), f"{days} days from now was read as thrown"


@pytest.mark.parametrize(
    ("text", "thrown", "asked"),
    [
        ("threw 30 friday, can he pitch sunday?", -5, -3),
        ("threw 30 monday. ok for thursday?", -2, 1),
        ("he pitched sat 45 pitches and has a game wednesday", -4, 0),
        ("40 el lunes, ¿puede el jueves?", -2, 1),
        ("62 on tuesday night, when can he pitch saturday", -1, 3),
    ],
)
def test_a_day_thrown_and_a_day_asked_in_one_message(text: str, thrown: int, asked: int) -> None:
    """The day asked about is the first such weekday after the day thrown."""
    found = reading(text)
    assert [c.day for c in found.counts if c.pitches] == [TODAY + timedelta(days=thrown)]
    assert found.ask_days == (TODAY + timedelta(days=asked),)


TWO = {
    "30 pitches on friday and 45 on monday": ((30, -5), (45, -2)),
    "threw 30 pitches on june 5 and 45 pitches on june 8": ((30, -5), (45, -2)),
    "threw 30 pitches 6/5 and 45 pitches 6/9": ((30, -5), (45, -1)),
    "lanzó 30 el viernes y 45 el lunes": ((30, -5), (45, -2)),
    "30 yesterday and 20 today": ((30, -1), (20, 0)),
    "lanzó 30 lanzamientos el 5 de junio y 45 lanzamientos el 8 de junio": ((30, -5), (45, -2)),
}


@pytest.mark.parametrize(("text", "outings"), TWO.items())
def test_two_outings_keep_their_own_days(text: str, outings: tuple[tuple[int, int], ...]) -> None:
    """Each count belongs to the day beside it, however the days are written."""
    found = [(c.pitches, c.day) for c in reading(text).counts]
    assert found == [(count, TODAY + timedelta(days=back)) for count, back in outings]


def test_a_spanish_date_is_not_read_the_english_way_unasked() -> None:
    """A Spanish "5/6" is the fifth of June or in doubt, never plainly the sixth of May.

    The day before the month is the usual order in Spanish (Unicode CLDR, locale es).
    """
    days = {c.day for c in reading("lanzó 40 lanzamientos el 5/6", "es").counts}
    assert date(2026, 5, 6) not in days


@QUICK
@given(back=st.integers(0, 6), now=st.integers(0, 400))
def test_every_weekday_on_every_day_of_the_year(back: int, now: int) -> None:
    """A weekday beside a count is within the last seven days, whatever today is."""
    today = date(2026, 1, 1) + timedelta(days=now)
    day = today - timedelta(days=back)
    (count,) = read(f"he threw 40 pitches on {day:%A}", grammar(), today).counts
    assert count.day == day


@QUICK
@given(back=st.integers(0, 150), now=st.integers(0, 400))
def test_a_date_in_words_is_the_nearest_one(back: int, now: int) -> None:
    """A month and a day without a year is the one closest to today, over a year's end too."""
    today = date(2026, 1, 1) + timedelta(days=now)
    day = today - timedelta(days=back)
    (count,) = read(f"he threw 40 pitches on {day:%B} {day.day}", grammar(), today).counts
    assert count.day == day


@pytest.mark.parametrize("text", ["threw 40 pitches on 13/45", "threw 40 pitches feb 30"])
def test_a_date_that_does_not_exist_is_no_day(text: str) -> None:
    """An impossible date names no day: the engine has to ask."""
    assert [c.day for c in reading(text).counts if c.pitches == 40] == [None]
