"""How ``armbot serve`` starts, stops, waits and fails, as whoever looks after it sees it."""

from __future__ import annotations

import json
import resource
import socket
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import stand_in_support as said
from conversation import grammar
from served import Program, Writer, family, kept, prepare, program, server, until

from armbot import keeping
from armbot.engine.reminders import remind
from armbot.model.family import Family, Quiet
from armbot.model.outings import Outing

if TYPE_CHECKING:
    from stand_in_control import Remote

RATES = "rates: {overall: 5000, chat: 1000, group: 1000}\n"


@pytest.fixture(scope="module")
def telegram() -> Iterator[tuple[Remote, str]]:
    """One stand-in server for the tests of this file."""
    with server() as found:
        yield found


def ended(url: str, folder: Path, seconds: float = 30, **told: Any) -> tuple[int, str]:
    """The exit code and the log of a program that ends by itself."""
    with program(url, folder, **told) as found:
        assert found.process is not None
        code = found.process.wait(seconds)
        return code, found.log


def test_a_wrong_token_ends_it_at_once(telegram: tuple[Remote, str], tmp_path: Path) -> None:
    """With 3 and a plain message, without the token."""
    wrong = "7000000001:AAwrongTokenThatOpensNothingAtAll000"
    code, log = ended(telegram[1], tmp_path / "data", token=wrong)
    assert code == 3, log
    assert "token" in log
    assert wrong not in log


@pytest.mark.parametrize(
    ("settings", "token", "words"),
    [
        ("trial: maybe\n", None, "settings.yaml:2: 'maybe' is neither true nor false"),
        ("", None, "not signed by a clinician"),
        ("trial: true\n", "", "no token"),
        ("trial: true\ncolour: red\n", None, "unknown key 'colour'"),
    ],
)
def test_settings_that_do_not_allow_a_start(
    tmp_path: Path, settings: str, token: str | None, words: str
) -> None:
    """Each ends with 2 and says what is wrong."""
    told: dict[str, Any] = {"settings": settings}
    if token is not None:
        told["token"] = token
    code, log = ended("http://127.0.0.1:9", tmp_path / "data", **told)
    assert code == 2, log
    assert words in log


def test_a_second_program_on_the_same_folder_is_refused(
    telegram: tuple[Remote, str], tmp_path: Path
) -> None:
    """With 2 and the folder's name; the first goes on."""
    with program(telegram[1], tmp_path / "data") as first:
        until(lambda: "serving" in first.log)
        second = Program(telegram[1], tmp_path / "data")
        second.start()
        assert second.process is not None
        assert second.process.wait(30) == 2
        assert f"another process is using the data folder {tmp_path / 'data'}" in second.log
        assert first.stop() == 0


def test_it_waits_for_a_network_that_is_not_there_yet(tmp_path: Path) -> None:
    """And ends at once when asked to."""
    with program("http://127.0.0.1:9", tmp_path / "data") as found:
        until(lambda: "trouble begins" in found.log)
        began = time.monotonic()
        assert found.stop() == 0
        assert time.monotonic() - began < 5


def test_told_to_stop_it_finishes_what_is_in_hand(tmp_path: Path) -> None:
    """Within five seconds; after the next start every message has its answer, once."""
    with server("--delay", "sendMessage=0.05") as (remote, url):
        folder = tmp_path / "data"
        prepare(folder, [family(f"f-{n}", 100 + n) for n in range(20)])
        with program(url, folder) as found:
            until(lambda: keeping.name_of(folder))
            updates = [said.text(100 + n % 20, f"he threw {30 + n} yesterday") for n in range(80)]
            remote.tell("push", {"updates": updates})
            time.sleep(0.3)
            began = time.monotonic()
            assert found.stop() == 0
            assert time.monotonic() - began < 5
            found.start()
            until(lambda: found.log.count("serving") > 1 and remote.ask("state")["sent"] >= 80)
            assert found.stop() == 0
        assert remote.ask("state")["sent"] == 80
        assert all(not one.outbox for one in kept(folder).values())


def due_now(now: datetime) -> tuple[Family, str]:
    """A family that lives where a reminder is due at this hour, and what it will be told."""
    outing = ("a1", Outing("o1", (now - timedelta(hours=30)).date(), pitches=40))
    for offset in range(-12, 13):
        one = replace(
            family("f-1", 5, outings=(outing,)),
            zone=f"Etc/GMT{offset:+d}",
            quiet=Quiet(0, 0),
            due=now - timedelta(minutes=70),
        )
        told = [m.text for m in remind(one, grammar().library, now).outbox]
        if len(told) == 1:
            return one, told[0].replace("**", "").partition("\n")[0]
    raise AssertionError("no reminder at any hour of the day")


