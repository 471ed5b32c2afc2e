"""What becomes of messages that lie ready: order, limits, and each kind of failure.

The outcomes are those of tests/telegram/test_sending.py; here is what follows from them.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

import pytest
from stand_in import TOKEN, StandIn
from stand_in_faults import How

from armbot import outbox as module
from armbot.channels.telegram.client import make_bot
from armbot.channels.telegram.limits import Limiter, Rates
from armbot.channels.telegram.sending import Attachment, Sender
from armbot.model.outbox import Outgoing, Ready, Urgency
from armbot.outbox import Outbox, TokenRefused

AT = datetime(2026, 6, 10, 19, 0, tzinfo=UTC)
FAST = Rates(overall=1000, reserved=10, chat=1000.0, burst=100)


@dataclass
class Shelf:
    """Messages by family and key, and what was done with them."""

    kept: dict[tuple[str, str], Outgoing] = field(default_factory=dict)
    done: list[str] = field(default_factory=list)
    gone: list[int] = field(default_factory=list)

    def put(self, *messages: Outgoing, family: str = "f-1") -> Ready:
        """Messages of a family, as a commit leaves them."""
        self.kept |= {(family, m.key): m for m in messages}
        return self.ready(family)

    def ready(self, family_id: str) -> Ready:
        """See armbot.outbox.Shelf."""
        return Ready(family_id, tuple(m for (f, _), m in self.kept.items() if f == family_id))

    def claim(self, family_id: str, key: str) -> Outgoing | None:
        """See there."""
        found = self.kept.get((family_id, key))
        if found is not None:
            self.kept[family_id, key] = found = replace(found, claimed=True)
        return found

    def current(self, family_id: str, key: str) -> Outgoing | None:
        """See there."""
        return self.kept.get((family_id, key))

    def remove(self, family_id: str, keys: frozenset[str]) -> None:
        """See there."""
        for key in keys:
            self.kept.pop((family_id, key), None)
            self.done.append(key)

    def done_with(self, family_id: str, key: str) -> bool:
        """See there."""
        return (family_id, key) not in self.kept and key in self.done

    def unreachable(self, family_id: str, chat: int) -> None:
        """See there."""
        self.gone.append(chat)
        self.kept = {k: m for k, m in self.kept.items() if k[0] != family_id or m.chat != chat}

    def moved(self, family_id: str, chat: int, new: int) -> None:
        """See there."""
        for key, message in self.kept.items():
            if key[0] == family_id and message.chat == chat:
                self.kept[key] = replace(message, chat=new)


def message(key: str, urgency: Urgency = Urgency.REPLY, chat: int = 5, **told: object) -> Outgoing:
    """One message whose text is its key."""
    return replace(Outgoing(key, chat, urgency, key, AT), **told)  # type: ignore[arg-type]


@dataclass
class Desk:
    """An outbox at work on the stand-in server."""

    server: StandIn
    shelf: Shelf
    outbox: Outbox
    running: asyncio.Task[None]
    files: dict[str, Attachment]

    def offer(self, *messages: Outgoing, family: str = "f-1") -> None:
        """Lay messages ready and tell the outbox."""
        self.outbox.offer(self.shelf.put(*messages, family=family))

    async def until_empty(self, seconds: float = 5.0) -> list[str]:
        """Wait until nothing waits; the texts that arrived, in order."""
        end = time.monotonic() + seconds
        while self.outbox.waiting and time.monotonic() < end and not self.running.done():  # noqa: ASYNC110
            await asyncio.sleep(0.01)
        return self.texts

    @property
    def texts(self) -> list[str]:
        """The texts that arrived so far."""
        return [sent.shown for sent in self.server.sent]


@asynccontextmanager
async def desk(rates: Rates = FAST, read: float | None = None) -> AsyncIterator[Desk]:
    """An outbox, its shelf and a server; ``read`` is how long an answer is waited for."""
    async with StandIn() as server, make_bot(TOKEN, server.url, 20, read=read) as bot:
        shelf = Shelf()
        files: dict[str, Attachment] = {}
        outbox = Outbox(
            shelf,
            Sender(bot),
            Limiter(rates),
            lambda _, act: act,
            lambda _, message: files.get(message.attach),
            lambda: AT,
        )
        running = asyncio.ensure_future(outbox.run())
        try:
            yield Desk(server, shelf, outbox, running, files)
        finally:
            running.cancel()
            with suppress(asyncio.CancelledError, TokenRefused):
                await running


@pytest.fixture(autouse=True)
def _short_pauses(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_PAUSES", (0.02, 0.03))


def test_a_message_goes_out_once_and_leaves_the_record() -> None:
    """However often it is offered."""

    async def run() -> None:
        async with desk() as here:
            here.offer(message("one"))
            here.offer(message("one"))
            assert await here.until_empty() == ["one"]
            assert here.shelf.done == ["one"]
            assert here.outbox.counts.sent == 1

    asyncio.run(run())


def test_in_a_chat_the_most_urgent_goes_first_and_the_rest_in_order() -> None:
    """Safety before alerts before replies before reminders."""

    async def run() -> None:
        async with desk() as here:
            here.offer(
                message("remind", Urgency.REMINDER),
                message("reply 1"),
                message("reply 2"),
                message("alert", Urgency.ALERT),
                message("safety", Urgency.SAFETY),
            )
            assert await here.until_empty() == ["safety", "alert", "reply 1", "reply 2", "remind"]

    asyncio.run(run())


@pytest.mark.parametrize("how", [How.HANG, How.DROP])
@pytest.mark.parametrize(
    ("urgency", "arrived"),
    [
        (Urgency.SAFETY, 2),
        (Urgency.ALERT, 2),
        (Urgency.REPLY, 2),
        (Urgency.REMINDER, 1),
        (Urgency.BROADCAST, 1),
    ],
)
def test_what_may_have_arrived_is_repeated_only_where_it_may_be(
    how: How, urgency: Urgency, arrived: int
) -> None:
    """The server took the message and its answer was lost."""

    async def run() -> None:
        async with desk(read=0.2) as here:
            here.server.fault("sendMessage", how, count=1)
            here.offer(message("m", urgency))
            assert await here.until_empty() == ["m"] * arrived
            assert here.shelf.kept == {}
            assert here.outbox.counts.let_go == (arrived == 1)

    asyncio.run(run())


def test_a_reminder_that_was_under_way_at_the_end_is_not_said_again() -> None:
    """It is marked on disk before its only attempt."""

    async def run() -> None:
        async with desk() as here:
            here.offer(message("m", Urgency.REMINDER, claimed=True), message("next"))
            assert await here.until_empty() == ["next"]
            assert here.outbox.counts.let_go == 1

    asyncio.run(run())


def test_what_never_left_goes_when_the_line_is_back() -> None:
    """Once, be it a reminder."""

    async def run() -> None:
        async with desk() as here:
            await here.server.stop()
            here.offer(message("m", Urgency.REMINDER))
            await asyncio.sleep(0.2)
            await here.server.start()
            assert await here.until_empty() == ["m"]

    asyncio.run(run())


def test_minutes_of_502_lose_no_reply() -> None:
    """A page instead of an answer may hide a message that arrived; a safety message goes on."""

    async def run() -> None:
        async with desk() as here:
            here.server.fault("sendMessage", How.PAGE, count=4)
            here.offer(message("m", Urgency.SAFETY))
            assert await here.until_empty() == ["m"]

    asyncio.run(run())


def test_too_many_is_waited_out_and_order_kept() -> None:
    """429 with a time: nothing to that chat before it is over, then what waits in order."""

    async def run() -> None:
        async with desk() as here:
            here.server.fault(
                "sendMessage", code=429, parameters={"retry_after": 1}, count=1, chat=5
            )
            began = time.monotonic()
            here.offer(message("one"), message("two"))
            here.offer(message("other", chat=6), family="f-2")
            assert await here.until_empty() == ["other", "one", "two"]
            assert time.monotonic() - began >= 1

    asyncio.run(run())


def test_a_blocked_chat_gets_nothing_more() -> None:
    """The record learns of it; other chats are served."""

    async def run() -> None:
        async with desk() as here:
            here.server.world.chats[5] = "blocked"
            here.offer(message("one"), message("two"), message("other", chat=6))
            assert await here.until_empty() == ["other"]
            assert here.shelf.gone == [5]
            assert here.shelf.kept == {}

    asyncio.run(run())


def test_a_chat_that_moved_is_followed() -> None:
    """Under its new number, once."""

    async def run() -> None:
        async with desk() as here:
            here.server.world.moved[-5] = -100
            here.offer(message("m", chat=-5))
            assert await here.until_empty() == ["m"]
            assert here.server.sent[0].chat == -100

    asyncio.run(run())


def test_a_message_taken_back_meanwhile_is_not_sent() -> None:
    """A hold came after the answer was written and before it went."""

    async def run() -> None:
        async with desk() as here:
            ready = here.shelf.put(message("go ahead", grants=True), message("other"))
            here.shelf.kept["f-1", "go ahead"] = message("go ahead", text="on hold")
            here.outbox.offer(ready)
            assert await here.until_empty() == ["on hold", "other"]

    asyncio.run(run())


def test_what_is_of_no_use_any_more_is_let_go() -> None:
    """Its time is over before its turn comes."""

    async def run() -> None:
        async with desk() as here:
            here.offer(message("late", until=AT - timedelta(hours=1)), message("next"))
            assert await here.until_empty() == ["next"]
            assert here.shelf.done == ["late", "next"]

    asyncio.run(run())


def test_a_long_text_arrives_in_parts_in_order() -> None:
    """And where the answer to one part is lost, the parts after it still arrive."""

    async def run() -> None:
        async with desk(read=0.2) as here:
            text = "\n\n".join(f"{n} " + "word " * 700 for n in range(3))
            here.server.fault("sendMessage", How.HANG, count=1, skip=1)
            here.offer(message("m", text=text))
            texts = await here.until_empty()
            assert [t[0] for t in texts] == ["0", "1", "1", "2"]

    asyncio.run(run())


@pytest.mark.parametrize(
    ("words", "caption", "texts"),
    [
        ("", "", [""]),
        ("below", "", ["below"]),
        ("below", "chart", ["chart\n\nbelow"]),
        ("x" * 1000, "y" * 100, ["", "y" * 100 + "\n\n" + "x" * 1000]),
    ],
)
def test_a_file_arrives_with_its_words(words: str, caption: str, texts: list[str]) -> None:
    """Below it where they fit, after it where they do not: neither is lost."""

    async def run() -> None:
        async with desk() as here:
            here.files["m"] = Attachment("a.csv", b"1,2", "document", caption)
            here.offer(message("m", text=words, attach="m"))
            assert await here.until_empty() == texts
            assert [bool(sent.files) for sent in here.server.sent] == [True, False][: len(texts)]

    asyncio.run(run())


def test_a_refused_token_ends_the_sending() -> None:
    """For the process to end and say so; the message stays in the record."""

    async def run() -> None:
        async with desk() as here:
            here.server.fault("sendMessage", code=401)
            here.offer(message("m"))
            with pytest.raises(TokenRefused):
                await asyncio.wait_for(asyncio.shield(here.running), 2)
            assert ("f-1", "m") in here.shelf.kept

    asyncio.run(run())


def test_an_alert_does_not_wait_behind_reminders() -> None:
    """A thousand reminders queued at 200 a second: the alert is there within a second."""

    async def run() -> None:
        async with desk(Rates(overall=200, reserved=20, chat=1.0)) as here:
            for n in range(1000):
                here.offer(message(f"r{n}", Urgency.REMINDER, chat=1000 + n), family=f"f-{n}")
            await asyncio.sleep(0.5)
            asked = time.monotonic()
            here.offer(message("alert", Urgency.ALERT, chat=9), family="f-9999")
            while "alert" not in here.texts:
                assert time.monotonic() - asked < 1
                await asyncio.sleep(0.005)
            assert len(here.texts) < 300

    asyncio.run(run())
