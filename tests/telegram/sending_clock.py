"""Messages sent as fast as a limiter lets them, on a clock that is only counted."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

from armbot.channels.telegram.limits import Limiter
from armbot.model.outbox import Urgency

TINY = 1e-6


@dataclass(frozen=True)
class Asked:
    """A message that is ready to go at ``at`` (seconds)."""

    at: float
    chat: int
    urgency: Urgency


@dataclass(frozen=True)
class Went:
    """When it went."""

    asked: Asked
    at: float

    @property
    def late(self) -> float:
        """Seconds it had to wait."""
        return self.at - self.asked.at


def played(asked: Sequence[Asked], limiter: Limiter, until: float = 1e9) -> list[Went]:
    """All messages sent as soon as allowed: the most urgent first, then the oldest.

    As a dispatcher does; of each urgency it looks at the first few.
    """
    coming = deque(sorted(asked, key=lambda a: a.at))
    ready: list[deque[Asked]] = [deque() for _ in Urgency]
    now = 0.0
    went = []
    while (coming or any(ready)) and now < until:
        while coming and coming[0].at <= now:
            message = coming.popleft()
            ready[message.urgency].append(message)
        wait = coming[0].at - now if coming else 1e9
        for queue in ready:
            chosen, soonest = _first_free(queue, limiter, now)
            if chosen:
                queue.remove(chosen)
                limiter.took(chosen.chat, chosen.urgency, now)
                went.append(Went(chosen, now))
                break
            wait = min(wait, soonest)
        else:
            now += wait
    return went


def _first_free(queue: deque[Asked], limiter: Limiter, now: float) -> tuple[Asked | None, float]:
    soonest = 1e9
    for message in list(queue)[:40]:
        wait = limiter.wait(message.chat, message.urgency, now)
        if wait == 0:
            return message, 0.0
        soonest = min(soonest, wait)
    return None, soonest


def most_within(times: Sequence[float], span: float) -> int:
    """The most of the times that fall into any half-open span."""
    most = first = 0
    for last, at in enumerate(times):
        while at - times[first] >= span - TINY:
            first += 1
        most = max(most, last - first + 1)
    return most


def most_ahead(times: Sequence[float], rate: float) -> float:
    """By how many messages any stretch of the times is above the rate."""
    lowest, most = float("inf"), 0.0
    for number, at in enumerate(times):
        lowest = min(lowest, number - at * rate)
        most = max(most, number - at * rate - lowest + 1)
    return most
