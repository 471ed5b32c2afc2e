"""What is known of the question at hand: this message and the turns it leans on.

A fragment ("12", "thursday", "sorry 45 not 54", "and if he's 13?") means nothing alone.
Here it is laid over what the open conversation already holds; what the new message says
always wins over what was said before.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from armbot.engine.leaning import DAY_THROWN, follows_on, leans_on
from armbot.model.family import Athlete, Family, Talk
from armbot.model.people import AgeSpan
from armbot.model.talk import AgeTold, PitchCount, Reading

_YOUNGEST, _OLDEST = 4, 22
_FEWEST, _MOST = 15, 200
_THROW_TOPICS = frozenset(
    {"rest_days", "can_pitch_date", "log_outing", "same_day", "multiple_teams", "daily_limit",
     "catcher_rule", "unknown", "symptom_report", "pitch_type_age", "long_toss"}
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Frame:
    """One child (or one "what if") and what it threw."""

    age: AgeSpan | None
    kind: str
    counts: tuple[PitchCount, ...]
    athlete: Athlete | None = None


@dataclass(frozen=True, slots=True)
class Slots:
    """Everything the answering functions need to know about the question."""

    topic: str
    frames: tuple[Frame, ...]
    ask_days: tuple[date, ...] = ()
    pitch_types: tuple[str, ...] = ()
    innings_caught: int | None = None
    follows: bool = False
    alternatives: bool = False
    """The frames are "what if"s of one child: nothing is logged."""
    replaces: tuple[str, ...] = ()
    """Outing ids of this exchange that a correction takes back."""
    which_child: bool = False
    number_unclear: int | None = None
    division: AgeSpan | None = None
    reasons: tuple[str, ...] = field(default_factory=tuple)

    @property
    def frame(self) -> Frame:
        """The first, and mostly only, frame."""
        return self.frames[0]


def lay(family: Family, reading: Reading, today: date) -> Slots:
    """Lay the message over the open conversation."""
    talk = family.talk
    follows = follows_on(family, reading)
    leans = leans_on(family, reading, follows=follows)
    follows = follows or leans
    topic = reading.topic if leans else _topic(family, reading, follows=follows)
    if follows and _asks_another_day(reading, talk):
        asked = tuple(_ahead(day, today) for day in reading.thrown_days)
        reading = replace(reading, thrown_days=(), ask_days=asked)
    ages = list(reading.ages)
    counts = list(reading.counts)
    bare = list(reading.bare)
    corrected = _swapped(reading, talk) if follows else None
    if corrected is not None:
        bare = [n for n in bare if n not in (corrected, talk.pitches)]
        ages = [a for a in ages if a.span.first != corrected]
    adding = "adds" in reading.acts
    age, kind = _age(
        ages,
        bare,
        talk.asks if follows else "",
        topic,
        talk.age if follows else None,
        loose_age=follows and talk.age_kind in ("division", "grade"),
        adds=adding and not counts,
    )
    if kind == "" and follows and not adding and _asks_other_age(reading, bare, talk):
        age, kind = AgeSpan(bare[0], bare[0]), "age"
        bare.clear()
    division = next((a.span for a in ages if a.kind == "division"), None)
    counts = _counts_from_bare(counts, bare, age, talk, topic, reading, follows=follows)
    athlete, which = _athlete(family, reading, age, today, follows=follows)
    if age is None and athlete is not None and (reading.names or len(family.athletes) == 1):
        age, kind = athlete.span_on(today), "record"
    if age is None and follows and talk.age is not None and not which:
        age, kind = talk.age, talk.age_kind
    if corrected is not None:
        counts = [PitchCount(corrected, talk.outs, talk.thrown)]
    if (
        follows
        and talk.age_kind == "bare"
        and kind
        and not counts
        and talk.age
        and talk.pitches is None
    ):
        counts = [PitchCount(talk.age.first, None, talk.thrown)]
    if which and follows and not counts:
        follows, topic = False, reading.topic
    counts = _without_supposed(counts, talk, reading, follows=follows)
    counts, replaces = _carry(counts, family, reading, today, follows=follows)
    owed = _day_owed(reading, talk, today) is not None if follows else False
    new_days = () if owed and not reading.thrown_days else reading.ask_days
    ask_days = new_days or ((talk.ask_day,) if follows and talk.ask_day else ())
    ask_days = _reanchored(ask_days, counts, carried=not new_days)
    if topic == "rest_days" and ask_days == (today,) and _undated(counts):
        counts, ask_days = [replace(c, day=today) for c in counts], ()
    frames = _frames(reading, counts, age, kind, athlete)
    return Slots(
        topic=topic,
        frames=frames,
        ask_days=ask_days,
        pitch_types=reading.pitch_types
        or ((talk.pitch_type,) if follows and talk.pitch_type else ()),
        innings_caught=reading.innings_caught,
        follows=follows,
        alternatives=_alternatives(reading),
        replaces=replaces,
        which_child=which,
        number_unclear=_unclear(reading, follows=follows),
        division=division,
    )


def _topic(family: Family, reading: Reading, *, follows: bool) -> str:
    talk = family.talk
    if follows and talk.topic != "unknown":
        return talk.topic
    if (
        "log" in reading.acts
        and (reading.innings_caught or reading.sports)
        and "?" not in reading.text
    ):
        return "log_outing"
    return reading.topic


def _age(  # noqa: PLR0913 - what was told, and what was asked for
    ages: list[AgeTold],
    bare: list[int],
    asked: str,
    topic: str,
    talk_age: AgeSpan | None,
    *,
    loose_age: bool,
    adds: bool,
) -> tuple[AgeSpan | None, str]:
    """The age of the (first) child, exact before division before a bare number."""
    small = [] if adds else [n for n in bare if _YOUNGEST <= n <= _OLDEST]
    wide = [a for a in ages if a.kind == "grade" and a.span.last - a.span.first > 1]
    for wanted in ("age", "grade", "division"):
        for told in ages:
            if told.kind == wanted and not (told in wide and len(small) == 1):
                return told.span, wanted
    open_age = not asked or loose_age
    wants_age = "age" in asked or (topic in _THROW_TOPICS and ("pitches" not in asked or open_age))
    if wants_age and len(small) == 1 and (talk_age is None or (loose_age and small[0] < _FEWEST)):
        bare.remove(small[0])
        both = "age" in asked and "pitches" in asked and small[0] >= _FEWEST
        return AgeSpan(small[0], small[0]), "bare" if both else "age"
    if small and len(small) == 1 and "age" in asked:
        bare.remove(small[0])
        return AgeSpan(small[0], small[0]), "age"
    return None, ""


def _counts_from_bare(  # noqa: PLR0913 - one number and all that may claim it
    counts: list[PitchCount],
    bare: list[int],
    age: AgeSpan | None,
    talk: Talk,
    topic: str,
    reading: Reading,
    *,
    follows: bool,
) -> list[PitchCount]:
    """A bare number that the open question, or an age beside it, makes a pitch count."""
    if counts and any(c.pitches is not None for c in counts):
        return counts
    least = 1 if "adds" in reading.acts and follows else _FEWEST
    large = [n for n in bare if least <= n <= _MOST]
    asked = "pitches" in talk.asks and follows
    if asked and len(bare) == 1 and 0 < bare[0] <= _MOST and talk.age is not None:
        large = list(bare)
    corrects = "correction" in reading.acts and talk.pitches is not None
    known = age is not None or bool(reading.thrown_days) or bool(reading.ask_days)
    adds = "adds" in reading.acts and follows and talk.pitches is not None
    if len(large) == 1 and (asked or corrects or adds or (known and topic in _THROW_TOPICS)):
        bare.remove(large[0])
        day = reading.thrown_days[0] if reading.thrown_days else None
        outs = counts[0].outs if counts else None
        return [PitchCount(large[0], outs, day)]
    return counts


def _athlete(  # noqa: PLR0911 - one return for each way to know, or not to know, the child
    family: Family, reading: Reading, age: AgeSpan | None, today: date, *, follows: bool
) -> tuple[Athlete | None, bool]:
    """The child meant, and whether that has to be asked."""
    if not family.athletes:
        return None, False
    named = [a for a in family.athletes if a.name and a.name in reading.names]
    if len(named) == 1:
        return named[0], False
    if len(family.athletes) == 1:
        only = family.athletes[0]
        theirs = "correction" in reading.acts or age is None or _could_be(only, age, today)
        return (only if theirs else None), False
    talked = family.athlete(family.talk.athlete) if follows and family.talk.athlete else None
    if talked is not None and age is None and _may_name_another(reading):
        return None, True
    if talked is not None and age is None:
        return talked, False
    fitting = [a for a in family.athletes if age and a.age is not None and a.age == age]
    fitting += [a for a in family.athletes if age and a.birth and _is_aged(a, age, today)]
    if len(fitting) == 1:
        return fitting[0], False
    return None, age is None


_FEW = 3


def _may_name_another(reading: Reading) -> bool:
    """Whether, among several children, the message may mean another than the last one.

    "Can emma pitch today": a name that is not known. "And he?", "and thursday" are not.
    """
    words = reading.text.replace("?", " ").replace(",", " ").split()
    return len(words) > _FEW and not _STAND_FOR & set(words)


_STAND_FOR = frozenset("he she him her his hes shes i im me my el ella lo la su yo mi".split())


def _could_be(athlete: Athlete, age: AgeSpan, today: date) -> bool:
    """Whether an age told may be this athlete's: unknown, or no more than a year off."""
    known = athlete.span_on(today)
    return known is None or (age.first <= known.last + 1 and known.first <= age.last + 1)


