"""What a message is answered about: its own question, or the report that it holds."""

from __future__ import annotations

from armbot.engine.slots import Slots
from armbot.language.second import RULE_ID as LIKENESS
from armbot.model.reports import Assessment, Tier
from armbot.model.talk import Reading

_SURFACE = (
    "imaging", "medicine", "injection", "ucl_surgery", "ucl_sprain",
    "ll_elbow", "ll_shoulder", "radar_gun", "when_to_see_clinician", "warm_up", "velocity_drop",
    "soreness_rules", "ice_heat", "weighted_balls", "strength", "growth_plate", "mechanics",
    "return_to_throw", "plan_status", "softball", "physical_therapy",
)  # fmt: skip
"""Topics that a message with a sign may still be about, where it names one of them."""
_NAMED_ONLY = ("months_off", "other_sports_rest", "pitch_type_age")
"""Topics a message with a sign may be about only where it names them itself."""
GENERIC = frozenset(
    {"rest_days", "can_pitch_date", "log_outing", "daily_limit", "same_day", "unknown", "greeting",
     "thanks", "injury_risk", "elbow_anatomy", "innings_limit", "multiple_teams", "season_total",
     "catcher_rule", "symptom_report"}
)  # fmt: skip
"""Topics that give way to the report when a message holds a sign."""
_OF_HEALTHY_ARMS = frozenset({"warm_up", "long_toss", "pitch_type_age", "softball", "strength"})
"""Topics for an arm that is well: a plain report beside them is what matters."""
_LEAD = 6.0
"""Points by which a topic must lead the report to stand beside a sign unnamed."""
_EVEN = 0.0
"""A plain report is about a topic it names only where the topic is ahead of the report."""


def topic_of(slots: Slots, found: Assessment, reading: Reading, *, stays: bool) -> str:
    """The report comes first, unless the message names a clinical topic of its own.

    ``stays``: the turn before was about the same topic.
    """
    likeness_alone = found.tier is Tier.ASK and found.rule_ids == (LIKENESS,)
    if found.tier is Tier.NONE or likeness_alone:
        return slots.topic
    own_arm = bool(found.parts) and found.tier >= Tier.STOP_URGENT
    if slots.topic == "unknown" and "unknown" in reading.pointed and not own_arm:
        return "unknown"
    if slots.topic in GENERIC:
        return "symptom_report"
    if slots.topic not in _named(slots, reading, stays=stays) and not _leads(slots.topic, reading):
        return "symptom_report"
    needed = _LEAD if slots.topic in _OF_HEALTHY_ARMS else _EVEN
    behind = _lead(slots.topic, reading) < needed
    if found.tier >= Tier.STOP and not slots.follows and behind:
        return "symptom_report"
    return slots.topic


def _leads(topic: str, reading: Reading) -> bool:
    """Whether the message reads far more like a question on ``topic`` than like a report."""
    return _lead(topic, reading) >= _LEAD


def _lead(topic: str, reading: Reading) -> float:
    """Points by which a topic is ahead of the report."""
    scores = dict(reading.topics)
    report = scores.get("symptom_report", min(scores.values(), default=0.0))
    return scores.get(topic, report) - report


def _named(slots: Slots, reading: Reading, *, stays: bool) -> tuple[str, ...]:
    own = tuple(t for t in reading.pointed if t in _SURFACE + _NAMED_ONLY)
    return _SURFACE + own if slots.follows and stays else own
