"""Labelled messages: one JSON object a line, either a question or a symptom message."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path


ESCALATIONS = {"none": "none", "ask_first": "ask", "stop_and_contact_clinic": "stop",
               "urgent": "stop"}  # fmt: skip
"""The least tier for a sign hidden in a question. A label says at least how careful."""
LABELS = {"benign": "none", "ask": "ask", "stop": "stop", "stop_urgent": "stop_urgent",
          "emergency": "emergency"}  # fmt: skip
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


class LabelError(ValueError):
    """A labelled file that cannot be scored; the message names file, line and field."""


@dataclass(frozen=True, slots=True)
class Labelled:
    """One labelled message or conversation.

    ``tier`` is the right tier of a symptom message, ``least_tier`` the least careful one
    for a question; the other is None. ``values`` are the right figures of the last reply,
    ``asked_on`` the weekday (0 is Monday) on which the message is sent, None for any.
    """

    id: str
    turns: tuple[str, ...]
    tier: str | None = None
    topic: str | None = None
    least_tier: str | None = None
    values: Mapping[str, Any] = field(default_factory=dict)
    follow_up: str = ""
    asked_on: int | None = None


def read_labelled(path: Path) -> tuple[Labelled, ...]:
    """Every message of a file. Raises LabelError, and OSError where it cannot be opened."""
    found = []
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except UnicodeDecodeError:
        raise LabelError(f"{path}: not UTF-8 text -- save it as UTF-8") from None
    for number, line in enumerate(lines, start=1):
        if line.strip():
            found.append(_labelled(line, f"{path}:{number}"))
    if not found:
        raise LabelError(f"{path}: no messages in it -- write one JSON object a line")
    return tuple(found)


def _labelled(line: str, place: str) -> Labelled:
    try:
        raw = json.loads(line)
    except (ValueError, RecursionError):
        raise LabelError(f"{place}: not JSON -- write one object a line") from None
    if not isinstance(raw, dict):
        raise LabelError(f"{place}: a JSON object is expected")
    if "label" in raw:
        tier = _in(raw, "label", LABELS, place)
        return Labelled(_text(raw, "id", place), _turns(raw, place), tier=tier)
    if "topic" not in raw:
        raise LabelError(f"{place}: neither 'label' (symptoms) nor 'topic' (questions) is given")
    values = raw.get("values") or {}
    if not isinstance(values, dict):
        raise LabelError(f"{place}: field 'values': an object is expected")
    return Labelled(
        id=_text(raw, "id", place),
        turns=_turns(raw, place),
        topic=_text(raw, "topic", place),
        least_tier=_in({"escalate": "none", **raw}, "escalate", ESCALATIONS, place),
        values=values,
        follow_up=str(raw.get("needs_followup") or ""),
        asked_on=_weekday(raw.get("asked_on"), place),
    )


def _turns(raw: Mapping[str, Any], place: str) -> tuple[str, ...]:
    if "turns" not in raw:
        return (_text(raw, "text", place),)
    turns = raw["turns"]
    if not isinstance(turns, list) or not turns or not all(isinstance(t, str) for t in turns):
        raise LabelError(f"{place}: field 'turns': a list of texts is expected")
    return tuple(turns)


def _text(raw: Mapping[str, Any], name: str, place: str) -> str:
    value = raw.get(name)
    if not isinstance(value, str):
        raise LabelError(f"{place}: field '{name}': text is expected")
    return value


def _in(raw: Mapping[str, Any], name: str, known: Mapping[str, str], place: str) -> str:
    value = _text(raw, name, place)
    if value not in known:
        raise LabelError(f"{place}: field '{name}': '{value}' is none of {', '.join(known)}")
    return known[value]


def _weekday(value: object, place: str) -> int | None:
    if value is None:
        return None
    if not isinstance(value, str) or value[:3] not in WEEKDAYS:
        raise LabelError(f"{place}: field 'asked_on': write one of {', '.join(WEEKDAYS)}")
    return WEEKDAYS.index(value[:3])
