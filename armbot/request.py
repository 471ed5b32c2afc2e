"""One line of the batch door, checked field by field before anything is decided."""

from __future__ import annotations

import json
import re
import unicodedata
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING, Any, NoReturn
from zoneinfo import available_timezones

from armbot.model.family import Athlete
from armbot.model.people import birth_month

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from armbot.model.library import Library
    from armbot.model.rules import RuleSet

FIELDS = ("id", "text", "turns", "at", "lang", "zone", "athletes", "rules")
_ATHLETE_FIELDS = ("name", "birth")
MOST_BYTES = 1_000_000
"""Longest line read; a longer one is refused without holding it in memory."""
MOST_TURNS = 200
MOST_CHARACTERS = 20_000
"""Longest message: several times what a chat service carries."""
MOST_ATHLETES = 20
_NAME_CHARACTERS = 40
_YEARS = (1970, 2199)
"""Years in which ``at`` may lie: room for reckoning to both sides."""
_BIRTH = re.compile(r"[0-9]{4}-[0-9]{2}")


class LineError(ValueError):
    """What is wrong with a line: the field ("" for the line itself), problem, remedy."""

    def __init__(self, name: str, problem: str, remedy: str) -> None:
        self.field = name
        self.problem = problem
        self.remedy = remedy
        super().__init__(f"{name or 'line'}: {problem} -- {remedy}")


@dataclass(frozen=True, slots=True)
class Request:
    """A line that can be answered: the turns of one family, all at the same time.

    ``at`` is None for "now"; ``zone`` None for the local date of ``at`` as written.
    """

    id: str | int | None
    turns: tuple[str, ...]
    at: datetime | None = None
    lang: str | None = None
    zone: str | None = None
    athletes: tuple[Athlete, ...] = field(default_factory=tuple)


def read_object(line: bytes) -> dict[str, Any]:
    """The JSON object of a line. Raises LineError."""
    if len(line) > MOST_BYTES:
        raise LineError("", f"longer than {MOST_BYTES} bytes", "split it into several lines")
    try:
        text = line.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise LineError("", "not UTF-8 text", "save or send it as UTF-8") from None
    try:
        found = json.loads(text, object_pairs_hook=_unique, parse_constant=_no_constant)
    except LineError:
        raise
    except RecursionError:
        raise LineError("", "nested too deeply", "send one flat JSON object") from None
    except ValueError as error:
        remedy = "write one JSON object on one line"
        raise LineError("", f"not readable as JSON: {error}", remedy) from None
    if not isinstance(found, dict):
        raise LineError("", "a JSON object is expected", 'write such as {"id": 1, "text": "..."}')
    return found


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise LineError(key[:60], "the key stands there twice", "keep one of the two")
        found[key] = value
    return found


def _no_constant(name: str) -> NoReturn:
    raise LineError("", f"{name} is no JSON number", "leave it out")


def id_of(raw: Mapping[str, Any]) -> str | int | None:
    """The id as far as it can be given back, also of a line that is refused."""
    found = raw.get("id")
    return found if type(found) in (str, int) else None


def request_of(raw: Mapping[str, Any], library: Library, now: datetime) -> Request:
    """The checked request. Raises LineError naming the first field that is wrong."""
    _known(raw, FIELDS, "")
    if raw.get("id") is not None and id_of(raw) is None:
        raise LineError("id", "neither text nor a whole number", 'write such as 7 or "q7"')
    at = _at(raw.get("at"))
    return Request(
        id=id_of(raw),
        turns=_turns(raw),
        at=at,
        lang=_lang(raw.get("lang"), library),
        zone=_zone(raw.get("zone")),
        athletes=_athletes(raw.get("athletes"), _rules(raw.get("rules"), library), at or now),
    )


def _known(raw: Mapping[str, Any], fields: tuple[str, ...], place: str) -> None:
    for key in raw:
        if key not in fields:
            known = ", ".join(fields)
            raise LineError(f"{place}{key[:60]}", "unknown field", f"use one of: {known}")


def _turns(raw: Mapping[str, Any]) -> tuple[str, ...]:
    text, turns = raw.get("text"), raw.get("turns")
    if text is not None and turns is not None:
        raise LineError("turns", "both 'text' and 'turns' are given", "keep one of the two")
    if turns is None:
        if text is None:
            raise LineError("text", "neither 'text' nor 'turns' is given", "add 'text'")
        return (_message(text, "text"),)
    found = _list(turns, "turns", "write a list of messages")
    if not 1 <= len(found) <= MOST_TURNS:
        raise LineError("turns", f"{len(found)} messages", f"give 1 to {MOST_TURNS}")
    return tuple(_message(item, f"turns[{at}]") for at, item in enumerate(found))


def _message(value: object, name: str) -> str:
    message = _text(value, name, "write the message in quotes")
    if len(message) > MOST_CHARACTERS:
        problem = f"{len(message)} characters"
        raise LineError(name, problem, f"a message has at most {MOST_CHARACTERS}")
    return message


def _text(value: object, name: str, remedy: str) -> str:
    if not isinstance(value, str):
        raise LineError(name, f"text is expected, not {_kind(value)}", remedy)
    return value


def _list(value: object, name: str, remedy: str) -> list[Any]:
    if not isinstance(value, list):
        raise LineError(name, f"a list is expected, not {_kind(value)}", remedy)
    return value


