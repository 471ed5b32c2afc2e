"""Reads content/clinic.yaml."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from armbot.content.sources import by_language
from armbot.content.strict import Node, load
from armbot.model.clinic import Clinic
from armbot.model.reports import Tier

if TYPE_CHECKING:
    from pathlib import Path

_PHONE = re.compile(r"\+?[0-9][0-9 ()./-]{1,24}")


def load_clinic(path: Path) -> Clinic:
    """Read the clinic's file.

    Raises ContentError (file, line, problem, remedy) for a missing or unknown field, a
    number that cannot be dialled, an unknown time zone, a count below one or an empty list
    of roles.
    """
    fields = load(path).mapping(
        required=(
            *("names", "phone", "emergency_number", "hours", "time_zone", "doubtful_pitches"),
            *("who_may_clear", "unread_minutes", "demo"),
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
        doubtful_pitches=_most(fields["doubtful_pitches"]),
        who_may_clear=roles,
        unread_minutes=_minutes(fields["unread_minutes"]),
        demo=fields["demo"].boolean(),
    )


def _minutes(node: Node) -> dict[str, int]:
    """Minutes by tier, for each tier that holds; the more urgent never later."""
    tiers = tuple(tier.word for tier in sorted(Tier, reverse=True) if tier.holds)
    found = {tier: item.integer() for tier, item in node.mapping(required=tiers).items()}
    for sooner, later in pairwise(tiers):
        if not 0 < found[sooner] <= found[later]:
            raise node.fail(
                f"{sooner} is told again after {found[sooner]} minutes, {later} after "
                f"{found[later]}",
                "give each at least one minute, and the more urgent no more than the others",
            )
    return found


def _number(node: Node) -> str:
    text = node.text()
    if not _PHONE.fullmatch(text):
        raise node.fail(f"'{text}' cannot be dialled", 'write digits, such as "555-0100"')
    return text


def _most(node: Node) -> int:
    count = node.integer()
    if count < 1:
        raise node.fail(f"{count} pitches are none", 'write a count of one day, such as "150"')
    return count


def _zone(node: Node) -> str:
    text = node.text()
    try:
        ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise node.fail(f"no time zone '{text}'", "write such as America/Chicago") from None
    return text
