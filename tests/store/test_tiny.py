"""The embedded store: the shared contract, and what only files on a disk can suffer."""

from __future__ import annotations

import errno
import json
import os
import random
import shutil
import stat
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from contract import NOON, SMALL, StoreContract

import armbot
from armbot.store.base import NEW, Columns, Store, StoreBusy, Stored
from armbot.store.tiny import TinyStore

if TYPE_CHECKING:
    from collections.abc import Iterator

WRITER = Path(__file__).with_name("writer.py")
NOBODY = 65534
KILLS = 15


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A data folder that does not exist yet."""
    return tmp_path / "data"


def file_of(folder: Path, family_id: str) -> Path:
    """The one file of a family, found by its name."""
    (path,) = folder.glob(f"??/{family_id}.json")
    return path


def run(task: str, folder: Path) -> str:
    """What a task of writer.py printed."""
    done = subprocess.run(
        [sys.executable, "-B", str(WRITER), task, str(folder)],
        check=True,
        capture_output=True,
        text=True,
        timeout=20,
        env=environment(),
    )
    return done.stdout


def environment() -> dict[str, str]:
    """The surroundings of a child process, so that it finds this package."""
    return {**os.environ, "PYTHONPATH": str(Path(armbot.__file__).parents[1])}


class TestTinyContract(StoreContract):
    """TinyStore honours the shared contract."""

    @pytest.fixture
    def store(self, folder: Path) -> Iterator[Store]:
        """An empty open store."""
        with TinyStore(folder) as store:
            yield store


class TestCrashes:
    """A process may die, and a disk may fill, at any moment."""

    def test_a_killed_writer_leaves_the_old_record_or_the_new_one(self, folder: Path) -> None:
        """After each kill -9 the record is readable, whole, and no older than before."""
        chance = random.Random(20)  # noqa: S311  # moments to kill at
        seen = NEW
        for _ in range(KILLS):
            with subprocess.Popen(
                [sys.executable, str(WRITER), "forever", str(folder)],
                stdout=subprocess.PIPE,
                env=environment(),
            ) as writer:
                assert writer.stdout is not None
                assert writer.stdout.readline() == b"ready\n"
                with pytest.raises(subprocess.TimeoutExpired):
                    writer.wait(chance.uniform(0.005, 0.12))
                writer.kill()
            with TinyStore(folder) as store:
                assert store.damaged() == []
                stored = store.load("f-1")
            assert stored is not None
            number = stored.version
            assert stored.document == {"numbers": [number] * (1 + number % 7 * 300)}
            assert number >= seen
            seen = number
        assert seen > KILLS  # the writer did write between the kills

    def test_a_full_disk_keeps_the_old_record(self, folder: Path) -> None:
        """When the disk refuses the new file, the error is raised and the old record stands."""
        with TinyStore(folder) as store:
            store.commit("f-1", SMALL, NEW)
        assert run("disk_full", folder) == f"OSError {errno.EFBIG}\n"
        assert list(folder.glob("??/*.tmp")) == []
        with TinyStore(folder) as store:
            stored = store.load("f-1")
        assert stored is not None
        assert (stored.document, stored.version) == (SMALL, 1)

    def test_a_read_only_folder_is_an_error_and_still_readable(self) -> None:
        """Where nothing may be written, a commit raises and the record can be read."""
        # The child gives up root, and pytest's own tmp_path would then be closed to it.
        place = Path(tempfile.mkdtemp())
        try:
            if os.geteuid() == 0:
                os.chown(place, NOBODY, -1)
            assert run("read_only", place / "data") == "refused, kept {'n': 1}\n"
        finally:
            for shard in place.glob("data/??"):
                shard.chmod(0o700)
            shutil.rmtree(place)

    def test_a_blocked_path_is_an_error_and_keeps_the_old_record(self, folder: Path) -> None:
        """Where something else stands in the way, the commit raises and the record stands."""
        with TinyStore(folder) as store:
            store.commit("f-1", SMALL, NEW)
            path = file_of(folder, "f-1")
            path.with_name(path.name + ".tmp").mkdir()
            with pytest.raises(IsADirectoryError):
                store.commit("f-1", {}, 1)
            assert store.load("f-1") == Stored(SMALL, 1)
            path.unlink()
            shutil.rmtree(path.parent)
            path.parent.write_text("a file where a folder should be")
            with pytest.raises(OSError, match=path.parent.name):
                store.commit("f-1", {}, NEW)

    def test_bytes_are_flushed_before_the_name_and_the_name_after(
        self, folder: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A commit flushes the new file, then renames it, then flushes the folder."""
        steps: list[str] = []
        fsync, replace = os.fsync, os.replace

        def noted_fsync(descriptor: int) -> None:
            steps.append(f"flush {Path(f'/proc/self/fd/{descriptor}').readlink().name}")
            fsync(descriptor)

        def noted_replace(source: Path, target: Path) -> None:
            steps.append(f"rename {source.name} {target.name}")
            replace(source, target)

        with TinyStore(folder) as store:
            store.commit("f-1", SMALL, NEW)
            monkeypatch.setattr(os, "fsync", noted_fsync)
            monkeypatch.setattr(os, "replace", noted_replace)
            store.commit("f-1", SMALL, 1)
        shard = file_of(folder, "f-1").parent.name
        assert steps == [
            "flush f-1.json.tmp",
            "rename f-1.json.tmp f-1.json",
            f"flush {shard}",
        ]

    def test_what_a_crash_left_half_written_is_removed_at_open(self, folder: Path) -> None:
        """A leftover temporary file goes at the next start; the record beside it stays."""
        with TinyStore(folder) as store:
            store.commit("f-1", SMALL, NEW)
        path = file_of(folder, "f-1")
        leftover = path.with_name(path.name + ".tmp")
        leftover.write_text('{"record": {"1"')
        with TinyStore(folder) as store:
            assert not leftover.exists()
            assert store.load("f-1") is not None


