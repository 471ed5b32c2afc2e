"""When a new message stays with the matter of the turn before it.

A family that spoke of a diagnosis, of softball or of catching and then asks in a few words
"how fast back to short" still asks about that. A message with a count of its own, or a long
one, starts anew; so does one that asks for a day after something was only explained.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from armbot.model.reports import Tier

if TYPE_CHECKING:
    from armbot.engine.slots import Slots
    from armbot.model.family import Family
    from armbot.model.talk import Reading

_FEW = 11
"""Words up to which a message may lean on the turn before it."""
_FRAGMENT = 6
_LEADING = frozenset("for in on with my the his her to from para pa en con del de el la".split())
_RETURNS = frozenset(
    {"return_to_throw", "months_off", "can_pitch_date", "rest_days", "plan_status", "radar_gun",
     "soreness_rules", "symptom_report", "when_to_see_clinician", "daily_limit", "same_day"}
)  # fmt: skip
_DATES = frozenset({"can_pitch_date", "rest_days", "daily_limit", "innings_limit", "same_day"})
_WITHIN = {
    "ll_elbow": _RETURNS,
    "ll_shoulder": _RETURNS,
    "ucl_sprain": _RETURNS,
    "ucl_surgery": _RETURNS,
    "growth_plate": _RETURNS,
    "return_to_throw": _DATES,
    "softball": _DATES | {"months_off", "pitch_type_age"},
    "catcher_rule": _DATES,
    "other_sports_rest": frozenset({"months_off", "rest_days"}),
    "velocity_drop": frozenset({"multiple_teams", "rest_days", "symptom_report", "radar_gun"}),
    "plan_status": frozenset({"soreness_rules", "long_toss", "return_to_throw"}),
    "months_off": frozenset({"return_to_throw", "rest_days"}),
    "medicine": frozenset({"soreness_rules", "symptom_report"}),
    "imaging": frozenset({"ucl_sprain", "injection"}),
}
"""Topic of the turn before -> topics that, in a few words, are part of it."""
_VAGUE = _DATES | {"unknown", "greeting", "log_outing"}
_SHARPER = ("return_to_throw", "catcher_rule", "softball", *list(_WITHIN)[:5])
"""Topics that a later turn may name and so make a vague beginning plain."""
_OF_EVERY_CHILD = frozenset({"growth_plate"})
"""What every child has: to ask about it tells of no injury."""
_NARROWS = frozenset({("months_off", "other_sports_rest")})
"""A later turn's topic that is a narrower case of the first turn's."""


def kept_on(family: Family, slots: Slots, reading: Reading) -> Slots:
    """The slots, on the topic of the turn before where the message is part of it."""
    talk = family.talk
    if slots.follows and slots.topic == talk.topic and talk.topic in _VAGUE:
        named = next((topic for topic in _SHARPER if topic in reading.pointed), slots.topic)
        return replace(slots, topic=named)
    if slots.follows and (talk.topic, reading.topic) in _NARROWS:
        return replace(slots, topic=reading.topic)
    words = reading.text.split()
    if not talk.topic or slots.follows or len(words) > _FEW or _starts_anew(reading):
        return slots
    if _asks_of_the_log(family, slots, reading):
        return slots
    fragment = 0 < len(words) <= _FRAGMENT and words[0] in _LEADING
    if fragment or slots.topic in _WITHIN.get(talk.topic, frozenset()):
        return replace(slots, topic=talk.topic, follows=True)
    return slots


def _asks_of_the_log(family: Family, slots: Slots, reading: Reading) -> bool:
    """Whether a day is asked about, where nothing was said of the child's own arm.

    After "what is a growth plate" the question "can he pitch tomorrow" is one for the chart.
    After "he had the surgery in March" it is not, whatever the log holds.
    """
    talk, logged = family.talk, bool(family.outings)
    if talk.tier is not Tier.NONE or slots.topic not in _DATES:
        return False
    explained = talk.at_large and (logged or bool(reading.ask_days))
    return explained or (logged and talk.topic in _OF_EVERY_CHILD)


def _starts_anew(reading: Reading) -> bool:
    told = reading.counts or reading.bare or reading.innings_caught
    logs = "log" in reading.acts and bool(told)
    return logs or any(c.pitches is not None for c in reading.counts)
