"""Which message goes next: by urgency, in order within a chat, one at a time to a chat.

Arithmetic on a clock that is passed in; nothing is sent here.
"""

from __future__ import annotations

import heapq
import itertools
from dataclasses import dataclass, field

from armbot.channels.telegram.limits import Limiter
from armbot.model.outbox import Outgoing

Order = tuple[int, int]
"""Urgency, then the number in the order of coming."""


@dataclass(slots=True)
class Item:
    """One message on its way: which part is next, and how often it was tried."""

    family: str
    message: Outgoing
    stored: bool
    order: Order
    part: int = 0
    tries: int = 0
    claimed: bool = False


@dataclass(slots=True)
class _Chat:
    """What is to go to one chat, the most urgent first; whether something is on its way."""

    items: list[tuple[Order, Item]] = field(default_factory=list)
    busy: bool = False
    paused_until: float = 0.0


class Queues:
    """Messages by chat. Finding the next costs the logarithm of the chats that wait."""

    def __init__(self, limiter: Limiter) -> None:
        self._limiter = limiter
        self._chats: dict[int, _Chat] = {}
        self._open: list[tuple[Order, int]] = []
        """A heap of chats to look at: (order of their first item, chat)."""
        self._later: list[tuple[float, int]] = []
        """A heap of chats to look at again at a time of the clock."""
        self._numbers = itertools.count()

    def add(self, family: str, message: Outgoing, *, stored: bool) -> None:
        """One more message."""
        order = (int(message.urgency), next(self._numbers))
        self.put_back(Item(family, message, stored, order), message.chat)

    def put_back(self, item: Item, chat: int) -> None:
        """An item into its old place."""
        heapq.heappush(self._chats.setdefault(chat, _Chat()).items, (item.order, item))
        self._look_at(chat)

    def pause(self, chat: int, until: float) -> None:
        """Nothing to this chat before that time."""
        self._chats.setdefault(chat, _Chat()).paused_until = until

    def drop(self, chat: int) -> list[Item]:
        """Take out everything that waits for a chat."""
        found = [item for _, item in self._chats[chat].items] if chat in self._chats else []
        if found:
            self._chats[chat].items.clear()
        return found

    def free(self, chat: int) -> None:
        """What was on its way to the chat has ended."""
        self._chats[chat].busy = False
        self._look_at(chat)

    def take(self, now: float) -> tuple[Item, int] | None:
        """The next item that may go now, and its chat; None where none may."""
        while self._later and self._later[0][0] <= now:
            self._look_at(heapq.heappop(self._later)[1])
        while self._open:
            order, number = heapq.heappop(self._open)
            chat = self._chats.get(number)
            if chat is None or chat.busy or not chat.items or chat.items[0][0] != order:
                continue  # out of date
            item = chat.items[0][1]
            free_at = now + self._limiter.wait(number, item.message.urgency, now)
            wait_until = max(free_at, chat.paused_until)
            if wait_until > now:
                heapq.heappush(self._later, (wait_until, number))
                continue
            heapq.heappop(chat.items)
            chat.busy = True
            self._limiter.took(number, item.message.urgency, now)
            return item, number
        return None

    def next_look(self) -> float | None:
        """When a chat has to be looked at again; None where none waits for a time."""
        return self._later[0][0] if self._later else None

    def _look_at(self, number: int) -> None:
        chat = self._chats.get(number)
        if chat is None or chat.busy:
            return
        if chat.items:
            heapq.heappush(self._open, (chat.items[0][0], number))
        else:
            del self._chats[number]
