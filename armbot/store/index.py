"""What families are found by, in memory: by chat, by code, by what is due, by what waits.

Rebuilt from the records when a store opens; a change is entered after its commit.
"""

from __future__ import annotations

import heapq
import threading
from typing import TYPE_CHECKING

from armbot.store.base import Columns

if TYPE_CHECKING:
    from datetime import datetime

_NONE = Columns()


class Index:
    """Columns by family, and the ways back from a column to its family.

    Every call costs the same with ten families or fifty thousand, up to the logarithm of
    the heap of due times. Calls may come from several threads.
    """

    def __init__(self) -> None:
        self._columns: dict[str, Columns] = {}
        self._by_chat: dict[int, str] = {}
        self._by_code: dict[str, str] = {}
        self._waiting: dict[str, None] = {}
        self._due: list[tuple[datetime, str]] = []
        """A heap with entries that may be out of date: the columns decide."""
        self._lock = threading.Lock()

    def enter(self, family_id: str, columns: Columns) -> None:
        """A family's columns after a commit; empty ones after it was erased."""
        with self._lock:
            before = self._columns.pop(family_id, _NONE)
            self._remove(before, family_id)
            if columns == _NONE:
                return
            self._columns[family_id] = columns
            self._by_chat.update(dict.fromkeys(columns.chats, family_id))
            self._by_code.update(dict.fromkeys(columns.codes, family_id))
            if columns.waiting:
                self._waiting[family_id] = None
            if columns.due is not None and columns.due != before.due:
                heapq.heappush(self._due, (columns.due, family_id))

    def _remove(self, columns: Columns, family_id: str) -> None:
        for chat in columns.chats:
            if self._by_chat.get(chat) == family_id:
                del self._by_chat[chat]
        for code in columns.codes:
            if self._by_code.get(code) == family_id:
                del self._by_code[code]
        self._waiting.pop(family_id, None)

    def of_chat(self, chat: int) -> str | None:
        """The family a chat belongs to."""
        with self._lock:
            return self._by_chat.get(chat)

    def of_code(self, digest: str) -> str | None:
        """The family that a code of that digest opens."""
        with self._lock:
            return self._by_code.get(digest)

    def waiting(self) -> list[str]:
        """Families with messages to send, in the order in which they began to wait."""
        with self._lock:
            return list(self._waiting)

    def due(self, now: datetime, most: int) -> list[str]:
        """At most ``most`` families due by ``now``, the longest overdue first."""
        found: dict[str, datetime] = {}
        with self._lock:
            while self._due and self._due[0][0] <= now and len(found) < most:
                when, family_id = heapq.heappop(self._due)
                if self._columns.get(family_id, _NONE).due == when:
                    found[family_id] = when
            # They stay due until a commit says otherwise.
            for family_id, when in found.items():
                heapq.heappush(self._due, (when, family_id))
        return list(found)
