"""One-time codes by which one more chat joins a family.

The code itself is shown once and kept nowhere; what is kept is its digest.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from hashlib import sha256

from armbot.model.family import Family, JoinCode, Role

MOST_OPEN = 7
"""Codes of one family that are good at the same time; the oldest give way."""
_PURPOSE = "armbot join code:"
"""Mixed into every digest, so that it is of no use for anything else."""


def normal(code: str) -> str:
    """A code as it is compared: letters and digits, in capitals.

    People type codes with spaces, hyphens and small letters.
    """
    return "".join(c for c in code if c.isascii() and c.isalnum()).upper()


def digest(code: str) -> str:
    """What is kept of a code: SHA-256 as 64 hex digits. "" for a text without any sign."""
    plain = normal(code)
    return sha256(f"{_PURPOSE}{plain}".encode()).hexdigest() if plain else ""


def make(family: Family, role: Role, athlete: str, code: str, until: datetime) -> Family:
    """The family with one more code, good once and before ``until`` (aware).

    ``athlete`` is the athlete's id where the code is for that athlete's own phone, else "".
    Raises ValueError for a code without letters or digits and for an unknown athlete.
    """
    if not digest(code):
        raise ValueError("a code needs letters or digits")
    if athlete and family.athlete(athlete) is None:
        raise ValueError("the family has no athlete of that id")
    made = JoinCode(digest(code), role, until, athlete)
    others = tuple(c for c in family.codes if c.digest != made.digest)
    return replace(family, codes=(*others, made)[-MOST_OPEN:])


def use(family: Family, code: str, now: datetime) -> JoinCode | None:
    """The invitation that a code opens at ``now``; None for a wrong, used or late one.

    joining.begin uses it up.
    """
    wanted = digest(code)
    found = next((c for c in family.codes if wanted and c.digest == wanted), None)
    if found is None or now >= found.until:
        return None
    return found if not found.athlete or family.athlete(found.athlete) else None
