"""The embedded store: TinyDB, one small file per family.

A commit touches one file, so it costs the same with ten families or fifty
thousand. The folder: ``<data>/<two hex digits>/<family id>.json``, the digits taken
from a hash of the id. TinyDB is imported here and nowhere else.
"""

from __future__ import annotations

import hashlib
import json
import os
import threading
from contextlib import ExitStack, contextmanager
from datetime import datetime
from typing import TYPE_CHECKING, Any

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Document

from armbot.store import files
from armbot.store.base import (
    NEW,
    NO_COLUMNS,
    Columns,
    Store,
    StoreBusy,
    StoreClosed,
    Stored,
    StoreDamaged,
    VersionClash,
    check_family_id,
)
from armbot.store.index import Index
from armbot.store.jsonable import NotJSONError, json_copy

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from armbot.store.jsonable import JSON

_ENDING = ".json"
_TABLE = "record"
_ONLY = 1
"""TinyDB numbers documents; a family's file holds exactly this one."""


class AtomicFile(Storage):
    """TinyDB's storage, so that a file is replaced whole or not at all.

    The stock storage rewrites the file in place: a crash half-way loses both the
    old record and the new one. Encryption at rest has its place in ``_to_bytes`` and
    ``_from_bytes``, the only two that see what lies on disk.
    """

    def __init__(self, path: Path) -> None:
        self._path = path

    def read(self) -> dict[str, dict[str, Any]] | None:
        """The tables of the file; None when there is no file; ValueError when unreadable."""
        try:
            content = self._path.read_bytes()
        except FileNotFoundError:
            return None
        return self._from_bytes(content)

    def write(self, data: dict[str, dict[str, Any]]) -> None:
        """Replace the file. Raises OSError, the old file intact."""
        files.make_folder(self._path.parent)
        files.replace(self._path, self._to_bytes(data))

    def _to_bytes(self, data: dict[str, dict[str, Any]]) -> bytes:
        return json.dumps(data, ensure_ascii=False, allow_nan=False).encode("utf-8")

    def _from_bytes(self, content: bytes) -> dict[str, dict[str, Any]]:
        try:
            data = json.loads(content.decode("utf-8"))
        except RecursionError:
            raise ValueError("nested too deeply") from None
        if not isinstance(data, dict) or not isinstance(data.get(_TABLE), dict):
            raise ValueError("not a record of this store")  # noqa: TRY004  # about content
        return data


class NewFile(AtomicFile):
    """An AtomicFile written without a look at what it replaces: the record is one document."""

    def read(self) -> None:
        """Nothing, whatever the file holds."""


