"""Sign-off: what is signed, what breaks a signature, and when it runs out."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest
from content_support import SHIPPED, edit, sound_copy

from armbot.content.signoff import item_files, load_items
from armbot.content.strict import ContentError
from armbot.model.signoff import SignState

if TYPE_CHECKING:
    from pathlib import Path

ITEM = "topics/icing"
SIGNED_ON = date(2027, 4, 3)
VALID_UNTIL = date(2028, 4, 3)


def sign(folder: Path, changes: dict[str, str] | None = None) -> None:
    """Put a signature under the item as it is now; ``changes`` replace fields."""
    fields = {
        "item": ITEM,
        "digest": f'"{load_items(folder)[ITEM].digest}"',
        "role": "sports medicine physician",
        "signed_on": SIGNED_ON.isoformat(),
        "valid_until": VALID_UNTIL.isoformat(),
    } | (changes or {})
    entry = "\n    ".join(f"{key}: {value}" for key, value in fields.items())
    edit(folder, "signoffs.yaml", "signoffs: []", f"signoffs:\n  - {entry}")


def state(folder: Path, today: date = SIGNED_ON) -> SignState:
    """The state of the item on a day."""
    return load_items(folder)[ITEM].state(today)


def test_nothing_is_signed_at_first(tmp_path: Path) -> None:
    """Without an entry an item is unsigned."""
    assert state(sound_copy(tmp_path)) is SignState.UNSIGNED


def test_a_fitting_signature_holds_to_its_last_day(tmp_path: Path) -> None:
    """Signed up to and including valid_until, expired from the day after."""
    folder = sound_copy(tmp_path)
    sign(folder)
    assert state(folder) is SignState.SIGNED
    assert state(folder, VALID_UNTIL) is SignState.SIGNED
    assert state(folder, date(2028, 4, 4)) is SignState.EXPIRED


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("en.yaml", "is fine", "is  fine"),
        ("es.yaml", "Hielo", "hielo"),
        ("topic.yaml", '"15"', '"16"'),
        ("en.yaml", "ice after a game", "ice after the game"),
    ],
)
def test_any_edit_breaks_the_signature(tmp_path: Path, file: str, old: str, new: str) -> None:
    """One changed letter, figure or example in any of the item's files is enough."""
    folder = sound_copy(tmp_path)
    sign(folder)
    edit(folder, f"{ITEM}/{file}", old, new)
    assert state(folder) is SignState.BROKEN


def test_a_file_added_or_renamed_breaks_the_signature(tmp_path: Path) -> None:
    """What is signed is the folder: its files and their names."""
    folder = sound_copy(tmp_path)
    sign(folder)
    (folder / ITEM / "es.yaml").rename(folder / ITEM / "es2.yaml")
    assert state(folder) is SignState.BROKEN
    (folder / ITEM / "es2.yaml").rename(folder / ITEM / "es.yaml")
    assert state(folder) is SignState.SIGNED
    (folder / ITEM / "more.yaml").write_text("a: b\n", encoding="utf-8")
    assert state(folder) is SignState.BROKEN


def test_an_edit_elsewhere_does_not_break_it(tmp_path: Path) -> None:
    """Each item is signed for itself."""
    folder = sound_copy(tmp_path)
    sign(folder)
    edit(folder, "topics/resting/en.yaml", "Tell me the age.", "Say the age.")
    assert state(folder) is SignState.SIGNED


def test_line_ends_do_not_count(tmp_path: Path) -> None:
    """Another editor's line ends, end space and byte order mark leave a signature whole."""
    folder = sound_copy(tmp_path)
    sign(folder)
    path = folder / ITEM / "en.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "  \r\n").encode() + b"\r\n")
    assert state(folder) is SignState.SIGNED


def test_the_digest_is_the_same_everywhere(tmp_path: Path) -> None:
    """A digest depends on the files alone, not on where the content lies."""
    first, second = sound_copy(tmp_path / "one"), sound_copy(tmp_path / "two")
    assert {i.digest for i in load_items(first).values()} == {
        i.digest for i in load_items(second).values()
    }


@pytest.mark.parametrize(
    ("changes", "line", "words"),
    [
        ({"valid_until": "2027-04-02"}, 6, "ends before it begins"),
        ({"signed_on": "soon"}, 5, "'soon' is no date"),
        ({"digest": '"abc"'}, 3, "this is no digest"),
        ({"item": "topics/heat"}, 2, "no item 'topics/heat'"),
        ({"name": "somebody"}, 7, "unknown key 'name'"),
    ],
)
def test_an_unsound_entry_is_refused(
    tmp_path: Path, changes: dict[str, str], line: int, words: str
) -> None:
    """The error names the line and what is wrong; a person's name has no place there."""
    folder = sound_copy(tmp_path)
    sign(folder, changes)
    with pytest.raises(ContentError, match=words) as caught:
        load_items(folder)
    assert (caught.value.path.name, caught.value.line) == ("signoffs.yaml", line)


def test_an_item_is_signed_once(tmp_path: Path) -> None:
    """Two entries for one item would leave open which one counts."""
    folder = sound_copy(tmp_path)
    sign(folder)
    text = (folder / "signoffs.yaml").read_text(encoding="utf-8")
    entry = text.partition("signoffs:\n")[2]
    (folder / "signoffs.yaml").write_text(f"{text}\n{entry}\n", encoding="utf-8")
    with pytest.raises(ContentError, match="signed twice"):
        load_items(folder)


def test_a_missing_register_of_signatures_is_an_error(tmp_path: Path) -> None:
    """A lost file must not read as "nothing was ever signed"."""
    folder = sound_copy(tmp_path)
    (folder / "signoffs.yaml").unlink()
    with pytest.raises(ContentError, match="the file is missing"):
        load_items(folder)


def test_every_shipped_answer_belongs_to_an_item() -> None:
    """Topics, rules, symptoms, season, pitch types and phrases can all be signed."""
    items = item_files(SHIPPED)
    covered = {path for files in items.values() for path in files}
    spoken = ("topics", "rules", "symptoms", "season", "pitch_types")
    written = {path for kind in spoken for path in (SHIPPED / kind).rglob("*.yaml")}
    written |= set((SHIPPED / "words").glob("*/phrases.yaml"))
    assert written <= covered


def test_the_shipped_content_is_unsigned() -> None:
    """No clinician has signed anything yet, and the content says so."""
    states = {item.state(SIGNED_ON) for item in load_items(SHIPPED).values()}
    assert states == {SignState.UNSIGNED}
