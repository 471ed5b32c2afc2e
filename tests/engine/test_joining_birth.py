"""Birth and nickname: what is understood, asked again, and refused; invented examples."""

from __future__ import annotations

import pytest
from conversation import TODAY
from joining_support import LIBRARY, at_step, tells

from armbot.engine.joining_birth import Born, read_birth
from armbot.engine.joining_names import MOST_CHARACTERS, nickname
from armbot.model.people import BirthMonth


@pytest.mark.parametrize(
    "text",
    ["June 2014", "june, 2014", "jun 14", "Jun '14", "6/2014", "06/2014", "6-2014", "2014-06",
     "2014/6", "6.2014", "6/14", "2014-06-05", "june 5, 2014", "5 June 2014", "june 5th 2014",
     "born june 2014", "6/5/2014", "JUNE 2014", "jume 2014", "junio de 2014", "5 de junio de 2014",
     "nació en junio del 2014", "6/25/14"],
)  # fmt: skip
def test_a_birth_is_read_in_any_usual_way(text: str) -> None:
    """Month and year, whatever stands between them; a day is read over."""
    assert read_birth(text, LIBRARY, TODAY, day_first=False) == Born((BirthMonth(2014, 6),))


def test_a_date_that_may_be_two_months_is_asked_about_in_spanish() -> None:
    """Families write 5/6 both ways; 25/6 and 2014-05-06 leave no doubt."""
    both = (BirthMonth(2014, 5), BirthMonth(2014, 6))
    assert read_birth("5/6/2014", LIBRARY, TODAY, day_first=True).months == both
    assert read_birth("25/6/2014", LIBRARY, TODAY, day_first=True).months == both[1:]
    assert read_birth("2014-05-06", LIBRARY, TODAY, day_first=True).months == both[:1]
    chat = at_step("birth_year", "es", name="Oso").tell("5/6/2014")
    assert tells(chat.said, "es", "hint_which")
    chat.tap("form:birth_year:2014-05")
    assert (chat.form.answer("birth_month"), chat.form.step) == ("5", "arm")


def test_year_and_month_may_come_in_two_messages_either_first() -> None:
    """First "2014", then "june"; or "june", then "2014"."""
    for first, second in (("2014", "june"), ("june", "2014"), ("2014", "6"), ("2014", "06")):
        chat = at_step("birth_year", name="Bear").tell(first, second)
        assert (chat.form.answer("birth_year"), chat.form.answer("birth_month")) == ("2014", "6")
        assert chat.form.step == "arm"


def test_an_age_is_no_birth_and_is_asked_about() -> None:
    """Eleven in June 2026: born in 2014 or 2015, or in the year "11": never guessed."""
    chat = at_step("birth_year", name="Bear").tell("11")
    assert chat.acts[:3] == [f"form:birth_year:{year}" for year in (2011, 2014, 2015)]


@pytest.mark.parametrize(
    ("text", "hint"),
    [("July 2026", "hint_birth_future"), ("2030", "hint_birth_future"),
     ("June 2026", "hint_birth_age"), ("may 1985", "hint_birth_age"), ("1985", "hint_birth_age"),
     ("13/2014", "hint_birth"), ("soon", "hint_birth"), ("20145 june 3", "hint_birth"),
     ("how many pitches can he throw", "hint_birth"), ("june or july 2014", "hint_birth")],
)  # fmt: skip
def test_a_birth_that_cannot_be_is_asked_again(text: str, hint: str) -> None:
    """With what is wrong; the nickname told before stays."""
    chat = at_step("birth_year", name="Bear").tell(text)
    assert chat.form.step == "birth_year"
    assert tells(chat.said, "en", hint, year=text[-4:])
    assert chat.form.answer("name") == "Bear"


@pytest.mark.parametrize("value", ["0", "13", "june ", "x", "2014-13", ""])
def test_a_forged_month_button_is_asked_again_or_read_as_typed(value: str) -> None:
    """Whatever a payload says, only a real month is taken."""
    chat = at_step("birth_month", name="Bear", birth_year="2014").tell(f"form:birth_month:{value}")
    month = chat.form.answer("birth_month")
    assert month == ("6" if value.strip() == "june" else "")


@pytest.mark.parametrize(
    ("text", "kept"),
    [("Bear", "Bear"), ("  Big\u202e   Bear\u200b ", "Big Bear"), ("**Ace**", "Ace"),
     ("#12", "#12"), ("Ñandú", "Ñandú"), ("a\x00b\nc", "ab c"),
     ("x" * 60, "x" * MOST_CHARACTERS), ("***", ""),
     ("🔥", ""), ("\u202e\u200f", ""), ("\ud800Zed", "Zed")],
)  # fmt: skip
def test_a_nickname_is_cleaned_before_it_is_kept(text: str, kept: str) -> None:
    """No control or direction marks, no bold marks, at most 24 characters."""
    assert nickname(text) == kept


@pytest.mark.parametrize(
    ("lang", "full"), [("en", "Jordan Smithson"), ("es", "Ana Belén"), ("en", "Mary-Ann O'Toole")]
)
def test_a_full_name_is_declined_once_and_taken_if_repeated(lang: str, full: str) -> None:
    """It may be a nickname after all; meanwhile the name itself is not kept."""
    chat = at_step("name", lang).tell(full)
    assert tells(chat.said, lang, "hint_full_name")
    assert full.split()[1] not in repr(chat.family)
    chat.tell(full)
    assert chat.form.answer("name") == full
    assert chat.form.answer("name_doubt") == ""


def test_another_name_after_a_full_one_is_taken_at_once() -> None:
    """The hint was understood."""
    assert at_step("name").tell("Jordan Smithson", "Jo").form.answer("name") == "Jo"
    assert at_step("name").tell("Jordan Smithson", "Jordan Jones").form.answer("name") == ""


@pytest.mark.parametrize(
    ("text", "name"),
    [("call him Tank", "Tank"), ("his name is Tank", "Tank"), ("se llama Osito", "Osito"),
     ("Big T", "Big T"), ("le decimos El Oso", ""), ("Buck", "Buck"), ("J", "J")],
)  # fmt: skip
def test_a_nickname_inside_a_sentence_is_found(text: str, name: str) -> None:
    """The words before it are no part of it."""
    assert at_step("name").tell(text).form.answer("name") == name


@pytest.mark.parametrize(
    "text", ["yes", "no", "hola", "idk", "how old can he be?", "he threw forty pitches today", "🔥"]
)
def test_what_is_no_nickname_is_asked_again(text: str) -> None:
    """A question or an answer to something else becomes nobody's name."""
    chat = at_step("name").tell(text)
    assert tells(chat.said, "en", "hint_name")
    assert chat.form.answer("name") == ""
