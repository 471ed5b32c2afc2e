"""Who may use the bot for more than danger signs: consent first, and for a child a grown-up."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from armbot.model.family import Family, Member, Role

ALONE_FROM = 13
"""Youngest age at which an athlete may join without a guardian: children under 13 need a
parent's agreement under the US Children's Online Privacy Protection Act (16 CFR part 312,
from memory); the clinic's own law comes first."""


def may_talk(family: Family, member: Member, now: datetime) -> bool:
    """Whether the member has agreed and, where a child, a guardian of the family has too."""
    if member.consent is None or member.role is Role.UNKNOWN:
        return False
    return member.role is Role.GUARDIAN or not needs_guardian(family, member, now)


def needs_guardian(family: Family, member: Member, now: datetime) -> bool:
    """Whether the athlete's own chat waits for a guardian.

    An athlete whose age is not known counts as a child.
    """
    if any(m.role is Role.GUARDIAN and m.consent is not None for m in family.members):
        return False
    athlete = family.athlete(member.athlete)
    span = athlete.span_on(now.astimezone(ZoneInfo(family.zone)).date()) if athlete else None
    return span is None or span.first < ALONE_FROM
