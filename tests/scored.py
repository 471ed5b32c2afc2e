"""The labelled files, each scored once for all tests of a run."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from conversation import grammar

from armbot.evaluate import Evaluation, evaluate, read_labelled

DATA = Path(__file__).parent / "data"
FILES = (
    "symptoms",
    "fresh_symptoms",
    "unseen_symptoms",
    "questions",
    "fresh_questions",
    "unseen_questions",
)


@cache
def scored(name: str) -> Evaluation:
    """The evaluation of tests/data/<name>.jsonl."""
    return evaluate(read_labelled(DATA / f"{name}.jsonl"), grammar())
