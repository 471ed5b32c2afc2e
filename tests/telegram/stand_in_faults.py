"""Ways in which the stand-in server goes wrong, when it is told to."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any


class How(StrEnum):
    """What happens to a request."""

    ERROR = "error"
    """Refused with a code, a description and parameters, as Telegram refuses."""
    PAGE = "page"
    """A page of a gateway in front (502 unless told), not JSON."""
    GARBAGE = "garbage"
    """Status 200, and a body that is no JSON."""
    STRANGER = "stranger"
    """Status 200 and JSON, of some other service."""
    HANG = "hang"
    """Carried out, and never answered."""
    DEAF = "deaf"
    """Neither carried out nor answered."""
    DROP = "drop"
    """Carried out, then the connection is cut."""
    REFUSE = "refuse"
    """The connection is cut, and nothing was carried out."""


DESCRIPTIONS = {
    400: "Bad Request",
    401: "Unauthorized",
    403: "Forbidden: bot was blocked by the user",
    404: "Not Found",
    409: "Conflict: terminated by other getUpdates request; "
    "make sure that only one bot instance is running",
    429: "Too Many Requests: retry after 1",
    500: "Internal Server Error",
    502: "Bad Gateway",
}


@dataclass
class Fault:
    """One rule: which requests go wrong, how, and how often or how long.

    ``method`` is a method's name or "*". ``skip`` requests are let through first; then
    ``count`` of them go wrong, or all where it is None, up to ``until`` (monotonic
    seconds) where that is set. ``chat`` narrows it to requests about one chat.
    """

    method: str
    how: How
    count: int | None = None
    until: float | None = None
    code: int = 0
    description: str = ""
    parameters: Mapping[str, Any] = field(default_factory=dict)
    chat: int | None = None
    skip: int = 0
    hits: int = 0

    def covers(self, method: str, chat: int | None, now: float) -> bool:
        """Whether it applies to this request; counts it when it does."""
        if self.method not in ("*", method) or self.chat not in (None, chat):
            return False
        if self.until is not None and now >= self.until:
            return False
        if self.skip > 0:
            self.skip -= 1
            return False
        if self.count is not None and self.hits >= self.count:
            return False
        self.hits += 1
        return True


class Faults:
    """The rules in force, and how long each method takes to answer."""

    def __init__(self) -> None:
        self.rules: list[Fault] = []
        self.delays: dict[str, float] = {}
        """Seconds by method; "*" for the methods not named."""

    def add(
        self, method: str, how: str = How.ERROR, *, seconds: float | None = None, **told: Any
    ) -> Fault:
        """Let requests go wrong from now on; ``told`` are other fields of a ``Fault``.

        ``seconds`` from now is when it ends; without ``count`` and ``seconds`` it stays.
        """
        until = None if seconds is None else time.monotonic() + seconds
        fault = Fault(method, How(how), until=until, **told)
        fault.description = fault.description or DESCRIPTIONS.get(fault.code, "")
        self.rules.append(fault)
        return fault

    def clear(self) -> None:
        """Everything works again, at once."""
        self.rules.clear()
        self.delays.clear()

    def of(self, method: str, chat: int | None) -> Fault | None:
        """The first rule that applies to this request."""
        now = time.monotonic()
        return next((rule for rule in self.rules if rule.covers(method, chat, now)), None)

    def delay(self, method: str) -> float:
        """How many seconds the answer takes."""
        return self.delays.get(method, self.delays.get("*", 0.0))
