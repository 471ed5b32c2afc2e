"""The overview in words: short, whole, and silent about days to throw while on hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from time import thread_time

import pytest
from conversation import TODAY, grammar
from hypothesis import given
from quick import QUICK
from shown_families import (
    FAMILIES,
    KAI,
    LANGUAGES,
    ONE,
    families,
    family,
    shown,
    three_years,
)

from armbot.engine.overview import overview_text
from armbot.engine.overview_values import State
from armbot.engine.say import TELEGRAM_LIMIT, Voice, units
from armbot.model.family import Family


def text_of(of: Family, lang: str) -> str:
    """The overview of the first athlete in words."""
    return overview_text(shown(of, lang), grammar().library, lang)


@pytest.mark.parametrize("lang", LANGUAGES)
@pytest.mark.parametrize("name", FAMILIES)
def test_the_text_is_short_and_whole(name: str, lang: str) -> None:
    """Every invented family gets a text without a gap, that a phone shows at once."""
    text = text_of(FAMILIES[name], lang)
    assert 60 < len(text) < 900
    assert "{" not in text
    assert text.count("**") % 2 == 0
    assert "  " not in text


@pytest.mark.parametrize("lang", LANGUAGES)
def test_the_text_says_what_the_picture_shows(lang: str) -> None:
    """Name, rest, first day with its caution, weeks, months, what is advised, sources."""
    text = text_of(ONE, lang)
    for word in ("Kai", "62", "85", "Major League Baseball"):
        assert word in text
    for key in ("if_normal", "total_only_logged"):
        assert grammar().library.phrase(lang, key) in text


@QUICK
@given(of=families())
def test_the_text_fits_below_a_picture(of: Family) -> None:
    """Telegram Bot API, sendPhoto: a caption has 1024 UTF-16 units at most (from memory)."""
    for lang in LANGUAGES:
        assert units(text_of(of, lang)) <= 1024


@QUICK
@given(of=families(on_hold=True))
def test_on_hold_the_text_names_no_day_to_come(of: Family) -> None:
    """The only dates are of what was: the report and the outings."""
    view = shown(of)
    if view.state is not State.HOLD:
        return
    for lang in LANGUAGES:
        text = overview_text(view, grammar().library, lang)
        assert grammar().library.phrase(lang, "picture_hold") in text
        assert not coming_days_in(text, lang, view.today)


def coming_days_in(text: str, lang: str, today: date) -> list[str]:
    """Days after today, as the bot writes them, that a text names."""
    voice = Voice(grammar().library, lang)
    days = [voice.day(today + timedelta(days=ahead)) for ahead in range(1, 100)]
    return [day for day in days if day in text]


@pytest.mark.parametrize("lang", LANGUAGES)
def test_without_a_hold_the_first_day_is_in_the_text(lang: str) -> None:
    """So that the check for days to come is one that can fail."""
    assert coming_days_in(text_of(ONE, lang), lang, TODAY)


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("Kai", "Kai"),
        ("  K\n ai ", "K ai"),
        ("**Kai**", "Kai"),
        ("\u202eKai\u200b\x00", "Kai"),
        ("", "the athlete"),
        ("\u200b*", "the athlete"),
        ("x" * 60, "x" * 39 + "…"),
    ],
)
def test_a_nickname_is_shown_as_one_plain_line(typed: str, printed: str) -> None:
    """No line break, hidden mark or sign of bold text; a long one is cut."""
    assert shown(family(who=replace(KAI, name=typed))).name == printed


def test_three_years_of_daily_outings_stay_fast_and_short() -> None:
    """The text of a log of a thousand games is as short as any and made in a moment."""
    of = three_years()
    began = thread_time()
    text = text_of(of, "es")
    assert thread_time() - began < 0.5
    assert units(text) < TELEGRAM_LIMIT / 4
