"""Sending one message: what each answer of the Bot API comes to, and what arrives.

On the real library, against the stand-in server. Descriptions of refusals are from memory.
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pytest
from sender_on import WORDS, YES_NO, on, signed
from stand_in import TOKEN, StandIn
from stand_in_rules import Limits
from telegram.error import NetworkError, TelegramError, TimedOut
from transport_cases import free_port

from armbot.channels.telegram.limits import Limiter
from armbot.channels.telegram.sending import (
    Blocked,
    Moved,
    NeverLeft,
    NotFound,
    Outcome,
    Refused,
    Sender,
    Sent,
    TokenBad,
    Unknown,
    Wait,
    outcome_of,
)
from armbot.model.outbox import Urgency


@dataclass(frozen=True, eq=False)
class Case:
    """What the server does to every send, and what became of the message."""

    name: str
    outcome: Outcome
    how: str = "error"
    code: int = 0
    description: str = ""
    parameters: Mapping[str, Any] = field(default_factory=dict)
    requests: int = 1
    arrived: int = 0


def _bad(description: str, outcome: Outcome, requests: int = 1) -> Case:
    said = f"Bad Request: {description}"
    return Case(description, outcome, code=400, description=said, requests=requests)


def _forbidden(description: str) -> Case:
    said = f"Forbidden: {description}"
    return Case(description, Blocked(), code=403, description=said)


CASES = [
    Case("flood", Wait(7), code=429, description="Flood", parameters={"retry_after": 7}),
    _forbidden("bot was blocked by the user"),
    _forbidden("user is deactivated"),
    _forbidden("bot was kicked from the group chat"),
    _forbidden("bot can't initiate conversation with a user"),
    _bad("chat not found", NotFound()),
    _bad("user not found", NotFound()),
    _bad("user is deactivated", NotFound()),
    _bad("PEER_ID_INVALID", NotFound()),
    _bad("can't parse entities: unsupported start tag", Refused("formatting"), requests=2),
    _bad("BUTTON_DATA_INVALID", Refused("buttons"), requests=2),
    _bad("message is too long", Refused("too long")),
    _bad("message text is empty", Refused("empty")),
    _bad("not enough rights to send text messages to the chat", Refused("no right")),
    _bad("SOMETHING_NEW", Refused("other"), requests=2),
    Case("moved", Moved(-1009), code=400, parameters={"migrate_to_chat_id": -1009}),
    Case("wrong token", TokenBad(), code=401),
    Case("no such bot", TokenBad(), code=404),
    Case("server error", Unknown("server error"), code=500),
    Case("gateway page", Unknown("server error"), how="page"),
    Case("garbage", Unknown("garbage"), how="garbage"),
    Case("accepted, then silent", Unknown("time-out"), how="hang", arrived=1),
    Case("silent", Unknown("time-out"), how="deaf"),
    Case("accepted, then cut", Unknown("cut off"), how="drop", arrived=1),
    Case("cut", Unknown("cut off"), how="refuse"),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_every_answer_has_one_meaning(case: Case, caplog: pytest.LogCaptureFixture) -> None:
    """Each answer of the table comes to its outcome, and no more is asked than told (R23)."""
    caplog.set_level(logging.DEBUG, "armbot")

    async def send(sender: Sender, server: StandIn) -> tuple[Outcome, int, int]:
        told = {"description": case.description, "parameters": case.parameters}
        server.fault("sendMessage", case.how, code=case.code, **told)
        outcome = await sender.send(5, WORDS, YES_NO, signed)
        return outcome, len(server.calls), len(server.sent)

    assert on(send) == (case.outcome, case.requests, case.arrived)
    ours_told = [r.getMessage() for r in caplog.records if r.name.startswith("armbot")]
    assert not [told for told in ours_told if "Ana" in told or TOKEN in told]


def test_a_refused_connection_never_left() -> None:
    """Nobody listens: safe to repeat (R21)."""

    async def send(sender: Sender, _server: StandIn) -> Outcome:
        return await sender.send(5, WORDS, (), signed)

    assert on(send, base_url=f"http://127.0.0.1:{free_port()}/bot") == NeverLeft()


def test_a_wrong_token_is_told() -> None:
    """By the server's own check, both of a token's forms."""

    async def send(sender: Sender, _server: StandIn) -> Outcome:
        return await sender.send(5, WORDS, (), signed)

    assert on(send, token="7:wrong") == TokenBad()  # noqa: S106 - of no bot
    assert on(send, token="wrong") == TokenBad()  # noqa: S106


@pytest.mark.parametrize(
    ("error", "outcome"),
    [
        (TimedOut(), Unknown("time-out")),
        (NetworkError("Bad Gateway (502)"), Unknown("server error")),
        (TelegramError("Invalid server response"), Unknown("garbage")),
        (KeyError("message_id"), Unknown("garbage")),
    ],
)
def test_what_is_not_known_is_never_called_safe(error: Exception, outcome: Outcome) -> None:
    """Where nothing proves that it stayed here, it may have arrived (R20)."""
    assert outcome_of(error) == outcome


def test_a_fault_in_one_part_leaves_the_others_alone() -> None:
    """Part two of three times out; one and three arrive, in order (R22)."""

    async def send(sender: Sender, server: StandIn) -> tuple[Sequence[Outcome], list[str]]:
        server.fault("sendMessage", "deaf", count=1, skip=1)
        found = [await sender.send(5, f"part {n}", (), signed) for n in (1, 2, 3)]
        return found, [sent.text for sent in server.sent]

    outcomes, arrived = on(send)
    assert outcomes == [Sent(1), Unknown("time-out"), Sent(2)]
    assert arrived == ["part 1", "part 3"]


@pytest.mark.parametrize(
    ("state", "outcome"),
    [
        ("blocked", Blocked()),
        ("deactivated", Blocked()),
        ("kicked", Blocked()),
        ("missing", NotFound()),
    ],
)
def test_a_chat_that_is_gone_is_told(state: str, outcome: Outcome) -> None:
    """As the server itself refuses such chats; another chat is not touched by it."""

    async def send(sender: Sender, server: StandIn) -> list[Outcome]:
        server.world.chats[5] = state
        return [await sender.send(chat, WORDS, (), signed) for chat in (5, 6)]

    assert on(send) == [outcome, Sent(1)]


def test_a_group_that_moved_tells_its_new_number() -> None:
    """The caller moves what belongs to it; nothing was sent."""

    async def send(sender: Sender, server: StandIn) -> tuple[Outcome, int]:
        server.world.moved[-7] = -1007
        return await sender.send(-7, WORDS, (), signed), len(server.sent)

    assert on(send) == (Moved(-1007), 0)


@pytest.mark.parametrize("how", ["error", "page", "garbage", "deaf", "drop"])
def test_the_small_courtesies_never_raise(how: str) -> None:
    """A button that goes on spinning is no reason to stop anything."""

    async def both(sender: Sender, server: StandIn) -> list[str]:
        server.fault("*", how, code=400)
        await sender.answer_button("4")
        await sender.clear_buttons(5, 9)
        return [call.method for call in server.calls]

    assert on(both) == ["answerCallbackQuery", "editMessageReplyMarkup"]


def test_the_small_courtesies_do_what_they_say() -> None:
    """The press is answered, and the message has no buttons any more."""

    async def both(sender: Sender, server: StandIn) -> StandIn:
        await sender.answer_button("4")
        await sender.clear_buttons(5, 9)
        return server

    world = on(both).world
    assert [answered["callback_query_id"] for answered in world.answered] == ["4"]
    (edited,) = world.edited
    assert (edited["chat_id"], edited["message_id"]) == (5, 9)
    assert "reply_markup" not in edited


def test_a_cancelled_send_is_cancelled() -> None:
    """A stop of the process is not taken for an outcome."""

    async def send(sender: Sender, server: StandIn) -> None:
        server.fault("sendMessage", "deaf")
        task = asyncio.create_task(sender.send(5, WORDS, (), signed))
        await asyncio.sleep(0.05)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task

    on(send)


def test_answers_are_quick_while_reminders_drain_at_the_servers_limits() -> None:
    """In real time, the server counting as Telegram does: no refusal, answers under 1 s (R25)."""
    late: list[float] = []

    async def drain(sender: Sender, server: StandIn) -> list[Outcome]:
        server.world.limits = Limits()
        limiter = Limiter()

        async def one(chat: int, urgency: Urgency, at: float) -> Outcome:
            await asyncio.sleep(at)
            asked = time.monotonic()
            while True:
                wait = limiter.wait(chat, urgency, time.monotonic())
                if not wait:
                    break
                await asyncio.sleep(wait)
            limiter.took(chat, urgency, time.monotonic())
            outcome = await sender.send(chat, WORDS, (), signed)
            if urgency <= Urgency.REPLY:
                late.append(time.monotonic() - asked)
            return outcome

        reminders = [one(100 + n, Urgency.REMINDER, 0) for n in range(45)]
        answers = [one(1 + n // 3, Urgency.SAFETY, 0.3 * (n // 3)) for n in range(15)]
        return await asyncio.gather(*reminders, *answers)

    outcomes = on(drain)
    assert [type(outcome) for outcome in outcomes] == [Sent] * 60
    assert len(late) == 15
    assert max(late) < 1
