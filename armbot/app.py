"""Wiring: the engine between a store and whoever asks. One message is one commit."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from armbot.engine.decide import Decision, decide
from armbot.model.family import Family
from armbot.store.base import NEW, Store, StoreBusy, StoreError, VersionClash
from armbot.store.records import columns_of, family_from, to_document
from armbot.store.tiny import TinyStore

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from armbot.language.grammar import Grammar

_ATTEMPTS = 20
"""Clashes in a row before giving up; each means that somebody else got through."""
_PATIENCE = 2.0
"""Seconds to wait for another process to let go of the data folder."""
_PAUSE = 0.05

Result = TypeVar("Result")


class RecordUnreadable(StoreError):  # noqa: N818  # says what happened
    """A stored record is sound as JSON, but not one that this version can read."""


class FamilyGone(StoreError):  # noqa: N818  # says what happened
    """The family was erased meanwhile: nothing may bring its record back."""


def data_folder(environment: Mapping[str, str] = os.environ) -> Path:
    """Where records are kept unless told otherwise.

    XDG Base Directory Specification 0.8: ``$XDG_DATA_HOME/armbot``, and
    ``~/.local/share/armbot`` where that is not set or is not an absolute path.
    """
    told = environment.get("XDG_DATA_HOME", "")
    base = Path(told) if told and Path(told).is_absolute() else Path.home() / ".local" / "share"
    return base / "armbot"


def open_store(folder: Path) -> Store:
    """The embedded store, waiting a moment where another process is just using it.

    Raises StoreBusy when it stays in use, OSError when the folder cannot be used.
    """
    deadline = time.monotonic() + _PATIENCE
    while True:
        try:
            return TinyStore(folder)
        except StoreBusy:
            if time.monotonic() >= deadline:
                raise
            time.sleep(_PAUSE)


def load_family(store: Store, fresh: Family) -> tuple[Family, int]:
    """The stored family of that id with its version, or ``fresh`` with NEW.

    Raises StoreDamaged, and RecordUnreadable for a record of another shape or version:
    it may hold a stop for a hurt arm, so it never passes for a family that is new.
    """
    stored = store.load(fresh.id)
    if stored is None:
        return fresh, NEW
    try:
        return family_from(stored.document), stored.version
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise RecordUnreadable(
            f"the record of family {fresh.id} cannot be read by this version ({error!r}): "
            "use the version that wrote it, or name another data folder"
        ) from error


def change(
    store: Store,
    fresh: Family,
    step: Callable[[Family], tuple[Family, Result]],
    *,
    existing: bool = False,
) -> Result:
    """Load, take one step, commit; from the start again when somebody else was quicker.

    ``step`` is pure and may run several times; its result counts only once committed.
    Raises VersionClash after many clashes in a row, FamilyGone for a family that has to be
    ``existing`` and is not, and what the store and step raise.
    """
    for attempt in range(1, _ATTEMPTS + 1):
        family, version = load_family(store, fresh)
        if existing and version == NEW:
            raise FamilyGone(f"the family {fresh.id} is gone")
        after, result = step(family)
        try:
            store.commit(fresh.id, to_document(after), version, columns_of(after))
        except VersionClash:
            if attempt == _ATTEMPTS:
                raise
        else:
            return result
    raise AssertionError("the loop returns or raises")  # pragma: no cover


def answer(  # noqa: PLR0913  # one message, its store and its surroundings
    store: Store,
    fresh: Family,
    text: str,
    grammar: Grammar,
    now: datetime,
    unsaved: Family | None = None,
) -> Decision:
    """Decide on one message of a stored family and keep what follows from it.

    ``unsaved`` is the family after messages that could not be saved: what it holds of
    reports and holds is made up for first.
    """

    def step(family: Family) -> tuple[Family, Decision]:
        decision = decide(made_up_for(family, unsaved), text, grammar, now)
        return decision.family, decision

    return change(store, fresh, step)


def made_up_for(stored: Family, unsaved: Family | None) -> Family:
    """The stored family with the reports and holds that could not be saved before.

    A hold that was cleared in the meantime stays ended.
    """
    if unsaved is None:
        return stored
    reports = tuple(r for r in unsaved.reports if r not in stored.reports)
    holds = tuple(
        hold
        for hold in unsaved.holds
        if hold not in stored.holds
        and not any(c.athlete == hold.athlete and c.at >= hold.since for c in stored.clearances)
    )
    return replace(stored, reports=(*stored.reports, *reports), holds=(*stored.holds, *holds))


def with_settings(family: Family, lang: str | None, zone: str | None) -> Family:
    """The family with the language and zone that were chosen; None leaves them."""
    if lang is not None:
        family = replace(family, lang=lang, lang_chosen=True)
    return replace(family, zone=zone) if zone is not None else family
