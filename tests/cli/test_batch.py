"""The batch door: what comes out for what goes in, one line at a time."""

from __future__ import annotations

import io
import json
from datetime import UTC, datetime
from typing import Any

import pytest
from command import armbot_command
from conversation import grammar
from hypothesis import example, given
from hypothesis import strategies as st
from quick import QUICK

from armbot.batch import answer_line, answer_lines

NOW = datetime(2026, 6, 10, 23, 0, tzinfo=UTC)
FIELDS = {
    *("topic", "tier", "signs", "hold", "entities", "values", "asks", "reply", "choices"),
    *("sources", "lang"),
}


def ask(**raw: Any) -> dict[str, Any]:
    """What is written for a line with these fields."""
    return answer_line(json.dumps(raw).encode(), 1, grammar(), NOW)


def through(text: bytes) -> tuple[list[dict[str, Any]], bool]:
    """The lines written for a whole input, and whether all were good."""
    written: list[str] = []
    good = answer_lines(io.BytesIO(text), written.append, grammar(), lambda: NOW)
    return [json.loads(line) for line in written], good


def test_one_turn_for_each_message_with_every_field() -> None:
    """The documented fields, no more and no fewer."""
    found = ask(id=7, turns=["11, threw 62 on tuesday, when can he pitch again?", "thanks"])
    assert found["id"] == 7
    assert [set(turn) for turn in found["turns"]] == [FIELDS, FIELDS]


def test_rest_by_the_published_chart() -> None:
    """62 pitches at 11 on Tue 9 June 2026: 3 days of rest, so Sat 13 June.

    Source: MLB/USA Baseball Pitch Smart, ages 11-12: 51 to 65 pitches, 3 days of rest.
    """
    text = "11, threw 62 on tuesday, when can he pitch again?"
    values = ask(text=text, at="2026-06-10T19:00:00-04:00")["turns"][0]["values"]
    assert values["rest_days"] == 3
    assert values["first_eligible"] == "2026-06-13"


def test_every_line_is_a_family_of_its_own() -> None:
    """A hold of one line is unknown to the next."""
    lines, good = through(b'{"id":1,"text":"his elbow hurts"}\n{"id":2,"text":"hello"}\n')
    assert good
    assert [line["turns"][0]["hold"] for line in lines] == [True, False]


def test_turns_of_a_line_are_one_conversation() -> None:
    """A hold lasts for the rest of the line."""
    turns = ask(turns=["his elbow hurts when he throws", "11, 20 pitches monday, friday ok?"])
    assert [turn["hold"] for turn in turns["turns"]] == [True, True]
    assert "first_eligible" not in turns["turns"][1]["values"]


def test_a_bad_line_is_answered_with_its_error_and_the_run_goes_on() -> None:
    """Line, field, problem and remedy; empty lines count but are passed over."""
    lines, good = through(b'{"id":1,"text":"hi"}\r\n\n{"id":"x","text":5}\n{"id":3,"text":"hi"}')
    assert not good
    assert [line["id"] for line in lines] == [1, "x", 3]
    assert lines[1]["error"] == {
        "line": 3,
        "field": "text",
        "problem": "text is expected, not a number",
        "remedy": "write the message in quotes",
    }


def test_a_line_too_long_is_refused_and_the_next_one_answered() -> None:
    """Such a line is not held in memory as a whole, and its rest is not taken for a line."""
    lines, good = through(b'{"text":"' + b"a" * 3_500_000 + b'"}\n{"id":2,"text":"hi"}\n')
    assert not good
    assert len(lines) == 2
    assert (lines[0]["error"]["line"], lines[1]["id"]) == (1, 2)


def test_a_fault_of_the_program_ends_one_line_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """The error says that it is internal; the text of the message is not repeated."""

    def fault(*_: object) -> None:
        raise KeyError("secret words")

    monkeypatch.setattr("armbot.batch.decide", fault)
    found = ask(id=1, text="secret words")
    assert "internal error: KeyError" in found["error"]["problem"]
    assert "secret" not in json.dumps(found)


