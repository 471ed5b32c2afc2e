"""What a line of the batch door may hold, and how each mistake in it is named."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

import pytest
from conversation import grammar

from armbot.request import (
    MOST_BYTES,
    MOST_CHARACTERS,
    MOST_TURNS,
    LineError,
    Request,
    read_object,
    request_of,
)

NOW = datetime(2026, 6, 10, 23, 0, tzinfo=UTC)


def request(**raw: Any) -> Request:
    """The request of a line with these fields."""
    return request_of(raw, grammar().library, NOW)


def refusal(**raw: Any) -> LineError:
    """How a line with these fields is refused."""
    with pytest.raises(LineError) as caught:
        request(**raw)
    return caught.value


BAD_LINES: list[tuple[bytes, str]] = [
    (b"hello", "not readable as JSON"),
    (b"[1, 2]", "a JSON object is expected"),
    (b'"text"', "a JSON object is expected"),
    (b'{"id": 1, "text": "a"', "not readable as JSON"),
    (b'{"id": NaN, "text": "a"}', "NaN is no JSON number"),
    (b'{"id": 1, "text": "a", "text": "b"}', "the key stands there twice"),
    (b'{"id": 1, "text": "\xff"}', "not UTF-8"),
    (b"[" * 100_000, "nested too deeply"),
    (b'{"id": ' + b"9" * 5_000 + b"}", "not readable as JSON"),
    (b'{"text": "' + b"a" * MOST_BYTES + b'"}', f"longer than {MOST_BYTES} bytes"),
]


@pytest.mark.parametrize(("line", "problem"), BAD_LINES)
def test_a_line_that_is_no_json_object_is_refused(line: bytes, problem: str) -> None:
    """The problem is told in words, whatever the bytes are."""
    with pytest.raises(LineError, match=problem):
        read_object(line)


BAD_FIELDS: list[tuple[dict[str, Any], str, str]] = [
    ({"text": "a", "language": "en"}, "language", "unknown field"),
    ({"id": 1.5, "text": "a"}, "id", "neither text nor a whole number"),
    ({"id": True, "text": "a"}, "id", "neither text nor a whole number"),
    ({"id": [1], "text": "a"}, "id", "neither text nor a whole number"),
    ({}, "text", "neither 'text' nor 'turns'"),
    ({"text": 7}, "text", "text is expected, not a number"),
    ({"text": "a" * (MOST_CHARACTERS + 1)}, "text", "20001 characters"),
    ({"text": "a", "turns": ["a"]}, "turns", "both"),
    ({"turns": "a"}, "turns", "a list is expected, not text"),
    ({"turns": []}, "turns", "0 messages"),
    ({"turns": ["a"] * (MOST_TURNS + 1)}, "turns", "201 messages"),
    ({"turns": ["a", None]}, "turns[1]", "text is expected, not null"),
    ({"text": "a", "at": "tomorrow"}, "at", "no ISO 8601"),
    ({"text": "a", "at": "2026-02-30T10:00:00Z"}, "at", "no ISO 8601"),
    ({"text": "a", "at": "2026-06-10T19:00:00"}, "at", "no offset"),
    ({"text": "a", "at": "2026-06-10"}, "at", "no offset"),
    ({"text": "a", "at": 1781132400}, "at", "text is expected, not a number"),
    ({"text": "a", "at": "0001-01-01T00:00:00+14:00"}, "at", "the year 1"),
    ({"text": "a", "at": "9999-12-31T23:59:59-12:00"}, "at", "the year 9999"),
    ({"text": "a", "lang": "fr"}, "lang", "no words in 'fr'"),
    ({"text": "a", "lang": ["en"]}, "lang", "text is expected, not a list"),
    ({"text": "a", "zone": "Mars/Olympus"}, "zone", "no time zone"),
    ({"text": "a", "zone": "../../etc/passwd"}, "zone", "no time zone"),
    ({"text": "a", "zone": "America"}, "zone", "no time zone"),
    ({"text": "a", "zone": ""}, "zone", "no time zone"),
    ({"text": "a", "rules": "little_league"}, "rules", "a list is expected, not text"),
    ({"text": "a", "rules": ["little_league", "moon ball"]}, "rules[1]", "no rule set"),
    ({"text": "a", "rules": [3]}, "rules[0]", "text is expected, not a number"),
    ({"text": "a", "athletes": {}}, "athletes", "a list is expected, not an object"),
    ({"text": "a", "athletes": [{"name": "A"}] * 21}, "athletes", "21 athletes"),
    ({"text": "a", "athletes": ["Sam"]}, "athletes[0]", "an object is expected, not text"),
    ({"text": "a", "athletes": [{}]}, "athletes[0].name", "text is expected, not null"),
    ({"text": "a", "athletes": [{"name": " "}]}, "athletes[0].name", "0 characters"),
    ({"text": "a", "athletes": [{"name": "A", "age": 9}]}, "athletes[0].age", "unknown field"),
    (
        {"text": "a", "athletes": [{"name": "A"}, {"name": "a"}]},
        "athletes[1].name",
        "the same name",
    ),
    (
        {"text": "a", "athletes": [{"name": "A", "birth": 2015}]},
        "athletes[0].birth",
        "not a number",
    ),
    (
        {"text": "a", "athletes": [{"name": "A", "birth": "2015-13"}]},
        "athletes[0].birth",
        "'2015-13' is no month",
    ),
    (
        {"text": "a", "athletes": [{"name": "A", "birth": "2015-06-01"}]},
        "athletes[0].birth",
        "is no month",
    ),
    (
        {"text": "a", "athletes": [{"name": "A", "birth": "2026-07"}]},
        "athletes[0].birth",
        "lies after the message",
    ),
]


@pytest.mark.parametrize(("raw", "field", "problem"), BAD_FIELDS)
def test_a_bad_field_is_named_with_problem_and_remedy(
    raw: dict[str, Any], field: str, problem: str
) -> None:
    """The refusal names the very field, what is wrong with it, and what to write."""
    error = refusal(**raw)
    assert error.field == field
    assert problem in error.problem
    assert error.remedy


def test_a_field_may_be_null_where_it_may_be_missing() -> None:
    """A program that writes every field may write null for what it does not know."""
    empty = dict.fromkeys(("turns", "at", "lang", "zone", "athletes", "rules"))
    assert request(text="a", **empty) == request(text="a")


def test_all_fields_together() -> None:
    """A full line becomes a request with nothing lost."""
    found = request(
        id="q7",
        turns=["a", "b"],
        at="2026-06-10T19:00:00-04:00",
        lang="es",
        zone="America/New_York",
        athletes=[{"name": "Sam", "birth": "2015-06"}, {"name": "Ana"}],
        rules=["little_league"],
    )
    assert (found.id, found.turns, found.lang, found.zone) == (
        "q7",
        ("a", "b"),
        "es",
        "America/New_York",
    )
    assert found.at == datetime.fromisoformat("2026-06-10T23:00:00+00:00")
    assert [(a.id, a.name, str(a.birth or "")) for a in found.athletes] == [
        ("a1", "Sam", "2015-06"),
        ("a2", "Ana", ""),
    ]
    assert all(a.rules == ("little_league",) for a in found.athletes)


@pytest.mark.parametrize("name", ["little_league", "Little League", "LL", " pequeñas ligas "])
def test_a_rule_set_is_found_by_id_name_or_alias(name: str) -> None:
    """Upper and lower case, accents and space around it do not matter."""
    (athlete,) = request(text="a", rules=[name]).athletes
    assert athlete.rules == ("little_league",)


def test_a_byte_order_mark_at_the_start_does_not_matter() -> None:
    """Some editors put one before the first line."""
    assert read_object(b"\xef\xbb\xbf" + json.dumps({"id": 1}).encode()) == {"id": 1}
