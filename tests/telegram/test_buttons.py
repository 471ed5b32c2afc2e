"""Buttons come back only as they went out: signed for one chat, in 64 bytes."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from quick import QUICK
from stand_in_rules import CALLBACK_BYTES

from armbot.channels.telegram.buttons import ACT_BYTES, PAYLOAD_BYTES, ButtonKey

KEY = ButtonKey(b"a secret of the clinic's own")
chats = st.integers(-(2**52), 2**52)
acts = st.text(st.characters(codec="utf-8"), min_size=1, max_size=ACT_BYTES).filter(
    lambda act: len(act.encode()) <= ACT_BYTES
)


@QUICK
@given(chats, acts)
def test_a_button_comes_back_as_it_went_out(chat: int, act: str) -> None:
    """Whatever the act, in at most 64 bytes (Bot API, InlineKeyboardButton)."""
    payload = KEY.sign(chat, act)
    assert KEY.read(chat, payload) == act
    assert len(payload.encode()) <= PAYLOAD_BYTES == CALLBACK_BYTES


@QUICK
@given(chats, chats, acts)
def test_a_button_of_another_chat_means_nothing(chat: int, other: int, act: str) -> None:
    """So nobody presses in one family what was shown in another."""
    assume(chat != other)
    assert KEY.read(other, KEY.sign(chat, act)) == ""


@QUICK
@given(st.text(max_size=80))
def test_what_was_never_signed_means_nothing(payload: str) -> None:
    """Any text can be sent in place of a button's, halves of surrogate pairs as well."""
    assert KEY.read(1, payload) == ""


@pytest.mark.parametrize("at", range(12 + len("answer:2")))
def test_one_changed_letter_means_nothing(at: int) -> None:
    """In the code as in the act."""
    payload = KEY.sign(5, "answer:2")
    changed = "A" if payload[at] != "A" else "B"
    assert KEY.read(5, payload[:at] + changed + payload[at + 1 :]) == ""


def test_a_button_of_another_key_means_nothing() -> None:
    """A bot with a new secret takes no old buttons."""
    assert ButtonKey(b"another secret of 16+").read(5, KEY.sign(5, "answer:2")) == ""


@pytest.mark.parametrize("act", ["", "x" * (ACT_BYTES + 1), "é" * 27, "\ud800"])
def test_an_act_that_cannot_be_signed_is_an_error_here(act: str) -> None:
    """Found where it is made, not as a refusal of Telegram."""
    with pytest.raises(ValueError, match=r"act of a button|surrogates"):
        KEY.sign(5, act)


def test_a_short_key_is_refused() -> None:
    """A secret that could be tried out is none."""
    with pytest.raises(ValueError, match="16 bytes"):
        ButtonKey(b"short")
