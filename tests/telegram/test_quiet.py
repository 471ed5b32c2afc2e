"""No log record of this process tells the token or what a family is told."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import pytest
from stand_in import TOKEN
from transport_cases import CASES, SAID, met, ours, stock

from armbot.channels.telegram.transport import quiet_logs

if TYPE_CHECKING:
    from telegram.request import BaseRequest


@pytest.fixture
def _logs_as_before() -> Iterator[None]:
    """Loggers as they come; and what quiet_logs changes is changed back."""
    factory = logging.getLogRecordFactory()
    names = ("aiohttp", "httpcore", "httpx", "telegram")
    levels = {name: logging.getLogger(name).level for name in names}
    logging.setLogRecordFactory(logging.LogRecord)
    for name in names:
        logging.getLogger(name).setLevel(logging.NOTSET)
    yield
    logging.setLogRecordFactory(factory)
    for name, level in levels.items():
        logging.getLogger(name).setLevel(level)


@pytest.mark.usefixtures("_logs_as_before")
@pytest.mark.parametrize("make", [ours, stock])
def test_no_log_record_tells_the_token_or_the_text(
    make: Callable[[], BaseRequest], caplog: pytest.LogCaptureFixture
) -> None:
    """At DEBUG on every logger there is, with tracebacks logged, over either transport."""
    quiet_logs()
    names = [name for name in logging.root.manager.loggerDict if not name.startswith("_")]
    for name in ["", "httpx", "telegram.Bot", "aiohttp.client", *names]:
        caplog.set_level(logging.DEBUG, name or None)
    log = logging.getLogger("armbot.test")
    for case in CASES:
        error, _ = asyncio.run(met(case, make()))
        assert error is not None
        log.error("failed", exc_info=error)
        logging.getLogger("telegram.ext").error("failed: %s", error, exc_info=error)
    log.error("failed", exc_info=ValueError(f"the token {TOKEN} was rejected"))
    log.info("https://api.telegram.org/bot%s/getMe and %s", TOKEN, TOKEN)
    if make is stock:  # the library's own logs every address
        assert any(record.name == "httpx" for record in caplog.records)
    assert "<token>" in caplog.text
    assert TOKEN not in caplog.text
    told = [r.getMessage() for r in caplog.records if r.name.split(".")[0] != "armbot"]
    assert told
    assert not [message for message in told if SAID in message]


@pytest.mark.usefixtures("_logs_as_before")
def test_without_quiet_logs_the_library_does_tell_the_token(
    caplog: pytest.LogCaptureFixture,
) -> None:
    """The check above can fail: as they come, the loggers tell both."""
    caplog.set_level(logging.DEBUG)
    asyncio.run(met(CASES[0], stock()))
    assert TOKEN in caplog.text
    assert SAID in caplog.text


@pytest.mark.usefixtures("_logs_as_before")
def test_a_token_of_another_shape_can_be_named(caplog: pytest.LogCaptureFixture) -> None:
    """And calling it again adds to it, and wraps nothing twice."""
    quiet_logs()
    factory = logging.getLogRecordFactory()
    quiet_logs("9:short")
    assert logging.getLogRecordFactory() is factory
    logging.getLogger("armbot.test").warning("as %s", {"token": "9:short"})
    assert caplog.messages == ["as {'token': '<token>'}"]
