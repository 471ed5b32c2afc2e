"""The content check: the shipped content is sound, and each kind of mistake is found.

tests/content/sound is a small content base without a mistake; each folder of
tests/content/broken holds the one file that spoils it, and what must be said about it.
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import pytest
from content_support import BROKEN, SHIPPED, SOUND, edit, overlaid, sound_copy

from armbot.content.check import check, report
from armbot.content.crossmatch import Example, shadowed, stolen, strayed
from armbot.content.signoff import load_items
from armbot.content.strict import Node, load

if TYPE_CHECKING:
    from pathlib import Path

MISTAKES = sorted(path.name for path in BROKEN.iterdir())


def test_the_sound_base_has_no_error() -> None:
    """The base that the mistakes below are made in has none of its own."""
    assert check(SOUND) == []


def expected(name: str) -> list[tuple[str, int, str]]:
    """File, line and words of every error a broken folder must give, in order."""
    rows = load(BROKEN / name / "expected.yaml").mapping(("errors",), ())["errors"]
    found = [row.mapping(("file", "line", "words"), ()) for row in rows]
    return sorted((row["file"].text(), row["line"].integer(), row["words"].text()) for row in found)


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_found(name: str, tmp_path: Path) -> None:
    """Exactly the errors expected, each with file, line, what is wrong and a remedy."""
    folder = overlaid(name, tmp_path)
    errors = sorted(
        (error.path.relative_to(folder).as_posix(), error.line, str(error))
        for error in check(folder)
    )
    wanted = expected(name)
    assert [error[:2] for error in errors] == [row[:2] for row in wanted], errors
    for line, text in {error[1:] for error in errors}:
        assert any(words in text for _, place, words in wanted if place == line), text
    for _, _, words in wanted:
        assert any(words in text for _, _, text in errors), words
    assert all(" -- " in text for _, _, text in errors)


def test_all_mistakes_are_listed_at_once(tmp_path: Path) -> None:
    """The check does not stop at the first mistake, nor at the first file."""
    folder = sound_copy(tmp_path)
    edit(folder, "topics/icing/topic.yaml", "kind: topic", "kind: prose")
    edit(folder, "topics/resting/topic.yaml", "related: [icing]", "related: [sleep]")
    edit(folder, "symptoms/tiers.yaml", "[[trauma]]", "[[blow]]")
    edit(folder, "rules/league/cases.yaml", "rest_days: 0", "rest_days: 3")
    words = ("'prose' is not known", "'sleep' is no other", "no fact 'blow'", "computed 0")
    found = "\n".join(map(str, check(folder)))
    assert all(word in found for word in words), found


def test_errors_come_in_order_of_file_and_line(tmp_path: Path) -> None:
    """The list can be worked through file by file."""
    folder = overlaid("class_in_a_circle", tmp_path)
    places = [(error.path, error.line) for error in check(folder)]
    assert len(places) == 4
    assert places == sorted(places)


def test_unsigned_items_are_notes_not_errors() -> None:
    """What no clinician has signed is named, and does not fail the check."""
    notes = [str(note) for note in report(SOUND).notes]
    assert any("topics/icing is unsigned" in note for note in notes)
    assert any("words/en/phrases is unsigned" in note for note in notes)


def test_gaps_that_are_only_wanted_are_notes(tmp_path: Path) -> None:
    """A wanted file, a list of one language only and a nameless sign are named, no more."""
    folder = sound_copy(tmp_path)
    (folder / "words" / "es" / "spelling.yaml").unlink()
    edit(folder, "words/en/context.yaml", "trauma:", "cast:\n  - cast\ntrauma:")
    edit(folder, "symptoms/signs.yaml", "  pain: pain", "  pain: pain\n  pop: pop")
    found = report(folder)
    assert found.errors == ()
    notes = "\n".join(map(str, found.notes))
    for words in ("spelling.yaml:1: the file is missing (wanted)", "no list 'cast'", "'pop' has"):
        assert words in notes


def test_a_signoff_that_ran_out_is_a_note_on_a_given_day(tmp_path: Path) -> None:
    """With a day given, the check also says which signatures are over."""
    folder = sound_copy(tmp_path)
    item = report(folder).notes[0].problem.split()[0]
    entry = (
        f"signoffs:\n  - item: {item}\n    digest: '{load_items(folder)[item].digest}'\n"
        "    role: physician\n    signed_on: 2027-04-03\n    valid_until: 2028-04-03"
    )
    edit(folder, "signoffs.yaml", "signoffs: []", entry)
    on_the_day = report(folder, date(2028, 4, 3)).notes
    day_after = report(folder, date(2028, 4, 4)).notes
    assert not any(note.problem.startswith(f"{item} ") for note in on_the_day)
    assert [n.problem for n in day_after if n.problem.startswith(f"{item} ")] == [
        f"{item} is expired"
    ]


def test_a_base_without_topics_is_an_error(tmp_path: Path) -> None:
    """An empty content base is not a sound one."""
    folder = sound_copy(tmp_path)
    for path in (folder / "topics").iterdir():
        shutil.rmtree(path)
    assert any("no topic found" in str(error) for error in check(folder))


@dataclass(frozen=True)
class FixedMatcher:
    """Answers every message alike."""

    topic: str
    answer: str

    def best(self, text: str, *, remember: bool = True) -> tuple[str, str, float]:
        """The fixed topic and answer."""
        del text, remember
        return self.topic, self.answer, 1.0


def test_the_gate_compares_what_the_matcher_says() -> None:
    """Another topic is theft; another answer of the same topic is straying."""
    examples = [
        Example("resting", "night", "night game", Node("night game", SOUND, 3)),
        Example("icing", "default", "ice it", Node("ice it", SOUND, 4)),
    ]
    assert [e.line for e in stolen(examples, FixedMatcher("resting", "night"))] == [4]
    assert list(strayed(examples, FixedMatcher("resting", "night"))) == []
    assert [e.line for e in strayed(examples, FixedMatcher("resting", "default"))] == [3]
    assert [e.line for e in stolen(examples, FixedMatcher("other", "default"))] == [3, 4]


@pytest.mark.parametrize(("lost", "errors"), [(2, 0), (3, 1)])
def test_a_topic_mostly_known_by_heart_is_an_error(lost: int, errors: int) -> None:
    """One example in five may be known word for word only; more mean stray words."""
    texts = [f"night {n}" for n in range(10 - lost)] + ["ice it"] * lost
    examples = [Example("resting", "night", t, Node(t, SOUND, n)) for n, t in enumerate(texts)]

    class ByWord(FixedMatcher):
        def best(self, text: str, *, remember: bool = True) -> tuple[str, str, float]:
            return ("icing" if text == "ice it" and not remember else "resting"), "night", 1.0

    notes, found = shadowed(examples, ByWord("", ""))
    assert (len(notes), len(found)) == (lost, errors)


def test_the_shipped_content_has_no_error() -> None:
    """Everything families are told passes every check."""
    assert [str(error) for error in check(SHIPPED)] == []
