"""What every store must do, as tests: subclass and give a ``store`` fixture.

    class TestMine(StoreContract):
        @pytest.fixture
        def store(self, tmp_path): ...

The ``store`` is empty and open. The fixture closes it.
"""

from __future__ import annotations

import copy
import threading
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from armbot.store.base import NEW, Columns, StoreClosed, VersionClash
from armbot.store.jsonable import DEEPEST, LARGEST, NotJSONError

if TYPE_CHECKING:
    from collections.abc import Callable

    from armbot.store.base import Store
    from armbot.store.jsonable import JSON

SMALL: dict[str, JSON] = {"children": [{"nickname": "Río", "pitches": [62, 0]}], "hold": None}

NOON = datetime(2026, 6, 10, 12, 0, tzinfo=UTC)

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
JSON_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-LARGEST, LARGEST)
    | st.floats(allow_nan=False, allow_infinity=False)
    | TEXT,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXT, inner, max_size=4),
    max_leaves=15,
)
DOCUMENTS = st.dictionaries(TEXT, JSON_VALUES, max_size=5)


def _nested(levels: int) -> JSON:
    """Lists inside one another, that many levels deep."""
    inner: JSON = []
    for _ in range(levels - 1):
        inner = [inner]
    return inner


BAD_DOCUMENTS: list[tuple[str, object]] = [
    ("a tuple", {"a": (1, 2)}),
    ("a key that is a number", {"a": {1: "x"}}),
    ("not a number", {"a": float("nan")}),
    ("infinity", {"a": [float("inf")]}),
    ("half a surrogate pair", {"a": "\ud83d"}),
    ("half a surrogate pair in a key", {"\ud83d": 1}),
    ("a number of 65 bits", {"a": 2**64}),
    ("bytes", {"a": b"x"}),
    ("a list at the top", [1]),
    ("deeper than any record", {"a": _nested(DEEPEST)}),
]


def _loaded(store: Store, family_id: str) -> dict[str, JSON]:
    stored = store.load(family_id)
    assert stored is not None
    return stored.document


