"""What the shape of a message says about its topic, beside its words.

A count with an age asks about rest even where no word says so; a count with a day ahead
asks about that day; a plain statement of a count is there to be logged.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain, pairwise

from armbot.language.outings import Told
from armbot.language.topics import TopicScore

REST, DATE, LOG, TYPES = "rest_days", "can_pitch_date", "log_outing", "pitch_type_age"
_LIMITS = ("innings_limit", "daily_limit")
_POINTERS = (
    ("role_prompt", "unknown", 8.0),
    ("billing", "unknown", 14.0),
    ("vaccine", "unknown", 5.0),
    ("medical_chat", "unknown", 4.0),
    ("stats", "unknown", 5.0),
    ("clinic_contact", "unknown", 5.0),
    ("body_prop", "unknown", 3.0),
    ("past_warm", "soreness_rules", 4.0),
    ("catcher_word", "catcher_rule", 5.0),
    ("same_day_word", "same_day", 2.0),
    ("program_sore", "soreness_rules", 5.0),
    ("season_end", "months_off", 3.0),
    ("season_span", "season_total", 3.0),
    ("sum_up", "season_total", 3.0),
    ("sport_rest", "other_sports_rest", 4.0),
    ("velo_low", "velocity_drop", 4.0),
    ("appointment", "when_to_see_clinician", 3.0),
    ("back_from", "return_to_throw", 2.0),
    ("plan_done", "plan_status", 2.0),
    ("season_restart", "months_off", 9.0),
    ("foul_ball", "daily_limit", 3.0),
    ("full_tear", "ucl_surgery", 3.0),
    ("not_softball", "softball", -12.0),
)
"""Acts that point to a topic whatever else the message asks."""
_ASKING = frozenset(
    "should when how what whats which hows wheres who puede puedo cuando cuanto cuantos cuantas "
    "cual que debe".split()
)  # fmt: skip
_HELPING = frozenset("can could may is are does do did will would".split())
_ASKED = frozenset("he she i we you u it they this that my our his her the there any one".split())
"""A helping word asks where one of these follows it: "is he", not "kid is 12"."""
_PLAIN, _LONG_PLAIN, _PLAIN_WORDS = 9.0, 2.5, 10
"""A count told with its day, and nothing asked, is there to be logged, whatever the number or
the verb reminds of; a long message may hold a question in other words."""
_PLANNED = 6.0
"""Pitches asked for and none told as thrown: the limit is asked, or the day that is named."""
_OUTING_TOLD = -9.0
"""Innings told with their pitches and their day are an outing: no limit is asked about."""
_ABOUT_THROWS = frozenset({"catcher_word", "same_day_word"})
"""Pointers that a plain entry for the log leaves without weight."""
_DOSE = 26.0
"""A dose asked for without a word on arm or pitching: any child's medicine, not ours."""
_PROGRAM = 3.0
"""Soreness on a throwing program has rules of its own."""
_HELLO, _HELLO_WORDS = 5.0, 3
"""A hello counts for more where it is nearly all that was written."""


@dataclass(frozen=True, slots=True)
class Shape:
    """What a message holds beside its words: counts and days, acts, pitches, denials."""

    told: Told
    words: Sequence[str]
    acts: frozenset[str]
    pitch_types: bool
    all_denied: bool


def adjusted(ranked: Sequence[TopicScore], shape: Shape) -> list[TopicScore]:
    """The ranking with the weight of the message's shape added, best first."""
    extra = _by_numbers(shape)
    for topic, weight in chain(_by_acts(shape), _by_denial(shape)):
        extra[topic] = extra.get(topic, 0.0) + weight
    changed = [replace(item, score=item.score + extra.get(item.topic, 0.0)) for item in ranked]
    return sorted(changed, key=lambda item: (-item.score, item.topic))


def _by_acts(shape: Shape) -> Iterator[tuple[str, float]]:
    """Topics that an act points to, and how strongly."""
    acts = shape.acts
    entry = "log" in acts and not asks(shape.words)
    for act, topic, weight in _POINTERS:
        if act in acts and not (entry and act in _ABOUT_THROWS):
            yield topic, weight
    if "hello" in acts and len(shape.words) <= _HELLO_WORDS:
        yield "greeting", _HELLO
    if "program" in acts and "sore_word" in acts:
        yield "soreness_rules", _PROGRAM
    if "dose_ask" in acts and "arm_context" not in acts:
        yield "unknown", _DOSE


def _by_denial(shape: Shape) -> Iterator[tuple[str, float]]:
    """A message that only denies signs is hardly a report."""
    if shape.all_denied:
        yield "symptom_report", -3.0
        yield "soreness_rules", -2.0
        yield "when_to_see_clinician", -1.0


def asks(words: Sequence[str]) -> bool:
    """Whether the message asks something, with or without a question mark."""
    if "?" in words or _ASKING & set(words):
        return True
    return any(a in _HELPING and b in _ASKED for a, b in pairwise(words))


_FEWEST_ENTRIES = 2


def is_roster(words: Sequence[str]) -> bool:
    """Whether it is a list of pitchers and counts: "#3 41, #19 17", "Sam 24, Theo 51"."""
    if words.count("#") >= _FEWEST_ENTRIES:
        return True
    entries = 0
    for place, (name, count) in enumerate(pairwise(words)):
        ends = words[place + 2] if place + 2 < len(words) else ","
        entries += name.isalpha() and count.isdigit() and ends in (",", ".", "and", "y", "\n")
    return entries > _FEWEST_ENTRIES


def _by_numbers(shape: Shape) -> dict[str, float]:
    """What counts, ages and days say together."""
    told, words, acts = shape.told, shape.words, shape.acts
    asking, pitch_types = asks(words), shape.pitch_types
    extra: dict[str, float] = {}
    counted = any(c.pitches is not None for c in told.counts)
    rest = "rest_word" in acts
    if counted and (told.ages or told.thrown_days):
        extra[REST] = 4.0 if rest else 0.0 if told.ask_days else 1.5
        extra[DATE] = (3.5 if rest else 5.0) if told.ask_days else 0.0
        plain = _PLAIN if len(words) <= _PLAIN_WORDS else _LONG_PLAIN
        extra[LOG] = 0.0 if asking or told.ask_days or rest else plain
        if told.thrown_days and not asking and _by_inning(told):
            extra |= dict.fromkeys(_LIMITS, _OUTING_TOLD)
    elif told.ask_days and asking and not pitch_types and "amount_word" not in acts:
        extra[DATE] = 1.5
    if told.planned and not counted:
        extra[DATE if told.ask_days else "daily_limit"] = _PLANNED
    if set(told.thrown_days) & set(told.ask_days):
        extra["same_day"] = 3.0
    if "log" in acts and (told.counts or told.bare):
        extra[LOG] = extra.get(LOG, 0.0) + (3.0 if asking or rest else 8.0)
    elif not asking and is_roster(words):
        extra[LOG] = extra.get(LOG, 0.0) + 5.0
    if pitch_types and not counted:
        extra[TYPES] = 2.5
    return extra


def _by_inning(told: Told) -> bool:
    """Whether innings were told with the pitches thrown in them."""
    return any(count.pitches is not None and count.outs for count in told.counts)
