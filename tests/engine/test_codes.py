"""One-time codes: good once, for a time, and kept only as a digest."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from hashlib import sha256

import pytest
from conversation import NOW
from hypothesis import given
from hypothesis import strategies as st
from joining_support import begun, joined
from quick import QUICK

from armbot.engine import codes
from armbot.model.family import Role
from armbot.store.records import to_document

UNTIL = NOW + timedelta(days=2)


def test_a_code_is_kept_as_a_digest_alone() -> None:
    """Whoever reads the record cannot join by it."""
    family = codes.make(joined(), Role.ATHLETE, "a1", "K7QF-99XZ", UNTIL)
    text = str(to_document(family))
    assert "K7QF" not in text.upper().replace(codes.digest("K7QF-99XZ").upper(), "")
    assert codes.digest("k7qf 99xz") == sha256(b"armbot join code:K7QF99XZ").hexdigest()
    assert family.codes[0].digest == codes.digest("K7QF-99XZ")


@pytest.mark.parametrize(
    "typed", ["K7QF-99XZ", "k7qf99xz", " k7qf 99xz ", "K7QF\u201399XZ", "k7qf.99xz"]
)
def test_a_code_may_be_typed_in_any_usual_way(typed: str) -> None:
    """Case, spaces and hyphens do not matter."""
    family = codes.make(joined(), Role.ATHLETE, "a1", "K7QF-99XZ", UNTIL)
    found = codes.use(family, typed, NOW)
    assert found is not None
    assert (found.role, found.athlete, found.until) == (Role.ATHLETE, "a1", UNTIL)


@pytest.mark.parametrize("typed", ["K7QF-99XY", "", "-", "🔥", "K7QF"])
def test_a_wrong_code_opens_nothing(typed: str) -> None:
    """Nor does an empty one, nor a part."""
    family = codes.make(joined(), Role.GUARDIAN, "", "K7QF-99XZ", UNTIL)
    assert codes.use(family, typed, NOW) is None


def test_a_code_ends_at_its_time() -> None:
    """To the second."""
    family = codes.make(joined(), Role.GUARDIAN, "", "ABC", UNTIL)
    assert codes.use(family, "ABC", UNTIL - timedelta(seconds=1)) is not None
    assert codes.use(family, "ABC", UNTIL) is None


def test_a_code_is_good_once() -> None:
    """Joining uses it up, before any question is answered."""
    family = codes.make(joined(), Role.GUARDIAN, "", "ABC", UNTIL)
    chat = begun(family, code=codes.use(family, "ABC", NOW))
    assert codes.use(chat.family, "ABC", NOW) is None


def test_a_code_for_an_athlete_who_is_gone_opens_nothing() -> None:
    """Or it would open the family's whole record to that phone."""
    family = codes.make(joined(), Role.ATHLETE, "a1", "ABC", UNTIL)
    assert codes.use(joined(athletes=()), "ABC", NOW) is None
    assert codes.use(family, "ABC", NOW) is not None
    assert codes.use(replace(family, athletes=()), "ABC", NOW) is None


def test_the_oldest_codes_give_way() -> None:
    """So that codes that nobody uses do not pile up."""
    family = joined()
    for number in range(codes.MOST_OPEN + 2):
        family = codes.make(family, Role.GUARDIAN, "", f"CODE{number}", UNTIL)
    assert len(family.codes) == codes.MOST_OPEN
    assert codes.use(family, "CODE0", NOW) is None
    assert codes.use(family, f"CODE{codes.MOST_OPEN + 1}", NOW) is not None


def test_a_code_for_nobody_or_of_nothing_is_refused() -> None:
    """A fault of the caller, named."""
    with pytest.raises(ValueError, match="letters or digits"):
        codes.make(joined(), Role.GUARDIAN, "", "--", UNTIL)
    with pytest.raises(ValueError, match="no athlete"):
        codes.make(joined(), Role.ATHLETE, "a77", "ABC", UNTIL)


@QUICK
@given(code=st.text(max_size=30), typed=st.text(max_size=30))
def test_only_the_same_letters_and_digits_open(code: str, typed: str) -> None:
    """Any text at all may be typed."""
    if not codes.normal(code):
        assert codes.digest(code) == ""
        return
    family = codes.make(joined(), Role.GUARDIAN, "", code, UNTIL)
    opens = codes.use(family, typed, NOW) is not None
    assert opens == (codes.normal(code) == codes.normal(typed))
