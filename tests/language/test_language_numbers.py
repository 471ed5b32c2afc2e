"""Counts, innings, ages and divisions, as families write them in both languages."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from reading_support import reading

PITCHES = {
    "62 pitches": 62, "sixty two pitches": 62, "sixty-two pitches": 62, "a dozen pitches": 12,
    "a hundred and five pitches": 105, "one hundred pitches": 100, "33p": 33, "45 thrown": 45,
    "threw 45": 45, "around 50 pitches": 50, "pitch count was 71": 71, "went 58 pitches": 58,
    "cuarenta y dos lanzamientos": 42, "treinta y tres pitcheos": 33, "cien lanzamientos": 100,
    "ciento cinco lanzamientos": 105, "lanzó 47": 47, "tiró 62": 62, "noventa lanzamientos": 90,
    "veintiún lanzamientos": 21, "threw seventy": 70,
}  # fmt: skip


@pytest.mark.parametrize(("text", "count"), PITCHES.items())
def test_a_pitch_count(text: str, count: int) -> None:
    """Digits and words beside a pitch word are that many pitches."""
    assert [c.pitches for c in reading(text).counts] == [count]


_UNITS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_UNIDADES = ("uno", "dos", "tres", "cuatro", "cinco", "seis", "siete", "ocho", "nueve")
_DECENAS = ("treinta", "cuarenta", "cincuenta", "sesenta", "setenta", "ochenta", "noventa")


@pytest.mark.parametrize("joint", [" ", "-"])
def test_every_english_number_up_to_ninety_nine(joint: str) -> None:
    """From "twenty one" to "ninety nine", with and without the hyphen."""
    for place, ten in enumerate(_TENS, start=2):
        for unit, word in enumerate(_UNITS, start=1):
            text = f"{ten}{joint}{word} pitches"
            assert [c.pitches for c in reading(text).counts] == [place * 10 + unit], text


def test_every_spanish_number_from_thirty_one_to_ninety_nine() -> None:
    """From "treinta y uno" to "noventa y nueve"."""
    for place, ten in enumerate(_DECENAS, start=3):
        for unit, word in enumerate(_UNIDADES, start=1):
            text = f"{ten} y {word} lanzamientos"
            assert [c.pitches for c in reading(text, "es").counts] == [place * 10 + unit], text


@QUICK
@given(st.integers(1, 150))
def test_any_count_in_digits(count: int) -> None:
    """Every count a pitcher can reach, in both languages."""
    assert [c.pitches for c in reading(f"he threw {count} pitches").counts] == [count]
    assert [c.pitches for c in reading(f"lanzó {count} lanzamientos").counts] == [count]


OUTS = {
    "threw 2.2 innings": 8, "2.1 innings": 7, "3 1/3 innings": 10, "2 2/3 innings": 8,
    "went 4 innings": 12, "3.0 innings": 9, "2⅔ innings": 8, "7 outs": 7, "1/3 of an inning": 1,
    "pitched five innings": 15, "lanzó 3 entradas": 9, "3 1/3 entradas": 10, "2.2 entradas": 8,
    "cuatro entradas": 12, "6.1 ip": 19,
}  # fmt: skip


@pytest.mark.parametrize(("text", "outs"), OUTS.items())
def test_innings_are_thirds(text: str, outs: int) -> None:
    """Baseball's ".1" and ".2" are one and two outs, not tenths (common practice in scoring)."""
    assert [c.outs for c in reading(text).counts] == [outs]


AGES = {
    "he is 11": (11, 11), "my 11yr old": (11, 11), "11 y/o": (11, 11), "he's twelve": (12, 12),
    "just turned 12": (12, 12), "im 15": (15, 15), "age 9": (9, 9), "13 years old": (13, 13),
    "tiene 11 años": (11, 11), "tiene doce años": (12, 12), "mi hijo de 9 años": (9, 9),
    "tengo 16": (16, 16), "recién cumplió 13": (13, 13),
    "turns 13 in june": (12, 12), "turning 13 next month": (12, 12), "cumple 13 en junio": (12, 12),
    "about to turn 11": (10, 10), "almost 13": (12, 12), "casi 13 años": (12, 12),
}  # fmt: skip


@pytest.mark.parametrize(("text", "span"), AGES.items())
def test_an_age(text: str, span: tuple[int, int]) -> None:
    """An age now; a birthday ahead means one year less until then."""
    ages = reading(text).ages
    assert [(a.span.first, a.span.last) for a in ages] == [span]


DIVISIONS = {
    "10u": (9, 10), "12u": (11, 12), "14U": (13, 14), "u12": (11, 12), "10 and under": (9, 10),
    "13-14": (13, 14), "sub 12": (11, 12), "sub-10": (9, 10),
}  # fmt: skip


@pytest.mark.parametrize(("text", "span"), DIVISIONS.items())
def test_a_division_is_the_last_two_ages(text: str, span: tuple[int, int]) -> None:
    """A "12U" holds 11 and 12 (common practice): both ends, so the younger row can answer."""
    ages = reading(f"he plays {text}").ages
    assert [(a.span.first, a.span.last) for a in ages] == [span]
    assert ages[0].kind == "division"


GRADES = {
    "8th grader": (13, 14), "he's in 7th grade": (12, 13), "fifth grade": (10, 11),
    "5th grader": (10, 11), "freshman": (14, 15), "sophomore": (15, 16),
}  # fmt: skip


@pytest.mark.parametrize(("text", "span"), GRADES.items())
def test_a_school_grade_is_two_ages(text: str, span: tuple[int, int]) -> None:
    """A grade holds the ages grade + 5 and grade + 6 (common practice in US schools)."""
    ages = reading(text).ages
    assert [(a.span.first, a.span.last) for a in ages] == [span]
    assert ages[0].kind == "grade"


@pytest.mark.parametrize(
    "text",
    ["jersey 12", "#14 looked good", "at 7 pm", "won 12 to 3", "hit 65 mph", "the 5th inning",
     "he wears number 9", "60 feet", "game at 5:30", "2nd base"],
)  # fmt: skip
def test_a_number_that_counts_something_else_is_no_count(text: str) -> None:
    """Jerseys, scores, speeds, clock times and ordinals are neither pitches nor ages."""
    found = reading(text)
    assert not [c for c in found.counts if c.pitches is not None]
    assert not found.ages


@pytest.mark.parametrize("text", ["sixty something pitches", "60ish pitches", "60 or so pitches"])
def test_a_vague_count_is_marked_or_left_open(text: str) -> None:
    """A "sixty something" is never taken as exactly sixty."""
    counts = [c for c in reading(text).counts if c.pitches is not None]
    assert all(c.vague for c in counts)


def test_warm_up_throws_are_kept_apart() -> None:
    """Warm-up throws are not added to the pitches."""
    (count,) = reading("25 warmup throws and 40 pitches").counts
    assert (count.pitches, count.warmup) == (40, 25)


def test_innings_caught_are_not_innings_pitched() -> None:
    """Innings behind the plate are counted for themselves."""
    found = reading("caught 4 innings and threw 30 pitches")
    assert found.innings_caught == 4
    assert [(c.pitches, c.outs) for c in found.counts] == [(30, None)]
