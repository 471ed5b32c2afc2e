"""``armbot serve`` as its families, its staff and its supervisor meet it.

Real processes on loopback: the program, and the stand-in server that plays Telegram.
"""

from __future__ import annotations

import base64
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import stand_in_support as said
from served import Program, Writer, program, server, until

from armbot import keeping

if TYPE_CHECKING:
    from stand_in_control import Remote

STAFF = "staff: [{chat: 900, role: physician}, {chat: 901, role: front_desk, lang: es}]\n"
RATES = "rates: {overall: 5000, chat: 1000, group: 1000}\n"
NAMES = ("Zephyrine", "Quillon")
"""Nicknames that stand nowhere else, to be looked for."""


def buttons(sent: dict[str, Any]) -> dict[str, str]:
    """What the buttons of a message show, and what each sends back."""
    rows = (sent["reply_markup"] or {}).get("inline_keyboard", [])
    return {b["text"]: b["callback_data"] for row in rows for b in row}


@pytest.fixture(scope="module")
def telegram() -> Iterator[tuple[Remote, str]]:
    """One stand-in server for the tests of this file."""
    with server() as found:
        yield found


@pytest.fixture(scope="module")
def running(
    telegram: tuple[Remote, str], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Program]:
    """One program that serves invited families and a staff of two."""
    folder = tmp_path_factory.mktemp("serve") / "data"
    settings = f"trial: true\n{STAFF}{RATES}"
    with program(telegram[1], folder, settings=settings) as found:
        until(lambda: keeping.name_of(folder))
        yield found


