"""One shared bot for tests: the shipped content, a fixed clock, and whole conversations."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from armbot.content.library import load_library
from armbot.engine.decide import Decision, decide
from armbot.language.grammar import Grammar
from armbot.model.family import Family

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

ROOT = Path(__file__).parents[1]
NOW = datetime(2026, 6, 10, 19, 0, tzinfo=ZoneInfo("America/New_York"))
"""A Wednesday evening."""
TODAY = NOW.date()


@dataclass(frozen=True, slots=True)
class Recorded:
    """One labelled conversation of tests/data."""

    id: str
    lang: str
    turns: tuple[str, ...]
    label: Mapping[str, Any]


@cache
def grammar() -> Grammar:
    """The shipped content, compiled once for all tests of a run."""
    return Grammar(load_library(ROOT / "content"))


def new_family() -> Family:
    """A family that has said nothing yet, in the clock's zone."""
    return Family(id="test", zone="America/New_York")


def say(family: Family, text: str, now: datetime = NOW) -> Decision:
    """One message of a family."""
    return decide(family, text, grammar(), now)


def after(*texts: str, family: Family | None = None, now: datetime = NOW) -> Family:
    """The family once these messages were answered."""
    known = family or new_family()
    for text in texts:
        known = say(known, text, now).family
    return known


@cache
def recorded(name: str) -> tuple[Recorded, ...]:
    """The conversations of tests/data/<name>.jsonl."""
    lines = (ROOT / "tests" / "data" / f"{name}.jsonl").read_text("utf-8").splitlines()
    rows = [json.loads(line) for line in lines if line.strip()]
    return tuple(
        Recorded(row["id"], row["lang"], tuple(row.get("turns") or [row["text"]]), row)
        for row in rows
    )


@cache
def recorded_decisions(name: str) -> tuple[tuple[Recorded, tuple[Decision, ...]], ...]:
    """Every recorded conversation played once through the bot."""
    played = []
    for conversation in recorded(name):
        family, decisions = new_family(), []
        for text in conversation.turns:
            decision = say(family, text)
            decisions.append(decision)
            family = decision.family
        played.append((conversation, tuple(decisions)))
    return tuple(played)


def phrase(lang: str, key: str, **values: object) -> str:
    """What the bot says under a key, the clinic's details filled in."""
    clinic = grammar().library.clinic
    details = {"clinic_phone": clinic.phone, "emergency_number": clinic.emergency_number}
    return grammar().library.phrase(lang, key).format(**{**details, **values})


@cache
def _phrase_pattern(lang: str, key: str) -> re.Pattern[str]:
    text = grammar().library.phrase(lang, key).replace("**", "")
    parts = [part.strip(". ") for part in re.split(r"\{\w+\}", text)]
    return re.compile(r".{1,80}?".join(re.escape(part) for part in parts if part))


def holds_phrase(reply: str, lang: str, keys: Iterable[str]) -> list[str]:
    """Which of the phrases, whatever stands in their gaps, the reply contains."""
    plain = reply.replace("**", "")
    return [key for key in keys if _phrase_pattern(lang, key).search(plain)]


_DATE_WORDS = {
    "en": r"\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)(?:[a-z]*day)?\b",
    "es": r"(?i)\b(?:lun(?:es)?|martes|mar(?= \d)|mi[eé](?:rcoles)?|jue(?:ves)?|vie(?:rnes)?"
    r"|s[aá]b(?:ado)?|dom(?:ingo)?)\b",
}
_ISO = r"\b20\d\d-\d\d-\d\d\b"
_NUMBERED = {
    "en": r"\b\d{1,2} (?:January|February|March|April|May|June|July|August|September"
    r"|October|November|December)\b",
    "es": r"\b\d{1,2} de (?:enero|febrero|marzo|abril|mayo|junio|julio|agosto"
    r"|septiembre|octubre|noviembre|diciembre)\b",
}


def dates_in(reply: str, lang: str) -> list[str]:
    """Every day of the week, day of a month or ISO date a reply names."""
    patterns = (_DATE_WORDS[lang], _NUMBERED[lang], _ISO)
    return [found for pattern in patterns for found in re.findall(pattern, reply)]


def facts(values: object) -> list[Mapping[str, object]]:
    """The values of a turn as a list of rows."""
    return list(values) if isinstance(values, tuple) else [values]  # type: ignore[list-item]


def weekday(day: date, lang: str = "en") -> str:
    """The short weekday as replies print it."""
    return phrase(lang, "weekdays").split(",")[day.weekday()]