def _is_aged(athlete: Athlete, age: AgeSpan, today: date) -> bool:
    return athlete.span_on(today) == age


def _carry(  # noqa: PLR0911 - one return for each half that may be missing
    counts: list[PitchCount], family: Family, reading: Reading, today: date, *, follows: bool
) -> tuple[list[PitchCount], tuple[str, ...]]:
    """Counts and days told before, where this message brings only the other half."""
    talk = family.talk
    told_day = _day_owed(reading, talk, today) if follows else None
    if told_day is not None and not counts and talk.pitches is not None:
        return [PitchCount(talk.pitches, talk.outs, told_day)], talk.logged
    if not follows:
        if not counts and reading.thrown_days:
            return [PitchCount(None, None, reading.thrown_days[-1])], ()
        return counts, ()
    added = _is_added(counts, talk, reading)
    if added and not talk.logged and talk.pitches is not None:
        return [PitchCount(talk.pitches, talk.outs, talk.thrown), *counts], ()
    changed = (bool(counts) and talk.pitches is not None) or bool(reading.thrown_days)
    kept = added or "both_children" in reading.acts
    replaces = talk.logged if changed and not kept else ()
    if not counts and talk.pitches is not None:
        day = reading.thrown_days[-1] if reading.thrown_days else talk.thrown
        if not reading.thrown_days and reading.ask_days and "correction" in reading.acts:
            day = _back_a_week(reading.ask_days[0], talk.thrown)
        return [PitchCount(talk.pitches, talk.outs, day)], replaces
    if not counts and reading.thrown_days:
        return [PitchCount(None, talk.outs, reading.thrown_days[-1])], replaces
    if not counts and (talk.thrown or talk.outs is not None):
        return [PitchCount(None, talk.outs, talk.thrown)], replaces
    if counts and all(c.day is None for c in counts) and talk.thrown:
        return [replace(c, day=talk.thrown) for c in counts], replaces
    return counts, replaces


