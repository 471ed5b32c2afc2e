"""A message beside the open conversation it is laid over: what every step of laying looks at."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from armbot.engine.leaning import DAY_THROWN, follows_on, leans_on
from armbot.model.family import Family, Talk
from armbot.model.talk import Reading

_MOST_FOR_A_DAY = 5
_ONE_MORE = frozenset("and what how y que or o".split())


@dataclass(frozen=True, slots=True)
class Exchange:
    """One message, the family it is from, and how far it leans on the turn before."""

    family: Family
    reading: Reading
    today: date
    topic: str
    follows: bool

    @property
    def talk(self) -> Talk:
        """The open end of the conversation."""
        return self.family.talk

    def has(self, act: str) -> bool:
        """Whether the message does something of that name: "adds", "correction"."""
        return act in self.reading.acts


def begun(family: Family, reading: Reading, today: date) -> Exchange:
    """The message with its topic, and with what it asks told from what it tells."""
    follows = follows_on(family, reading)
    leans = leans_on(family, reading, follows=follows)
    topic = reading.topic if leans else _topic(family, reading, follows=follows)
    follows = follows or leans
    if follows and _asks_another_day(reading, family.talk):
        asked = tuple(_ahead(day, today) for day in reading.thrown_days)
        reading = replace(reading, thrown_days=(), ask_days=asked)
    return Exchange(family, reading, today, topic, follows)


def _topic(family: Family, reading: Reading, *, follows: bool) -> str:
    talk = family.talk
    if follows and talk.topic != "unknown":
        return talk.topic
    if (
        "log" in reading.acts
        and (reading.innings_caught or reading.sports)
        and "?" not in reading.text
    ):
        return "log_outing"
    return reading.topic


def _asks_another_day(reading: Reading, talk: Talk) -> bool:
    """Whether "and thursday", after a day was asked about, asks about one more."""
    words = reading.text.split()
    short = bool(words) and words[0] in _ONE_MORE and len(words) <= _MOST_FOR_A_DAY
    plain = not reading.counts and "correction" not in reading.acts
    plain = plain and DAY_THROWN not in talk.asks
    return short and plain and talk.ask_day is not None and bool(reading.thrown_days)


def _ahead(day: date, today: date) -> date:
    """The weekday's next date: today or later."""
    return day if day >= today else day + timedelta(days=7)