def _kind(value: object) -> str:
    names = {bool: "true or false", int: "a number", float: "a number", str: "text"}
    names |= {list: "a list", dict: "an object", type(None): "null"}
    return names[type(value)]


def _at(value: object) -> datetime | None:
    if value is None:
        return None
    remedy = "write such as 2026-06-10T19:00:00-04:00"
    text = _text(value, "at", remedy)
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise LineError("at", f"'{text[:60]}' is no ISO 8601 date and time", remedy) from None
    if at.tzinfo is None:
        raise LineError("at", f"'{text[:60]}' has no offset from UTC", remedy)
    if not _YEARS[0] <= at.year <= _YEARS[1]:
        raise LineError("at", f"the year {at.year}", f"give a year from {_YEARS[0]} to {_YEARS[1]}")
    return at


def _lang(value: object, library: Library) -> str | None:
    if value is None:
        return None
    remedy = f"use one of: {', '.join(library.languages)}"
    lang = _text(value, "lang", remedy)
    if lang not in library.languages:
        raise LineError("lang", f"no words in '{lang[:60]}'", remedy)
    return lang


@lru_cache(maxsize=1)
def _zones() -> frozenset[str]:
    return frozenset(available_timezones())


def known_zone(zone: str) -> bool:
    """Whether ``zone`` is a name of the IANA time zone database."""
    return zone in _zones()


def _zone(value: object) -> str | None:
    if value is None:
        return None
    remedy = "write an IANA name such as America/Chicago"
    zone = _text(value, "zone", remedy)
    if not known_zone(zone):
        raise LineError("zone", f"no time zone '{zone[:60]}'", remedy)
    return zone


def _rules(value: object, library: Library) -> tuple[str, ...]:
    if value is None:
        return ()
    remedy = f"use one of: {', '.join(sorted(library.rules))}"
    found: list[str] = []
    for at, item in enumerate(_list(value, "rules", "write a list of names")):
        name = _text(item, f"rules[{at}]", remedy)
        ids = rule_sets_named(name, library)
        if not ids:
            raise LineError(f"rules[{at}]", f"no rule set '{name[:60]}'", remedy)
        found.extend(ids)
    return tuple(dict.fromkeys(found))


def rule_sets_named(name: str, library: Library) -> tuple[str, ...]:
    """The ids of the rule sets of that id, name or alias; several where they share it.

    With several, all of them count, and the strictest answers.
    """
    wanted = _folded(name)
    return tuple(
        rules.id
        for rules in library.rules.values()
        if wanted in {_folded(text) for text in _all_names(rules)}
    )


def _all_names(rules: RuleSet) -> Iterator[str]:
    yield rules.id
    yield from rules.names.values()
    yield from rules.short_names.values()
    for aliases in rules.aliases.values():
        yield from aliases


def _folded(text: str) -> str:
    """Without accents, case and space around it: "Pequeñas Ligas" is "pequenas ligas"."""
    parts = unicodedata.normalize("NFKD", text.strip().casefold())
    return "".join(part for part in parts if not unicodedata.combining(part))


def _athletes(value: object, rules: tuple[str, ...], at: datetime) -> tuple[Athlete, ...]:
    """The athletes; rules without an athlete go to one whose name is not known."""
    if value is None:
        return (Athlete("a1", rules=rules),) if rules else ()
    listed = _list(value, "athletes", 'write such as [{"name": "Sam", "birth": "2015-06"}]')
    if len(listed) > MOST_ATHLETES:
        raise LineError("athletes", f"{len(listed)} athletes", f"give at most {MOST_ATHLETES}")
    found: list[Athlete] = []
    for place, item in enumerate(listed):
        athlete = _athlete(item, f"athletes[{place}]", f"a{place + 1}", rules, at)
        if any(athlete.name.casefold() == other.name.casefold() for other in found):
            name = f"athletes[{place}].name"
            raise LineError(name, "two athletes have the same name", "use nicknames that differ")
        found.append(athlete)
    return tuple(found)


def _athlete(value: object, place: str, key: str, rules: tuple[str, ...], at: datetime) -> Athlete:
    if not isinstance(value, dict):
        remedy = 'write such as {"name": "Sam", "birth": "2015-06"}'
        raise LineError(place, f"an object is expected, not {_kind(value)}", remedy)
    _known(value, _ATHLETE_FIELDS, f"{place}.")
    name = _text(value.get("name"), f"{place}.name", "write the nickname in quotes").strip()
    if not 1 <= len(name) <= _NAME_CHARACTERS:
        problem = f"{len(name)} characters"
        raise LineError(f"{place}.name", problem, f"a nickname has 1 to {_NAME_CHARACTERS}")
    if value.get("birth") is None:
        return Athlete(key, name, rules=rules)
    remedy = "write year and month, such as 2015-06"
    text = _text(value["birth"], f"{place}.birth", remedy)
    try:
        birth = birth_month(text if _BIRTH.fullmatch(text) else "")
    except ValueError:
        raise LineError(f"{place}.birth", f"'{text[:60]}' is no month", remedy) from None
    if (birth.year, birth.month) > (at.year, at.month):
        raise LineError(f"{place}.birth", f"{birth} lies after the message", remedy)
    return Athlete(key, name, birth, rules=rules)
