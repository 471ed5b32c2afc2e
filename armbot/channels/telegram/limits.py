"""How fast messages may go out: Telegram's limits as arithmetic on a clock that is passed in.

The figures (telegram.constants of the library's 22.8 and core.telegram.org/bots/faq): about
30 messages a second overall, one a second in a chat with short bursts allowed, 20 a minute in
a group. The servers' true limits are not published and change, so an answer of "too many,
wait" is obeyed as well (``Limiter.refused``).

All messages are spaced, with no more than a few ahead of their time; so no second ever holds
more than the overall rate, neither here nor, after a jitter on the way, at the server, and what
piled up during an outage does not go out in a burst that is refused. A reminder or a broadcast
keeps a wider space to whatever went before it, answers included. So while answers need the
whole rate no reminder comes between them, and an answer among reminders finds its place free.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from armbot.model.outbox import Urgency

_MINUTE = 60.0
_AHEAD = 2
"""Answers that may go before their time: three parts of one answer leave together. The rest
of the overall rate is what is spaced, so that any second holds at most the whole of it."""
_JITTER = 0.05
"""Seconds by which a later message may gain on an earlier one on its way to the server."""
_ROUNDING = 1e-6
"""Seconds that a sum of times may be off."""
_FEW = 64
"""Chats remembered without looking whether they may be forgotten."""
_TOGETHER = 10.0
"""Seconds within which refusals in different chats mean that everything was refused: one
chat's own limit is kept by us, so two chats over theirs at once are unlikely."""


@dataclass(frozen=True, slots=True)
class Rates:
    """What may be sent; the defaults are those of Telegram's own servers.

    ``overall`` and ``reserved`` are whole messages a second, ``reserved`` being the part kept
    for safety messages, alerts and replies; ``chat`` messages a second in one chat, of which
    ``burst`` may go at once when they are answers; ``group`` whole messages a minute in one
    group. A server of one's own may allow more. Raises ValueError for rates that could never
    send.
    """

    overall: int = 30
    reserved: int = 3
    chat: float = 1.0
    burst: int = 3
    group: int = 20

    def __post_init__(self) -> None:
        if not 0 <= self.reserved < self.overall:
            raise ValueError(f"reserved must be from 0 to below {self.overall}: {self.reserved}")
        if self.chat <= 0 or self.burst < 1 or self.group < 1:
            raise ValueError(f"every rate must let a message through: {self}")


class Limiter:
    """What may be sent when, for all senders of this process together.

    Times are seconds of one monotonic clock, from 0 up. Ask ``wait``, and once it says 0 send
    and say ``took`` in the same breath (no other coroutine in between). Memory grows with the
    chats written to in the last minute, not with all chats ever.
    """

    def __init__(self, rates: Rates | None = None) -> None:
        self._rates = rates = rates or Rates()
        self._ahead = min(_AHEAD, rates.overall - 1)
        self._space = 1 / (rates.overall - self._ahead)
        self._bulk_space = max(self._space, 1 / (rates.overall - rates.reserved))
        self._chat_space = 1 / rates.chat + _JITTER
        self._all = 0.0
        """When all sends so far are worked off at the overall rate."""
        self._bulk_at = 0.0
        self._chats: dict[int, float] = {}
        """When a chat's sends so far are worked off at its rate."""
        self._groups: dict[int, deque[float]] = {}
        """When each of a group's last sends is a minute old."""
        self._closed: dict[int, float] = {}
        self._all_closed = 0.0
        self._refused = (0, 0.0)
        """The chat last refused, and until when a refusal of another one means all."""
        self._sweep_at = _FEW

    def wait(self, chat: int, urgency: Urgency, now: float) -> float:
        """Seconds until a message may go to ``chat``, if nothing else goes before; 0 is now.

        A group is told by its negative number (Bot API, Chat.id; from memory).
        """
        free = max(
            self._all_closed,
            self._closed.get(chat, 0.0),
            self._overall_free_at(urgency),
            self._chat_free_at(chat, urgency),
            self._group_free_at(chat),
        )
        wait = free - now
        return wait if wait > _ROUNDING else 0.0

    def took(self, chat: int, urgency: Urgency, now: float) -> None:  # noqa: ARG002 - see below
        """A message went to ``chat`` at ``now``; whatever its urgency, it counts alike."""
        self._all = max(self._all, now) + self._space
        self._bulk_at = now + self._bulk_space
        self._chats[chat] = max(self._chats.get(chat, 0.0), now) + self._chat_space
        if chat < 0:
            last = self._groups.setdefault(chat, deque(maxlen=self._rates.group))
            last.append(now + _MINUTE + _JITTER)
        self._sweep(now)

    def refused(self, chat: int, seconds: float, now: float) -> None:
        """The server said to wait ``seconds`` when a message was sent to ``chat``.

        Nothing goes to that chat until then. Telegram does not say whether it means the chat
        or the bot: refusals in two chats within ten seconds are taken as meant for the bot,
        and then nothing goes anywhere.
        """
        until = now + seconds
        self._closed[chat] = max(until, self._closed.get(chat, 0.0))
        last, together = self._refused
        if last != chat and now < together:
            self.close(seconds, now)
        self._refused = (chat, now + _TOGETHER)
        self._sweep(now)

    def close(self, seconds: float, now: float) -> None:
        """Nothing goes to any chat for ``seconds``."""
        self._all_closed = max(self._all_closed, now + seconds)

    @property
    def remembered(self) -> int:
        """How many chats' recent sends and refusals are held in memory."""
        return len(self._chats) + len(self._groups) + len(self._closed)

    def _overall_free_at(self, urgency: Urgency) -> float:
        if _bulk(urgency):
            return max(self._all, self._bulk_at)
        return self._all - self._ahead * self._space

    def _chat_free_at(self, chat: int, urgency: Urgency) -> float:
        """Answers may run ahead of the chat's rate by a burst; reminders may not."""
        ahead = 0 if _bulk(urgency) else self._rates.burst - 1
        return self._chats.get(chat, 0.0) - ahead * self._chat_space

    def _group_free_at(self, chat: int) -> float:
        last = self._groups.get(chat)
        return last[0] if last and len(last) == self._rates.group else 0.0

    def _sweep(self, now: float) -> None:
        """Forget the chats of which nothing remembered matters any more.

        Done when twice as many are remembered as were left the last time, so that its cost is
        spread over as many sends.
        """
        if self.remembered < self._sweep_at:
            return
        self._chats = {chat: at for chat, at in self._chats.items() if at > now}
        self._groups = {chat: last for chat, last in self._groups.items() if last[-1] > now}
        self._closed = {chat: at for chat, at in self._closed.items() if at > now}
        self._sweep_at = max(_FEW, 2 * self.remembered)


def _bulk(urgency: Urgency) -> bool:
    """Whether a message goes out for many families at once and can wait."""
    return urgency > Urgency.REPLY
