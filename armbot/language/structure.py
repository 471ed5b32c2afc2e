"""What the shape of a message says about its topic, beside its words.

A count with an age asks about rest even where no word says so; a count with a day ahead
asks about that day; a plain statement of a count is there to be logged.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from armbot.language.outings import Told
from armbot.language.topics import TopicScore

REST, DATE, LOG, TYPES = "rest_days", "can_pitch_date", "log_outing", "pitch_type_age"
_POINTERS = (
    ("catcher_word", "catcher_rule", 3.0),
    ("same_day_word", "same_day", 2.0),
    ("program_sore", "soreness_rules", 4.0),
    ("season_end", "months_off", 2.0),
)
"""Acts that point to a topic whatever else the message asks."""
_ASKING = frozenset(
    "can could may should when how what whats which is does do will puede puedo cuando cuanto "
    "cuantos cuantas cual que debe".split()
)  # fmt: skip


def adjusted(  # noqa: PLR0913 - every kind of shape a message has
    ranked: Sequence[TopicScore],
    told: Told,
    words: Sequence[str],
    acts: frozenset[str],
    *,
    pitch_types: bool,
    all_denied: bool,
) -> list[TopicScore]:
    """The ranking with the weight of the message's shape added, best first."""
    extra: dict[str, float] = {}
    counted = any(c.pitches is not None for c in told.counts)
    asks = "?" in words or bool(_ASKING & set(words))
    if counted and (told.ages or told.thrown_days):
        extra[REST] = 1.5
        if told.ask_days:
            extra[DATE] = 3.5
        if not asks and not told.ask_days:
            extra[LOG] = 2.5
    elif told.ask_days and asks and not pitch_types:
        extra[DATE] = 1.5
    if "log" in acts and counted:
        extra[LOG] = extra.get(LOG, 0.0) + 3.0
    if pitch_types and not counted:
        extra[TYPES] = 2.5
    for act, topic, weight in _POINTERS:
        if act in acts:
            extra[topic] = extra.get(topic, 0.0) + weight
    if all_denied:
        extra["symptom_report"] = -3.0
        extra["soreness_rules"] = -2.0
        extra["when_to_see_clinician"] = -1.0
    changed = [replace(item, score=item.score + extra.get(item.topic, 0.0)) for item in ranked]
    return sorted(changed, key=lambda item: (-item.score, item.topic))