def _without_supposed(
    counts: list[PitchCount], talk: Talk, reading: Reading, *, follows: bool
) -> list[PitchCount]:
    """The counts, without a lower one that is only supposed for a day asked about.

    "If it is 20 can he go Thursday", after 60 were told: what was thrown is not taken back,
    unless it is said to be a correction.
    """
    told = [c.pitches for c in counts if c.pitches is not None]
    if not follows or not told or talk.pitches is None or "correction" in reading.acts:
        return counts
    undated = all(c.day is None for c in counts)
    return [] if reading.ask_days and undated and max(told) < talk.pitches else counts


def _is_added(counts: list[PitchCount], talk: Talk, reading: Reading) -> bool:
    """Whether a further count is a further outing and no correction: "another 15 today"."""
    if "correction" in reading.acts or not any(c.pitches is not None for c in counts):
        return False
    other_day = any(c.day is not None and c.day != talk.thrown for c in counts)
    return "adds" in reading.acts or (other_day and talk.thrown is not None)


def _day_owed(reading: Reading, talk: Talk, today: date) -> date | None:
    """The day thrown, where it was asked for and a bare day answers."""
    if DAY_THROWN not in talk.asks or talk.thrown is not None:
        return None
    days = reading.thrown_days or reading.ask_days
    if len(days) != 1:
        return None
    return days[0] if days[0] <= today else days[0] - timedelta(days=7)