class StoreContract:
    """The shared suite."""

    def test_a_new_family_is_version_one(self, store: Store) -> None:
        """A first commit expects NEW, returns version 1, and is read back equal."""
        assert store.load("f-1") is None
        assert store.commit("f-1", SMALL, NEW) == 1
        stored = store.load("f-1")
        assert stored is not None
        assert (stored.document, stored.version) == (SMALL, 1)

    def test_versions_count_up_and_the_document_is_replaced_whole(self, store: Store) -> None:
        """A later commit returns the next version; keys it leaves out are gone."""
        store.commit("f-1", {"old": 1, "both": 1}, NEW)
        assert store.commit("f-1", {"both": 2}, 1) == 2
        assert store.commit("f-1", {"both": 3}, 2) == 3
        assert _loaded(store, "f-1") == {"both": 3}

    @pytest.mark.parametrize("expected", [NEW, 1, 3, -1])
    def test_a_wrong_expectation_clashes(self, store: Store, expected: int) -> None:
        """Any expectation but the stored version clashes and changes nothing."""
        store.commit("f-1", {"n": 1}, NEW)
        store.commit("f-1", {"n": 2}, 1)
        with pytest.raises(VersionClash) as caught:
            store.commit("f-1", {"n": 9}, expected)
        assert (caught.value.expected, caught.value.found) == (expected, 2)
        assert _loaded(store, "f-1") == {"n": 2}

    def test_a_family_that_is_not_there_clashes_with_a_version(self, store: Store) -> None:
        """Changing a family that does not exist clashes and creates nothing."""
        with pytest.raises(VersionClash):
            store.commit("f-1", SMALL, 1)
        assert store.load("f-1") is None

    def test_families_do_not_touch_each_other(self, store: Store) -> None:
        """A commit or an erasure changes its own family alone."""
        store.commit("f-1", {"n": 1}, NEW)
        store.commit("f-10", {"n": 10}, NEW)
        store.commit("f-1", {"n": 2}, 1)
        store.erase("f-1")
        assert _loaded(store, "f-10") == {"n": 10}

    def test_families_lists_each_once(self, store: Store) -> None:
        """Every family with a record is listed once, erased ones are not."""
        ids = {f"family-{number}" for number in range(40)}
        for family_id in ids:
            store.commit(family_id, {}, NEW)
        store.commit("family-3", {"n": 1}, 1)
        store.erase("family-5")
        assert sorted(store.families()) == sorted(ids - {"family-5"})

    def test_an_erased_family_is_gone(self, store: Store) -> None:
        """After erasing there is no record, a stale commit clashes, a new one starts at 1."""
        store.commit("f-1", SMALL, NEW)
        store.erase("f-1")
        assert store.load("f-1") is None
        with pytest.raises(VersionClash):
            store.commit("f-1", SMALL, 1)
        assert store.commit("f-1", {}, NEW) == 1

    def test_erasing_twice_is_no_error(self, store: Store) -> None:
        """Erasing a family that is not there does nothing."""
        store.erase("f-1")
        store.erase("f-1")
        assert list(store.families()) == []

    def test_nothing_given_or_returned_aliases_what_is_stored(self, store: Store) -> None:
        """Changing a committed or a loaded document changes nothing stored."""
        given_document = copy.deepcopy(SMALL)
        store.commit("f-1", given_document, NEW)
        for document in (given_document, _loaded(store, "f-1")):
            children = document["children"]
            assert isinstance(children, list)
            children.append("changed")
            document["hold"] = "changed"
        assert _loaded(store, "f-1") == SMALL

    @pytest.mark.parametrize(
        "family_id", ["", "A", "a/b", "..", "a.json", "a_b", "ä", "a\n", "a" * 65, "f 1"]
    )
    def test_ids_outside_the_alphabet_are_refused(self, store: Store, family_id: str) -> None:
        """An id that is not 1 to 64 of a-z, 0-9 and hyphen is a ValueError everywhere."""
        uses: list[Callable[[], object]] = [
            lambda: store.load(family_id),
            lambda: store.commit(family_id, {}, NEW),
            lambda: store.erase(family_id),
        ]
        for use in uses:
            with pytest.raises(ValueError, match="family id"):
                use()

    def test_the_longest_and_the_oddest_ids_work(self, store: Store) -> None:
        """64 characters, a lone hyphen and digits are ids like any other."""
        for family_id in ("a" * 64, "-", "0"):
            assert store.commit(family_id, {"id": family_id}, NEW) == 1
        assert set(store.families()) == {"a" * 64, "-", "0"}

    @pytest.mark.parametrize(
        "document", [bad for _, bad in BAD_DOCUMENTS], ids=[name for name, _ in BAD_DOCUMENTS]
    )
    def test_what_json_cannot_give_back_is_refused(self, store: Store, document: object) -> None:
        """A document that would not come back equal is refused before anything is written."""
        with pytest.raises(NotJSONError):
            store.commit("f-1", document, NEW)  # type: ignore[arg-type]
        assert store.load("f-1") is None

    def test_text_of_every_script_comes_back(self, store: Store) -> None:
        """Accents in both forms, emoji, right-to-left marks, NUL and newlines are kept exactly."""
        texts: list[JSON] = [
            "niño",
            "nin\u0303o",
            "⚾🧑‍🦱",
            "\u202eabc",
            "a\x00b\r\n\u2028",
            "\\\"'",
        ]
        store.commit("f-1", {"texts": texts}, NEW)
        assert _loaded(store, "f-1")["texts"] == texts

    def test_the_deepest_and_the_largest_come_back(self, store: Store) -> None:
        """A document at the limits of depth and of whole numbers is kept exactly."""
        limits: dict[str, JSON] = {"deep": _nested(DEEPEST - 1), "large": [LARGEST, -LARGEST]}
        store.commit("f-1", limits, NEW)
        assert _loaded(store, "f-1") == limits

    @given(document=DOCUMENTS)
    @settings(
        max_examples=60,
        deadline=None,  # disks differ
        suppress_health_check=[HealthCheck.function_scoped_fixture],
    )
    def test_any_json_document_comes_back(self, store: Store, document: dict[str, JSON]) -> None:
        """Whatever JSON goes in comes out equal, types and order of keys included."""
        stored = store.load("f-any")
        store.commit("f-any", document, stored.version if stored else NEW)
        assert repr(_loaded(store, "f-any")) == repr(document)

    def test_of_competing_writers_none_is_lost(self, store: Store) -> None:
        """Eight threads counting up one number by load and commit lose no step."""
        store.commit("f-1", {"n": 0}, NEW)

        def count_up() -> None:
            done = 0
            while done < 10:
                stored = store.load("f-1")
                assert stored is not None
                number = stored.document["n"]
                assert isinstance(number, int)
                try:
                    store.commit("f-1", {"n": number + 1}, stored.version)
                except VersionClash:
                    continue
                done += 1

        threads = [threading.Thread(target=count_up) for _ in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        stored = store.load("f-1")
        assert stored is not None
        assert (stored.document, stored.version) == ({"n": 80}, 81)

    def test_a_closed_store_refuses(self, store: Store) -> None:
        """After close every call but close raises StoreClosed."""
        store.commit("f-1", SMALL, NEW)
        store.close()
        store.close()
        uses: list[Callable[[], object]] = [
            lambda: store.load("f-1"),
            lambda: store.commit("f-1", SMALL, 1),
            lambda: store.erase("f-1"),
            lambda: list(store.families()),
        ]
        for use in uses:
            with pytest.raises(StoreClosed):
                use()

    def test_a_family_is_found_by_chat_and_by_code(self, store: Store) -> None:
        """By what its last commit named, and by nothing that one before it did."""
        store.commit("f-1", SMALL, NEW, Columns((7, 8), ("d1",)))
        store.commit("f-2", SMALL, NEW, Columns((9,)))
        store.commit("f-1", SMALL, 1, Columns((8, 10)))
        assert [store.family_of_chat(n) for n in (7, 8, 9, 10)] == [None, "f-1", "f-2", "f-1"]
        assert store.family_of_code("d1") is None

    def test_a_chat_may_move_to_another_family(self, store: Store) -> None:
        """Whichever order the two commits come in."""
        store.commit("f-1", SMALL, NEW, Columns((7,)))
        store.commit("f-2", SMALL, NEW, Columns((7,)))
        store.commit("f-1", SMALL, 1, Columns())
        assert store.family_of_chat(7) == "f-2"

    def test_due_families_come_longest_overdue_first(self, store: Store) -> None:
        """No more than asked for, and none before its time."""
        for n, minutes in enumerate((30, 10, 20, 90)):
            store.commit(f"f-{n}", SMALL, NEW, Columns(due=NOON + timedelta(minutes=minutes)))
        assert store.due(NOON, 9) == []
        assert store.due(NOON + timedelta(minutes=30), 9) == ["f-1", "f-2", "f-0"]
        assert store.due(NOON + timedelta(minutes=30), 2) == ["f-1", "f-2"]

    def test_a_new_due_time_takes_the_place_of_the_old(self, store: Store) -> None:
        """Later, sooner, and none at all; a time named twice counts once."""
        store.commit("f-1", SMALL, NEW, Columns(due=NOON))
        store.commit("f-1", SMALL, 1, Columns(due=NOON + timedelta(hours=2)))
        assert store.due(NOON + timedelta(hours=1), 9) == []
        store.commit("f-1", SMALL, 2, Columns(due=NOON))
        assert store.due(NOON, 9) == store.due(NOON, 9) == ["f-1"]
        store.commit("f-1", SMALL, 3, Columns())
        assert store.due(NOON + timedelta(days=9), 9) == []

    def test_families_with_messages_wait_in_order(self, store: Store) -> None:
        """And no longer once a commit says that nothing waits."""
        for name in ("f-2", "f-1", "f-3"):
            store.commit(name, SMALL, NEW, Columns(waiting=True))
        store.commit("f-1", SMALL, 1, Columns())
        assert store.waiting() == ["f-2", "f-3"]

    def test_an_erased_family_is_found_by_nothing(self, store: Store) -> None:
        """Neither chat, code, time nor messages lead to it."""
        store.commit("f-1", SMALL, NEW, Columns((7,), ("d",), NOON, waiting=True))
        store.erase("f-1")
        assert store.family_of_chat(7) is None
        assert store.family_of_code("d") is None
        assert store.due(NOON, 9) == store.waiting() == []

    def test_a_refused_commit_changes_no_way_to_a_family(self, store: Store) -> None:
        """The columns belong to the record they were committed with."""
        store.commit("f-1", SMALL, NEW, Columns((7,)))
        with pytest.raises(VersionClash):
            store.commit("f-1", SMALL, 5, Columns((8,)))
        assert store.family_of_chat(7) == "f-1"
        assert store.family_of_chat(8) is None
