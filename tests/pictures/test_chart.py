"""The picture of a family's weeks and months: readable, in its language, and always safe."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from functools import cache
from io import BytesIO
from itertools import combinations
from pathlib import Path
from time import thread_time
from typing import TYPE_CHECKING

import pytest
from conversation import ROOT, grammar
from hypothesis import given, settings
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.patches import Ellipse, FancyBboxPatch
from matplotlib.text import Text
from PIL import Image
from quick import QUICK
from shown_families import (
    BUSY,
    FAMILIES,
    HELD,
    LANGUAGES,
    NONE,
    ONE,
    ago,
    families,
    family,
    shown,
    three_years,
)

from armbot.engine.overview_values import DayShown, State
from armbot.engine.say import Voice
from armbot.model.family import Athlete
from armbot.pictures.cells import cell_word, marks
from armbot.pictures.chart import WIDTH, compose, draw
from armbot.pictures.lettering import cut, wrapped
from armbot.pictures.plotting import drawable, width_of

if TYPE_CHECKING:
    from matplotlib.transforms import Bbox

    from armbot.model.family import Family

SMALLEST = 28
"""Pixels of the smallest letters: about ten points on a phone that is 390 points wide."""
PICTURES = [(name, lang) for name in FAMILIES for lang in LANGUAGES]


def picture(of: Family, lang: str = "en") -> bytes:
    """The picture of the family's first athlete."""
    return draw(shown(of, lang), grammar().library, lang)


@cache
def texts(of: Family, lang: str = "en") -> list[tuple[str, Bbox]]:
    """Every text of a picture with the place that the renderer gives it, in pixels."""
    sheet, height = compose(shown(of, lang), grammar().library, lang)
    renderer = RendererAgg(WIDTH, height, 72)  # type: ignore[no-untyped-call]
    sheet.figure(height)
    return [
        (artist.get_text(), artist.get_window_extent(renderer))
        for artist in sheet.artists
        if isinstance(artist, Text) and artist.get_text()
    ]


def overlapping(placed: list[tuple[str, Bbox]]) -> list[tuple[str, str]]:
    """Pairs of texts that lie on each other."""
    return [(one, other) for (one, a), (other, b) in combinations(placed, 2) if a.overlaps(b)]


def outside(placed: list[tuple[str, Bbox]]) -> list[str]:
    """Texts that the edge of the picture cuts, at the left, the right or below."""
    return [text for text, box in placed if box.x0 < 8 or box.x1 > WIDTH - 8 or box.y0 < 8]


@pytest.mark.parametrize(("name", "lang"), PICTURES)
def test_no_text_lies_on_another_or_outside(name: str, lang: str) -> None:
    """Measured by the renderer itself, for every invented family in both languages."""
    placed = texts(FAMILIES[name], lang)
    assert len(placed) > 50
    assert overlapping(placed) == []
    assert outside(placed) == []


