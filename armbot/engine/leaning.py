"""Whether a message leans on the turn before it: an answer, a correction, a further question."""

from __future__ import annotations

from armbot.model.family import Family, Talk
from armbot.model.people import AgeSpan
from armbot.model.talk import Reading

_SURE_TOPIC = 5.0
"""A topic score from here on is the message's own question."""
_LEAN_TOPIC = 1.8
_YOUNGEST, _OLDEST = 5, 18
"""A bare number from here to there beside a count may be another child's age."""
_SHORT = 9
"""Words up to which a correction is taken to be of the turn before."""
DAY_THROWN = "day thrown"
"""What an answer asks for where a count came without its day."""


def follows_on(family: Family, reading: Reading) -> bool:
    """Whether the message leans on the turn before it."""
    talk = family.talk
    if not talk.topic or _another_child(reading, talk):
        return False
    if _of_something_else(reading, talk):
        return False
    corrects = "correction" in reading.acts and len(reading.text.split()) <= _SHORT
    other_child = "both_children" in reading.acts and len(reading.text.split()) <= 2 * _SHORT
    if corrects or other_child or not _own_topic(reading):
        return True
    dates_it = talk.topic == "log_outing" and talk.pitches is not None
    asked = f"{talk.asks}; date" if dates_it else talk.asks
    return bool(asked) and (reading.topic == talk.topic or _answers(reading, asked))


_FEW = 3
_REFERS = frozenset(
    "he she him her his hers hes shes i im me my mine we us our they them their kid son daughter "
    "it its that thats this those these same sure right serious really still then instead again "
    "next more less before after else when why long many much often soon ok okay "
    "ella le les su sus mi mis me nos yo hijo hija nino nina eso esto esa esta ese mismo "
    "seguro segura verdad entonces otra otro vez mas menos antes despues cuando cuanto cuantos "
    "bien tambien ya".split()
)
"""Words by which a message may go on about the turn before it."""


def _of_something_else(reading: Reading, talk: Talk) -> bool:
    """Whether nothing ties the message to throwing, nor to the turn before: "what is uv light".

    A question that is open is answered in all sorts of words, and is no part of this.
    """
    words = reading.text.replace("?", " ").replace(",", " ").replace(".", " ").split()
    told = reading.anchored or reading.bare or reading.thrown_days or reading.ask_days
    if told or talk.asks or len(words) < _FEW or _REPLIES & reading.acts:
        return False
    return reading.at_large or not _REFERS & set(words)


_REPLIES = frozenset({"correction", "adds", "both_children", "yes", "no", "hedge", "unsure"})
"""Acts that answer or change what the turn before said."""


OF_ONE_OUTING = frozenset(
    {"rest_days", "can_pitch_date", "log_outing", "daily_limit", "same_day", "multiple_teams"}
)
"""Topics that go on about the outing told a turn ago: "can he go sunday then?"."""


def _another_child(reading: Reading, talk: Talk) -> bool:
    """Whether an age other than the one told comes with a count of its own."""
    if talk.age is None or "correction" in reading.acts or not reading.counts:
        return False
    exact = [told.span for told in reading.ages if told.kind == "age"]
    small = [n for n in reading.bare if _YOUNGEST <= n <= _OLDEST]
    if len(small) == 1 and not exact and "adds" not in reading.acts:
        exact = [AgeSpan(small[0], small[0])]
    counted = any(count.pitches is not None for count in reading.counts)
    return counted and bool(exact) and talk.age not in exact


def leans_on(family: Family, reading: Reading, *, follows: bool) -> bool:
    """Whether a question of its own is about the count told in the turn before."""
    talk = family.talk
    if talk.pitches is None or reading.counts or reading.bare:
        return False
    if _of_something_else(reading, talk):
        return False
    pointed = "?" in reading.text and reading.topic in reading.pointed
    asks_own = bool(reading.ask_days) or pointed
    if follows and not (talk.topic == "log_outing" and asks_own):
        return False
    if not {reading.topic, talk.topic} <= OF_ONE_OUTING or reading.topic == "log_outing":
        return False
    others = [a.id for a in family.athletes if a.name and a.name in reading.names]
    if len(family.athletes) > 1:
        return talk.athlete in others  # with several children, only the one named again
    return not others or talk.athlete in others


_MOST_ANSWERING = 14


def _answers(reading: Reading, asked: str) -> bool:
    """Whether a statement brings what was asked for: "75 yesterday", "no idea, he's 15"."""
    if "?" in reading.text or len(reading.text.split()) > _MOST_ANSWERING:
        return False
    aged = "age" in asked and bool(reading.ages or reading.bare)
    counted = "pitches" in asked and bool(reading.counts or reading.bare)
    dated = ("date" in asked or DAY_THROWN in asked) and bool(
        reading.thrown_days or reading.ask_days
    )
    return aged or counted or dated


def _own_topic(reading: Reading) -> bool:
    """Whether the message asks something of its own."""
    if not reading.topics:
        return False
    _, score = reading.topics[0]
    words = len(reading.text.split())
    return score >= _SURE_TOPIC or (score >= _LEAN_TOPIC and words >= 9)
