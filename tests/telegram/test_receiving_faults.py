"""Receiving through every fault of the line: it goes on, says little, or ends with a reason."""

from __future__ import annotations

import asyncio
import logging
from typing import Any

import pytest
import stand_in_support as updates
from receiving_support import TRIES, Station, until
from stand_in import TOKEN, StandIn
from telegram.error import Conflict, InvalidToken, NetworkError, RetryAfter, TimedOut

from armbot.channels.telegram.receiving import AnotherPoller, Polling, TokenRefused
from armbot.channels.telegram.trouble import LONGEST_PAUSE, Trouble

FAULTS: dict[str, dict[str, Any]] = {
    "token unknown": {"code": 401},
    "no such bot": {"code": 404},
    "another poller": {"code": 409},
    "told to wait": {"code": 429, "parameters": {"retry_after": 1}, "count": 1},
    "server error": {"code": 500},
    "gateway's page": {"how": "page"},
    "page of another code": {"how": "page", "code": 403},
    "garbage": {"how": "garbage"},
    "hangs": {"how": "deaf", "count": 1},
    "cut before": {"how": "refuse"},
    "cut after": {"how": "drop"},
}


@pytest.mark.parametrize("fault", FAULTS.values(), ids=list(FAULTS))
def test_receiving_goes_on_after_any_fault(
    fault: dict[str, Any], caplog: pytest.LogCaptureFixture
) -> None:
    """With updates waiting, all are handled; two log lines, none of them with a secret."""

    async def scene() -> None:
        async with StandIn() as server:
            station = Station(server)
            server.push(updates.text(1, "Sam's elbow"), updates.text(2, "62 tue"))
            server.fault("getUpdates", **{"count": 2, **fault})
            async with station.receiving():
                await until(lambda: len(server.confirmed) == 2, 6)
            assert station.words == ["Sam's elbow", "62 tue"]

    with caplog.at_level(logging.INFO, "armbot"):
        asyncio.run(scene())
    ours = [record.getMessage() for record in caplog.records if record.name.startswith("armbot")]
    assert [line.split(" (")[0][:24] for line in ours] == [
        "receiving: trouble begin",
        "receiving: works again a",
    ]
    assert not any(TOKEN in line or "elbow" in line for line in ours)


def test_receiving_goes_on_after_the_server_was_away() -> None:
    """Connections are refused for a while; then everything that waits is handled."""

    async def scene() -> None:
        async with StandIn() as server:
            station = Station(server)
            async with station.receiving() as receiver:
                await until(lambda: receiver.last_success, 2)
                await server.stop()
                await asyncio.sleep(0.3)
                assert receiver.silent_for() > 0.2
                server.push(updates.text(1, "sore"))
                await server.start()
                await until(lambda: station.words == ["sore"])
                assert receiver.silent_for() < 0.5

    asyncio.run(scene())


def test_an_answer_that_is_no_list_is_a_fault_like_any_other() -> None:
    """Such as a JSON answer of some other service behind the same address."""

    async def scene() -> None:
        async with StandIn() as server:
            station = Station(server)
            server.push(updates.text(1, "sore"))
            server.fault("getUpdates", "stranger", count=2)
            async with station.receiving():
                await until(lambda: station.words == ["sore"])
            assert len(server.calls_of("getUpdates")) > 2

    asyncio.run(scene())


@pytest.mark.parametrize(
    ("code", "error"), [(401, TokenRefused), (404, TokenRefused), (409, AnotherPoller)]
)
def test_what_does_not_pass_ends_the_process(code: int, error: type[Exception]) -> None:
    """Refused for as long as the setting says: a named error, in plain words, without the token."""

    async def scene() -> None:
        async with StandIn() as server:
            server.fault("getUpdates", code=code)
            await _run(server)

    with pytest.raises(error) as raised:
        asyncio.run(scene())
    assert str(code) in str(raised.value)
    assert TOKEN not in str(raised.value)


