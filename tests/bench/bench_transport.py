"""How many messages a second go out over the library's own transport and over ours.

Run from the repository: ``python tests/bench/bench_transport.py``. The stand-in server runs
as a process of its own, on loopback, without TLS; so the table compares the transports with
each other and says nothing of Telegram. Each row sends for SECONDS through ``Bot.send_message``
and counts processor time of this process only.
"""

from __future__ import annotations

import asyncio
import json
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from telegram import Bot
from telegram.request import BaseRequest, HTTPXRequest

from armbot.channels.telegram.transport import AiohttpRequest

STAND_IN = Path(__file__).parents[1] / "telegram" / "stand_in.py"
TOKEN = "7000000002:AAbenchTokenThatOpensNothingAtAll00000"  # noqa: S105 - of no real bot
SECONDS = float(sys.argv[1]) if len(sys.argv) > 1 else 3.0
DELAYS = (0.0, 0.08)
"""Seconds that the server takes to answer a message: none, and about what a network takes."""
TEXT = "Not Friday. Saturday. 62 pitches at age 11 means 3 full rest days."


@dataclass(frozen=True, slots=True)
class Setup:
    """A transport, and how many messages are under way at once."""

    name: str
    in_flight: int

    def request(self) -> BaseRequest:
        """A fresh one; the library's own has a pool large enough that none waits for it."""
        if self.name == "aiohttp":
            return AiohttpRequest()
        return HTTPXRequest(connection_pool_size=max(256, self.in_flight))


SETUPS = [
    Setup("stock", 1),
    Setup("stock", 32),
    Setup("stock", 256),
    Setup("aiohttp", 1),
    Setup("aiohttp", 32),
    Setup("aiohttp", 256),
]


@contextmanager
def server(delay: float) -> Iterator[str]:
    """The stand-in server as a process; gives the base URL for the library."""
    command = [sys.executable, str(STAND_IN), "--token", TOKEN]
    command += ["--delay", f"sendMessage={delay}"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            yield json.loads(process.stdout.readline())["base_url"]
        finally:
            process.kill()


async def measure(setup: Setup, base_url: str) -> tuple[float, float]:
    """Messages a second, and processor time for each in microseconds."""
    sent = 0
    async with Bot(TOKEN, base_url=base_url, request=setup.request()) as bot:

        async def sender(chat: int, until: float) -> None:
            nonlocal sent
            while time.perf_counter() < until:
                await bot.send_message(chat, TEXT)
                sent += 1

        async def all_senders(seconds: float) -> None:
            until = time.perf_counter() + seconds
            await asyncio.gather(*(sender(1 + n, until) for n in range(setup.in_flight)))

        await all_senders(0.2)  # opens the connections
        sent = 0
        began, used = time.perf_counter(), time.process_time()
        await all_senders(SECONDS)
        took, used = time.perf_counter() - began, time.process_time() - used
    return sent / took, 1e6 * used / sent


def main() -> None:
    """Print the table."""
    print(f"Python {sys.version.split()[0]}, {SECONDS:.0f} s a row")
    print(f"{'transport':<10}{'in flight':>10}{'answer':>9}{'a second':>10}{'CPU each':>11}")
    for delay in DELAYS:
        with server(delay) as base_url:
            for setup in SETUPS:
                rate, cpu = asyncio.run(measure(setup, base_url))
                answer = f"{1000 * delay:.0f} ms"
                row = f"{setup.name:<10}{setup.in_flight:>10}{answer:>9}"
                print(f"{row}{rate:>10,.0f}{cpu:>8,.0f} µs", flush=True)


if __name__ == "__main__":
    main()
