"""Birth year and month: typed in any usual way, or by buttons of years and months."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from armbot.engine.joining_form import Heard, Question, Scene, Step, button
from armbot.engine.joining_words import MOST_WORDS, close, words_in
from armbot.model.library import Library
from armbot.model.outbox import Button
from armbot.model.people import BirthMonth

YOUNGEST, OLDEST = 3, 24
"""Ages between which an athlete's birth is believed; outside it is asked again."""
_YOUNGEST_SHOWN, _OLDEST_SHOWN = 6, 18
"""Ages for which there is a button: the years of youth and school teams. Others type."""
_CENTURY = 100
_DAYS = 31
"""Most days in a month: a larger number is a year."""
_YEAR_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Born:
    """What a text says of a birth.

    ``months`` are the months it may mean (more than one: to choose from); without any,
    ``years`` are the years it may mean, and ``month`` the month where only that was told.
    """

    months: tuple[BirthMonth, ...] = ()
    years: tuple[int, ...] = ()
    month: int | None = None


def read_birth(text: str, library: Library, today: date, *, day_first: bool) -> Born:
    """The birth that a text tells on ``today``; empty where it tells none.

    ``day_first`` is true where "5/6/2014" may be the fifth of June as well.
    """
    words = words_in(re.sub(r"(?<=\d)\s*[-/.,]\s*(?=\d)", " ", text))
    if len(words) > MOST_WORDS:
        return Born()
    named = list(dict.fromkeys(m for word in words if (m := _month(word, library))))
    numbers = [word for word in words if word.isascii() and word.isdigit()]
    if len(named) > 1 or any(len(n) > _YEAR_DIGITS for n in numbers):
        return Born()
    if named:
        years = _years_beside(numbers, today)
        if years:
            return Born(tuple(BirthMonth(year, named[0]) for year in years))
        return Born(month=named[0])
    return _by_numbers(numbers, today, day_first=day_first)


def _month(word: str, library: Library) -> int | None:
    """The month that a word names."""
    tables = library.words.tables
    table = {**tables["calendar.months"], **tables["calendar.months_with_day_only"]}
    if word in table:
        return int(table[word])
    near = {int(number) for name, number in table.items() if close(word, name)}
    return near.pop() if len(near) == 1 else None


def _years_beside(numbers: Sequence[str], today: date) -> tuple[int, ...]:
    """The year among the numbers beside a month's name: "june 2014", "jun 14", "5 june 14"."""
    full = [int(n) for n in numbers if len(n) == _YEAR_DIGITS]
    if full:
        return tuple(full[:1])
    # A single digit is a day of the month; two digits by themselves are the year.
    short = [n for n in numbers if len(n) == 2]
    return tuple(_full_year(int(n), today) for n in short[-1:])


def _full_year(short: int, today: date) -> int:
    """The year not after today that ends so."""
    year = today.year - today.year % _CENTURY + short
    return year if year <= today.year else year - _CENTURY


def _by_numbers(numbers: Sequence[str], today: date, *, day_first: bool) -> Born:
    full = [n for n in numbers if len(n) == _YEAR_DIGITS]
    rest = [int(n) for n in numbers if len(n) != _YEAR_DIGITS]
    if len(full) > 1 or len(numbers) > 3:
        return Born()
    if not full:
        return _without_year(rest, today, day_first=day_first)
    year = int(full[0])
    if not rest:
        return Born(years=(year,))
    iso = numbers[0] == full[0]
    return Born(_months(year, rest, day_first=day_first and not iso))


def _without_year(rest: Sequence[int], today: date, *, day_first: bool) -> Born:
    """Numbers of one or two digits: an age or a year, a month and year, a whole date."""
    if not rest:
        return Born()
    if len(rest) == 1:
        born = (today.year - rest[0] - 1, today.year - rest[0], _full_year(rest[0], today))
        return Born(years=tuple(y for y in dict.fromkeys(born) if _plausible(y, today)))
    return Born(_months(_full_year(rest[-1], today), rest[:-1], day_first=day_first))


