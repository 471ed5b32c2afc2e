"""The second reader's numbers: learned from the content, kept as a file, read back."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from content_support import SHIPPED, sound_copy
from conversation import grammar

from armbot.commands import Failure, learn_numbers
from armbot.content.check import report
from armbot.content.learned import NAME, Numbers, is_stale, load_numbers, save_numbers
from armbot.content.learning import fitted, learn_from
from armbot.content.library import load_library
from armbot.content.strict import ContentError

if TYPE_CHECKING:
    from pathlib import Path


def test_the_shipped_numbers_are_of_the_shipped_content() -> None:
    """After a change of content the numbers are learned again: `armbot content learn`."""
    assert not is_stale(SHIPPED)


def test_changed_content_is_noted_as_not_learned_yet(tmp_path: Path) -> None:
    """The check names the numbers that no longer fit; it is no error."""
    found = report(sound_copy(tmp_path))
    assert found.errors == ()
    assert any("armbot content learn" in str(note) for note in found.notes)


def test_numbers_come_back_as_they_were_saved(tmp_path: Path) -> None:
    """Written one feature a line and read again, nothing changes."""
    folder = sound_copy(tmp_path)
    numbers: Numbers = ({"elbow": (1.2, -0.5, 3.0), "qué_tal": (0.0, 2.0, 0.1)}, (-3.5, -2.2, -5.0))
    save_numbers(folder, numbers)
    found = load_numbers(folder)
    assert found is not None
    assert {f: pytest.approx(found.weights(f)) for f in found.place} == numbers[0]
    assert found.base == numbers[1]
    assert not is_stale(folder)


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"base": [1, 2, 3]}', '{"base": [1], "features": {}}',
             '{"base": [1, 2, 3], "features": {"a": [1, 2]}}',
             '{"base": [1, 2, 3], "features": {"a": ["x", 1, 2]}}']
)  # fmt: skip
def test_a_damaged_file_is_named(text: str, tmp_path: Path) -> None:
    """The error says which file and what to run."""
    folder = sound_copy(tmp_path)
    (folder / NAME).write_text(text, "utf-8")
    with pytest.raises(ContentError, match=r"learned\.json.*armbot content learn"):
        load_numbers(folder)


def test_learning_needs_its_library_and_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Without scikit-learn the command names what to install, and writes nothing."""
    before = (SHIPPED / NAME).read_bytes()
    monkeypatch.setitem(sys.modules, "sklearn.linear_model", None)
    with pytest.raises(Failure, match=r"armbot\[learn\]"):
        learn_numbers(SHIPPED)
    assert (SHIPPED / NAME).read_bytes() == before


def test_weights_part_what_was_told_apart() -> None:
    """A feature of the yes rows weighs for yes, one of the no rows against it."""
    rows = [{"hurts": 1.0}, {"hurts": 1.0, "game": 1.0}, {"game": 1.0}, {"sunday": 1.0}]
    weights, _ = fitted(rows, [True, True, False, False])
    assert weights["hurts"] > 0 > weights["sunday"]


def test_the_same_content_gives_the_same_numbers() -> None:
    """Learning holds no chance."""
    library = load_library(SHIPPED, for_learning=True)
    small = replace(
        library,
        report_examples=library.report_examples[::40],
        topics=dict([*library.topics.items()][:3]),
    )
    first, second = learn_from(small, grammar()), learn_from(small, grammar())
    assert first == second