class TinyStore(Store):
    """Family records in a folder that one process at a time may use.

    Opening creates the folder (owner only), takes its lock (StoreBusy names the
    folder) and removes what a crash left half-written. Calls may come from several
    threads; those on one family wait for each other.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder.absolute()
        self._folder.parent.mkdir(parents=True, exist_ok=True)
        files.make_folder(self._folder)
        self._folder.chmod(files.FOLDER_MODE)  # one made by hand may be open to others
        self._lock = files.lock_folder(self._folder)
        if self._lock is None:
            raise StoreBusy(
                f"another process is using the data folder {self._folder}: "
                "stop it first, or give this one its own folder"
            )
        self._by_shard = {f"{shard:02x}": threading.RLock() for shard in range(256)}
        self._remove_leftovers()
        self._versions: dict[str, tuple[int, tuple[int, int, int] | None]] = {}
        self._index = Index()
        self._unreadable: list[str] = []
        self._fill_index()

    def load(self, family_id: str) -> Stored | None:
        """See Store."""
        with self._held(family_id) as path:
            mark = files.mark(path)
            record = self._record(family_id, path)
            if record is None:
                return None
            self._versions[family_id] = (record["version"], mark)
            try:
                return Stored(json_copy(record["document"]), record["version"])
            except NotJSONError as error:
                raise StoreDamaged(family_id, files.set_aside(path), str(error)) from None

    def commit(
        self,
        family_id: str,
        document: Mapping[str, JSON],
        expected_version: int,
        columns: Columns = NO_COLUMNS,
    ) -> int:
        """See Store."""
        kept = json_copy(document)
        with self._held(family_id) as path:
            version = self._version(family_id, path)
            if version != expected_version:
                raise VersionClash(family_id, expected_version, version)
            record = {
                "family": family_id,
                "version": version + 1,
                "columns": _written(columns),
                "document": kept,
            }
            table = TinyDB(path, storage=NewFile).table(_TABLE)
            table.insert(Document(record, doc_id=_ONLY))
            self._versions[family_id] = (version + 1, files.mark(path))
            self._index.enter(family_id, columns)
            return version + 1

    def erase(self, family_id: str) -> None:
        """See Store."""
        with self._held(family_id) as path:
            # The record, a half-written one, and whatever was set aside of it.
            names = [name for name in self._names(path.parent.name) if name.startswith(path.name)]
            files.remove(path.parent, names)
            self._versions.pop(family_id, None)
            self._index.enter(family_id, NO_COLUMNS)

    def family_of_chat(self, chat: int) -> str | None:
        """See Store."""
        self._check_open()
        return self._index.of_chat(chat)

    def family_of_code(self, digest: str) -> str | None:
        """See Store."""
        self._check_open()
        return self._index.of_code(digest)

    def due(self, now: datetime, most: int) -> list[str]:
        """See Store."""
        self._check_open()
        return self._index.due(now, most)

    def waiting(self) -> list[str]:
        """See Store."""
        self._check_open()
        return self._index.waiting()

    def families(self) -> Iterator[str]:
        """See Store. Foreign files, and files in a wrong folder, are passed over."""
        self._check_open()
        return self._families()

    def _families(self) -> Iterator[str]:
        for shard in self._by_shard:
            for name in self._names(shard):
                family_id = name.removesuffix(_ENDING)
                if name.endswith(_ENDING) and _is_home(family_id, shard):
                    yield family_id

    def damaged(self) -> list[Path]:
        """Every file that was set aside, for whoever looks after the installation."""
        self._check_open()
        return [
            self._folder / shard / name
            for shard in self._by_shard
            for name in self._names(shard)
            if name.endswith(files.SET_ASIDE)
        ]

    def close(self) -> None:
        """See Store."""
        with ExitStack() as stack:
            # Only when no commit is under way may another process have the folder.
            for lock in self._by_shard.values():
                stack.enter_context(lock)
            if self._lock is not None:
                os.close(self._lock)
                self._lock = None

    def _version(self, family_id: str, path: Path) -> int:
        """The version on disk; a file that is not as this process left it is read again."""
        version, mark = self._versions.get(family_id, (NEW, None))
        if mark is None or files.mark(path) != mark:
            record = self._record(family_id, path)
            version = record["version"] if record else NEW
            self._versions[family_id] = (version, files.mark(path))
        return version

    def _record(self, family_id: str, path: Path) -> Mapping[str, Any] | None:
        """The record as it lies on disk, its shape checked, not to be given out uncopied."""
        try:
            found = TinyDB(path, storage=AtomicFile).table(_TABLE).get(doc_id=_ONLY)
            if found is not None:
                return _checked(family_id, found)
            problem = "it holds no record" if path.exists() else ""
        except (ValueError, TypeError, AttributeError) as error:
            # TinyDB's own readers stumble over wrong shapes with the last two.
            problem = str(error)
        if problem:
            raise StoreDamaged(family_id, files.set_aside(path), problem)
        earlier = files.last_set_aside(path)
        if earlier:
            raise StoreDamaged(family_id, earlier, "found so before")
        return None

    @contextmanager
    def _held(self, family_id: str) -> Iterator[Path]:
        """The path of a family's file, which nobody else touches meanwhile."""
        shard = _shard(check_family_id(family_id))
        with self._by_shard[shard]:
            self._check_open()
            yield self._folder / shard / (family_id + _ENDING)

    def _names(self, shard: str) -> list[str]:
        try:
            return sorted(os.listdir(self._folder / shard))  # noqa: PTH208  # names only, quick
        except FileNotFoundError:
            return []

    def _remove_leftovers(self) -> None:
        for shard in self._by_shard:
            leftover = _ENDING + files.TEMPORARY
            names = [name for name in self._names(shard) if name.endswith(leftover)]
            files.remove(self._folder / shard, names)

    def _fill_index(self) -> None:
        """Read every record's columns, and take note of those that cannot be read."""
        for family_id in self._families():
            path = self._folder / _shard(family_id) / (family_id + _ENDING)
            try:
                record = (AtomicFile(path).read() or {})[_TABLE][str(_ONLY)]
                if "columns" in record:  # not in records of the first version
                    self._index.enter(family_id, _columns(record["columns"]))
            except (ValueError, TypeError, AttributeError, KeyError):
                self._unreadable.append(family_id)

    def unreadable(self) -> list[str]:
        """See Store; those set aside earlier among them."""
        aside = {path.name.partition(_ENDING)[0] for path in self.damaged()}
        return sorted({*self._unreadable, *aside})

    def _check_open(self) -> None:
        if self._lock is None:
            raise StoreClosed(f"the store in {self._folder} is closed")


def _checked(family_id: str, record: Mapping[str, Any]) -> Mapping[str, Any]:
    """The record itself; raises ValueError where its shape is wrong."""
    version, document = record.get("version"), record.get("document")
    if type(version) is not int or version <= NEW or type(document) is not dict:
        raise ValueError("its shape is not that of a record")
    if record.get("family") != family_id:
        raise ValueError("it belongs to another family")
    return record


def _written(columns: Columns) -> dict[str, Any]:
    return {
        "chats": list(columns.chats),
        "codes": list(columns.codes),
        "due": columns.due.isoformat() if columns.due else None,
        "waiting": columns.waiting,
    }


def _columns(written: Mapping[str, Any]) -> Columns:
    due = written["due"]
    return Columns(
        tuple(written["chats"]),
        tuple(written["codes"]),
        datetime.fromisoformat(due) if due else None,
        written["waiting"],
    )


def _shard(family_id: str) -> str:
    return hashlib.blake2s(family_id.encode("ascii"), digest_size=1).hexdigest()


def _is_home(family_id: str, shard: str) -> bool:
    try:
        return _shard(check_family_id(family_id)) == shard
    except ValueError:
        return False
