"""The clinic whose families the bot serves."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Clinic:
    """What answers and staff functions need to know of the clinic.

    ``names`` and ``hours`` are texts by language; ``who_may_clear`` are the roles that
    may record a clearance and so end a hold; a count of more than ``doubtful_pitches`` in a
    day is asked about before it is believed; ``unread_minutes`` is, by the word of the tier,
    after how long staff are told again of a report nobody has read; ``demo`` marks an
    invented clinic.
    """

    names: dict[str, str]
    phone: str
    emergency_number: str
    hours: dict[str, str]
    time_zone: str
    doubtful_pitches: int
    who_may_clear: tuple[str, ...]
    unread_minutes: dict[str, int]
    demo: bool
