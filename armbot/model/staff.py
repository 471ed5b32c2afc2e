"""The people of the clinic who are told of reports."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Staff:
    """One chat of the clinic.

    ``role`` decides whether it may clear (Clinic.who_may_clear). ``late`` chats are told
    only when nobody of the others has read a report in time.
    """

    chat: int
    role: str
    lang: str = "en"
    late: bool = False