class TestOneProcess:
    """The folder belongs to one store at a time."""

    def test_a_second_process_is_refused_by_name_of_the_folder(self, folder: Path) -> None:
        """While one process holds the folder another is told which folder is in use."""
        with TinyStore(folder):
            assert str(folder) in run("second", folder)
        assert run("second", folder) == ""

    def test_a_second_store_in_the_same_process_is_refused(self, folder: Path) -> None:
        """The same process cannot open the folder twice either."""
        with TinyStore(folder), pytest.raises(StoreBusy, match=str(folder)):
            TinyStore(folder)


class TestOnDisk:
    """What lies in the folder."""

    def test_folders_and_files_are_for_the_owner_alone(self, folder: Path) -> None:
        """Every folder is 0700 and every file 0600, under a lax umask and in a lax folder."""
        folder.mkdir(mode=0o755)
        before = os.umask(0)
        try:
            with TinyStore(folder) as store:
                store.commit("f-1", SMALL, NEW)
                store.commit("f-1", SMALL, 1)
        finally:
            os.umask(before)
        modes = {path: stat.S_IMODE(path.stat().st_mode) for path in [folder, *folder.rglob("*")]}
        assert len(modes) == 4  # the folder, its lock, one inner folder, one file
        for path, mode in modes.items():
            assert mode == (0o700 if path.is_dir() else 0o600), path

    def test_a_commit_touches_one_file(self, folder: Path) -> None:
        """A commit leaves every other family's file untouched, so its cost is its own."""
        with TinyStore(folder) as store:
            for number in range(30):
                store.commit(f"f-{number}", {"n": number}, NEW)
            before = {path: path.stat() for path in folder.glob("??/*.json")}
            store.commit("f-7", {"n": 70}, 1)
            changed = {
                path.name
                for path, old in before.items()
                if (path.stat().st_ino, path.stat().st_mtime_ns) != (old.st_ino, old.st_mtime_ns)
            }
        assert changed == {"f-7.json"}

    def test_erasing_leaves_nothing_of_the_words(self, folder: Path) -> None:
        """After erasing no file in the folder holds the family's text."""
        with TinyStore(folder) as store:
            store.commit("f-1", {"nickname": "Lucero"}, NEW)
            store.commit("f-1", {"nickname": "Lucero", "more": 1}, 1)
            store.erase("f-1")
            files = [path for path in folder.rglob("*") if path.is_file()]
            assert [path.name for path in files] == [".lock"]

    def test_the_file_is_plain_json_one_can_read(self, folder: Path) -> None:
        """The record lies as UTF-8 JSON with its id and version, for repair by hand."""
        with TinyStore(folder) as store:
            store.commit("f-1", {"nickname": "Ñandú"}, NEW)
        text = file_of(folder, "f-1").read_text(encoding="utf-8")
        assert "Ñandú" in text
        columns: dict[str, object] = {"chats": [], "codes": [], "due": None, "waiting": False}
        assert json.loads(text) == {
            "record": {
                "1": {
                    "family": "f-1",
                    "version": 1,
                    "columns": columns,
                    "document": {"nickname": "Ñandú"},
                }
            }
        }

    def test_what_families_are_found_by_survives_a_restart(self, folder: Path) -> None:
        """The index is made again from the records."""
        with TinyStore(folder) as store:
            store.commit("f-1", {}, NEW, Columns((7,), ("d",), NOON, waiting=True))
        with TinyStore(folder) as store:
            assert store.family_of_chat(7) == store.family_of_code("d") == "f-1"
            assert store.due(NOON, 9) == store.waiting() == ["f-1"]

    def test_a_record_without_columns_is_still_read(self, folder: Path) -> None:
        """As written before there were any."""
        with TinyStore(folder) as store:
            store.commit("f-1", {"a": 1}, NEW, Columns((7,)))
        path = file_of(folder, "f-1")
        tables = json.loads(path.read_text("utf-8"))
        del tables["record"]["1"]["columns"]
        path.write_text(json.dumps(tables), "utf-8")
        with TinyStore(folder) as store:
            stored = store.load("f-1")
            assert stored is not None
            assert stored.document == {"a": 1}
            assert store.family_of_chat(7) is None

    def test_only_this_module_knows_the_library(self) -> None:
        """No other module of the package imports tinydb."""
        package = Path(armbot.__file__).parent
        users = {
            path.relative_to(package).as_posix()
            for path in package.rglob("*.py")
            if "import tinydb" in path.read_text() or "from tinydb" in path.read_text()
        }
        assert users == {"store/tiny.py"}
