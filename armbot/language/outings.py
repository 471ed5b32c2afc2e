"""Who threw what when: counts, ages and days of one message put together.

The pieces are already read; this module only decides which day belongs to which count,
which days are asked about rather than thrown on, and how many children are meant.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction

from armbot.language.days import DayMention, resolve_future, resolve_past
from armbot.language.quantities import Kind, Quantity
from armbot.language.tokens import Token
from armbot.model.outings import OutingKind
from armbot.model.people import AgeSpan
from armbot.model.talk import AgeTold, PitchCount

_ASK = frozenset(
    "can could may might should will gonna going ready good ok okay eligible available avail able "
    "start starting starts again next use need needs wants want clear for by on soonest earliest "
    "when help allowed legal bracket championship final puede puedo podra podria cuando para abrir "
    "abre listo disponible quieren meter usar juega jugar toca vuelve lanzar proximo quiere necesito "
    "torneo partido pichar ask practice hopefully have has we game games play playing pitching tirar "
    "through thru free fresh back him her".split()
)  # fmt: skip
_THREW = frozenset(
    "threw thru throwed pitched had went was did finished thrown tossed started logged ended closed "
    "came caught hit got reached worked since after tiro tire lanzo lance picho hizo fue lanzado "
    "tirado avento pitcheo hice llevo cacho relevo abrio termino echo despues from last "
    "pitches lanzamientos innings entradas log apunta put chucked goes made throws logs piched "
    "hurled relieved".split()
)  # fmt: skip
_PERSON = frozenset("he she i they el ella".split())
_OK_AFTER = frozenset("ok okay good possible fine works legal go alright cool doable bien va".split())
_QUESTION = frozenset("can could may is will should puede puedo podra when cuando good ok available eligible listo".split())


@dataclass(frozen=True, slots=True)
class Told:
    """The outcome: counts with their days, ages, and the days asked about."""

    counts: tuple[PitchCount, ...]
    ages: tuple[AgeTold, ...]
    thrown_days: tuple[date, ...]
    ask_days: tuple[date, ...]
    innings_caught: int | None
    bare: tuple[int, ...]
    several_children: bool
    why: tuple[str, ...]


def tell(
    tokens: Sequence[Token],
    quantities: Sequence[Quantity],
    days: Sequence[DayMention],
    acts: frozenset[str],
    today: date,
) -> Told:
    """Put the pieces of one message together."""
    ages = _ages(quantities)
    days = _without_denied(tokens, days)
    quantities = _promoted(tokens, quantities, days, ages)
    asked = [day for day in days if _is_asked(tokens, day, days, quantities)]
    thrown = [day for day in days if day not in asked]
    thrown_dates = _in_order({id(day): resolve_past(day, today) for day in thrown}, thrown)
    counts = _counts(tokens, quantities, thrown, thrown_dates, acts)
    counts = _bind_ages(counts, ages, acts, tokens)
    anchor = max((c.day for c in counts if c.day), default=None) or max(
        thrown_dates.values(), default=None
    )
    ask_dates = tuple(_ask_date(day, today, anchor) for day in asked)
    why = [f"pitches: {c.pitches} on {c.day}" for c in counts if c.pitches is not None]
    why += [f"age: {a.span.first}-{a.span.last} ({a.kind})" for a in ages]
    return Told(
        counts=tuple(counts),
        ages=tuple(ages),
        thrown_days=tuple(thrown_dates.values()),
        ask_days=ask_dates,
        innings_caught=_innings_caught(tokens, quantities),
        bare=tuple(
            int(q.number.value) for q in quantities if q.kind is Kind.BARE and q.number.whole is not None
        ),
        several_children=_several(ages, counts, acts),
        why=tuple(why),
    )


def _ages(quantities: Sequence[Quantity]) -> list[AgeTold]:
    found = []
    for item in quantities:
        if item.kind not in (Kind.AGE, Kind.DIVISION) or item.age is None:
            continue
        span = item.age
        if item.birthday_ahead:
            span = AgeSpan(span.first - 1, span.last - 1)
        kind = "division" if item.kind is Kind.DIVISION else (item.unit or "age")
        found.append(AgeTold(span, kind, item.start, item.birthday_ahead))
    own = [a for a in found if not a.birthday_ahead] or found
    exact = [a for a in own if a.kind == "age"]
    return [a for a in own if a.kind != "grade"] if exact else own


_FEWEST, _MOST = 15, 150
"""A bare number outside this span is never taken for a pitch count."""
_PLAN_WORDS = frozenset("pen bullpen bp session limit cap max rule thing maximum".split())
_LINKING = frozenset(["and", "y", ",", "then", "plus", "&", "+"])


def _promoted(
    tokens: Sequence[Token], quantities: Sequence[Quantity], days: Sequence[DayMention],
    ages: Sequence[AgeTold],
) -> list[Quantity]:
    """Bare numbers that can only be pitch counts, and counts that are only plans or rules."""
    settled: list[Quantity] = []
    for item in quantities:
        after = tokens[item.end].word if item.end < len(tokens) else ""
        if item.kind is Kind.PITCHES and item.unit in ("pitch", "p") and after in _PLAN_WORDS:
            settled.append(replace(item, kind=Kind.OTHER))
        elif item.kind is Kind.BARE and _is_count(tokens, item, settled, days):
            settled.append(replace(item, kind=Kind.PITCHES))
        else:
            settled.append(item)
    return settled


def _is_count(
    tokens: Sequence[Token], item: Quantity, before: Sequence[Quantity],
    days: Sequence[DayMention],
) -> bool:
    whole = item.number.whole
    if whole is None or not _FEWEST <= whole <= _MOST or item.number.last is not None:
        return False
    if any(day.end == item.start or day.start == item.end for day in days):
        return True
    after = tokens[item.end].word if item.end < len(tokens) else ""
    if after in ("more", "mas") and any(o.kind is Kind.PITCHES for o in before):
        return True
    near = tokens[item.end : item.end + 2]
    if len(near) == 2 and near[0].word in ("el", "la", "on", "for", "del") and (
        near[1].word in ("de", "the") or any(d.start == item.end + 1 for d in days)
    ):
        return True
    return any(
        other.kind is Kind.PITCHES
        and 0 < item.start - other.end <= 6
        and any(t.word in _LINKING for t in tokens[other.end : item.start])
        for other in before
    )


def _without_denied(tokens: Sequence[Token], days: Sequence[DayMention]) -> list[DayMention]:
    """"Wednesday not Tuesday": the day after a "not" is the one that was wrong."""
    if len(days) < 2:
        return list(days)
    return [
        day
        for day in days
        if not (day.start and tokens[day.start - 1].word in ("not", "no") )
    ]


def _is_asked(
    tokens: Sequence[Token], day: DayMention, days: Sequence[DayMention],
    quantities: Sequence[Quantity],
) -> bool:
    """Whether something is asked or planned for the day, rather than thrown on it."""
    if day.day is not None and tokens[day.start].word not in ("today", "tonight", "hoy", "tonite", "2"):
        return _later_word(tokens, day) or _later_date(day, days)
    if day.modifier == "last":
        return False
    if day.modifier in ("next",):
        return True
    return _leans(tokens, day, days, quantities) > 0


def _later_date(day: DayMention, days: Sequence[DayMention]) -> bool:
    """Of two full dates the later is the one asked about."""
    dates = [d.day for d in days if d.day is not None and d.weekday is None]
    return len(dates) == 2 and day.day == max(dates) and dates[0] != dates[1]


def _later_word(tokens: Sequence[Token], day: DayMention) -> bool:
    word = tokens[day.start].word
    if word in ("tomorrow", "tmrw", "tmr", "tmrow", "tommorow", "tomorow", "tommorrow", "manana", "2morrow", "pasado", "tomorrows"):
        return True
    return word == "day" and tokens[day.end - 1].word == "tomorrow"


def _leans(
    tokens: Sequence[Token], day: DayMention, days: Sequence[DayMention],
    quantities: Sequence[Quantity],
) -> float:
    """Above 0: asked about; below: thrown on. Words nearby vote, nearer ones louder."""
    score = 0.0
    counts = [q for q in quantities if q.kind in (Kind.PITCHES, Kind.INNINGS, Kind.OUTS)]
    bare = [q for q in quantities if q.kind is Kind.BARE]
    for step in range(1, 9):
        place = day.start - step
        if place < 0 or tokens[place].hard:
            break
        word = tokens[place].word
        weight = 1.0 / (step + 1)
        if word in _QUESTION:
            score += 1.2
            break
        if word in _THREW:
            score -= 2.5 * weight
        elif word in _ASK:
            score += 1.5 * weight
        if any(q.start <= place < q.end for q in counts):
            score -= 1.0
            break
        if any(q.start <= place < q.end for q in bare):
            score -= 0.5
        if any(d is not day and d.start <= place < d.end for d in days):
            break
    for step in range(4):
        place = day.end + step
        if place >= len(tokens) or tokens[place].hard:
            if step == 0 and place < len(tokens) and tokens[place].word == "?":
                score += 0.6
            break
        word = tokens[place].word
        person = tokens[day.end].word in _PERSON
        if (step == 0 and word in _OK_AFTER) or (step == 1 and person and word in _QUESTION):
            score += 1.5
            break
        if word in _THREW:
            score -= 1.0 / (step + 1)
        elif any(q.start <= place < q.end for q in (*counts, *bare)):
            score -= 0.8 / (step + 1)
            break
        elif word in ("game", "games", "championship", "tournament", "start", "juego", "bracket", "dh", "doubleheader", "final"):
            score += 0.5
    if _asked_sentence(tokens, day, (*counts, *bare)):
        score += 0.8
    if not counts and not bare and score == 0.0:
        score = 0.1 if any(t.word in _QUESTION for t in tokens) else -0.1
    return score


def _in_order(dates: dict[int, date], thrown: Sequence[DayMention]) -> dict[int, date]:
    """"Tues 33 and Sat 20" is told in order: an earlier weekday is not after a later one."""
    fixed = dict(dates)
    for before, after in reversed(list(zip(thrown, thrown[1:], strict=False))):
        if before.loose and after.loose and fixed[id(before)] > fixed[id(after)]:
            fixed[id(before)] -= timedelta(days=7)
    return fixed


def _asked_sentence(
    tokens: Sequence[Token], day: DayMention, numbers: Sequence[Quantity]
) -> bool:
    """Whether the day's sentence is a question that holds no count."""
    start = day.start
    while start > 0 and not tokens[start - 1].hard:
        start -= 1
    end = day.end
    while end < len(tokens) and not tokens[end].hard:
        end += 1
    counted = any(start <= q.start < end for q in numbers)
    return end < len(tokens) and tokens[end].word == "?" and not counted


