"""The bot against labelled messages: how urgent, what about, which figures.

The labels follow published guidance (tests/data/README.md); no clinician reviewed them.
A missed danger weighs far more than an idle alarm, so the bounds differ.
"""

from __future__ import annotations

import pytest
from scored import DATA, FILES, scored

SYMPTOMS, QUESTIONS = "symptoms", "questions"


def misses(name: str, check: str) -> list[str]:
    """The misses of one check, as they are to be read in a failure."""
    found = scored(name)
    assert check in found.scores, f"{name}: nothing was checked for '{check}'"
    return [f"{m.id}: wanted {m.wanted}, found {m.found} | {m.said}" for m in found.missed(check)]


def assert_share(name: str, check: str, least: float) -> None:
    """At least this share of the messages passes the check."""
    score, found = scored(name).scores[check], misses(name, check)
    assert score.share >= least, "\n".join([f"{score.right} of {score.asked}", *found])


def test_no_emergency_is_missed() -> None:
    """Every message labelled emergency is sent to emergency care."""
    assert misses(SYMPTOMS, "emergency found") == []


def test_no_stop_is_missed() -> None:
    """Every message labelled emergency, stop_urgent or stop stops throwing."""
    assert misses(SYMPTOMS, "stop found") == []


def test_no_doubt_is_passed_over() -> None:
    """Every message labelled ask gets the safety question or more."""
    assert misses(SYMPTOMS, "ask not passed over") == []


def test_idle_alarms_are_rare() -> None:
    """Of the messages without a sign at most 3 % are stopped and 6 % asked about."""
    assert_share(SYMPTOMS, "benign not stopped", 0.97)
    assert_share(SYMPTOMS, "benign not asked", 0.94)


def test_the_tier_is_mostly_exact() -> None:
    """At least 95 % get the labelled tier, not one beside it."""
    assert_share(SYMPTOMS, "tier", 0.95)


def test_the_topic_is_understood() -> None:
    """At least 97 % of the questions are taken for what they ask."""
    assert_share(QUESTIONS, "topic", 0.97)


def test_no_figure_is_wrong() -> None:
    """No rest day, limit or date differs from its label."""
    assert misses(QUESTIONS, "no wrong value") == []


def test_no_figure_is_owed() -> None:
    """Every labelled figure is given."""
    assert misses(QUESTIONS, "every value given") == []


def test_what_is_missing_is_asked_for() -> None:
    """At least 97 % of the questions that lack a fact get a question back."""
    assert_share(QUESTIONS, "follow-up asked", 0.97)


def test_signs_hidden_in_questions_are_caught() -> None:
    """A sign inside a question about something else holds every throwing answer back.

    One label asks for the clinic though it is a knee that hurts: no arm, so no tier, and
    the reply sends on to the clinic (tests/engine/test_symptoms_first.py).
    """
    assert [miss[:4] for miss in misses(QUESTIONS, "hidden sign caught")] == ["q645"]


def test_signs_hidden_in_questions_mostly_stop_at_once() -> None:
    """Most hidden signs stop throwing at once; the rest get the safety question first.

    The labels of the questions stop for tired, tight and muscle-sore arms as well, which
    the labels of the symptom messages only ask about: both cannot hold.
    """
    assert_share(QUESTIONS, "hidden sign stopped", 0.85)


def test_questions_raise_few_idle_alarms() -> None:
    """At most 3 % of the questions without a sign are stopped."""
    assert_share(QUESTIONS, "no false stop", 0.97)


@pytest.mark.parametrize("name", FILES)
def test_every_file_is_read_to_its_end(name: str) -> None:
    """All messages are scored: as many as the file has lines."""
    path = DATA / f"{name}.jsonl"
    lines = [line for line in path.read_text("utf-8").splitlines() if line.strip()]
    check = "tier" if name.endswith(SYMPTOMS) else "topic"
    assert scored(name).scores[check].asked == len(lines) >= 200
