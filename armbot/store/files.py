"""Files that are replaced whole or not at all, and the lock on their folder.

Write beside, flush to disk, rename over, flush the folder: a crash at any point
leaves the old file or the new one under the name, never a mix. Folders and files
are for their owner alone.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

FOLDER_MODE = 0o700
FILE_MODE = 0o600
TEMPORARY = ".tmp"
"""Ending of a file that is still being written."""

SET_ASIDE = ".damaged"
"""Ending of a file that could not be read and was moved out of the way."""


def make_folder(folder: Path) -> None:
    """Create one folder for the owner alone, its name safe on disk; fine if it exists.

    The folder above must exist. Raises OSError.
    """
    try:
        folder.mkdir(FOLDER_MODE)
    except FileExistsError:
        if not folder.is_dir():
            raise
        return
    sync_folder(folder.parent)


def replace(path: Path, content: bytes) -> None:
    """Make ``content`` the file at ``path``, durably; raises OSError, the old file intact."""
    beside = path.with_name(path.name + TEMPORARY)
    try:
        _write(beside, content)
        beside.replace(path)
    except BaseException:
        # The old file still stands; a half-written neighbour is of no use to anybody.
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


def _write(path: Path, content: bytes) -> None:
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_NOFOLLOW, FILE_MODE)
    with os.fdopen(descriptor, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def mark(path: Path) -> tuple[int, int, int] | None:
    """What changes whenever the file does: its number, size and time; None without a file."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns


def remove(folder: Path, names: list[str]) -> None:
    """Remove files of one folder, durably; those already gone are skipped."""
    for name in names:
        (folder / name).unlink(missing_ok=True)
    if names:
        sync_folder(folder)


def set_aside(path: Path) -> Path:
    """Move a damaged file out of the way, keeping earlier ones, and return its new path."""
    number = 1
    while (target := _aside_name(path, number)).exists():
        number += 1
    path.rename(target)
    sync_folder(path.parent)
    return target


def last_set_aside(path: Path) -> Path | None:
    """What was last set aside of ``path``; None when nothing is there."""
    number = 0
    while _aside_name(path, number + 1).exists():
        number += 1
    return _aside_name(path, number) if number else None


def _aside_name(path: Path, number: int) -> Path:
    count = "" if number == 1 else f".{number}"
    return path.with_name(f"{path.name}{count}{SET_ASIDE}")


def sync_folder(folder: Path) -> None:
    """Flush a folder's list of names to disk."""
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def lock_folder(folder: Path) -> int | None:
    """Take the folder for this process; the descriptor to close later, None if it is taken.

    The system frees the lock when the process ends, however it ends.
    """
    descriptor = os.open(folder / ".lock", os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, FILE_MODE)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(descriptor)
        return None
    return descriptor