def _ask_date(day: DayMention, today: date, anchor: date | None) -> date:
    """The day asked about; a weekday is the first one after the day thrown, if that is known."""
    if day.day:
        return day.day
    if day.modifier == "next" and day.weekday is not None and not anchor:
        return resolve_future(day, today, today)
    if anchor and anchor <= today:
        return resolve_future(day, today, anchor)
    return resolve_future(day, today)


def _counts(
    tokens: Sequence[Token], quantities: Sequence[Quantity], thrown: Sequence[DayMention],
    dates: dict[int, date], acts: frozenset[str],
) -> list[PitchCount]:
    items = [q for q in quantities if q.kind is Kind.PITCHES and q.number.whole is not None]
    items = _wanted_counts(tokens, items, quantities, acts)
    session = not items and "log" in acts or not (_ASKS_ABOUT & {t.word for t in tokens})
    if session:
        items = sorted(
            [*items, *(q for q in quantities if q.kind is Kind.SESSION)], key=lambda q: q.start
        )
    found = []
    warmups = [q for q in quantities if q.kind is Kind.WARMUP]
    used: set[int] = set()
    for index, item in enumerate(items):
        value = item.number.whole
        if value is None:
            continue
        day = _day_for(tokens, item, thrown, items, used)
        if day is not None:
            used.add(id(day))
        found.append(
            PitchCount(
                pitches=value,
                day=dates[id(day)] if day is not None else None,
                weekday_only=day is not None and day.loose,
                vague=item.number.vague,
                warmup=int(warmups[0].number.value) if warmups and index == 0 else 0,
                place=item.start,
                kind=_kind_of(tokens, item),
                pain_free=True if "pain_free" in acts else None,
            )
        )
    return _with_innings(tokens, found, quantities, thrown, dates)


