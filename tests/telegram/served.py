"""The real program on the stand-in server, each a process of its own, and who writes to it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import stand_in_support as said
from stand_in import TOKEN
from stand_in_control import Remote

from armbot.model.family import Athlete, Consent, Family, Member, Role
from armbot.model.people import BirthMonth
from armbot.store.base import NEW
from armbot.store.records import columns_of, family_from, to_document
from armbot.store.tiny import TinyStore

HERE = Path(__file__).parent
AGREED = Consent("test", datetime(2026, 1, 1, tzinfo=UTC))
RATES = "rates: {overall: 5000, chat: 1000, group: 1000}"
"""Limits of a server of one's own, so that tests need not wait for Telegram's."""


def family(name: str, chat: int, lang: str = "en", **told: Any) -> Family:
    """A family of one parent and one athlete of eleven, all agreed."""
    athlete = Athlete("a1", "Kit", BirthMonth(2015, 1), arm="right")
    member = Member(chat, Role.GUARDIAN, lang=lang, lang_chosen=True, consent=AGREED)
    return Family(name, zone="America/Chicago", athletes=(athlete,), members=(member,), **told)


def prepare(folder: Path, families: Sequence[Family]) -> None:
    """Put families into a data folder before the program starts."""
    with TinyStore(folder) as store:
        for one in families:
            store.commit(one.id, to_document(one), NEW, columns_of(one))


def kept(folder: Path) -> dict[str, Family]:
    """Every family in a data folder that no program uses."""
    with TinyStore(folder) as store:
        stored = {name: store.load(name) for name in store.families()}
    return {name: family_from(one.document) for name, one in stored.items() if one is not None}


@contextmanager
def server(*options: str) -> Iterator[tuple[Remote, str]]:
    """The stand-in server as a process: its door and its address."""
    command = [sys.executable, str(HERE / "stand_in.py"), *options]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        url = json.loads(process.stdout.readline())["url"]
        try:
            yield Remote(url), url
        finally:
            process.kill()


@dataclass
class Program:
    """``armbot serve`` as a process that can be killed and started again."""

    url: str
    folder: Path
    settings: str = f"trial: true\njoining: open\n{RATES}\n"
    env: dict[str, str] = field(default_factory=dict)
    token: str = TOKEN
    process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Start it; it serves a moment later."""
        file = self.folder.with_name(f"{self.folder.name}-settings.yaml")
        file.write_text(f"api: {self.url}\n{self.settings}", "utf-8")
        command = [sys.executable, "-m", "armbot", "serve"]
        command += ["--settings", str(file), "--data", str(self.folder)]
        env = {**os.environ, **self.env, "ARMBOT_TOKEN": self.token}
        with self.folder.with_name(f"{self.folder.name}.log").open("a") as log:
            self.process = subprocess.Popen(command, env=env, stderr=log, stdout=log, text=True)

    def kill(self) -> None:
        """End it at once, wherever it is."""
        assert self.process is not None
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()

    def stop(self, seconds: float = 15.0) -> int:
        """Ask it to end; its exit code."""
        assert self.process is not None
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(seconds)

    @property
    def log(self) -> str:
        """Everything it has logged."""
        return self.folder.with_name(f"{self.folder.name}.log").read_text("utf-8")


@contextmanager
def program(url: str, folder: Path, **told: Any) -> Iterator[Program]:
    """A program that is running, and is not any more at the end."""
    running = Program(url, folder, **told)
    running.start()
    try:
        yield running
    finally:
        if running.process is not None and running.process.poll() is None:
            running.kill()


@dataclass
class Writer:
    """Somebody with a phone: writes, presses, and reads what comes."""

    remote: Remote
    chat: int
    lang: str = "en"
    read: int = 0

    def write(self, words: str) -> None:
        """Send a message."""
        self.remote.tell("push", {"updates": [said.text(self.chat, words, lang=self.lang)]})

    def press(self, payload: str) -> None:
        """Press a button that carries this."""
        self.remote.tell("push", {"updates": [said.button(self.chat, payload)]})

    def all(self) -> list[dict[str, Any]]:
        """Everything that came to this chat."""
        return [sent for sent in self.remote.ask("sent") if sent["chat"] == self.chat]

    def next(self, seconds: float = 30.0, count: int = 1) -> list[dict[str, Any]]:
        """The next messages that were not read yet; AssertionError where none come."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            found = self.all()
            if len(found) >= self.read + count:
                new = found[self.read :]
                self.read = len(found)
                return new
            time.sleep(0.02)
        raise AssertionError(f"chat {self.chat}: {count} awaited, got {self.all()[self.read :]}")

    def ask(self, words: str) -> str:
        """Write, and give what comes back as it is shown."""
        self.write(words)
        return "\n---\n".join(sent["shown"] for sent in self.next())


def until(condition: Any, seconds: float = 20.0) -> None:
    """Wait until ``condition()`` is true; AssertionError where it does not become so."""
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)