@settings(QUICK, max_examples=QUICK.max_examples // 2)
@given(of=families())
def test_no_text_lies_on_another_in_any_family(of: Family) -> None:
    """Whatever was logged, and however the athlete is called."""
    placed = texts(of, "es")
    assert overlapping(placed) == []
    assert outside(placed) == []


def test_the_overlap_check_sees_one() -> None:
    """Two texts at one place are found."""
    placed = texts(ONE)
    assert overlapping([placed[0], placed[0]])


@pytest.mark.parametrize("name", FAMILIES)
def test_letters_are_large_enough_for_a_phone(name: str) -> None:
    """Nothing is smaller than the smallest size that can be read at a phone's width."""
    sheet, _ = compose(shown(FAMILIES[name]), grammar().library, "en")
    sizes = {float(a.get_fontsize()) for a in sheet.artists if isinstance(a, Text)}
    assert min(sizes) >= SMALLEST


@pytest.mark.parametrize("lang", LANGUAGES)
def test_it_is_a_picture_of_a_phones_width_without_see_through_places(lang: str) -> None:
    """A PNG, 1080 pixels wide, not endlessly tall, opaque to its corners."""
    image = Image.open(BytesIO(picture(BUSY, lang)))
    assert (image.format, image.width) == ("PNG", 1080)
    assert image.height < 2 * image.width
    assert image.convert("RGBA").getchannel("A").getextrema() == (255, 255)


def test_the_same_input_gives_the_same_bytes() -> None:
    """Also when several threads draw at once."""
    alone = picture(HELD)
    with ThreadPoolExecutor(3) as pool:
        drawn = set(pool.map(lambda _: picture(HELD), range(3)))
    assert drawn == {alone}
    assert b"Software" not in alone


def test_a_picture_takes_less_than_six_tenths_of_a_second() -> None:
    """Of computing, for three years of daily outings; the best of three, as others compute too."""
    view, spent = shown(three_years()), []
    for _ in range(3):
        began = thread_time()
        drawn = draw(view, grammar().library, "en")
        spent.append(thread_time() - began)
    assert min(spent) < 0.6
    assert len(drawn) < 1_000_000


@settings(QUICK, max_examples=QUICK.max_examples // 2)
@given(of=families(on_hold=True))
def test_on_hold_no_day_to_throw_is_shown(of: Family) -> None:
    """No mark of a first day, no planned outing, and every day to come is on hold."""
    view = shown(of)
    if view.state is not State.HOLD:
        return
    voice = Voice(grammar().library, "en")
    sheet, _ = compose(view, grammar().library, "en")
    said = " ".join(a.get_text() for a in sheet.artists if isinstance(a, Text))
    assert not any(isinstance(artist, Ellipse) for artist in sheet.artists)
    coming = (view.today + timedelta(days=ahead) for ahead in range(1, 60))
    assert not any(voice.day(day) in said for day in coming)
    assert voice.say("picture_key_first") not in said
    assert voice.say("picture_key_planned") not in said
    assert all(day.hold for day in view.days if day.day >= view.today)


def test_without_a_hold_the_first_day_is_marked() -> None:
    """So that the check above is one that can fail."""
    sheet, _ = compose(shown(ONE), grammar().library, "en")
    assert any(isinstance(artist, Ellipse) for artist in sheet.artists)
    said = " ".join(a.get_text() for a in sheet.artists if isinstance(a, Text))
    assert "Sat 13 June" in said
    assert "Only if the arm feels normal" in said


@pytest.mark.parametrize("lang", LANGUAGES)
def test_every_state_of_a_day_has_a_sign_besides_its_colour(lang: str) -> None:
    """A word, a mark, a number or a hatching: told apart without any colour."""
    voice, day = Voice(grammar().library, lang), ago(1)
    states = [
        DayShown(day),
        DayShown(day, rest=True),
        DayShown(day, hold=True),
        DayShown(day, off_season=True),
        DayShown(day, caught=True),
        DayShown(day, other_sport=True),
        DayShown(day, planned=True),
        DayShown(day, rest=True, caught=True),
        DayShown(day, pitches=90, limit=85),
    ]
    signs = [(cell_word(state, voice), marks(state, voice)) for state in states]
    assert len(set(signs)) == len(signs)


def test_over_the_limit_and_on_hold_are_hatched_differently() -> None:
    """The bar over the limit, and the days on hold, show without colour."""
    for of, hatch in ((BUSY, "\\\\"), (HELD, "/")):
        sheet, _ = compose(shown(of), grammar().library, "en")
        hatches = {a.get_hatch() for a in sheet.artists if isinstance(a, FancyBboxPatch)}
        assert hatch in hatches
    sheet, _ = compose(shown(ONE), grammar().library, "en")
    assert {a.get_hatch() for a in sheet.artists if isinstance(a, FancyBboxPatch)} == {None}


@pytest.mark.parametrize("lang", LANGUAGES)
def test_it_speaks_the_familys_language(lang: str) -> None:
    """The words of one language and none of the other's."""
    other = "es" if lang == "en" else "en"
    said = [text for text, _ in texts(BUSY, lang)]
    for key in ("picture_cell_rest", "picture_key_today", "picture_key_breach"):
        assert Voice(grammar().library, lang).say(key) in said
        assert Voice(grammar().library, other).say(key) not in said


def test_only_the_signs_in_the_picture_are_explained() -> None:
    """A quiet family's picture is not burdened with what others need."""
    said = " ".join(text for text, _ in texts(NONE))
    voice = Voice(grammar().library, "en")
    assert voice.say("picture_key_today") in said
    assert voice.say("picture_key_hold") not in said
    assert voice.say("picture_key_over") not in said


def test_unsigned_content_is_marked_on_the_picture_itself() -> None:
    """A picture is passed on without the message around it."""
    said = [text for text, _ in texts(ONE)]
    assert shown(ONE).draft is (Voice(grammar().library, "en").say("draft") in said)


@pytest.mark.parametrize(
    ("typed", "printed"), [("Kai 🧢", "Kai"), ("$x_2$", "$x_2$"), ("🧢", ""), ("Núñez", "Núñez")]
)
def test_a_nickname_is_drawn_as_far_as_the_font_goes(typed: str, printed: str) -> None:
    """No formula is read into it, and what has no shape is left out without a warning."""
    assert drawable(typed) == printed


def test_a_nickname_without_any_shape_gets_a_plain_word() -> None:
    """A cap for a name cannot be drawn: the picture says "the athlete" instead."""
    said = [text for text, _ in texts(family(who=Athlete("a1", "🧢")))]
    assert said[1] == "The athlete"


def test_lines_are_wrapped_at_words_and_long_words_cut() -> None:
    """No line is wider than its room."""
    lines = wrapped("rest " * 30 + "x" * 200, 400, 30)
    assert len(lines) > 3
    assert all(width_of(line, 30) <= 400 for line in lines)
    assert lines[-1].endswith("…")
    assert cut("rest", 400, 30) == "rest"


def test_nothing_is_written_to_the_users_home(tmp_path: Path) -> None:
    """Nor is pyplot loaded, a setting changed, or a variable left behind."""
    script = (
        "import os, sys; import armbot.pictures.chart; import matplotlib as m;"
        "assert 'matplotlib.pyplot' not in sys.modules;"
        "assert 'MPLCONFIGDIR' not in os.environ;"
        "usual = {k: v for k, v in m.rcParamsDefault.items() if k != 'backend'};"
        "assert {k: m.rcParams[k] for k in usual} == usual;"
        "print(m.get_cachedir())"
    )
    home = tmp_path / "home"
    home.mkdir()
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", script],
        env={"HOME": str(home), "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert list(home.rglob("*")) == []
    assert not Path(done.stdout.strip()).exists()
