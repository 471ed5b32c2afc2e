"""Small files beside the records: the key, the health of the server, what was set aside."""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from armbot.store import files

_KEY, _HEALTH, _ABOUT, _ASIDE = ".key", "health.json", "about.json", "set-aside"
_KEY_BYTES = 32


class KeyUnreadable(Exception):  # noqa: N818 - says what happened
    """The key's file is not one: buttons and invitations would all be refused."""


def key_of(folder: Path) -> bytes:
    """The secret of this installation, made at the first use; 32 bytes, for its owner alone.

    Raises OSError, and KeyUnreadable where the file holds something else.
    """
    path = folder / _KEY
    folder.parent.mkdir(parents=True, exist_ok=True)
    files.make_folder(folder)
    if not path.exists():
        files.replace(path, secrets.token_bytes(_KEY_BYTES))
    key = path.read_bytes()
    if len(key) != _KEY_BYTES:
        raise KeyUnreadable(f"{path} is not a key: put the right one back, or remove it")
    return key


def write_about(folder: Path, name: str) -> None:
    """Keep the bot's name, from which invitations make their link."""
    files.replace(folder / _ABOUT, json.dumps({"name": name}).encode())


def name_of(folder: Path) -> str:
    """The bot's name as it was when the server last started; "" where it never did."""
    try:
        found = json.loads((folder / _ABOUT).read_text("utf-8"))
        return str(found["name"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""


@dataclass(frozen=True, slots=True)
class Health:
    """When Telegram last answered, and how much waits."""

    polled: datetime
    waiting: int
    set_aside: int


def write_health(folder: Path, health: Health) -> None:
    """Tell whoever watches; raises OSError."""
    told = {
        "polled": health.polled.isoformat(),
        "waiting": health.waiting,
        "set_aside": health.set_aside,
    }
    files.replace(folder / _HEALTH, json.dumps(told).encode())


def read_health(folder: Path) -> Health | None:
    """What was last told; None where nothing readable was."""
    try:
        told = json.loads((folder / _HEALTH).read_text("utf-8"))
        polled = datetime.fromisoformat(told["polled"])
        return Health(polled, int(told["waiting"]), int(told["set_aside"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def set_aside(folder: Path, update_id: int, raw: Mapping[str, Any], reason: str) -> None:
    """Keep an update that could not be handled, for its owner to look at; raises OSError.

    The file holds what a family wrote: it goes when the family is erased.
    """
    aside = folder / _ASIDE
    files.make_folder(aside)
    now = datetime.now(tz=UTC)
    told = {"reason": reason, "at": now.isoformat(), "update": raw}
    text = json.dumps(told, ensure_ascii=True, default=str)
    files.replace(aside / f"{update_id}.json", text.encode())


def count_set_aside(folder: Path) -> int:
    """How many updates lie set aside."""
    return sum(1 for _ in (folder / _ASIDE).glob("*.json"))


def forget_chats(folder: Path, chats: frozenset[int]) -> None:
    """Remove what was set aside of these chats."""
    aside = folder / _ASIDE
    gone = [path.name for path in aside.glob("*.json") if _chats_in(path) & chats]
    if gone:
        files.remove(aside, gone)


def _chats_in(path: Path) -> frozenset[int]:
    """Every number under a key "id" in the file: chats and users alike."""
    try:
        return frozenset(_ids(json.loads(path.read_text("utf-8"))))
    except (OSError, ValueError):
        return frozenset()


def _ids(value: object) -> list[int]:
    if isinstance(value, dict):
        own = value.get("id")
        found = [own] if isinstance(own, int) else []
        return found + [n for inner in value.values() for n in _ids(inner)]
    if isinstance(value, list):
        return [n for inner in value for n in _ids(inner)]
    return []
