"""The wiring between engine and store: nothing lost, nothing decided on an old record."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import pytest
from conversation import NOW, grammar, new_family

from armbot import app
from armbot.app import (
    RecordUnreadable,
    answer,
    change,
    data_folder,
    load_family,
    made_up_for,
    open_store,
    with_settings,
)
from armbot.engine.clearance import clear
from armbot.engine.decide import decide
from armbot.engine.signed import is_draft
from armbot.model.family import Athlete, Family
from armbot.model.signoff import SignOff
from armbot.store.base import NEW, StoreBusy, VersionClash
from armbot.store.records import to_document
from armbot.store.tiny import TinyStore

if TYPE_CHECKING:
    from pathlib import Path

    from armbot.model.library import Library

TODAY = date(2026, 6, 10)


def test_the_data_folder_follows_the_xdg_specification(tmp_path: Path) -> None:
    """XDG Base Directory Specification 0.8: a relative path is invalid and ignored."""
    assert data_folder({"XDG_DATA_HOME": str(tmp_path)}) == tmp_path / "armbot"
    home = data_folder({})
    assert home.parts[-3:] == (".local", "share", "armbot")
    assert data_folder({"XDG_DATA_HOME": "somewhere"}) == home
    assert data_folder({"XDG_DATA_HOME": ""}) == home


def test_an_answer_is_in_the_store_when_it_is_given(tmp_path: Path) -> None:
    """A report is on disk, with its hold, before anything is shown."""
    with open_store(tmp_path / "data") as store:
        answer(store, new_family(), "his elbow hurts when he throws", grammar(), NOW)
    with open_store(tmp_path / "data") as store:
        family, version = load_family(store, new_family())
    assert version == 1
    assert [report.tier.word for report in family.reports] == ["stop"]
    assert family.hold_of("") is not None


def test_a_step_is_taken_again_on_what_somebody_else_wrote(tmp_path: Path) -> None:
    """Two changes at once: both are kept, in whatever order."""
    with TinyStore(tmp_path / "data") as store:
        seen: list[tuple[Athlete, ...]] = []

        def step(family: Family) -> tuple[Family, str]:
            seen.append(family.athletes)
            if len(seen) == 1:
                other = replace(family, athletes=(Athlete("a1", "Ana"),))
                store.commit(family.id, to_document(other), NEW)
            return replace(family, greeted=True), "done"

        assert change(store, new_family(), step) == "done"
        family, version = load_family(store, new_family())
    assert [len(athletes) for athletes in seen] == [0, 1]
    assert (family.greeted, family.athletes, version) == (True, (Athlete("a1", "Ana"),), 2)


def test_clashing_without_end_is_given_up(tmp_path: Path) -> None:
    """The error comes out instead of a loop that never ends."""
    with TinyStore(tmp_path / "data") as store:

        def step(family: Family) -> tuple[Family, None]:
            stored = store.load(family.id)
            store.commit(family.id, to_document(family), stored.version if stored else NEW)
            return family, None

        with pytest.raises(VersionClash):
            change(store, new_family(), step)


def test_a_record_of_another_version_is_no_new_family(tmp_path: Path) -> None:
    """It may hold a stop for a hurt arm: refuse, and say what to do."""
    with TinyStore(tmp_path / "data") as store:
        store.commit("test", {**to_document(new_family()), "version": 99}, NEW)
        with pytest.raises(RecordUnreadable, match="use the version that wrote it"):
            load_family(store, new_family())


def test_a_record_with_a_part_missing_is_no_new_family(tmp_path: Path) -> None:
    """As above, for a record that lost a field."""
    document = to_document(new_family())
    del document["holds"]
    with TinyStore(tmp_path / "data") as store:
        store.commit("test", document, NEW)
        with pytest.raises(RecordUnreadable, match="holds"):
            load_family(store, new_family())


def test_a_folder_in_use_is_waited_for_and_then_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The message names the folder."""
    monkeypatch.setattr(app, "_PATIENCE", 0.1)
    with TinyStore(tmp_path / "data"), pytest.raises(StoreBusy, match="data"):
        open_store(tmp_path / "data")
    open_store(tmp_path / "data").close()


def test_what_was_not_saved_is_made_up_for_once() -> None:
    """Reports and holds come along, twice is once, and a cleared hold stays ended."""
    hurt = decide(new_family(), "his elbow hurts when he throws", grammar(), NOW).family
    caught_up = made_up_for(new_family(), hurt)
    assert (caught_up.reports, caught_up.holds) == (hurt.reports, hurt.holds)
    assert made_up_for(caught_up, hurt) == caught_up
    assert made_up_for(caught_up, None) == caught_up
    cleared = clear(caught_up, "", "physician", NOW, grammar().library.clinic)
    assert made_up_for(cleared, hurt).holds == ()


def test_settings_not_chosen_are_kept() -> None:
    """None leaves what the family has."""
    family = with_settings(new_family(), "es", "America/Chicago")
    assert (family.lang, family.lang_chosen, family.zone) == ("es", True, "America/Chicago")
    assert with_settings(family, None, None) == family


def signed(library: Library, until: date, *but: str) -> Library:
    """The library with every item signed until a day, except some."""
    day = date(2026, 1, 1)
    return replace(
        library,
        items={
            key: replace(
                item,
                signature=None
                if key in but
                else SignOff(key, item.digest, "physician", day, until),
            )
            for key, item in library.items.items()
        },
    )


@pytest.mark.parametrize(
    ("until", "but", "draft"),
    [
        (date(2027, 1, 1), (), False),
        (TODAY, (), False),
        (date(2026, 6, 9), (), True),
        (date(2027, 1, 1), ("topics/rest_days",), True),
        (date(2027, 1, 1), ("rules/pony",), True),
        (date(2027, 1, 1), ("symptoms",), True),
        (date(2027, 1, 1), ("words/en/phrases",), True),
        (date(2027, 1, 1), ("words/es/phrases",), False),
        (date(2027, 1, 1), ("topics/ice_heat",), False),
    ],
)
def test_a_reply_is_a_draft_unless_all_it_may_use_is_signed(
    until: date, but: tuple[str, ...], *, draft: bool
) -> None:
    """Other topics and the other language are not used; a signature runs out."""
    library = signed(grammar().library, until, *but)
    assert is_draft(library, "rest_days", "en", TODAY) is draft
