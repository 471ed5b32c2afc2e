"""Every time zone this machine knows, by its IANA name."""

from __future__ import annotations

from functools import cache
from zoneinfo import available_timezones

_NOT_PLACES = ("posix/", "right/", "SystemV/")


@cache
def every_zone() -> tuple[str, ...]:
    """Names in alphabetical order, without those that only repeat others."""
    names = (name for name in available_timezones() if not name.startswith(_NOT_PLACES))
    return tuple(sorted(names))
