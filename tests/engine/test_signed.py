"""Invariant 6: vetted means signed.

Each content item has a hash; a sign-off names a role, a date and a valid-until, and is
broken by any edit. Whatever draws on an unsigned item is marked a draft.
"""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from conversation import ROOT, grammar

from armbot.content.signoff import load_items
from armbot.engine.signed import is_draft
from armbot.model.signoff import SignOff, SignState

if TYPE_CHECKING:
    from pathlib import Path

    from armbot.model.library import Library

SIGNED_ON = date(2026, 6, 1)
VALID_UNTIL = date(2027, 6, 1)
ITEM = "topics/ll_elbow"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A copy of the shipped content with one topic signed."""
    folder = tmp_path / "content"
    shutil.copytree(ROOT / "content", folder)
    digest = load_items(folder)[ITEM].digest
    (folder / "signoffs.yaml").write_text(
        f'signoffs:\n  - item: "{ITEM}"\n    digest: "{digest}"\n    role: "physician"\n'
        f'    signed_on: "{SIGNED_ON}"\n    valid_until: "{VALID_UNTIL}"\n',
        "utf-8",
    )
    return folder


def state(content: Path, day: date = SIGNED_ON) -> SignState:
    """The state of the signed topic."""
    return load_items(content)[ITEM].state(day)


def test_a_signed_item_is_signed_until_it_runs_out(content: Path) -> None:
    """From the signature to its last day, and not one day longer."""
    assert state(content) is SignState.SIGNED
    assert state(content, VALID_UNTIL) is SignState.SIGNED
    assert state(content, VALID_UNTIL + timedelta(days=1)) is SignState.EXPIRED


@pytest.mark.parametrize("name", ["topic.yaml", "en.yaml", "es.yaml"])
def test_one_changed_letter_breaks_the_signature(content: Path, name: str) -> None:
    """An edit of any file of the item, however small, makes the signature worthless."""
    path = content / "topics" / "ll_elbow" / name
    text = path.read_text("utf-8")
    place = text.index("elbow" if name != "es.yaml" else "codo")
    path.write_text(text[:place] + text[place].upper() + text[place + 1 :], "utf-8")
    assert state(content) is SignState.BROKEN


def test_a_file_added_or_taken_away_breaks_the_signature(content: Path) -> None:
    """The item is its files: one more or one less is another item."""
    extra = content / "topics" / "ll_elbow" / "extra.yaml"
    extra.write_text("a: b\n", "utf-8")
    assert state(content) is SignState.BROKEN
    extra.unlink()
    assert state(content) is SignState.SIGNED
    (content / "topics" / "ll_elbow" / "es.yaml").unlink()
    assert state(content) is SignState.BROKEN


def test_an_edit_elsewhere_leaves_the_signature(content: Path) -> None:
    """Another topic's words are another signature's business."""
    path = content / "topics" / "ice_heat" / "en.yaml"
    path.write_text(path.read_text("utf-8") + "# more\n", "utf-8")
    assert state(content) is SignState.SIGNED


def all_signed(library: Library) -> Library:
    """The library with every item signed as it stands."""
    items = {
        name: replace(
            item, signature=SignOff(name, item.digest, "physician", SIGNED_ON, VALID_UNTIL)
        )
        for name, item in library.items.items()
    }
    return replace(library, items=items)


def test_unsigned_content_is_shown_as_a_draft() -> None:
    """As shipped nothing is signed, so every answer is a draft; all signed, none is."""
    library = grammar().library
    for topic in library.topics:
        for lang in library.languages:
            assert is_draft(library, topic, lang, SIGNED_ON)
            assert not is_draft(all_signed(library), topic, lang, SIGNED_ON)
            assert is_draft(all_signed(library), topic, lang, VALID_UNTIL + timedelta(days=1))


@pytest.mark.parametrize("item", ["topics/ll_elbow", "symptoms", "season", "words/en/phrases"])
def test_one_item_not_signed_makes_its_answers_drafts(item: str) -> None:
    """What an answer may draw on has to be signed, all of it."""
    signed = all_signed(grammar().library)
    unsigned = replace(signed.items[item], signature=None)
    less = replace(signed, items={**signed.items, item: unsigned})
    assert is_draft(less, "ll_elbow", "en", SIGNED_ON)
