"""Troubles of the line to Telegram: how long to wait, when to give up, what to log.

One line when a trouble begins and one when it is over, however long it lasts; none of them
quotes an answer, an address or the token.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from telegram.error import Conflict, EndPointNotFound, InvalidToken, RetryAfter

LONGEST_PAUSE: Final = 30.0
"""Seconds. After any fault ends, the next try begins within this time."""
_CONFLICT_PAUSE: Final = 5.0
"""Seconds: another poller is found out about only while both of them ask."""
_MORE_THAN_TOLD: Final = 0.5
"""Seconds added to the wait that the server asks for (429)."""

_log = logging.getLogger(__name__)


class AnotherPoller(Exception):  # noqa: N818 - says what happened
    """Somebody else fetches the updates of this bot, so each gets only some of them."""


class TokenRefused(Exception):  # noqa: N818 - says what happened
    """Telegram does not know this bot's token. The message does not hold it."""


REFUSED: Final = (
    "Telegram refuses the bot token (401 or 404). Check the token in the settings: it may be "
    "mistyped, or was replaced by a new one."
)
TWO_POLLERS: Final = (
    "another process fetches the updates of this bot (409), or a webhook is set for it. "
    "Stop the other one, then start this one again."
)


@dataclass(slots=True)
class _Streak:
    """Since when and until when (monotonic seconds) one kind of refusal came."""

    since: float
    last: float


class Trouble:
    """What went wrong lately on one line; asked after each try.

    ``give_up_after`` is how many seconds of nothing but 409, or nothing but 401 and 404,
    are borne. ``first`` is the first pause, in seconds; each is twice the one before.
    """

    def __init__(
        self, name: str, give_up_after: float, first: float, clock: Callable[[], float]
    ) -> None:
        self._name = name
        self._give_up_after = give_up_after
        self._first = first
        self._clock = clock
        self._began: float | None = None
        self._tries = 0
        self._conflict: _Streak | None = None
        self._refused: _Streak | None = None

    def over(self) -> None:
        """A try went well."""
        self._refused = None
        self._forget_conflict()
        if self._began is None:
            return
        _log.warning(
            "%s: works again after %.0f s and %d failed tries",
            self._name,
            self._clock() - self._began,
            self._tries,
        )
        self._began, self._tries = None, 0

    def pause(self, error: Exception, took: float) -> float:
        """Seconds to wait before the next try, after one that failed and took ``took``.

        Raises AnotherPoller or TokenRefused when that has gone on for too long.
        """
        now = self._clock()
        if self._began is None:
            self._began = now
            _log.warning("%s: trouble begins (%s)", self._name, type(error).__name__)
        self._tries += 1
        self._watch(error, now)
        if isinstance(error, RetryAfter):
            return _seconds(error) + _MORE_THAN_TOLD
        longest = _CONFLICT_PAUSE if isinstance(error, Conflict) else LONGEST_PAUSE
        wanted = min(longest, self._first * 2.0 ** min(self._tries - 1, 20))
        # A try that itself took long was a pause as well.
        return max(self._first, wanted - took)

    def _watch(self, error: Exception, now: float) -> None:
        """Count what must not go on for ever."""
        if isinstance(error, InvalidToken | EndPointNotFound):
            self._refused = self._refused or _Streak(now, now)
            if now - self._refused.since >= self._give_up_after:
                raise TokenRefused(REFUSED) from None
        else:
            self._refused = None
        if isinstance(error, Conflict):
            self._conflict = self._conflict or _Streak(now, now)
            self._conflict.last = now
            if now - self._conflict.since >= self._give_up_after:
                raise AnotherPoller(TWO_POLLERS) from None

    def _forget_conflict(self) -> None:
        """Two pollers take turns, so a try that goes well ends it only after a quiet time."""
        quiet = self._give_up_after / 4
        if self._conflict and self._clock() - self._conflict.last > quiet:
            self._conflict = None


def _seconds(error: RetryAfter) -> float:
    """What the server asks for; a number or a timedelta, as the library is set."""
    wait: object = error.retry_after
    if isinstance(wait, timedelta):
        return wait.total_seconds()
    return float(wait) if isinstance(wait, int | float) else LONGEST_PAUSE
