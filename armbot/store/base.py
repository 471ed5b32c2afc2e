"""The contract every store of family records honours.

One family is one document. One message changes one family in one ``commit``, so
a reader sees all of a change or nothing of it. The shared suite in
tests/store/contract.py checks an implementation against what is written here.
"""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from datetime import datetime
    from pathlib import Path
    from types import TracebackType
    from typing import Self

    from armbot.store.jsonable import JSON

NEW = 0
"""The version to expect of a family that must not exist yet."""

_FAMILY_ID = re.compile(r"[a-z0-9-]{1,64}")


class StoreError(Exception):
    """Anything a store reports of its own; disk errors stay OSError."""


class VersionClash(StoreError):  # noqa: N818  # says what happened
    """Somebody else changed the family meanwhile: load, decide again, commit again."""

    def __init__(self, family_id: str, expected: int, found: int) -> None:
        self.family_id = family_id
        self.expected = expected
        self.found = found
        super().__init__(f"family {family_id}: version {expected} was expected, {found} is stored")


class StoreBusy(StoreError):  # noqa: N818
    """A second process asked for a data folder that is in use."""


class StoreClosed(StoreError):  # noqa: N818
    """The store was used after ``close``."""


class StoreDamaged(StoreError):  # noqa: N818
    """A family's record cannot be read; ``path`` is where the evidence now lies.

    It is raised on every use of that family until the record is restored or the
    family is erased: a lost record may hold a stop for a hurt arm, so it must
    never look like a family that is new.
    """

    def __init__(self, family_id: str, path: Path, problem: str) -> None:
        self.family_id = family_id
        self.path = path
        super().__init__(
            f"the record of family {family_id} is damaged ({problem}); it was set aside as "
            f"{path}: put a good copy back under the old name, or erase the family"
        )


@dataclass(frozen=True, slots=True)
class Stored:
    """A document as it was read, and the version to name when changing it.

    The document belongs to the caller: changing it changes nothing stored.
    """

    document: dict[str, JSON]
    version: int


@dataclass(frozen=True, slots=True)
class Columns:
    """What a family is found by besides its id; kept with the record, in the same commit.

    ``chats`` are the chats of its members, ``codes`` the digests of open one-time codes,
    ``due`` when something has to be looked at next (aware), ``waiting`` whether messages
    lie ready to be sent.
    """

    chats: tuple[int, ...] = ()
    codes: tuple[str, ...] = ()
    due: datetime | None = None
    waiting: bool = False


NO_COLUMNS = Columns()


def check_family_id(family_id: str) -> str:
    """The id itself; raises ValueError unless it is 1 to 64 of a-z, 0-9 and hyphen."""
    if not _FAMILY_ID.fullmatch(family_id):
        raise ValueError("a family id is 1 to 64 characters of a-z, 0-9 and hyphen")
    return family_id


def is_family_id(text: str) -> bool:
    """Whether the text could be a family's id."""
    return bool(_FAMILY_ID.fullmatch(text))


class Store(ABC):
    """Where family records live. Usable as a context manager that closes at the end.

    An implementer must honour, beyond each method's own text:

    * ids are opaque and checked with ``check_family_id`` (ValueError);
    * documents are checked and copied with ``jsonable.json_copy``, so nothing given
      or returned aliases what is stored;
    * a returned ``commit`` or ``erase`` is on disk, and survives a crash of the process;
    * calls may come from several threads;
    * a disk error is raised as OSError and leaves the old record as it was;
    * after ``close`` every other method raises StoreClosed.
    """

    @abstractmethod
    def load(self, family_id: str) -> Stored | None:
        """The family's record, or None when there is none.

        Raises StoreDamaged when there is one that cannot be read.
        """

    @abstractmethod
    def commit(
        self,
        family_id: str,
        document: Mapping[str, JSON],
        expected_version: int,
        columns: Columns = NO_COLUMNS,
    ) -> int:
        """Replace the whole record with its columns and return its new version.

        ``expected_version`` is the version the caller loaded, or ``NEW`` (0) when
        the family must not exist yet. Versions count up by one from 1.
        Raises VersionClash when another version is stored (of two callers with
        the same expectation exactly one succeeds), NotJSONError for a document that
        could not be given back unchanged, and StoreDamaged as ``load`` does.
        """

    @abstractmethod
    def erase(self, family_id: str) -> None:
        """Remove the family and all that was kept of it, damaged copies included.

        Erasing a family that is not there is no error. A change loaded before the
        erasure then clashes, so it cannot bring the record back.
        """

    @abstractmethod
    def families(self) -> Iterator[str]:
        """The ids of all families with a record, each once, in no promised order.

        Damaged ones are left out. A family created or erased meanwhile may or may
        not appear.
        """

    @abstractmethod
    def family_of_chat(self, chat: int) -> str | None:
        """The family whose columns hold that chat, None where there is none."""

    @abstractmethod
    def family_of_code(self, digest: str) -> str | None:
        """The family whose columns hold that code, None where there is none."""

    @abstractmethod
    def due(self, now: datetime, most: int) -> list[str]:
        """At most ``most`` families due by ``now``, the longest overdue first."""

    @abstractmethod
    def waiting(self) -> list[str]:
        """Families with messages to send, those that wait longest first."""

    @abstractmethod
    def unreadable(self) -> list[str]:
        """Families whose record could not be read when the store was opened.

        Neither chat nor code leads to them: whoever they are must not pass for new.
        """

    @abstractmethod
    def close(self) -> None:
        """Give back what is held (locks, connections). Closing twice is no error."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
