"""Words for values: phrases, dates, lists and sources in the family's language."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from armbot.model.library import Library
from armbot.model.people import AgeSpan

TELEGRAM_LIMIT = 4096
"""Longest message a chat takes, in UTF-16 units."""


@dataclass(frozen=True, slots=True)
class Voice:
    """Speaks one language out of the library's phrases."""

    library: Library
    lang: str

    def say(self, key: str, **values: object) -> str:
        """The phrase under ``key`` with its placeholders filled in."""
        clinic = self.library.clinic
        return self.library.phrase(self.lang, key).format(
            **{
                "clinic_phone": clinic.phone,
                "emergency_number": clinic.emergency_number,
                **values,
            }
        )

    def day(self, day: date) -> str:
        """A date in words: "Tue 3 June"."""
        return self.say(
            "date",
            weekday=self.weekday(day),
            day=day.day,
            month=self.say("months").split(",")[day.month - 1],
        )

    def weekday(self, day: date) -> str:
        """The short weekday."""
        return self.say("weekdays").split(",")[day.weekday()]

    def month(self, month: int) -> str:
        """The month's name."""
        return self.say("months").split(",")[month - 1]

    def listing(self, items: Sequence[str]) -> str:
        """Join items as "a, b and c"."""
        if len(items) < 2:
            return "".join(items)
        return f"{', '.join(items[:-1])} {self.say('list_and')} {items[-1]}"

    def age(self, span: AgeSpan) -> str:
        """An age or a span of ages."""
        if span.exact:
            return self.say("age_years", n=span.first)
        return self.say("age_span", first=span.first, last=span.last)

    def rest(self, days: int) -> str:
        """Rest in words: "2 full rest days"."""
        if days == 0:
            return self.say("rest_days_zero")
        return self.say("rest_days_one") if days == 1 else self.say("rest_days_many", n=days)

    def sources(self, keys: Iterable[str]) -> str:
        """The short source line of an answer."""
        known = [
            self.library.sources[k].short for k in dict.fromkeys(keys) if k in self.library.sources
        ]
        return self.say("sources_line", sources="; ".join(known)) if known else ""


def fit(text: str, limit: int = TELEGRAM_LIMIT) -> str:
    """``text`` within the limit, cut at a paragraph where it is too long."""
    if units(text) <= limit:
        return text
    kept: list[str] = []
    size = 0
    for paragraph in text.split("\n\n"):
        more = units(paragraph) + 2
        if size + more > limit:
            break
        kept.append(paragraph)
        size += more
    return (
        "\n\n".join(kept)
        if kept
        else text.encode("utf-16-le")[: 2 * limit].decode("utf-16-le", "ignore")
    )


def units(text: str) -> int:
    """Length as Telegram counts it: UTF-16 code units."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def paragraphs(*parts: str) -> str:
    """The non-empty parts, a blank line between them."""
    return "\n\n".join(part.strip() for part in parts if part and part.strip())


def sentence(*parts: str) -> str:
    """The non-empty parts, a space between them."""
    return " ".join(part.strip() for part in parts if part and part.strip())
