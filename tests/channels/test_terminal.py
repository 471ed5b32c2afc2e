"""The terminal as a channel: typed lines in, plain or styled text out."""

from __future__ import annotations

import io

import pytest

from armbot.channels.base import Reply, shown_safely
from armbot.channels.terminal import Terminal


class Screen(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Always."""
        return True


def terminal(typed: str = "", *, styled: bool | None = None) -> tuple[Terminal, io.StringIO]:
    """A terminal with these lines waiting, and what it will have written."""
    target = io.StringIO()
    return Terminal(io.StringIO(typed), target, styled=styled), target


def shown(reply: Reply, *, styled: bool = False) -> str:
    """What one reply looks like."""
    channel, target = terminal(styled=styled)
    channel.show(reply)
    return target.getvalue()


def test_every_line_is_a_message_until_the_end_of_input() -> None:
    """Empty lines are none, and space around a message does not belong to it."""
    channel, _ = terminal(" one \n\n   \r\ntwo")
    assert list(channel.messages()) == ["one", "two"]


def test_bold_marks_are_taken_out_when_piped() -> None:
    """A pipe gets plain words."""
    assert shown(Reply("**Not Friday.** Saturday.")) == "Not Friday. Saturday.\n\n"


def test_bold_and_dim_are_drawn_on_a_screen() -> None:
    """The first line stands out, the mark does not."""
    text = shown(Reply("**Not Friday.** Saturday.", mark="[draft]"), styled=True)
    assert text == "\x1b[1mNot Friday.\x1b[0m Saturday.\n\x1b[2m[draft]\x1b[0m\n\n"


def test_a_single_star_is_no_bold_mark() -> None:
    """It marks a figure from memory and must stay to be seen."""
    assert "40*" in shown(Reply("**About 40* throws.**"))


def test_styles_are_for_a_screen_at_both_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    """With NO_COLOR set there are none even there."""
    for variable, bold in (("", True), ("1", False)):
        monkeypatch.setenv("NO_COLOR", variable)
        target = Screen()
        Terminal(Screen(), target).show(Reply("**a**"))
        assert ("\x1b" in target.getvalue()) is bold


def test_a_prompt_is_shown_on_a_screen_only() -> None:
    """Piped output holds nothing but replies."""
    target = Screen()
    assert list(Terminal(Screen("a\n"), target).messages()) == ["a"]
    assert target.getvalue() == "> > "
    channel, plain = terminal("a\n")
    assert list(channel.messages()) == ["a"]
    assert plain.getvalue() == ""


def test_choices_are_numbered_and_picked_by_number() -> None:
    """Typing the number says the words of the choice."""
    channel, target = terminal("2\n")
    channel.show(Reply("Sure?", ("Yes", "No")))
    assert "[1] Yes  [2] No" in target.getvalue()
    assert list(channel.messages()) == ["No"]


@pytest.mark.parametrize("typed", ["0", "3", "62", "-1", "1.5", "²", "9" * 6_000, "yes"])
def test_a_number_that_is_no_choice_is_a_message(typed: str) -> None:
    """It may be an age or a count."""
    channel, _ = terminal(typed + "\n")
    channel.show(Reply("Sure?", ("Yes", "No")))
    assert list(channel.messages()) == [typed]


def test_a_choice_typed_as_it_is_wins_over_its_place() -> None:
    """With the ages 9 and 1 to choose from, typing 1 means the age."""
    channel, _ = terminal("1\n")
    channel.show(Reply("How old?", ("9", "1")))
    assert list(channel.messages()) == ["1"]


def test_choices_are_those_of_the_last_reply() -> None:
    """A number after a reply without choices is a message again."""
    channel, _ = terminal("2\n")
    channel.show(Reply("Sure?", ("Yes", "No")))
    channel.show(Reply("How old?"))
    assert list(channel.messages()) == ["2"]


def test_what_was_typed_cannot_steer_the_screen() -> None:
    """Control characters, turned writing and half characters are left out, words stay."""
    bad = "a\x1b[2Jb\x07c\u202ed\x9be\ud800f\rg"
    assert shown_safely(bad) == "a[2Jbcdefg"
    text = shown(Reply(bad, (bad,), bad))
    assert not set(text) & set("\x1b\x07\u202e\x9b\ud800\r")
    assert text.count("a[2Jbcdefg") == 3


def test_lines_and_accents_stay() -> None:
    """Line breaks, tabs and every letter are text, not control."""
    assert shown_safely("años\n\t- sí 👍🏽") == "años\n\t- sí 👍🏽"
