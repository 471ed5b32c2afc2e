"""A process of its own for the store's tests: ``python writer.py <task> <folder>``.

Tasks end by being killed, or by printing what happened.
"""

from __future__ import annotations

import os
import resource
import signal
import sys
from pathlib import Path

from armbot.store.base import NEW, StoreBusy
from armbot.store.tiny import TinyStore


def forever(folder: Path) -> None:
    """Commit growing and shrinking records without pause until killed.

    Each record says its number in every place, so a mix of two would show.
    """
    store = TinyStore(folder)
    stored = store.load("f-1")
    version = stored.version if stored else NEW
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    while True:
        number = version + 1
        version = store.commit("f-1", {"numbers": [number] * (1 + number % 7 * 300)}, version)


def disk_full(folder: Path) -> None:
    """Commit a record larger than a file may grow; print the error's kind."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))
    with TinyStore(folder) as store:
        try:
            store.commit("f-1", {"text": "x" * 5000}, 1)
        except OSError as error:
            sys.stdout.write(f"{type(error).__name__} {error.errno}\n")


def read_only(folder: Path) -> None:
    """Take the right to write from every folder; print whether reading still works.

    Root may write anywhere, so as root this becomes the folder's owner first.
    """
    if os.geteuid() == 0:
        os.setuid(folder.parent.stat().st_uid)
    with TinyStore(folder) as store:
        store.commit("f-1", {"n": 1}, NEW)
        for shard in folder.iterdir():
            if shard.is_dir():
                shard.chmod(0o500)
        try:
            store.commit("f-1", {"n": 2}, 1)
        except PermissionError:
            stored = store.load("f-1")
            sys.stdout.write(f"refused, kept {stored.document if stored else None}\n")


def second(folder: Path) -> None:
    """Open a folder that is in use; print the refusal."""
    try:
        TinyStore(folder)
    except StoreBusy as refusal:
        sys.stdout.write(str(refusal))


if __name__ == "__main__":
    tasks = {task.__name__: task for task in (forever, disk_full, read_only, second)}
    tasks[sys.argv[1]](Path(sys.argv[2]))
