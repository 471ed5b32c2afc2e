"""Invitations: made anywhere, good once, for a while, and by no guessing."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from armbot import invitations, keeping

KEY = bytes(range(32))
NOW = datetime(2026, 6, 10, 19, 0, tzinfo=UTC)


def test_a_code_founds_one_family() -> None:
    """Always the same one, so that it can come into being only once."""
    code = invitations.make(KEY, NOW)
    family = invitations.family_of(KEY, code, NOW)
    assert family is not None
    assert family.startswith("f-")
    assert invitations.family_of(KEY, code, NOW) == family
    assert invitations.make(KEY, NOW) != code


def test_a_code_fits_a_deep_link() -> None:
    """Bot API, "Deep linking": up to 64 of A-Z, a-z, 0-9, _ and -."""
    code = invitations.make(KEY, NOW)
    assert len(code) <= 64
    assert all(c.isascii() and (c.isalnum() or c in "_-") for c in code)


def test_a_code_is_good_until_its_time_is_over() -> None:
    """To the second."""
    code = invitations.make(KEY, NOW, days=3)
    assert invitations.family_of(KEY, code, NOW + timedelta(days=3, seconds=-1))
    assert invitations.family_of(KEY, code, NOW + timedelta(days=3)) is None


@given(st.text(max_size=80))
def test_no_text_is_taken_for_a_code(text: str) -> None:
    """And none makes it fail."""
    assert invitations.family_of(KEY, text, NOW) is None


@given(st.integers(0, 26), st.sampled_from("AZaz09_-"))
def test_a_changed_code_is_none(place: int, letter: str) -> None:
    """One letter is enough."""
    code = invitations.make(KEY, NOW)
    changed = code[:place] + letter + code[place + 1 :]
    assert changed == code or invitations.family_of(KEY, changed, NOW) is None


def test_another_installation_s_code_is_none() -> None:
    """Each has its own key."""
    code = invitations.make(KEY, NOW)
    assert invitations.family_of(bytes(32), code, NOW) is None


def test_the_key_is_made_once_and_is_its_owner_s(tmp_path: Path) -> None:
    """32 bytes that outlive a restart."""
    key = keeping.key_of(tmp_path / "data")
    assert len(key) == 32
    assert keeping.key_of(tmp_path / "data") == key
    assert (tmp_path / "data" / ".key").stat().st_mode & 0o077 == 0


def test_a_broken_key_is_told(tmp_path: Path) -> None:
    """A new one would make all buttons and invitations stale without a word."""
    keeping.key_of(tmp_path)
    (tmp_path / ".key").write_bytes(b"short")
    with pytest.raises(keeping.KeyUnreadable, match="is not a key"):
        keeping.key_of(tmp_path)


def test_what_was_set_aside_goes_with_the_chat_it_is_of(tmp_path: Path) -> None:
    """Also where the number stands deep inside; others stay."""
    for number, chat in ((1, 55), (2, 66)):
        update = {"update_id": number, "message": {"chat": {"id": chat}, "text": "oops"}}
        keeping.set_aside(tmp_path, number, update, "reason")
    assert keeping.count_set_aside(tmp_path) == 2
    keeping.forget_chats(tmp_path, frozenset({55}))
    (left,) = (tmp_path / "set-aside").glob("*.json")
    assert left.name == "2.json"
