"""The transport: the errors of the library's own, and whether a request may be repeated.

Each fault is put to python-telegram-bot's own transport and to ours, on the same stand-in
server; the library's own is the reference.
"""

from __future__ import annotations

import asyncio
import socket
import traceback
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from stand_in import TOKEN, StandIn
from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup
from telegram.error import NetworkError, TelegramError, TimedOut
from transport_cases import (
    CASES,
    SAID,
    Case,
    error_of,
    free_port,
    met,
    ours,
    ours_met,
    raw_server,
    stock,
)

from armbot.channels.telegram.transport import AiohttpRequest, Timeouts, never_left

if TYPE_CHECKING:
    from telegram.request import BaseRequest


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_errors_are_those_of_the_librarys_own_transport(case: Case) -> None:
    """The same class and the same particulars for every fault, and the same arrives (R23)."""
    reference, arrived = asyncio.run(met(case, stock()))
    error, ours_arrived = ours_met(case)
    assert type(error) is type(reference)
    assert type(error).__name__ == case.expected
    assert arrived == ours_arrived == case.arrived
    for particular in ("retry_after", "new_chat_id"):
        assert getattr(error, particular, None) == getattr(reference, particular, None)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_what_reached_the_server_is_never_called_safe_to_repeat(case: Case) -> None:
    """Any answer, no answer in time and a cut connection may all mean that it arrived (R20)."""
    error, _ = ours_met(case)
    assert not never_left(error)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_no_error_tells_the_token_or_the_text(case: Case) -> None:
    """Not in its words, nor in a traceback of it and of all that caused it."""
    error, _ = ours_met(case)
    told = "".join(traceback.format_exception(error))
    assert TOKEN not in told
    assert SAID not in told
    assert "<html" not in told


def _refused() -> TelegramError | None:
    return asyncio.run(error_of(ours(), f"http://127.0.0.1:{free_port()}/bot"))


def _connect_times_out() -> TelegramError | None:
    """A server whose queue of connections is full: the next one gets no answer at all."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen(0)
        waiting = [socket.socket() for _ in range(3)]
        for one in waiting:
            one.settimeout(0)
            one.connect_ex(listening.getsockname())
        port = listening.getsockname()[1]
        error = asyncio.run(error_of(ours(), f"http://127.0.0.1:{port}/bot"))
        for one in waiting:
            one.close()
    return error


def _pool_is_full() -> TelegramError | None:
    async def second_of_two() -> TelegramError:
        patient = Timeouts(read=2, connect=0.1, pool=0.1)
        async with StandIn() as server, AiohttpRequest(1, patient) as request:
            server.faults.delays["sendMessage"] = 0.5
            bot = Bot(TOKEN, base_url=server.base_url, request=request)
            first = asyncio.create_task(bot.send_message(5, "first"))
            await asyncio.sleep(0.05)
            with pytest.raises(TimedOut) as second:
                await bot.send_message(5, "second")
            await first
            assert [sent.text for sent in server.sent] == ["first"]
        return second.value

    return asyncio.run(second_of_two())


def _not_initialized() -> TelegramError | None:
    async def send() -> TelegramError:
        with pytest.raises(NetworkError) as found:
            await Bot(TOKEN, request=ours()).send_message(5, SAID)
        return found.value

    return asyncio.run(send())


@pytest.mark.parametrize(
    ("fault", "expected"),
    [
        (_refused, NetworkError),
        (_connect_times_out, TimedOut),
        (_pool_is_full, TimedOut),
        (_not_initialized, NetworkError),
    ],
)
def test_what_never_left_is_known_to_be_safe(
    fault: Callable[[], TelegramError | None], expected: type[TelegramError]
) -> None:
    """Refused, not connected in time, no place in the pool: nothing was sent (R21)."""
    error = fault()
    assert type(error) is expected
    assert never_left(error)
    assert error.__cause__ is not None
    assert TOKEN not in "".join(traceback.format_exception(error))


def test_a_server_that_takes_nothing_in_does_not_hold_us_for_ever() -> None:
    """A large file to a server that stops reading ends in time, with unknown outcome."""

    async def upload() -> TelegramError:
        over = asyncio.Event()

        async def never(_head: bytes, _writer: asyncio.StreamWriter) -> None:
            await over.wait()

        async with raw_server(never) as url, ours() as request:
            bot = Bot(TOKEN, base_url=f"{url}/bot", request=request)
            with pytest.raises(TimedOut) as found:
                await asyncio.wait_for(bot.send_document(5, bytes(30_000_000)), 5)
            over.set()
            await asyncio.sleep(0.05)  # both ends close
            return found.value

    assert not never_left(asyncio.run(upload()))


async def _what_arrives(request: BaseRequest) -> tuple[list[Any], list[Any]]:
    buttons = InlineKeyboardMarkup([[InlineKeyboardButton("Sí & no", callback_data="a:b=1")]])
    words = "¿Qué tal? 1 + 1 = 2 & 100 % <b>ñ</b> 😀\n\n; end"
    async with StandIn() as server, request:
        bot = Bot(TOKEN, base_url=server.base_url, request=request)
        await bot.send_message(5, words, parse_mode="HTML", reply_markup=buttons)
        picture = b"\x89PNG\r\n\x00\xff"
        await bot.send_photo(5, picture, filename="chart.png", caption=words, reply_markup=buttons)
        await bot.send_document(-7, b"BEGIN:VCALENDAR\r\n", filename="rest days.ics")
        await bot.get_me()
        return [(c.method, c.said) for c in server.calls], [sent.files for sent in server.sent]


def test_the_server_reads_the_same_parameters_and_files() -> None:
    """Forms and uploads arrive as those of the library's own transport do."""
    assert asyncio.run(_what_arrives(ours())) == asyncio.run(_what_arrives(stock()))