def _months(year: int, rest: Sequence[int], *, day_first: bool) -> tuple[BirthMonth, ...]:
    """The months of a year that one number, or a month and a day, may name."""
    if len(rest) > 1 and not all(1 <= n <= _DAYS for n in rest):
        return ()
    fits = [n for n in rest if 1 <= n <= 12]
    if len(rest) > 1 and len(fits) > 1 and not day_first:
        fits = fits[:1]
    return tuple(BirthMonth(year, month) for month in dict.fromkeys(fits))


def _plausible(year: int, today: date) -> bool:
    return YOUNGEST <= today.year - year <= OLDEST + 1


def _problem(scene: Scene, born: BirthMonth) -> str:
    """Why a birth cannot be that of an athlete; "" where it can."""
    if (born.year, born.month) > (scene.today.year, scene.today.month):
        return scene.say("hint_birth_future")
    if not YOUNGEST <= born.age_on(scene.today) <= OLDEST:
        return scene.say("hint_birth_age", year=born.year)
    return ""


def _ask_year(scene: Scene) -> Question:
    first, last = scene.today.year - _OLDEST_SHOWN, scene.today.year - _YOUNGEST_SHOWN
    return Question(scene.say("join_birth_year"), _year_buttons(range(first, last + 1)))


def _year_buttons(years: Iterable[int]) -> tuple[Button, ...]:
    return tuple(button("birth_year", str(year), str(year)) for year in sorted(years))


def _month_buttons(scene: Scene, step: str, born: Iterable[BirthMonth]) -> tuple[Button, ...]:
    return tuple(
        button(step, str(month), f"{scene.voice.month(month.month)} {month.year}") for month in born
    )


def _ask_month(scene: Scene) -> Question:
    buttons = tuple(button("birth_month", str(n), scene.voice.month(n)) for n in range(1, 12 + 1))
    return Question(scene.say("join_birth_month", year=scene.answer("birth_year")), buttons)


def _hear_year(scene: Scene, text: str) -> Heard:
    spanish = scene.voice.lang == "es"
    return _taken(
        scene, read_birth(text, scene.library, scene.today, day_first=spanish), "birth_year"
    )


def _hear_month(scene: Scene, text: str) -> Heard:
    """A month for the year told, or the whole birth once more."""
    year = int(scene.answer("birth_year"))
    words = words_in(text)
    if len(words) == 1 and words[0].isdigit() and len(words[0]) <= 2:
        number = int(words[0])
        if not 1 <= number <= 12:
            return Heard(hint=scene.say("hint_birth"))
        return _taken(scene, Born((BirthMonth(year, number),)), "birth_month")
    spanish = scene.voice.lang == "es"
    born = read_birth(text, scene.library, scene.today, day_first=spanish)
    if born.month:
        born = Born((BirthMonth(year, born.month),))
    return _taken(scene, born, "birth_month")


def _taken(scene: Scene, born: Born, step: str) -> Heard:
    """What a birth read answers: both steps, one, or none with a hint and narrower buttons."""
    if len(born.months) == 1:
        problem = _problem(scene, born.months[0])
        if problem:
            return Heard(hint=problem)
        year, month = born.months[0].year, born.months[0].month
        return Heard((("birth_year", str(year)), ("birth_month", str(month))))
    if born.months:
        return Heard(hint=scene.say("hint_which"), buttons=_month_buttons(scene, step, born.months))
    if born.month:
        note = (("birth_month", str(born.month)),)
        return Heard(hint=scene.say("hint_birth_month_only"), notes=note)
    return _years_taken(scene, born.years, step)


def _years_taken(scene: Scene, years: Sequence[int], step: str) -> Heard:
    if step == "birth_month" or not years:
        return Heard(hint=scene.say("hint_birth"))
    if len(years) > 1:
        return Heard(hint=scene.say("hint_which"), buttons=_year_buttons(years))
    year = years[0]
    if year > scene.today.year:
        return Heard(hint=scene.say("hint_birth_future"))
    if not _plausible(year, scene.today):
        return Heard(hint=scene.say("hint_birth_age", year=year))
    month = int(scene.answer("birth_month") or 0)
    if month and (problem := _problem(scene, BirthMonth(year, month))):
        return Heard(hint=problem)
    return Heard((("birth_year", str(year)),))


YEAR = Step("birth_year", _ask_year, _hear_year, _hear_year)
MONTH = Step("birth_month", _ask_month, _hear_month, _hear_month)
