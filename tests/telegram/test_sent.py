"""What was sent is noted by one line, survives a crash, and leaves its record later."""

from __future__ import annotations

from pathlib import Path

from armbot.sent import Sent


def test_a_note_is_there_after_a_crash(tmp_path: Path) -> None:
    """Nothing has to be closed for it."""
    Sent(tmp_path).note("f-1", ["u1.1", "u1.2"])
    again = Sent(tmp_path)
    assert again.of("f-1") == {"u1.1", "u1.2"}
    assert again.holds("f-1", "u1.1")
    assert not again.holds("f-2", "u1.1")


def test_a_torn_last_line_is_no_note(tmp_path: Path) -> None:
    """The reply it was about is said again rather than lost; later notes are whole."""
    Sent(tmp_path).note("f-1", ["u1.1"])
    with (tmp_path / "sent.log").open("a") as file:
        file.write("f-1\tu2")
    Sent(tmp_path).note("f-1", ["u3.1"])
    assert Sent(tmp_path).of("f-1") == {"u1.1", "u3.1"}


def test_what_left_the_record_is_forgotten(tmp_path: Path) -> None:
    """And the file is written anew without it, when there is much of it."""
    sent = Sent(tmp_path)
    sent.note("f-1", ["a", "b"])
    sent.forget("f-1", frozenset({"a"}))
    assert sent.of("f-1") == {"b"}
    assert sent.idle_lines == 1
    sent.tidy()
    assert sent.idle_lines == 0
    sent.note("f-1", ["c"])
    assert Sent(tmp_path).of("f-1") == {"b", "c"}


def test_an_erased_family_leaves_no_line(tmp_path: Path) -> None:
    """Keys may hold the number of a chat."""
    sent = Sent(tmp_path)
    sent.note("f-1", ["arm.a1.2026-06-10.987"])
    sent.note("f-2", ["x"])
    sent.erase("f-1")
    assert b"987" not in (tmp_path / "sent.log").read_bytes()
    sent.note("f-2", ["y"])
    assert Sent(tmp_path).families() == ["f-2"]