_ASKS_ABOUT = frozenset("would should could like want wants thoughts plan need opinion".split())
"""A bullpen beside one of these is a wish, not a report."""


_KIND_WORDS = (
    (OutingKind.LESSON, frozenset("lesson lessons instructor clase clases leccion".split())),
    (OutingKind.BULLPEN, frozenset("bullpen bullpens pen pens flatground".split())),
    (OutingKind.PRACTICE, frozenset("practice practica entrenamiento".split())),
)
_NEAR = 4
"""Words around a count in which a bullpen, lesson or practice belongs to it."""


def _kind_of(tokens: Sequence[Token], item: Quantity) -> OutingKind:
    """Game, unless the words beside the count say otherwise."""
    near = {t.word for t in tokens[max(0, item.start - _NEAR) : item.end + _NEAR]}
    for kind, words in _KIND_WORDS:
        if words & near:
            return kind
    return OutingKind.PRACTICE if item.kind is Kind.SESSION else OutingKind.GAME


def _wanted_counts(
    tokens: Sequence[Token], items: list[Quantity], quantities: Sequence[Quantity],
    acts: frozenset[str],
) -> list[Quantity]:
    """Drop counts that were corrected, add up kinds of pitches, keep "use 71"."""
    chosen = [q for q in items if not _is_denied(tokens, q)]
    for q in quantities:
        if q.kind in (Kind.BARE, Kind.PITCHES) and q.number.whole and _is_final(tokens, q):
            return [replace(q, kind=Kind.PITCHES)]
    sheets = _SHEETS & {t.word for t in tokens}
    if len(chosen) > 1 and len(sheets) > 1:
        return [max(chosen, key=lambda q: q.number.value)]
    kinds = [q for q in chosen if q.unit and q.unit not in ("pitches", "pitch", "p", "lanzamientos", "throws", "tiros", "thrown", "pitchs", "balls")]
    if len(kinds) >= 2 and len(kinds) == len(chosen):
        total = sum((q.number.value for q in kinds), Fraction(0))
        first = kinds[0]
        return [replace(first, number=replace(first.number, value=total), unit="")]
    return chosen


