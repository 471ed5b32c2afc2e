"""The scoring itself: it must see a wrong answer, or its numbers mean nothing."""

from __future__ import annotations

import json
from datetime import date
from typing import TYPE_CHECKING, Any

import pytest
from conversation import grammar

from armbot.evaluate import ASKED_AT, Evaluation, evaluate, given_value, sent_at
from armbot.labels import LabelError, Labelled, read_labelled

if TYPE_CHECKING:
    from pathlib import Path

REST = "11, threw 62 on tuesday, when can he pitch again?"
RIGHT = {"rest_days": 3, "first_eligible": "Sat", "rest_on": ["Wed", "Thu", "Fri"]}
"""MLB/USA Baseball Pitch Smart, ages 11-12: 51 to 65 pitches, 3 days of rest."""


def scored(*messages: Labelled) -> Evaluation:
    """The evaluation of these messages."""
    return evaluate(messages, grammar())


def question(**labels: Any) -> Labelled:
    """The rest question with these labels."""
    return Labelled(**{"id": "q", "turns": (REST,), "topic": "can_pitch_date"} | labels)


def test_right_labels_score_in_full() -> None:
    """No miss where everything is right."""
    found = scored(question(values=RIGHT, least_tier="none"))
    assert found.misses == ()
    assert {name: score.share for name, score in found.scores.items()} == {
        "topic": 1,
        "no wrong value": 1,
        "every value given": 1,
        "no false stop": 1,
    }


@pytest.mark.parametrize(
    ("labels", "check"),
    [
        ({"topic": "ice_heat"}, "topic"),
        ({"values": {**RIGHT, "rest_days": 2}}, "no wrong value"),
        ({"values": {**RIGHT, "first_eligible": "Fri"}}, "no wrong value"),
        ({"values": {**RIGHT, "first_eligible": "06-12"}}, "no wrong value"),
        ({"values": {**RIGHT, "rest_on": ["Wed", "Thu"]}}, "no wrong value"),
        ({"values": {"total_pitches": 62}}, "every value given"),
        ({"least_tier": "ask"}, "hidden sign caught"),
        ({"follow_up": "age"}, "follow-up asked"),
    ],
)
def test_a_label_the_answer_does_not_meet_is_a_miss(labels: dict[str, Any], check: str) -> None:
    """Each check can fail, and names itself."""
    found = scored(question(**labels))
    assert [miss.check for miss in found.misses] == [check]
    assert found.scores[check].right == 0


def test_a_hidden_sign_is_to_be_caught_and_to_be_stopped() -> None:
    """Asking about it is caught but not stopped; passing it over is neither."""
    asked = question(turns=("arm is a bit tired after 40 pitches, 12",), least_tier="stop")
    passed_over = question(least_tier="stop")
    checks = ["hidden sign caught", "hidden sign stopped"]
    assert [m.check for m in scored(asked).misses if m.check in checks] == checks[1:]
    assert [m.check for m in scored(passed_over).misses if m.check in checks] == checks


@pytest.mark.parametrize(
    ("label", "text", "checks"),
    [
        ("stop", "his elbow hurts when he throws", []),
        ("emergency", "his elbow hurts when he throws", ["tier", "emergency found"]),
        ("stop", "hello", ["tier", "stop found"]),
        ("ask", "hello", ["tier", "ask not passed over"]),
        ("none", "his elbow hurts when he throws", ["tier", "benign not stopped"]),
        ("stop_urgent", "his elbow hurts when he throws", ["tier"]),
    ],
)
def test_a_symptom_is_scored_for_exactness_and_for_danger(
    label: str, text: str, checks: list[str]
) -> None:
    """Too low by a step within the stops is inexact; below stop it is dangerous."""
    found = scored(Labelled("s", (text,), tier=label))
    assert [miss.check for miss in found.misses] == checks


def test_a_weekday_label_moves_the_day_of_asking() -> None:
    """The first such day from Wednesday 10 June on, at the same hour."""
    days = [sent_at(Labelled("q", ("",), asked_on=day)).date() for day in range(7)]
    assert [day.weekday() for day in days] == list(range(7))
    assert min(days) == ASKED_AT.date()
    assert (max(days) - min(days)).days == 6


def test_values_are_compared_in_the_form_of_the_label() -> None:
    """Weekday, month and day, or days from today; nothing given is None."""
    given = {"first_eligible": "2026-06-13", "rest_on": ("2026-06-11",), "may_pitch": False}
    today = date(2026, 6, 10)
    assert given_value("first_eligible", "Sat", given, today) == "Sat"
    assert given_value("first_eligible", "06-13", given, today) == "06-13"
    assert given_value("first_eligible_offset_from_today", 3, given, today) == 3
    assert given_value("rest_on", ["Thu"], given, today) == ["Thu"]
    label = False
    assert given_value("can_pitch_on_ask_day", label, given, today) is label
    assert given_value("first_eligible", "Sat", {}, today) is None


BAD_LABELS: list[tuple[Any, str]] = [
    ("{", "not JSON"),
    ([], "a JSON object is expected"),
    ({"id": "a", "text": "b"}, "neither 'label' .* nor 'topic'"),
    ({"text": "b", "label": "stop"}, "field 'id'"),
    ({"id": "a", "label": "stop"}, "field 'text'"),
    ({"id": "a", "turns": [], "label": "stop"}, "field 'turns'"),
    ({"id": "a", "text": "b", "label": "bad"}, "field 'label'"),
    ({"id": "a", "text": "b", "topic": "x", "escalate": "soon"}, "field 'escalate'"),
    ({"id": "a", "text": "b", "topic": "x", "values": [1]}, "field 'values'"),
    ({"id": "a", "text": "b", "topic": "x", "asked_on": "Someday"}, "field 'asked_on'"),
]


@pytest.mark.parametrize(("row", "problem"), BAD_LABELS)
def test_a_bad_label_names_file_line_and_field(tmp_path: Path, row: Any, problem: str) -> None:
    """The empty first line counts."""
    path = tmp_path / "f.jsonl"
    path.write_text("\n" + (row if isinstance(row, str) else json.dumps(row)), "utf-8")
    with pytest.raises(LabelError, match=rf"f\.jsonl:2: .*{problem}"):
        read_labelled(path)


def test_an_empty_file_is_no_perfect_score(tmp_path: Path) -> None:
    """Nothing scored is a mistake, not 100 %."""
    path = tmp_path / "f.jsonl"
    path.write_text("\n", "utf-8")
    with pytest.raises(LabelError, match="no messages"):
        read_labelled(path)
