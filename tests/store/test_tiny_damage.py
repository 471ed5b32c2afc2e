"""The embedded store's damaged files: set aside, named, never mistaken for a new family."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from contract import SMALL

from armbot.store.base import NEW, StoreDamaged
from armbot.store.tiny import TinyStore

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A data folder that does not exist yet."""
    return tmp_path / "data"


def file_of(folder: Path, family_id: str) -> Path:
    """The one file of a family, found by its name."""
    (path,) = folder.glob(f"??/{family_id}.json")
    return path


class TestDamage:
    """A record that cannot be read is set aside and named; nothing else suffers."""

    @pytest.mark.parametrize(
        "content",
        [
            b"",
            b'{"record": {"1": {"family": "f-1", "vers',
            b"\xff\xfe\x00",
            b"[]",
            b"null",
            b'"text"',
            b"[" * 100_000,
            b"{}",
            b'{"record": []}',
            b'{"record": {}}',
            b'{"record": {"1": null}}',
            b'{"record": {"1": []}}',
            b'{"record": {"x": {"family": "f-1", "version": 1, "document": {}}}}',
            b'{"record": {"1": {"family": "f-1", "version": 0, "document": {}}}}',
            b'{"record": {"1": {"family": "f-1", "version": true, "document": {}}}}',
            b'{"record": {"1": {"family": "f-1", "version": 1, "document": []}}}',
            b'{"record": {"1": {"family": "f-2", "version": 1, "document": {}}}}',
            b'{"record": {"1": {"family": "f-1", "version": 1, "document": {"a": NaN}}}}',
            b'{"record": {"1": {"family": "f-1", "version": 1, "document": {"a": 1' + b"0" * 5000,
        ],
    )
    def test_a_damaged_file_is_set_aside_and_named(self, folder: Path, content: bytes) -> None:
        """Loading raises, naming the file as it now lies; its bytes are kept; others load."""
        with TinyStore(folder) as store:
            store.commit("f-1", SMALL, NEW)
            store.commit("f-2", SMALL, NEW)
            path = file_of(folder, "f-1")
            path.write_bytes(content)
            with pytest.raises(StoreDamaged) as caught:
                store.load("f-1")
            aside = path.with_name("f-1.json.damaged")
            assert (caught.value.family_id, caught.value.path) == ("f-1", aside)
            assert str(aside) in str(caught.value)
            assert aside.read_bytes() == content
            assert store.damaged() == [aside]
            assert list(store.families()) == ["f-2"]
            assert store.load("f-2") is not None

    def test_a_lost_record_never_looks_like_a_new_family(self, folder: Path) -> None:
        """After the damage neither load nor commit starts afresh, also after a restart."""
        with TinyStore(folder) as store:
            store.commit("f-1", SMALL, NEW)
            file_of(folder, "f-1").write_bytes(b"")
            with pytest.raises(StoreDamaged):
                store.commit("f-1", {}, 1)
        with TinyStore(folder) as store:
            with pytest.raises(StoreDamaged):
                store.load("f-1")
            with pytest.raises(StoreDamaged):
                store.commit("f-1", {}, NEW)

    def test_a_good_copy_put_back_is_used_again(self, folder: Path) -> None:
        """Restoring the file ends the trouble, and a second damage keeps the first evidence."""
        with TinyStore(folder) as store:
            store.commit("f-1", SMALL, NEW)
            path = file_of(folder, "f-1")
            good = path.read_bytes()
            for number, content in enumerate((b"first", b"second"), start=1):
                path.write_bytes(content)
                with pytest.raises(StoreDamaged):
                    store.load("f-1")
                path.write_bytes(good)
                assert store.load("f-1") is not None
                assert len(store.damaged()) == number
            kept = [aside.read_bytes() for aside in store.damaged()]
            assert sorted(kept) == [b"first", b"second"]

    def test_erasing_removes_damaged_copies_too(self, folder: Path) -> None:
        """After erasing no file of the family is left, and it may begin anew."""
        with TinyStore(folder) as store:
            store.commit("f-1", SMALL, NEW)
            store.commit("f-10", SMALL, NEW)
            file_of(folder, "f-1").write_bytes(b"")
            with pytest.raises(StoreDamaged):
                store.load("f-1")
            store.erase("f-1")
            assert list(folder.glob("??/f-1.*")) == []
            assert store.commit("f-1", {}, NEW) == 1
            assert store.load("f-10") is not None

    def test_foreign_files_are_passed_over(self, folder: Path) -> None:
        """Files and folders of others are neither listed, nor changed, nor in the way."""
        with TinyStore(folder) as store:
            store.commit("f-1", SMALL, NEW)
            shard = file_of(folder, "f-1").parent
        wrong = next(name for name in ("00", "01") if name != shard.name)
        (folder / wrong).mkdir(exist_ok=True)
        foreign = [
            folder / "README",
            folder / "zz",
            shard / "notes.txt",
            shard / "UPPER.json",
            folder / wrong / "f-1.json",
        ]
        for path in foreign:
            path.write_text("mine")
        with TinyStore(folder) as store:
            assert list(store.families()) == ["f-1"]
            assert store.damaged() == []
        assert [path.read_text() for path in foreign] == ["mine"] * len(foreign)