_SHEETS = frozenset("book scorebook sheet app phone clicker counter theirs ump dugout libro hoja".split())
"""Where counts are written: two of them that disagree are not two outings; the higher counts."""
_FINAL = (("use",), ("usa",), ("ended", "on"), ("ended", "at"), ("ended", "up", "at"),
          ("ended", "up", "with"), ("finished", "at"), ("finished", "with"), ("final", "count"),
          ("wound", "up", "at"), ("termino", "con"), ("termino", "en"), ("quedo", "en"),
          ("make", "that"), ("make", "it"))  # fmt: skip
"""What stands before the count that holds in the end."""


def _is_final(tokens: Sequence[Token], item: Quantity) -> bool:
    before = tuple(t.word for t in tokens[max(0, item.start - 3) : item.start])
    return any(before[-len(phrase):] == phrase for phrase in _FINAL)


def _is_denied(tokens: Sequence[Token], item: Quantity) -> bool:
    before = tokens[item.start - 1].word if item.start else ""
    return before in ("not", "no")


def _day_for(
    tokens: Sequence[Token], item: Quantity, thrown: Sequence[DayMention],
    items: Sequence[Quantity], used: set[int],
) -> DayMention | None:
    """The nearest thrown day in either direction, not across another count."""
    best: tuple[float, DayMention] | None = None
    for day in thrown:
        after = day.start >= item.end
        gap = day.start - item.end if after else item.start - day.end
        low, high = (item.end, day.start) if after else (day.end, item.start)
        if any(o is not item and low <= o.start < high for o in items):
            gap += 12
        if any(t.hard for t in tokens[low:high]):
            gap += 3
        if id(day) in used and len(thrown) >= len(items):
            gap += 6
        if best is None or gap < best[0]:
            best = (gap, day)
    return best[1] if best else None