_MOST_FOR_A_DAY = 5


def _asks_another_day(reading: Reading, talk: Talk) -> bool:
    """Whether "and thursday", after a day was asked about, asks about one more."""
    words = reading.text.split()
    short = bool(words) and words[0] in _ONE_MORE and len(words) <= _MOST_FOR_A_DAY
    plain = not reading.counts and "correction" not in reading.acts
    plain = plain and DAY_THROWN not in talk.asks
    return short and plain and talk.ask_day is not None and bool(reading.thrown_days)


_ONE_MORE = frozenset("and what how y que or o".split())


def _ahead(day: date, today: date) -> date:
    """The weekday's next date: today or later."""
    return day if day >= today else day + timedelta(days=7)


def _undated(counts: list[PitchCount]) -> bool:
    return bool(counts) and all(c.day is None and c.pitches is not None for c in counts)


def _back_a_week(day: date, thrown: date | None) -> date:
    return day - timedelta(days=7) if thrown and day > thrown else day


def _reanchored(
    days: tuple[date, ...], counts: list[PitchCount], *, carried: bool
) -> tuple[date, ...]:
    """A weekday asked about a turn ago is the first one after the day thrown."""
    thrown = max((c.day for c in counts if c.day), default=None)
    if thrown is None or not carried:
        return days
    return tuple(thrown + timedelta(days=((d - thrown).days - 1) % 7 + 1) for d in days)


def _asks_other_age(reading: Reading, bare: list[int], talk: Talk) -> bool:
    """Whether "and if he's 13?", "ok n 15?" asks the same question for another age."""
    small = len(bare) == 1 and _YOUNGEST <= bare[0] <= _OLDEST
    asks = "?" in reading.text or reading.text.split()[:1] in (["and"], ["y"], ["n"])
    return small and asks and talk.age is not None and talk.pitches is not None


def _swapped(reading: Reading, talk: Talk) -> int | None:
    """Read "13 not 31": the number that takes the place of the count told before."""
    words = reading.text.replace(",", " ").split()
    for place in range(len(words) - 2):
        right, link, wrong = words[place : place + 3]
        swaps = link in ("not", "no", "instead") and right.isdigit() and wrong.isdigit()
        if swaps and talk.pitches == int(wrong):
            return int(right)
    return None


def _frames(
    reading: Reading,
    counts: list[PitchCount],
    age: AgeSpan | None,
    kind: str,
    athlete: Athlete | None,
) -> tuple[Frame, ...]:
    bound = [c for c in counts if c.age is not None]
    spans = list(dict.fromkeys((c.age.first, c.age.last) for c in bound if c.age))
    if len(spans) > 1:
        return tuple(
            Frame(AgeSpan(*s), "age", tuple(c for c in bound if c.age == AgeSpan(*s)))
            for s in spans
        )
    known = [c for c in counts if c.pitches is not None]
    if len(known) > 1 and ("both_children" in reading.acts or _alternatives(reading)):
        return tuple(Frame(age, kind, (c,), athlete) for c in known)
    exact = [a for a in reading.ages if a.kind == "age"]
    if len({(a.span.first, a.span.last) for a in exact}) > 1:
        return tuple(Frame(a.span, "age", tuple(counts)) for a in exact)
    return (Frame(age, kind, tuple(counts), athlete),)


def _alternatives(reading: Reading) -> bool:
    words = reading.text.split()
    known = [c for c in reading.counts if c.pitches is not None]
    return len(known) > 1 and ("hypothetical" in reading.acts or "vs" in words or "versus" in words)


def _unclear(reading: Reading, *, follows: bool) -> int | None:
    """The first number of a message that is nothing but numbers and answers no question."""
    words = reading.text.replace("?", " ").split()
    only = bool(words) and all(word.isdigit() for word in words)
    return reading.bare[0] if only and reading.bare and not follows else None
