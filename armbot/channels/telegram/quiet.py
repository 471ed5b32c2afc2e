"""Logs without tokens and without what families are told.

The token is part of every address of the Bot API, and client libraries like to log addresses.
"""

from __future__ import annotations

import logging
import re
import traceback
from typing import Any

_TOKEN = re.compile(r"(?<=/bot)[^/\s'\"]+|\b\d{6,}(?::|%3A)[\w-]{30,}", re.IGNORECASE)
"""A token where it stands in an address of the Bot API, or by itself: digits, a colon, 35
characters (Bot API, "Authorizing your bot"; the length from memory)."""
_LIBRARIES = ("aiohttp", "httpcore", "httpx", "telegram")
"""Loggers of libraries that log addresses, or the texts that are sent."""


def without_token(text: str) -> str:
    """``text`` with ``<token>`` in the place of whatever looks like a bot's token."""
    return _TOKEN.sub("<token>", text)


def quiet_logs(token: str = "") -> None:
    """From now on no log record of this process holds a token, and none a message's text.

    The client libraries log addresses, and this one the texts it sends. Their records below
    WARNING are turned off, and whatever is logged all the same keeps only its fixed words;
    records of everybody are cleared of tokens, those of tracebacks too. ``token`` is needed
    only where it does not look like one (``without_token``).
    """
    for name in _LIBRARIES:
        logging.getLogger(name).setLevel(logging.WARNING)
    present = logging.getLogRecordFactory()
    factory = present if isinstance(present, _QuietRecords) else _QuietRecords(present)
    factory.tokens.update({token} - {""})
    logging.setLogRecordFactory(factory)


class _QuietRecords:
    """Makes log records without secrets. Unlike a filter it reaches every logger there is."""

    def __init__(self, make: Any) -> None:  # noqa: ANN401 - as logging types a record factory
        self._make = make
        self.tokens: set[str] = set()

    def __call__(self, *args: Any, **kwargs: Any) -> logging.LogRecord:  # noqa: ANN401 - as above
        record: logging.LogRecord = self._make(*args, **kwargs)
        if record.name.partition(".")[0] in _LIBRARIES:
            self._keep_fixed_words(record)
        else:
            self._clear(record)
        return record

    def _keep_fixed_words(self, record: logging.LogRecord) -> None:
        kind = record.exc_info[0] if record.exc_info else None
        record.msg = self._cleared(str(record.msg)) + (f" [{kind.__name__}]" if kind else "")
        record.args = record.exc_info = None

    def _clear(self, record: logging.LogRecord) -> None:
        try:
            message = record.getMessage()
        except (TypeError, ValueError, KeyError):
            return  # a mistake in the call, which logging itself reports
        if (cleared := self._cleared(message)) != message:
            record.msg, record.args = cleared, None
        if record.exc_info and record.exc_info[0]:
            told = "".join(traceback.format_exception(*record.exc_info)).rstrip()
            if (cleared := self._cleared(told)) != told:
                record.exc_text, record.exc_info = cleared, None

    def _cleared(self, text: str) -> str:
        for token in self.tokens:
            text = text.replace(token, "<token>")
        return without_token(text)
