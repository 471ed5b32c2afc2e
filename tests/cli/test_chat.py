"""The conversation in the terminal: what is kept, what is marked, how it ends."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from command import armbot_command, environment
from conversation import NOW, grammar, phrase

from armbot import chat
from armbot.app import load_family, open_store
from armbot.channels.base import Channel, Reply
from armbot.chat import Setting, converse
from armbot.cli import FAMILY_ID
from armbot.commands import record_clearance
from armbot.model.family import Family
from armbot.store.base import StoreBusy

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

HURT = "his elbow hurts when he throws"
MAY_HE = "11, 20 pitches on monday, can he pitch friday?"


class Script(Channel):
    """A channel with the messages written beforehand and the replies kept."""

    def __init__(self, *lines: str | Callable[[], None]) -> None:
        self._lines = lines
        self.replies: list[Reply] = []

    def messages(self) -> Iterator[str]:
        """The lines; one that can be called happens between two messages."""
        for line in self._lines:
            if isinstance(line, str):
                yield line
            else:
                line()

    def show(self, reply: Reply) -> None:
        """Keep it."""
        self.replies.append(reply)


def fresh() -> Family:
    """The family of a first start."""
    return Family(id=FAMILY_ID, zone="America/New_York")


def talk(
    folder: Path, *lines: str | Callable[[], None], lang: str | None = None
) -> tuple[list[Reply], list[str]]:
    """The replies after the greeting, and the complaints, of one start of the program."""
    script, complaints = Script(*lines), list[str]()
    setting = Setting(grammar(), folder, fresh(), lang, None, lambda: NOW, complaints.append)
    converse(script, setting)
    return script.replies, complaints


def test_it_opens_with_what_it_does_and_that_nothing_is_signed(tmp_path: Path) -> None:
    """The greeting says whom to call, and the mark is truthful from the first line."""
    (greeting,), _ = talk(tmp_path / "data")
    assert phrase("en", "hello") in greeting.text
    assert phrase("en", "hello_how") in greeting.text
    assert greeting.mark == phrase("en", "draft")


def test_every_reply_carries_the_draft_mark(tmp_path: Path) -> None:
    """Answers, safety messages, help and what is not known alike."""
    replies, _ = talk(tmp_path / "data", MAY_HE, HURT, "help", "why", "qwerty", "thanks")
    assert {reply.mark for reply in replies} == {phrase("en", "draft")}


def test_a_hold_survives_a_restart(tmp_path: Path) -> None:
    """The record is on disk; the next start answers by it."""
    talk(tmp_path / "data", HURT)
    replies, _ = talk(tmp_path / "data", MAY_HE)
    assert "hold" in replies[1].text


def test_a_clearance_in_another_terminal_shows_in_the_next_answer(tmp_path: Path) -> None:
    """The chat does not go on with what it knew before."""
    folder = tmp_path / "data"

    def cleared() -> None:
        record_clearance(
            grammar().library,
            folder,
            FAMILY_ID,
            role="physician",
            athlete=None,
            now=NOW + timedelta(minutes=1),
        )

    replies, complaints = talk(folder, HURT, MAY_HE, cleared, MAY_HE)
    assert "on hold" in replies[2].text
    assert "on hold" not in replies[3].text
    assert "Friday" in replies[3].text or "Fri" in replies[3].text
    assert complaints == []


def test_the_language_asked_for_is_spoken_and_kept(tmp_path: Path) -> None:
    """Also after a restart without the option, and for what is language-neutral."""
    replies, _ = talk(tmp_path / "data", "62?", lang="es")
    assert phrase("es", "hello") in replies[0].text
    again, _ = talk(tmp_path / "data", "ayuda")
    assert phrase("es", "hello") in again[0].text
    assert phrase("es", "help") in again[1].text


@pytest.mark.parametrize("word", ["help", "/help", "HELP", "Help!", "ayuda", "/ayuda"])
def test_help_shows_examples_and_when_to_call(tmp_path: Path, word: str) -> None:
    """A child who types help because of an arm is told where help is."""
    replies, _ = talk(tmp_path / "data", word)
    assert phrase("en", "help") in replies[1].text
    assert grammar().library.clinic.emergency_number in replies[1].text


def test_why_explains_the_last_answer(tmp_path: Path) -> None:
    """Inputs, rule and arithmetic, in words."""
    replies, _ = talk(tmp_path / "data", "11, threw 62 tuesday, when can he pitch?", "why")
    assert phrase("en", "why_head") in replies[2].text
    assert "62" in replies[2].text


@pytest.mark.parametrize("word", ["quit", "/quit", "salir", "Salir.", "exit"])
def test_a_word_ends_it(tmp_path: Path, word: str) -> None:
    """Nothing after it is read."""
    replies, _ = talk(tmp_path / "data", word, HURT)
    assert len(replies) == 1


@pytest.mark.parametrize(
    "error",
    [OSError(28, "No space left on device"), StoreBusy("in use"), ValueError("cannot be kept")],
)
def test_an_answer_that_cannot_be_saved_is_still_given(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    """The safety message comes first; that nothing was kept is said apart from it."""

    def full(_folder: Path) -> None:
        raise error

    def fail() -> None:
        monkeypatch.setattr(chat, "open_store", full)

    replies, complaints = talk(tmp_path / "data", fail, HURT, MAY_HE)
    assert phrase("en", "safety_stop") in replies[1].text
    assert "hold" in replies[2].text
    assert len(complaints) == 2
    assert all("NOT saved" in problem for problem in complaints)


def test_a_report_that_could_not_be_saved_still_holds_once_saving_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The next message that can be saved brings the report and its hold along."""

    def full(_folder: Path) -> None:
        raise OSError(28, "No space left on device")

    def set_to(opening: Callable[[Path], object]) -> Callable[[], None]:
        return lambda: monkeypatch.setattr(chat, "open_store", opening)

    lines = (set_to(full), HURT, set_to(open_store), MAY_HE)
    replies, complaints = talk(tmp_path / "data", *lines)
    assert "on hold" in replies[2].text
    assert len(complaints) == 1
    with open_store(tmp_path / "data") as store:
        family, _ = load_family(store, fresh())
    assert [report.said for report in family.reports] == [HURT]
    assert len(family.holds) == 1