def _with_innings(
    tokens: Sequence[Token], found: list[PitchCount], quantities: Sequence[Quantity],
    thrown: Sequence[DayMention], dates: dict[int, date],
) -> list[PitchCount]:
    innings = [q for q in quantities if q.kind in (Kind.INNINGS, Kind.OUTS) and not _caught(tokens, q)]
    if not innings:
        return found
    item = innings[0]
    outs = _outs(item)
    if found:
        return [replace(found[0], outs=outs), *found[1:]]
    day = _day_for(tokens, item, thrown, innings, set())
    return [PitchCount(None, outs, dates[id(day)] if day else None, place=item.start)]


def _outs(item: Quantity) -> int:
    """Innings in outs; ".1" and ".2" are baseball notation for one and two thirds."""
    if item.kind is Kind.OUTS:
        return int(item.number.value)
    text = item.number.text.replace(",", ".")
    if "." in text and text.split(".")[1] in ("1", "2", "0", "3", "33", "66", "67"):
        whole, part = text.split(".")
        return int(whole) * 3 + {"1": 1, "2": 2, "33": 1, "3": 1, "66": 2, "67": 2}.get(part, 0)
    return int(item.number.value * 3)


_CAUGHT = frozenset("caught catch catching catcher cacho cache cachar cachando behind detras catches".split())


def _caught(tokens: Sequence[Token], item: Quantity) -> bool:
    near = [t.word for t in tokens[max(0, item.start - 4) : item.start]]
    if any(w in _CAUGHT for w in near):
        return True
    after = [t.word for t in tokens[item.end : item.end + 3]]
    return bool(after) and after[0] in ("behind", "of", "catching", "de") and any(w in _CAUGHT or w == "plate" for w in after)


def _innings_caught(tokens: Sequence[Token], quantities: Sequence[Quantity]) -> int | None:
    for item in quantities:
        if item.kind in (Kind.INNINGS, Kind.BARE) and _caught(tokens, item):
            value = item.number.value
            return int(value) + (value.denominator != 1)
    return None


def _bind_ages(
    counts: list[PitchCount], ages: Sequence[AgeTold], acts: frozenset[str],
    tokens: Sequence[Token],
) -> list[PitchCount]:
    """Which child each count belongs to, where several ages are named."""
    exact = [a for a in ages if a.kind != "division"] or list(ages)
    spans = list(dict.fromkeys((a.span.first, a.span.last) for a in exact))
    if len(spans) < 2 or not counts:
        return counts
    if len(counts) == 1:
        return [replace(counts[0], age=a.span) for a in exact]
    if len(counts) == len(exact):
        return [replace(c, age=a.span) for c, a in zip(counts, exact, strict=True)]
    return [
        replace(c, age=min(exact, key=lambda a, at=c.place: abs(a.place - at)).span)  # type: ignore[misc]
        for c in counts
    ]


def _several(
    ages: Sequence[AgeTold], counts: Sequence[PitchCount], acts: frozenset[str]
) -> bool:
    exact = {(a.span.first, a.span.last) for a in ages if a.kind == "age"}
    return len(exact) > 1 or ("both_children" in acts and len(counts) > 1)


def yesterday(today: date) -> date:
    """The day before."""
    return today - timedelta(days=1)