def invitation(folder: Path) -> str:
    """A code made as the clinic makes it, while the program runs."""
    command = [sys.executable, "-m", "armbot", "invite", "--data", str(folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    link = done.stdout.strip()
    assert link.startswith("https://t.me/")
    return link.partition("start=")[2]


_ANSWERS = {
    "en": ("june 2014", "right", "baseball", "none", "Chicago", "none"),
    "es": ("junio 2014", "derecho", "béisbol", "ninguna", "Chicago", "ninguna"),
}


def joined(remote: Remote, folder: Path, chat: int, lang: str, name: str) -> Writer:
    """A parent who has come in by an invitation and answered everything, in words."""
    writer = Writer(remote, chat, lang)
    writer.write(f"/start {invitation(folder)}")
    first = writer.next()[0]
    agree = next(iter(buttons(first).values()))
    writer.press(agree)
    writer.next()
    for words in (name, *_ANSWERS[lang]):
        writer.write(words)
        writer.next()
    return writer


@pytest.mark.parametrize(("lang", "chat"), [("en", 11), ("es", 12)])
def test_a_family_joins_asks_reports_and_is_cleared(
    telegram: tuple[Remote, str], running: Program, lang: str, chat: int
) -> None:
    """The whole way in both languages: the clinic learns of the report, and only it clears."""
    remote = telegram[0]
    name = NAMES[lang == "es"]
    writer = joined(remote, running.folder, chat, lang, name)
    asked = {
        "en": "he threw 62 yesterday, when can he pitch?",
        "es": "tiró 62 ayer, ¿cuándo puede?",
    }
    answer = writer.ask(asked[lang])
    assert "62" in answer
    assert "51-65" in answer
    staff = Writer(remote, 900)
    staff.read = len(staff.all())
    stop = {"en": "his elbow hurts", "es": "le duele el codo"}
    reply = writer.ask(stop[lang])
    opens = {"en": "No throwing today", "es": "Hoy no se lanza"}
    assert reply.startswith(opens[lang]), reply
    alert = staff.next()[0]
    assert name in alert["shown"]
    assert stop[lang] in alert["shown"]
    again = writer.ask({"en": "can he pitch tomorrow?", "es": "¿puede lanzar mañana?"}[lang])
    assert name in again
    pressed = buttons(alert)
    staff.press(pressed["I have read it"])
    assert staff.next()
    assert name in writer.next()[0]["shown"]
    staff.press(pressed["Clear to throw"])
    staff.press(buttons(staff.next()[0])["Yes, cleared"])
    assert name in staff.next()[0]["shown"]
    assert {"en": "has cleared", "es": "dio de alta"}[lang] in writer.next()[0]["shown"]


def test_staff_buttons_refuse_everybody_else(
    telegram: tuple[Remote, str], running: Program
) -> None:
    """A payload copied from the staff's chat does nothing in another."""
    remote = telegram[0]
    writer = joined(remote, running.folder, 21, "en", "Fen")
    staff = Writer(remote, 900)
    staff.read = len(staff.all())
    writer.ask("my elbow hurts when i throw")
    stolen = buttons(staff.next()[0])["Clear to throw"]
    writer.press(stolen)
    assert "earlier question" in writer.next()[0]["shown"]
    assert "on hold" in writer.ask("can he pitch saturday?")


def test_a_desk_that_may_not_clear_does_not(telegram: tuple[Remote, str], running: Program) -> None:
    """Its role is not among those of the clinic's file."""
    remote = telegram[0]
    writer = joined(remote, running.folder, 22, "en", "Gale")
    desk = Writer(remote, 901)
    desk.read = len(desk.all())
    writer.ask("his elbow hurts")
    desk.press(buttons(desk.next()[0])["Dar de alta"])
    assert "physician" in desk.next()[0]["shown"]
    assert "on hold" in writer.ask("can he pitch saturday?")


def test_without_an_invitation_only_danger_signs_are_answered(
    telegram: tuple[Remote, str], running: Program
) -> None:
    """A stranger is told how to get in; a hurt arm is never sent away."""
    assert running.process is not None
    writer = Writer(telegram[0], 31)
    assert "invitation" in writer.ask("/start")
    assert "invitation" in writer.ask("11, threw 62 tuesday, can he pitch?")
    assert writer.ask("his elbow popped and his fingers are numb").startswith("Stop throwing now")


def test_an_invitation_works_once(telegram: tuple[Remote, str], running: Program) -> None:
    """The second chat that brings it is a stranger."""
    code = invitation(running.folder)
    one, two = Writer(telegram[0], 41), Writer(telegram[0], 42)
    assert "invitation" not in one.ask(f"/start {code}")
    assert "invitation" in two.ask(f"/start {code}")


def test_an_edit_corrects_the_log_and_is_read_for_signs(
    telegram: tuple[Remote, str], running: Program
) -> None:
    """The outing of the old words is gone; a sign in the new ones holds."""
    remote = telegram[0]
    writer = joined(remote, running.folder, 51, "en", "Ira")
    first = said.text(51, "he threw 64 yesterday")
    remote.tell("push", {"updates": [first]})
    assert "64" in writer.next()[0]["shown"]
    number = first["message"]["message_id"]
    remote.tell("push", {"updates": [said.edit(51, "he threw 46 yesterday", number)]})
    assert "46" in writer.next()[0]["shown"]
    assert "46" in writer.ask("how many pitches in all?")
    remote.tell("push", {"updates": [said.edit(51, "he threw 46 and his elbow hurts", number)]})
    assert writer.next()[0]["shown"].startswith("No throwing today")


@pytest.mark.parametrize("make", ["voice", "sticker", "location", "contact"])
def test_pictures_and_voices_are_for_a_clinician(
    telegram: tuple[Remote, str], running: Program, make: str
) -> None:
    """A kind answer; nothing is kept."""
    assert running.process is not None
    remote = telegram[0]
    writer = joined(remote, running.folder, 60 + len(make), "en", "Jo")
    remote.tell("push", {"updates": [said.media(writer.chat, make)]})
    assert "clinician has to look" in writer.next()[0]["shown"]


def test_a_caption_is_read_as_text(telegram: tuple[Remote, str], running: Program) -> None:
    """A sign in it holds."""
    remote = telegram[0]
    writer = joined(remote, running.folder, 71, "en", "Kai")
    remote.tell("push", {"updates": [said.photo(71, "look, his elbow is swollen")]})
    shown = [sent["shown"] for sent in writer.next(count=2)]
    assert any(text.startswith(("No throwing", "Stop throwing")) for text in shown)


def test_a_group_gets_one_answer_for_ever(telegram: tuple[Remote, str], running: Program) -> None:
    """That this is for private chats."""
    assert running.process is not None
    writer = Writer(telegram[0], -500)
    remote = telegram[0]
    remote.tell("push", {"updates": [said.group_text(-500, "his elbow hurts")]})
    assert "private chats" in writer.next()[0]["shown"]
    remote.tell("push", {"updates": [said.group_text(-500, "hello?")]})
    other = Writer(remote, 81)
    other.ask("hello")
    assert len(writer.all()) == 1


def test_erasing_leaves_nothing_in_the_folder(
    telegram: tuple[Remote, str], running: Program
) -> None:
    """Asked once; then no file holds the nickname or the chat."""
    writer = joined(telegram[0], running.folder, 987654321, "en", "Thistlewick")
    writer.ask("he threw 40 yesterday")
    held = [
        p for p in running.folder.rglob("*") if p.is_file() and b"Thistlewick" in p.read_bytes()
    ]
    assert held
    writer.write("erase everything")
    sure = buttons(writer.next()[0])
    writer.press(next(iter(sure.values())))
    assert "gone" in writer.next()[0]["shown"]
    for path in (p for p in running.folder.rglob("*") if p.is_file()):
        content = path.read_bytes()
        assert b"Thistlewick" not in content, path
        assert b"987654321" not in content, path


def test_the_log_holds_no_token_no_words_and_no_names(running: Program) -> None:
    """After all that the tests above have written."""
    log = running.log
    for secret in (running.token, running.token.partition(":")[2], "elbow", "codo", *NAMES):
        assert secret not in log, log


def test_health_is_well_while_it_serves(running: Program) -> None:
    """And the command says so with its exit code."""
    until(lambda: keeping.read_health(running.folder) is not None)
    command = [sys.executable, "-m", "armbot", "health", "--data", str(running.folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout[:4]) == (0, "well")


def test_a_table_of_outings_is_taken_from_a_file(
    telegram: tuple[Remote, str], running: Program
) -> None:
    """Line by line, with what was wrong; its own export is what it reads."""
    remote = telegram[0]
    writer = joined(remote, running.folder, 91, "en", "Lou")
    table = "athlete,date,kind,pitches\nLou,2026-05-01,game,44\nLou,2026-13-01,game,5\n"
    held = base64.b64encode(table.encode()).decode()
    remote.tell("file", {"file_id": "table-1", "base64": held})
    sent = said.document(91, "outings.csv", "text/csv", len(table), file_id="table-1")
    remote.tell("push", {"updates": [sent]})
    report = writer.next()[0]["shown"]
    assert "2026-13-01" in report
    assert "44" in writer.ask("season total so far?")