def test_two_processes_with_one_token_are_found_out() -> None:
    """They take turns, so each gets an answer now and then; it ends all the same."""

    async def scene() -> None:
        async with StandIn() as server:
            polling = Polling(hold=1, answer=0.3, first_pause=0.05, give_up_after=0.6)
            first = asyncio.create_task(_run(server, polling))
            second = asyncio.create_task(_run(server, polling))
            done, running = await asyncio.wait(
                {first, second}, timeout=5, return_when=asyncio.FIRST_EXCEPTION
            )
            for task in running:
                task.cancel()
            await asyncio.gather(*running, return_exceptions=True)
            assert all(isinstance(task.exception(), AnotherPoller) for task in done)
            assert done

    asyncio.run(scene())


async def _run(server: StandIn, polling: Polling | None = None) -> None:
    polling = polling or Polling(hold=1, answer=0.3, first_pause=0.02, give_up_after=0.2)
    station = Station(server)
    async with station.receiving(TRIES, polling):
        assert station.running
        await station.running


class TestTrouble:
    """The pauses, on a clock that the test turns."""

    now = 0.0

    def trouble(self) -> Trouble:
        """A line with the times of a real one."""
        return Trouble("receiving", 60.0, 1.0, lambda: self.now)

    def test_pauses_double_up_to_half_a_minute(self) -> None:
        """So the next try comes within 35 s after any fault has ended."""
        trouble = self.trouble()
        pauses = [trouble.pause(NetworkError("x"), 0.0) for _ in range(9)]
        assert pauses == [1, 2, 4, 8, 16, 30, 30, 30, 30]
        assert LONGEST_PAUSE == 30

    def test_a_request_that_hung_counts_as_a_pause(self) -> None:
        """After half a minute of silence the next request goes out at once."""
        trouble, longest = self.trouble(), Polling().hold + Polling().answer
        pauses = [trouble.pause(TimedOut(), longest) for _ in range(9)]
        assert max(pauses) + longest <= 35

    def test_the_server_is_obeyed(self) -> None:
        """429 with a time to wait: that time, and a little."""
        assert self.trouble().pause(RetryAfter(17), 0.0) == 17.5

    def test_a_fault_that_is_over_is_forgotten(self) -> None:
        """The next trouble begins with a short pause again."""
        trouble = self.trouble()
        for _ in range(5):
            trouble.pause(NetworkError("x"), 0.0)
        trouble.over()
        assert trouble.pause(NetworkError("x"), 0.0) == 1

    def test_a_refused_token_is_borne_for_a_while_and_in_a_row_only(self) -> None:
        """Any other answer in between starts the count anew."""
        trouble = self.trouble()
        for self.now in (0.0, 40.0):
            trouble.pause(InvalidToken("x"), 0.0)
        trouble.pause(NetworkError("x"), 0.0)
        for self.now in (70.0, 120.0):
            trouble.pause(InvalidToken("x"), 0.0)
        self.now = 130.0
        with pytest.raises(TokenRefused):
            trouble.pause(InvalidToken("x"), 0.0)

    def test_a_conflict_long_ago_does_not_count(self) -> None:
        """A restart that overlapped an hour ago is no second poller today."""
        trouble = self.trouble()
        trouble.pause(Conflict("x"), 0.0)
        for self.now in (5.0, 30.0):
            trouble.over()
        self.now = 3600.0
        assert trouble.pause(Conflict("x"), 0.0) <= 5

    def test_a_conflict_that_comes_and_goes_counts(self) -> None:
        """Two pollers take turns: an answer in between does not end the count."""
        trouble = self.trouble()
        for turn in range(6):
            self.now = turn * 10.0
            trouble.pause(Conflict("x"), 0.0)
            self.now += 5.0
            trouble.over()
        self.now = 60.0
        with pytest.raises(AnotherPoller):
            trouble.pause(Conflict("x"), 0.0)
