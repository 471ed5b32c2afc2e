"""From a message to a Reading: the one door to this package.

Deterministic, without network, disk or clock; every list it uses comes from content.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from armbot.language.checking import assessed, signs_of
from armbot.language.days import DayMention
from armbot.language.grammar import Grammar
from armbot.language.others import without_others
from armbot.language.outings import Told, tell
from armbot.language.parsed import Parsed, parse
from armbot.language.patterns import Hit
from armbot.language.spoken import language_of
from armbot.language.structure import Shape, adjusted, is_roster
from armbot.language.tokens import Token
from armbot.language.topics import TopicScore, matter
from armbot.model.reports import SignReading
from armbot.model.talk import PitchCount, Reading

_FEW_FOR_A_DAY = 5
"""Words up to which a day asked about is what the message is about: "sunday?"."""
_FAINT, _PLAIN = 1.0, 3.2
"""Phrase weights that tie a message to a topic: with somebody named in it, and without."""
_COUNTED = frozenset("inning innings entrada entradas grade grader".split())
_OF_AN = (["of", "an"], ["of", "inning"], ["de", "entrada"], ["de", "inning"])
_OWN_ACTS = frozenset({"log", "why", "delete", "change", "query_last", "yes", "no"})
_POINTED = 5.0
"""Phrase weight from which a topic counts as named by the message itself."""
_MOST_TOPICS = 6
"""Topics kept with their scores."""


@dataclass(frozen=True, slots=True)
class Writer:
    """What is known of who writes.

    ``lang`` is the language chosen, kept unless the text plainly is in the other one;
    ``before`` that of the last turn, which answers where the text does not say; ``names``
    are the athletes' nicknames.
    """

    lang: str | None = None
    before: str | None = None
    names: tuple[str, ...] = ()


_ANYBODY = Writer()


def read(
    text: str,
    grammar: Grammar,
    today: date,
    writer: Writer = _ANYBODY,
) -> Reading:
    """What ``text`` says on ``today``, written by a family of which ``writer`` is known."""
    parsed = parse(text, grammar)
    spoken = language_of(
        parsed.tokens,
        grammar.common,
        grammar.own_words,
        chosen=writer.lang,
        before=writer.before,
    )
    signs = signs_of(parsed)
    told = _told(parsed, grammar, today, spanish=spoken == "es")
    told, theirs = without_others(told, parsed.tokens, parsed.hits)
    ranked = _ranked(parsed, grammar, told, signs)
    return replace(
        _of_numbers(told, theirs),
        text=parsed.cleaned.text,
        lang=spoken,
        pitch_types=parsed.named("pitch:"),
        rules_named=parsed.named("rules:"),
        sports=parsed.named("sport:"),
        names=parsed.names(writer.names),
        topics=tuple((item.topic, item.score) for item in ranked[:_MOST_TOPICS]),
        pointed=tuple(i.topic for i in ranked if i.pointed >= _POINTED),
        anchored=_anchored(parsed, told, signs, writer.names, ranked[0]),
        acts=parsed.acts(),
        signs=signs,
        assessment=assessed(text, parsed, signs, grammar),
        at_large=parsed.asks_at_large(),
        doubtful=parsed.cleaned.doubtful,
        month=_month(parsed, grammar),
        why=_reasons(told, signs, ranked[0]),
    )


def _of_numbers(told: Told, theirs: tuple[PitchCount, ...]) -> Reading:
    """What the numbers and days say, all else still empty."""
    return Reading(
        text="",
        lang="",
        counts=told.counts,
        theirs=theirs,
        ages=told.ages,
        thrown_days=told.thrown_days,
        ask_days=told.ask_days,
        innings_caught=told.innings_caught,
        bare=told.bare,
        planned=told.planned,
        several_children=told.several_children,
    )


def _told(parsed: Parsed, grammar: Grammar, today: date, *, spanish: bool) -> Told:
    """Counts, ages and days: what was thrown, what is asked for."""
    tokens, acts = parsed.tokens, parsed.acts()
    numbers = grammar.numbers.read(tokens, spanish=spanish)
    days = _without_quantities(grammar.days.read(tokens, today, spanish=spanish), tokens)
    quantities = grammar.totals.read(tokens, grammar.quantities.read(tokens, numbers, days))
    if not acts & {"rest_word", "log"}:
        quantities = grammar.plans.read(tokens, quantities, days, today)
    return tell(tokens, quantities, days, acts, today)


def _without_quantities(days: Sequence[DayMention], tokens: Sequence[Token]) -> list[DayMention]:
    """A "day" that is really "the 5th inning" or "1/3 of an inning" is none."""
    return [
        day
        for day in days
        if not _COUNTED & {t.word for t in tokens[day.end : day.end + 1]}
        and [t.word for t in tokens[day.end : day.end + 2]] not in _OF_AN
    ]


def _ranked(parsed: Parsed, grammar: Grammar, told: Told, signs: SignReading) -> list[TopicScore]:
    """All topics, best first: by the words without politeness, and by the message's shape."""
    about = matter(parsed.tokens, parsed.table)
    whole = len(about) == len(parsed.tokens)
    hits = parsed.hits if whole else _plain_hits(parsed.hits, about)
    shape = Shape(
        told,
        parsed.words,
        parsed.acts(),
        pitch_types=bool(parsed.named("pitch:")),
        all_denied=signs.all_denied,
    )
    return adjusted(grammar.topics.rank(about, hits), shape)


_ENOUGH = 3


def _plain_hits(hits: Sequence[Hit], about: Sequence[Token]) -> list[Hit]:
    """The hits without those of thanks and greetings, where enough else was said."""
    if sum(1 for token in about if token.word.isalnum()) < _ENOUGH:
        return list(hits)
    return [hit for hit in hits if not hit.name.startswith(("intent:thanks", "intent:greeting"))]


def _anchored(
    parsed: Parsed, told: Told, signs: SignReading, names: Sequence[str], best: TopicScore
) -> bool:
    """Whether anything at all ties the message to throwing arms or to this bot."""
    person = any("@kid" in here for here in parsed.table)
    if best.pointed >= (_FAINT if person else _PLAIN):
        return True
    short = sum(token.word.isalnum() for token in parsed.tokens) <= _FEW_FOR_A_DAY
    return bool(
        told.counts or told.planned or told.ages or told.innings_caught
        or (told.ask_days and short)
        or any(parsed.named(kind) for kind in ("pitch:", "rules:", "sport:"))
        or is_roster(parsed.words)
        or parsed.names(names)
        or signs.mentions or signs.denied or signs.parts
        or parsed.acts() & _OWN_ACTS
    )  # fmt: skip


def _month(parsed: Parsed, grammar: Grammar) -> int | None:
    months = grammar.library.words.tables["calendar.months"]
    short = grammar.library.words.tables["calendar.months_with_day_only"]
    for word in parsed.words:
        value = months.get(word) or short.get(word)
        if value:
            return int(value)
    return None


def _reasons(told: Told, signs: SignReading, best: TopicScore) -> tuple[str, ...]:
    reasons = list(told.why)
    reasons += [f"sign: {mention.words}" for mention in signs.mentions]
    reasons += [f"topic: {phrase}" for phrase in best.phrases[:3]]
    return tuple(reasons)
