"""How records of earlier versions become records of this one, one step a version.

A step gets and returns plain JSON and never changes what it was given. tests/store/records
holds a record of every earlier version.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

VERSION = 2


def brought_up(document: Mapping[str, Any]) -> dict[str, Any]:
    """The document as this version writes it. Raises ValueError for an unknown version."""
    version = document.get("version")
    if not isinstance(version, int) or not 1 <= version <= VERSION:
        raise ValueError(f"family record of version {version!r}; know 1 to {VERSION}")
    current = dict(document)
    for step in _STEPS[version - 1 :]:
        current = step(current)
    return {**current, "version": VERSION}


_NEW_IN_2 = (
    *("members", "codes", "muted", "off_seasons", "planned"),
    *("done", "outbox", "seen", "told_in"),
)


def _from_1(old: dict[str, Any]) -> dict[str, Any]:
    """Version 1 knew one conversation and neither chats nor messages to send."""
    reports = [{**report, "id": f"r{n}"} for n, report in enumerate(old["reports"], start=1)]
    new: dict[str, Any] = {name: [] for name in _NEW_IN_2}
    return {**old, **new, "quiet": {"first": 21, "last": 8}, "due": None, "reports": reports}


_STEPS: tuple[Callable[[dict[str, Any]], dict[str, Any]], ...] = (_from_1,)
