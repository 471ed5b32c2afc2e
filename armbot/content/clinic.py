"""Reads content/clinic.yaml."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from armbot.content.sources import by_language
from armbot.content.strict import Node, load
from armbot.model.clinic import Clinic

if TYPE_CHECKING:
    from pathlib import Path

_PHONE = re.compile(r"\+?[0-9][0-9 ()./-]{1,24}")


def load_clinic(path: Path) -> Clinic:
    """Read the clinic's file.

    Raises ContentError (file, line, problem, remedy) for a missing or unknown field, a
    number that cannot be dialled, an unknown time zone or an empty list of roles.
    """
    fields = load(path).mapping(
        required=(
            *("names", "phone", "emergency_number", "hours", "time_zone"),
            *("who_may_clear", "demo"),
        ),
        optional=(),
    )
    roles = fields["who_may_clear"].words()
    if not roles:
        raise fields["who_may_clear"].fail(
            "nobody may clear an athlete", "name at least one role: only a clearance ends a hold"
        )
    return Clinic(
        names=by_language(fields["names"]),
        phone=_number(fields["phone"]),
        emergency_number=_number(fields["emergency_number"]),
        hours=by_language(fields["hours"]),
        time_zone=_zone(fields["time_zone"]),
        who_may_clear=roles,
        demo=fields["demo"].boolean(),
    )


def _number(node: Node) -> str:
    text = node.text()
    if not _PHONE.fullmatch(text):
        raise node.fail(f"'{text}' cannot be dialled", 'write digits, such as "555-0100"')
    return text


def _zone(node: Node) -> str:
    text = node.text()
    try:
        ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise node.fail(f"no time zone '{text}'", "write such as America/Chicago") from None
    return text
