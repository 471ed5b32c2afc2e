"""Scores the bot on labelled messages by topic, tier, value and follow-up question."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from armbot.engine.decide import decide
from armbot.labels import WEEKDAYS, LabelError, Labelled, read_labelled
from armbot.model.family import Family
from armbot.model.reports import Tier

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from armbot.language.grammar import Grammar
    from armbot.model.talk import Turn

__all__ = ["Evaluation", "LabelError", "Miss", "Score", "evaluate", "read_labelled"]

ASKED_AT = datetime(2026, 6, 10, 19, 0, tzinfo=ZoneInfo("America/New_York"))
"""A Wednesday evening: when a message is sent whose label names no weekday."""
_NOT_COMPARED = frozenset({"chart_rest_days_not_the_answer"})
"""Labels that say what the answer is not."""


@dataclass(frozen=True, slots=True)
class Score:
    """How many of the messages a check applies to passed it."""

    right: int
    asked: int

    @property
    def share(self) -> float:
        """Between 0 and 1; 1 where there was nothing to ask."""
        return self.right / self.asked if self.asked else 1.0


@dataclass(frozen=True, slots=True)
class Miss:
    """One failed check of one message."""

    id: str
    check: str
    wanted: object
    found: object
    said: str


@dataclass(frozen=True, slots=True)
class Evaluation:
    """The scores by check, in a fixed order, and every miss."""

    scores: Mapping[str, Score]
    misses: tuple[Miss, ...]

    def missed(self, check: str) -> tuple[Miss, ...]:
        """The misses of one check."""
        return tuple(miss for miss in self.misses if miss.check == check)


@dataclass(frozen=True, slots=True)
class _Outcome:
    """One check on one message."""

    check: str
    passed: bool
    wanted: object
    found: object


def evaluate(messages: Iterable[Labelled], grammar: Grammar) -> Evaluation:
    """Put every message to a fresh family and compare with its labels."""
    right: dict[str, int] = {}
    asked: dict[str, int] = {}
    misses: list[Miss] = []
    for message in messages:
        at = sent_at(message)
        turns = answers(message.turns, grammar, at)
        for outcome in _outcomes(message, turns, at.date()):
            asked[outcome.check] = asked.get(outcome.check, 0) + 1
            right[outcome.check] = right.get(outcome.check, 0) + outcome.passed
            if not outcome.passed:
                said = " / ".join(message.turns)[:160]
                misses.append(Miss(message.id, outcome.check, outcome.wanted, outcome.found, said))
    scores = {check: Score(right[check], count) for check, count in asked.items()}
    return Evaluation(scores, tuple(misses))


def sent_at(message: Labelled) -> datetime:
    """``ASKED_AT``, or the first time after it on the weekday of the label."""
    if message.asked_on is None:
        return ASKED_AT
    return ASKED_AT + timedelta(days=(message.asked_on - ASKED_AT.weekday()) % 7)


def answers(turns: Iterable[str], grammar: Grammar, at: datetime) -> list[Turn]:
    """The turns of one conversation of a family that is new."""
    family = Family(id="labelled", zone="America/New_York")
    found = []
    for text in turns:
        decision = decide(family, text, grammar, at)
        family = decision.family
        found.append(decision.turn)
    return found


def _outcomes(message: Labelled, turns: list[Turn], today: date) -> Iterator[_Outcome]:
    highest = max(Tier[turn.tier.upper()] for turn in turns)
    if message.tier is not None:
        yield from _tier_outcomes(Tier[message.tier.upper()], highest)
        return
    last = turns[-1]
    yield _Outcome("topic", last.topic == message.topic, message.topic, last.topic)
    yield from _value_outcomes(message.values, last, today)
    if message.follow_up:
        asks = next((turn.asks for turn in turns if turn.asks), None)
        yield _Outcome("follow-up asked", asks is not None, message.follow_up, asks)
    least = Tier[(message.least_tier or "none").upper()]
    if least:
        yield _Outcome("hidden sign caught", highest >= Tier.ASK, "ask+", highest.word)
    if least.holds:
        yield _Outcome("hidden sign stopped", highest >= least, f"{least.word}+", highest.word)
    if not least:
        yield _Outcome("no false stop", highest < Tier.STOP, "below stop", highest.word)


def _tier_outcomes(wanted: Tier, found: Tier) -> Iterator[_Outcome]:
    """Exactly right, and apart from that: too low where it is dangerous, too high where idle."""
    yield _Outcome("tier", found == wanted, wanted.word, found.word)
    if wanted is Tier.EMERGENCY:
        yield _Outcome("emergency found", found == wanted, wanted.word, found.word)
    if wanted.holds:
        yield _Outcome("stop found", found.holds, f"{wanted.word}+", found.word)
    if wanted is Tier.ASK:
        yield _Outcome("ask not passed over", found >= wanted, "ask+", found.word)
    if wanted is Tier.NONE:
        yield _Outcome("benign not stopped", not found.holds, "below stop", found.word)
        yield _Outcome("benign not asked", found is not Tier.ASK, "not ask", found.word)


def _value_outcomes(wanted: Mapping[str, object], turn: Turn, today: date) -> Iterator[_Outcome]:
    """Each labelled figure: given at all and right; and none given wrong."""
    given = turn.values if not isinstance(turn.values, tuple) else (turn.values or ({},))[0]
    compared = {name: value for name, value in wanted.items() if name not in _NOT_COMPARED}
    wrong, absent = {}, {}
    for name, right in compared.items():
        found = given_value(name, right, given, today)
        if found is None and right is not None:
            absent[name] = right
        elif found != right:
            wrong[name] = found
    if compared:
        yield _Outcome("no wrong value", not wrong, compared, wrong)
        yield _Outcome("every value given", not absent, absent, None)


def given_value(name: str, right: object, given: Mapping[str, object], today: date) -> object:
    """The reply's figure in the form of the label: weekday, month and day, days from today."""
    if name == "first_eligible":
        day = _day(given.get("first_eligible"))
        short = isinstance(right, str) and len(right) == len(WEEKDAYS[0])
        return None if day is None else _weekday(day) if short else f"{day:%m-%d}"
    if name == "first_eligible_offset_from_today":
        day = _day(given.get("first_eligible"))
        return None if day is None else (day - today).days
    if name == "rest_on":
        days = given.get("rest_on")
        return [_weekday(_day(d)) for d in days] if isinstance(days, list | tuple) else None
    return given.get("may_pitch" if name == "can_pitch_on_ask_day" else name)


def _day(value: object) -> date | None:
    return date.fromisoformat(value) if isinstance(value, str) else None


def _weekday(day: date | None) -> str | None:
    return None if day is None else WEEKDAYS[day.weekday()]