@pytest.mark.parametrize(
    ("at", "zone", "thrown"),
    [
        ("2026-06-10T23:30:00-04:00", None, "2026-06-10"),
        ("2026-06-10T00:30:00+05:30", None, "2026-06-10"),
        ("2026-06-10T00:30:00+14:00", None, "2026-06-10"),
        ("2026-06-10T23:30:00-11:00", None, "2026-06-10"),
        ("2026-06-10T12:00:00Z", None, "2026-06-10"),
        ("2026-06-11T03:30:00Z", "America/New_York", "2026-06-10"),
        ("2026-06-10T23:30:00-04:00", "Asia/Tokyo", "2026-06-11"),
    ],
)
def test_today_is_the_local_date(at: str, zone: str | None, thrown: str) -> None:
    """Without a zone the date is the one written in ``at``; with one, the date there."""
    found = ask(text="he is 11 and threw 30 pitches today", at=at, zone=zone)
    assert found["turns"][0]["entities"]["thrown"] == thrown


def test_without_at_it_is_now_where_the_clinic_is() -> None:
    """23:00 UTC on 10 June is still 10 June in Chicago; 3:00 UTC on the 11th is too."""
    late = datetime(2026, 6, 11, 3, 0, tzinfo=UTC)
    line = b'{"text":"he is 11 and threw 30 pitches today"}'
    found = answer_line(line, 1, grammar(), late)
    assert found["turns"][0]["entities"]["thrown"] == "2026-06-10"


def test_an_athlete_on_record_is_known_by_name_and_birth_month() -> None:
    """Born June 2015: still 10 throughout June 2026, the careful age of the birthday month."""
    at, athletes = "2026-06-10T19:00:00Z", [{"name": "Sam", "birth": "2015-06"}]
    found = ask(text="Sam threw 40 pitches today, rest days?", at=at, athletes=athletes)
    assert found["turns"][0]["values"]["age"] == 10


def test_a_named_rule_set_is_cited_beside_the_guideline() -> None:
    """Both sources stand under the answer, and the stricter of the two counts."""
    found = ask(text="11, threw 62 tuesday, when can he pitch?", rules=["Little League"])
    assert {"mlb-usab", "ll-reg-vi"} <= set(found["turns"][0]["sources"])


@given(st.binary(max_size=300) | st.text(max_size=200).map(lambda text: text.encode()))
@example(b'{"text": "\\ud800 his elbow hurts"}')
@example(b'{"text": "\\u0000\\u202e12 62"}')
@QUICK
def test_any_bytes_get_one_line_of_plain_json(line: bytes) -> None:
    """Nothing raises, and the output is ASCII without NaN or line breaks."""
    found = json.dumps(answer_line(line, 1, grammar(), NOW), allow_nan=False)
    assert found.isascii()
    assert "\n" not in found


@given(st.text(max_size=120), st.sampled_from(["en", "es", None]))
@QUICK
def test_any_text_is_answered(text: str, lang: str | None) -> None:
    """Whatever a family types, there is an answer and no error."""
    turn = ask(text=text, lang=lang)["turns"][0]
    assert turn["reply"]
    assert turn["lang"] in {"en", "es"}


def test_the_command_ends_with_0_when_all_lines_were_good() -> None:
    """One line out for each line in, and nothing on standard error."""
    done = armbot_command("ask", "--jsonl", typed='{"id":1,"text":"hello"}\n')
    assert (done.returncode, done.stderr) == (0, "")
    assert [json.loads(line)["id"] for line in done.stdout.splitlines()] == [1]


def test_the_command_ends_with_1_when_a_line_was_bad() -> None:
    """The error is in the output, where the answer would have been."""
    done = armbot_command("ask", "--jsonl", typed='nonsense\n{"id":2,"text":"hello"}\n')
    assert done.returncode == 1
    assert [("error" in json.loads(line)) for line in done.stdout.splitlines()] == [True, False]
