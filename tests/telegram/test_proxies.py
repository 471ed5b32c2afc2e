"""Proxies of the environment: used for the world outside, never for this machine."""

from __future__ import annotations

import asyncio
import traceback
from typing import TYPE_CHECKING

import pytest
from stand_in import TOKEN, StandIn
from transport_cases import error_of, free_port, ours, raw_server

from armbot.channels.telegram.transport import NotReadyError, never_left

if TYPE_CHECKING:
    from telegram.error import TelegramError


@pytest.fixture(autouse=True)
def _no_proxies(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever this machine's environment says (R28)."""
    for name in ("HTTP_PROXY", "HTTPS_PROXY", "ALL_PROXY", "NO_PROXY"):
        monkeypatch.delenv(name, raising=False)
        monkeypatch.delenv(name.lower(), raising=False)


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost"])
def test_proxies_do_not_touch_this_machine(monkeypatch: pytest.MonkeyPatch, host: str) -> None:
    """With every proxy variable pointing nowhere, a server on loopback is reached (R28)."""
    for name in ("HTTP_PROXY", "HTTPS_PROXY", "ALL_PROXY", "http_proxy", "https_proxy"):
        monkeypatch.setenv(name, f"http://127.0.0.1:{free_port()}")

    async def send() -> TelegramError | None:
        async with StandIn() as server:
            error = await error_of(ours(), server.base_url.replace("127.0.0.1", host))
            assert len(server.sent) == 1
            return error

    assert asyncio.run(send()) is None


@pytest.mark.parametrize(
    ("variable", "scheme", "line"),
    [
        ("HTTPS_PROXY", "https", b"CONNECT api.invalid:443 HTTP/1.1"),
        ("ALL_PROXY", "https", b"CONNECT api.invalid:443 HTTP/1.1"),
        ("http_proxy", "http", b"POST http://api.invalid/bot"),
    ],
)
def test_a_proxy_of_the_environment_is_used(
    monkeypatch: pytest.MonkeyPatch, variable: str, scheme: str, line: bytes
) -> None:
    """With its name and password; and when it will not connect, nothing was sent."""
    heads: list[bytes] = []

    async def deny(head: bytes, writer: asyncio.StreamWriter) -> None:
        heads.append(head)
        writer.write(b"HTTP/1.1 403 Forbidden\r\nContent-Length: 0\r\n\r\n")
        await writer.drain()

    async def send() -> TelegramError | None:
        async with raw_server(deny) as url:
            monkeypatch.setenv(variable, url.replace("http://", "http://me:secret@"))
            return await error_of(ours(), f"{scheme}://api.invalid/bot")

    error = asyncio.run(send())
    assert heads[0].startswith(line)
    assert b"Proxy-Authorization: Basic bWU6c2VjcmV0" in heads[0]
    assert error is not None
    assert never_left(error) == (scheme == "https")
    told = "".join(traceback.format_exception(error))
    assert TOKEN not in told
    assert "secret" not in told


def test_a_proxy_that_cannot_be_used_is_a_clear_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """A SOCKS proxy is not silently gone around."""
    monkeypatch.setenv("ALL_PROXY", "socks5://127.0.0.1:1080")
    error = asyncio.run(error_of(ours(), "https://api.invalid/bot"))
    assert error is not None
    assert "socks5" in str(error)
    assert isinstance(error.__cause__, NotReadyError)


def test_a_host_can_be_kept_from_the_proxy(monkeypatch: pytest.MonkeyPatch) -> None:
    """NO_PROXY is honoured: the name is looked up directly, and does not exist."""
    monkeypatch.setenv("HTTPS_PROXY", f"http://127.0.0.1:{free_port()}")
    monkeypatch.setenv("NO_PROXY", "other.invalid,.invalid")
    error = asyncio.run(error_of(ours(), "https://api.invalid/bot"))
    assert error is not None
    assert "api.invalid" in str(error)
    assert never_left(error)
