"""The batch door: JSON Lines in, JSON Lines out, a fresh family for every line."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from enum import Enum
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from armbot.engine.decide import decide
from armbot.model.family import Family
from armbot.request import MOST_BYTES, LineError, Request, id_of, read_object, request_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from typing import BinaryIO

    from armbot.language.grammar import Grammar
    from armbot.model.talk import Turn

Answered = dict[str, Any]


def answer_lines(
    source: BinaryIO,
    write: Callable[[str], None],
    grammar: Grammar,
    clock: Callable[[], datetime],
) -> bool:
    """Answer every line of ``source``, one line out for each; whether all were good.

    Empty lines are passed over. A bad line gets an object with ``error`` naming line,
    field, problem and remedy, and the run goes on.
    """
    good = True
    for number, line in _lines(source):
        found = answer_line(line, number, grammar, clock())
        good = good and "error" not in found
        write(json.dumps(found, allow_nan=False))
    return good


def _lines(source: BinaryIO) -> Iterator[tuple[int, bytes]]:
    """Numbered lines that are not empty; of one too long only the beginning is kept."""
    number = 0
    while line := source.readline(MOST_BYTES + 2):
        number += 1
        rest = line
        while len(rest) > MOST_BYTES and not rest.endswith(b"\n"):
            rest = source.readline(MOST_BYTES + 2)
        if line.strip():
            yield number, line


def answer_line(line: bytes, number: int, grammar: Grammar, now: datetime) -> Answered:
    """What is written for one line. Never raises for any line."""
    raw: dict[str, Any] = {}
    try:
        raw = read_object(line)
        request = request_of(raw, grammar.library, now)
        turns = [shown(turn) for turn in answer_request(request, grammar, now)]
    except LineError as error:
        return _refused(id_of(raw), number, error)
    except Exception as error:  # noqa: BLE001  # one line must not end the run for the others
        kind = type(error).__name__
        remedy = "a fault of the program: report it with this line"
        return _refused(id_of(raw), number, LineError("", f"internal error: {kind}", remedy))
    return {"id": request.id, "turns": turns}


def _refused(line_id: str | int | None, number: int, error: LineError) -> Answered:
    found = {"line": number, "field": error.field or None}
    return {
        "id": line_id,
        "error": {**found, "problem": error.problem, "remedy": error.remedy},
    }


def answer_request(request: Request, grammar: Grammar, now: datetime) -> list[Turn]:
    """The turns of one request, the family forgotten afterwards."""
    family, at = _start(request, grammar, now)
    turns = []
    for text in request.turns:
        decision = decide(family, text, grammar, at)
        family = decision.family
        turns.append(decision.turn)
    return turns


def _start(request: Request, grammar: Grammar, now: datetime) -> tuple[Family, datetime]:
    """The family as it begins, and the time in its zone.

    With ``at`` and no zone the date is the one written in ``at``. The engine wants a named
    zone, and not every offset has one; so the local time is handed over as if it were UTC.
    """
    zone, at = request.zone, request.at or now
    if zone is None and request.at is not None:
        zone, at = "UTC", request.at.replace(tzinfo=UTC)
    zone = zone or grammar.library.clinic.time_zone
    family = Family(id="line", zone=zone, athletes=request.athletes)
    if request.lang is not None:
        family = replace(family, lang=request.lang, lang_chosen=True)
    return family, at.astimezone(ZoneInfo(zone))


def shown(turn: Turn) -> Answered:
    """A turn as JSON: the fields in the order of the documentation."""
    fields = ("topic", "tier", "signs", "hold", "entities", "values", "asks", "reply")
    return {name: _plain(getattr(turn, name)) for name in (*fields, "choices", "sources", "lang")}


def _plain(value: object) -> Any:  # noqa: ANN401  # JSON
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list | tuple | set | frozenset):
        return [_plain(item) for item in value]
    return value