def test_a_reminder_comes_by_itself_once(tmp_path: Path) -> None:
    """Also when the program is started again."""
    one, words = due_now(datetime.now(tz=UTC))
    prepare(tmp_path / "data", [one])
    with server() as (remote, url), program(url, tmp_path / "data") as found:
        reader = Writer(remote, 5)
        assert words in reader.next()[0]["shown"]
        assert found.stop() == 0
        found.start()
        until(lambda: found.log.count("serving") > 1)
        time.sleep(6)
        assert found.stop() == 0
        assert len(reader.all()) == 1


def test_a_full_disk_loses_nothing(tmp_path: Path) -> None:
    """While nothing can be written nothing is confirmed; then everything is answered, once.

    The limit on the size of files stands in for the disk: every write fails.
    """
    folder = tmp_path / "data"
    prepare(folder, [family(f"f-{n}", 100 + n) for n in range(5)])
    with server() as (remote, url), program(url, folder) as found:
        until(lambda: keeping.name_of(folder))
        assert found.process is not None
        before = resource.prlimit(found.process.pid, resource.RLIMIT_FSIZE)
        resource.prlimit(found.process.pid, resource.RLIMIT_FSIZE, (0, before[1]))
        updates = [said.text(100 + n, f"he threw {30 + n} yesterday") for n in range(5)]
        remote.tell("push", {"updates": updates})
        time.sleep(2)
        assert remote.ask("state")["sent"] == 0
        assert len(remote.ask("state")["pending"]) == 5
        resource.prlimit(found.process.pid, resource.RLIMIT_FSIZE, before)
        until(lambda: remote.ask("state")["sent"] >= 5, 40)
        assert found.stop() == 0
        assert remote.ask("state")["sent"] == 5
    counts = [len(one.outings) for one in kept(folder).values()]
    assert counts == [1] * 5


def test_a_folder_that_cannot_be_used_ends_it_with_a_message(
    telegram: tuple[Remote, str], tmp_path: Path
) -> None:
    """With 2, naming the folder; nobody is served from nowhere."""
    (tmp_path / "data").write_text("a file where a folder should be")
    code, log = ended(telegram[1], tmp_path / "data")
    assert code == 2, log
    assert str(tmp_path / "data") in log


def posted(port: int, update: dict[str, Any], secret: str) -> int:
    """What the program answers to a post at its webhook."""
    request = urllib.request.Request(
        f"http://127.0.0.1:{port}/in",
        json.dumps(update).encode(),
        {"Content-Type": "application/json", "X-Telegram-Bot-Api-Secret-Token": secret},
    )
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        return int(opener.open(request, timeout=20).status)
    except urllib.error.HTTPError as error:
        error.close()
        return int(error.code)


def test_a_webhook_takes_the_place_of_polling(tmp_path: Path) -> None:
    """200 once it is on disk; the same update again changes nothing; no secret, no entry."""
    secret = tmp_path / "secret"
    secret.write_text("s" * 32)
    secret.chmod(0o600)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    folder = tmp_path / "data"
    prepare(folder, [family("f-1", 5)])
    settings = (
        f"trial: true\n{RATES}"
        f"webhook: {{url: https://bot.example.org/in, port: {port}, secret_file: {secret}}}\n"
    )
    update = {"update_id": 77, **said.text(5, "he threw 40 yesterday")}
    with server() as (remote, url), program(url, folder, settings=settings) as found:
        until(lambda: "serving" in found.log)
        assert posted(port, update, "wrong") == 403
        assert posted(port, update, "s" * 32) == 200
        assert posted(port, update, "s" * 32) == 200
        until(lambda: remote.ask("state")["sent"] == 1)
        assert remote.ask("state")["webhook"]["url"] == "https://bot.example.org/in"
        assert found.stop() == 0
    assert [outing.pitches for _, outing in kept(folder)["f-1"].outings] == [40]


def test_a_record_that_cannot_be_read_lets_nobody_pass_for_new(tmp_path: Path) -> None:
    """A hold may be in it: staff are told, and its chat gets no answer about throwing."""
    folder = tmp_path / "data"
    prepare(folder, [family("f-1", 5), family("f-2", 6)])
    (record,) = folder.rglob("f-1.json")
    record.write_bytes(b"")
    settings = f"trial: true\njoining: open\nstaff: [{{chat: 900, role: physician}}]\n{RATES}"
    with server() as (remote, url), program(url, folder, settings=settings) as found:
        assert "f-1" in Writer(remote, 900).next()[0]["shown"]
        answer = Writer(remote, 5).ask("11, threw 62 tuesday, can he pitch saturday?")
        assert "Saturday" not in answer
        assert "clinic" in answer
        assert "62" in Writer(remote, 6).ask("kit threw 62 tuesday")
        assert "f-1" in found.log
        assert found.stop() == 0