def test_a_fault_of_the_program_leaves_nobody_without_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The family is sent to the clinic, and the conversation goes on."""

    def fault(*_: object) -> None:
        raise KeyError("rest")

    monkeypatch.setattr(chat, "answer", fault)
    monkeypatch.setattr(chat, "decide", fault)
    replies, complaints = talk(tmp_path / "data", HURT, "help")
    assert grammar().library.clinic.phone in replies[1].text
    assert grammar().library.clinic.emergency_number in replies[1].text
    assert len(replies) == 3
    assert "NOT saved" in complaints[0]
    assert complaints[1] == "KeyError: 'rest'"


def test_what_a_family_says_is_in_the_store_only(tmp_path: Path) -> None:
    """The record is one family, with the report in it."""
    talk(tmp_path / "data", HURT)
    with open_store(tmp_path / "data") as store:
        assert list(store.families()) == [FAMILY_ID]
        family, _ = load_family(store, fresh())
    assert [report.said for report in family.reports] == [HURT]


def test_piped_messages_are_answered_and_it_ends_with_0(tmp_path: Path) -> None:
    """One message a line; no bold marks, no escapes, no prompt."""
    typed = "11, threw 62 tuesday, when can he pitch again\n"
    words = ("chat", "--data", str(tmp_path / "d"), "--at", "2026-06-10T19:00")
    done = armbot_command(*words, typed=typed)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Sat 13 June" in done.stdout
    assert not set("\x1b>") & set(done.stdout)
    assert "**" not in done.stdout


def test_bytes_that_are_no_text_do_not_end_it(tmp_path: Path) -> None:
    """They become marks of replacement; the message after them is answered."""
    done = armbot_command("chat", "--data", str(tmp_path / "d"), typed=b"\xff\xfe\nhelp\n")
    assert done.returncode == 0
    assert phrase("en", "help").splitlines()[-1] in done.stdout


def test_the_default_folder_is_used(tmp_path: Path) -> None:
    """The record goes where XDG_DATA_HOME says, for its owner alone."""
    armbot_command("chat", typed="hello\n", XDG_DATA_HOME=str(tmp_path))
    assert (tmp_path / "armbot").stat().st_mode & 0o777 == 0o700


def test_interrupting_ends_it_with_0(tmp_path: Path) -> None:
    """Ctrl-C is a way to leave, without a traceback."""
    words = [sys.executable, "-m", "armbot", "chat", "--data", str(tmp_path / "d")]
    with subprocess.Popen(
        words,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(),
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline()
        time.sleep(0.2)
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=20)
    assert (process.returncode, errors) == (0, b"")


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (("--lang", "fr"), "invalid choice"),
        (("--zone", "Mars/Olympus"), "no time zone 'Mars/Olympus'"),
        (("--at", "soon"), "'soon' is no date and time"),
        (("--at", "9999-12-31T00:00"), "the year 9999"),
    ],
)
def test_a_wrong_option_is_refused_with_2(words: tuple[str, ...], problem: str) -> None:
    """The message names the option and what to write."""
    done = armbot_command("chat", *words)
    assert done.returncode == 2
    assert problem in done.stderr
    assert words[0] in done.stderr


def test_a_damaged_record_is_told_with_whom_to_call(tmp_path: Path) -> None:
    """No answers without the record, which may hold a stop; and no traceback."""
    folder = tmp_path / "d"
    armbot_command("chat", "--data", str(folder), typed=HURT + "\n")
    (record,) = folder.glob("*/*.json")
    record.write_text("{")
    done = armbot_command("chat", "--data", str(folder), typed=MAY_HE + "\n")
    assert done.returncode == 2
    assert "damaged" in done.stderr
    assert "in an emergency call 911" in done.stderr
    assert "Traceback" not in done.stderr
    assert "pitch" not in done.stdout


def test_a_data_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    """Such as one below a file."""
    (tmp_path / "file").write_text("")
    done = armbot_command("chat", "--data", str(tmp_path / "file" / "d"))
    assert done.returncode == 2
    assert "file" in done.stderr
    assert "Traceback" not in done.stderr
