"""How the family stands: on hold, with a safety question open, or with one just settled."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from armbot.engine.answer import Scene
from armbot.engine.replies import settles
from armbot.engine.slots import Slots
from armbot.engine.subject import GENERIC
from armbot.model.family import Family, Hold, Talk
from armbot.model.reports import Assessment, Tier

THROW_TOPICS = frozenset(
    {"rest_days", "can_pitch_date", "log_outing", "daily_limit", "same_day", "multiple_teams",
     "catcher_rule", "innings_limit", "season_total", "pitch_type_age", "long_toss", "warm_up",
     "radar_gun", "weighted_balls", "return_to_throw", "softball", "other_sports_rest",
     "plan_status"}
)  # fmt: skip
"""Topics whose answers may grant or date throwing: silent on hold and beside a report."""


_FORGOTTEN = timedelta(hours=18)
"""After so long a message opens a conversation of its own: longer than from an evening's
outing to a correction the next morning, shorter than from one outing to the next."""


def rested(family: Family, now: datetime) -> Family:
    """The family without a conversation that nobody has gone on with for long.

    "Swimming today", months after "61 pitches", is no correction of those. An open safety
    question stays open, and a day called off stays off.
    """
    talk = family.talk
    if talk.at is None or talk.tier is not Tier.NONE or now - talk.at <= _FORGOTTEN:
        return family
    return replace(family, talk=Talk(off_on=talk.off_on))


def held(family: Family, slots: Slots) -> bool:
    """Whether the athlete meant, or possibly meant, is on hold."""
    return hold_meant(family, slots) is not None


def hold_meant(family: Family, slots: Slots) -> Hold | None:
    """The hold of the athlete meant, or possibly meant; None where that one is free."""
    athletes = [f.athlete.id for f in slots.frames if f.athlete]
    holds = [family.hold_of(a) for a in athletes] if athletes else list(family.holds)
    return next((hold for hold in holds if hold is not None), None)


def waits(scene: Scene) -> bool:
    """Whether the safety question of an earlier turn is still without an answer."""
    talk = scene.family.talk
    return talk.tier is Tier.ASK and not settles(talk, scene.reading)


def resolves(scene: Scene, slots: Slots) -> bool:
    """Whether the message settles the safety question of the turn before it."""
    talk = scene.family.talk
    return talk.tier is Tier.ASK and settles(talk, scene.reading) and slots.follows


def off_today(scene: Scene, slots: Slots) -> bool:
    """Whether today is asked about, on the day that a sign was asked about and settled."""
    if scene.family.talk.off_on != scene.today or scene.topic not in THROW_TOPICS:
        return False
    return not slots.ask_days or scene.today in slots.ask_days


def ends_the_day(scene: Scene, slots: Slots, found: Assessment) -> bool:
    """Whether no throwing is left for today, though nobody is on hold."""
    elsewhere = found.urgent_elsewhere or (found.other_body and slots.topic in GENERIC)
    return resolves(scene, slots) or elsewhere
