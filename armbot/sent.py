"""Which messages are done with, until their record is written anew: one line each, appended.

Taking a message out of its record costs as much as a commit. So what was sent is noted here,
by one short write, and leaves the record with the family's next change. A line survives a
crash of the program; a loss of power may lose the last ones, and then a reply is said twice
(one that may not be is claimed in its record before it is sent, see outbox.py).
"""

from __future__ import annotations

import os
import threading
from collections import defaultdict
from typing import TYPE_CHECKING

from armbot.store import files

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

_NAME = "sent.log"
_FLAGS = os.O_WRONLY | os.O_CREAT | os.O_APPEND
_NOTHING: frozenset[str] = frozenset()


class Sent:
    """Keys of messages that are done with, by family. Calls may come from several threads.

    Raises OSError where the file cannot be read or written.
    """

    def __init__(self, folder: Path) -> None:
        self._path = folder / _NAME
        self._lock = threading.Lock()
        self._keys: defaultdict[str, set[str]] = defaultdict(set)
        self._lines = 0
        self._read()
        self._file = os.open(self._path, _FLAGS, files.FILE_MODE)

    def _read(self) -> None:
        """What an earlier run noted; a last line that was torn is none."""
        if not self._path.exists():
            return
        *lines, _torn = self._path.read_text("utf-8", "replace").split("\n")
        for line in lines:
            family, tab, key = line.partition("\t")
            if tab:
                self._keys[family].add(key)
                self._lines += 1
        if _torn:
            self._rewrite()

    def note(self, family: str, keys: Iterable[str]) -> None:
        """These messages are done with."""
        wanted = list(keys)
        text = "".join(f"{family}\t{key}\n" for key in wanted)
        with self._lock:
            os.write(self._file, text.encode())
            self._keys[family].update(wanted)
            self._lines += len(wanted)

    def of(self, family: str) -> frozenset[str]:
        """What of a family is done with and may still lie in its record."""
        with self._lock:
            return frozenset(self._keys[family]) if family in self._keys else _NOTHING

    def holds(self, family: str, key: str) -> bool:
        """Whether that message is done with."""
        return key in self._keys.get(family, _NOTHING)

    def families(self) -> list[str]:
        """Families of which something is noted, those first that were first noted."""
        with self._lock:
            return list(self._keys)

    def forget(self, family: str, keys: frozenset[str]) -> None:
        """These are out of the record by now, on disk."""
        with self._lock:
            left = self._keys.get(family, set()) - keys
            if left:
                self._keys[family] = left
            else:
                self._keys.pop(family, None)

    def erase(self, family: str) -> None:
        """The family is gone, and so is every line about it."""
        with self._lock:
            self._keys.pop(family, None)
            self._rewrite()
            os.close(self._file)
            self._file = os.open(self._path, _FLAGS, files.FILE_MODE)

    @property
    def idle_lines(self) -> int:
        """Lines in the file that say nothing any more."""
        return self._lines - sum(map(len, self._keys.values()))

    def tidy(self) -> None:
        """Write the file anew, without the lines that say nothing any more."""
        with self._lock:
            self._rewrite()
            os.close(self._file)
            self._file = os.open(self._path, _FLAGS, files.FILE_MODE)

    def _rewrite(self) -> None:
        lines = [f"{family}\t{key}\n" for family, keys in self._keys.items() for key in keys]
        files.replace(self._path, "".join(lines).encode())
        self._lines = len(lines)

    def close(self) -> None:
        """Close the file."""
        os.close(self._file)