def test_half_a_character_is_no_error() -> None:
    """A lone surrogate has no UTF-8; the message arrives with a "?" in its place (G03)."""

    async def send() -> list[str]:
        async with StandIn() as server, ours() as request:
            bot = Bot(TOKEN, base_url=server.base_url, request=request)
            await bot.send_message(5, "half \ud83d of it")
            await bot.send_document(5, b"x", caption="half \ud83d")
            return [sent.text for sent in server.sent]

    assert asyncio.run(send()) == ["half ? of it", "half ?"]


def test_it_can_be_shut_down_and_initialized_again() -> None:
    """As the library does between runs; in between, it says that it is not initialized."""

    async def twice() -> None:
        request = ours()
        async with StandIn() as server:
            bot = Bot(TOKEN, base_url=server.base_url, request=request)
            for _ in range(2):
                await request.initialize()
                await request.initialize()
                await bot.send_message(5, SAID)
                await request.shutdown()
                with pytest.raises(NetworkError, match="not initialized"):
                    await bot.send_message(5, SAID)
            assert len(server.sent) == 2

    asyncio.run(twice())


def test_many_messages_are_under_way_side_by_side() -> None:
    """200 sends to a server that takes 0.1 s each take far less than 20 s together."""

    async def all_at_once() -> int:
        async with StandIn() as server, ours(Timeouts()) as request:
            server.faults.delays["sendMessage"] = 0.1
            bot = Bot(TOKEN, base_url=server.base_url, request=request)
            async with asyncio.timeout(5):
                await asyncio.gather(*(bot.send_message(n, "x") for n in range(1, 201)))
            return len({sent.chat for sent in server.sent})

    assert asyncio.run(all_at_once()) == 200


def test_a_redirect_is_not_followed() -> None:
    """The token goes to no other address than the one that was set."""
    heads: list[bytes] = []

    async def elsewhere(head: bytes, writer: asyncio.StreamWriter) -> None:
        heads.append(head)
        writer.write(b"HTTP/1.1 302 Found\r\nLocation: /other\r\n")
        writer.write(b"Connection: close\r\nContent-Length: 0\r\n\r\n")
        await writer.drain()

    async def send() -> TelegramError | None:
        async with raw_server(elsewhere) as url:
            return await error_of(ours(), f"{url}/bot")

    assert type(asyncio.run(send())) is NetworkError
    assert len(heads) == 1


@pytest.mark.parametrize(
    "body", [b"[]", b'"x"', b"null", b'{"ok": false, "parameters": 3}', b"", b"\xff{"]
)
def test_an_odd_body_of_an_error_is_still_that_error(body: bytes) -> None:
    """Where the library's own transport would fail with an AttributeError."""

    async def odd(_head: bytes, writer: asyncio.StreamWriter) -> None:
        head = f"HTTP/1.1 403 Forbidden\r\nContent-Length: {len(body)}\r\n\r\n".encode()
        writer.write(head + body)
        await writer.drain()

    async def send() -> TelegramError | None:
        async with raw_server(odd) as url:
            return await error_of(ours(), f"{url}/bot")

    assert type(asyncio.run(send())).__name__ == "Forbidden"


@pytest.mark.parametrize("payload", [b"", b"null", b"[]", b"{}", b'{"ok": true}', b"\xff"])
def test_an_answer_that_is_none_of_the_api_is_said_to_be_invalid(payload: bytes) -> None:
    """Rather than a KeyError somewhere else."""
    with pytest.raises(TelegramError, match="Invalid server response"):
        AiohttpRequest.parse_json_payload(payload)


def test_a_lone_surrogate_in_an_answer_is_read() -> None:
    """One odd message must not spoil the batch it comes in (a stricter parser refuses it)."""
    answer = AiohttpRequest.parse_json_payload(b'{"ok": true, "result": "\\ud83d"}')
    assert answer["result"] == "\ud83d"
