"""From a message to a Reading: the one door to this package.

Deterministic, without network, disk or clock; every list it uses comes from content.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from armbot.core.triage import assess
from armbot.language.days import DayMention
from armbot.language.grammar import Grammar
from armbot.language.normal import LIMIT, Cleaned, clean
from armbot.language.outings import Told, tell
from armbot.language.patterns import Hit
from armbot.language.second import raised
from armbot.language.signs import read_signs
from armbot.language.structure import adjusted, is_roster
from armbot.language.tokens import Token, tokenize
from armbot.language.topics import matter
from armbot.model.reports import Assessment, Tier
from armbot.model.talk import Reading

_MOST_TOKENS = 900
_FEW_FOR_A_DAY = 5
"""Words up to which a day asked about is what the message is about: "sunday?"."""
_OVERLAP = 20
"""Words read twice where a message is read in parts, so that no sign falls between them."""
_PIECE, _PIECE_OVERLAP, _MOST_PIECES = 900, 100, 64
"""Characters of a further part, of what two parts share, and how many parts are read; a
message longer still gets the safety question."""
_FAINT, _PLAIN = 1.0, 3.2
"""Phrase weights that tie a message to a topic: with somebody named in it, and without."""
_COUNTED = frozenset("inning innings entrada entradas grade grader".split())
_OF_AN = (["of", "an"], ["of", "inning"], ["de", "entrada"], ["de", "inning"])
_OWN_ACTS = frozenset({"log", "why", "delete", "change", "query_last", "yes", "no"})
_POINTED = 5.0
"""Phrase weight from which a topic counts as named by the message itself."""


def read(
    text: str,
    grammar: Grammar,
    today: date,
    *,
    lang: str | None = None,
    names: Sequence[str] = (),
) -> Reading:
    """What ``text`` says on ``today``.

    ``lang`` is the family's language, kept unless the text plainly is in the other one;
    ``names`` are the athletes' nicknames.
    """
    cleaned = clean(text)
    all_tokens = tokenize(cleaned.text)
    tokens = grammar.speller.mend(all_tokens[:_MOST_TOKENS])
    table = grammar.lexicon.spans(tokens)
    hits = grammar.lexicon.match(tokens, table)
    spoken = language_of(tokens, grammar, lang)
    signs = read_signs(cleaned.text, tokens, table, hits)
    library = grammar.library
    numbers = grammar.numbers.read(tokens, spanish=spoken == "es")
    days = grammar.days.read(tokens, today, spanish=spoken == "es")
    days = _without_quantities(days, tokens)
    quantities = grammar.totals.read(tokens, grammar.quantities.read(tokens, numbers, days))
    acts = frozenset(hit.name[4:] for hit in hits if hit.name.startswith("act:"))
    acts |= {f"first:{hit.name[4:]}" for hit in hits if _opens(hit, table)}
    if not acts & {"rest_word", "log"}:
        quantities = grammar.plans.read(tokens, quantities, days, today)
    told: Told = tell(tokens, quantities, days, acts, today)
    pitch_types = _named(hits, "pitch:")
    about = matter(tokens, table)
    ranked = adjusted(
        grammar.topics.rank(about, hits if len(about) == len(tokens) else _plain_hits(hits, about)),
        told,
        [t.word for t in tokens],
        acts,
        pitch_types=bool(pitch_types),
        all_denied=signs.all_denied,
    )
    rules_named, sports = _named(hits, "rules:"), _named(hits, "sport:")
    own_names = _names_in(tokens, names)
    evident = bool(
        told.counts or told.planned or told.ages or told.innings_caught or pitch_types
        or rules_named or sports
        or is_roster([t.word for t in tokens])
        or own_names or (told.ask_days and sum(t.word.isalnum() for t in tokens) <= _FEW_FOR_A_DAY)
        or signs.mentions or signs.denied or signs.parts or acts & _OWN_ACTS
    )  # fmt: skip
    person = any("@kid" in here for here in table)
    return Reading(
        text=cleaned.text,
        lang=spoken,
        counts=told.counts,
        ages=told.ages,
        thrown_days=told.thrown_days,
        ask_days=told.ask_days,
        innings_caught=told.innings_caught,
        bare=told.bare,
        planned=told.planned,
        pitch_types=pitch_types,
        rules_named=rules_named,
        sports=sports,
        names=own_names,
        topics=tuple((item.topic, item.score) for item in ranked[:6]),
        pointed=tuple(i.topic for i in ranked if i.pointed >= _POINTED),
        anchored=evident or ranked[0].pointed >= (_FAINT if person else _PLAIN),
        acts=acts,
        signs=signs,
        assessment=_strictest(
            raised(
                grammar.learned,
                tokens,
                signs,
                assess(signs, library.tier_rules, dict(library.public_signs)),
                grammar.settled,
            ),
            _unread(text, cleaned, all_tokens),
            grammar,
        ),
        several_children=told.several_children,
        doubtful=cleaned.doubtful,
        month=_month(tokens, grammar),
        why=_reasons(
            told,
            (signs.mentions and tuple(m.words for m in signs.mentions)) or (),
            ranked[0].phrases,
        ),
    )


_ENOUGH = 3


def _plain_hits(hits: Sequence[Hit], about: Sequence[Token]) -> list[Hit]:
    """The hits without those of thanks and greetings, where enough else was said."""
    if sum(1 for token in about if token.word.isalnum()) < _ENOUGH:
        return list(hits)
    return [hit for hit in hits if not hit.name.startswith(("intent:thanks", "intent:greeting"))]


def _opens(hit: Hit, table: Sequence[Mapping[str, tuple[int, ...]]]) -> bool:
    """Whether an act stands at the beginning, after no more than words of politeness."""
    polite = ("@polite", ",", "!", ".")
    before = table[: hit.start]
    return hit.name.startswith("act:") and all(
        any(feature in here for feature in polite) or not here for here in before
    )


def language_of(tokens: Sequence[Token], grammar: Grammar, kept: str | None) -> str:
    """The message's language; the family's own where the words do not decide."""
    counts = {
        lang: sum(1 for token in tokens if token.word in words)
        for lang, words in grammar.common.items()
    }
    english, spanish = counts.get("en", 0), counts.get("es", 0)
    if kept is None:
        return "es" if spanish > english else "en"
    other = "es" if kept == "en" else "en"
    clear = counts.get(other, 0) >= 3 and counts.get(other, 0) > 2 * counts.get(kept, 0)
    return other if clear else kept


def _named(hits: Sequence[Hit], prefix: str) -> tuple[str, ...]:
    """Ids named in the text, in order; a longer name hides a shorter one inside it."""
    found = [hit for hit in hits if hit.name.startswith(prefix)]
    kept = [
        hit
        for hit in found
        if not any(
            o.start <= hit.start and hit.end <= o.end and o.end - o.start > hit.end - hit.start
            for o in found
        )
    ]
    return tuple(dict.fromkeys(hit.name[len(prefix) :] for hit in kept))


def _names_in(tokens: Sequence[Token], names: Sequence[str]) -> tuple[str, ...]:
    words = [token.word for token in tokens]
    found = []
    for name in names:
        wanted = [token.word for token in tokenize(clean(name).text)]
        if wanted and any(_is_name(words[i : i + len(wanted)], wanted) for i in range(len(words))):
            found.append(name)
    return tuple(found)


def _is_name(words: Sequence[str], name: Sequence[str]) -> bool:
    """Whether the words are the name, or its possessive: "kai", "kai's", "kais"."""
    if len(words) != len(name) or list(words[:-1]) != list(name[:-1]):
        return False
    return words[-1] in (name[-1], f"{name[-1]}'s", f"{name[-1]}s", f"{name[-1]}'")


def _without_quantities(days: Sequence[DayMention], tokens: Sequence[Token]) -> list[DayMention]:
    """A "day" that is really "the 5th inning" or "1/3 of an inning" is none."""
    return [
        day
        for day in days
        if not _COUNTED & {t.word for t in tokens[day.end : day.end + 1]}
        and [t.word for t in tokens[day.end : day.end + 2]] not in _OF_AN
    ]


def _month(tokens: Sequence[Token], grammar: Grammar) -> int | None:
    months = grammar.library.words.tables["calendar.months"]
    short = grammar.library.words.tables["calendar.months_with_day_only"]
    for token in tokens:
        value = months.get(token.word) or short.get(token.word)
        if value:
            return int(value)
    return None


def _reasons(told: Told, signs: Sequence[str], phrases: Sequence[str]) -> tuple[str, ...]:
    reasons = list(told.why)
    reasons += [f"sign: {words}" for words in signs]
    reasons += [f"topic: {phrase}" for phrase in phrases[:3]]
    return tuple(reasons)


def _unread(text: str, cleaned: Cleaned, tokens: Sequence[Token]) -> list[str]:
    """What is left of a message too long to be understood whole, in short pieces.

    Nothing may hide at the end of a long message, so the safety check reads these too.
    """
    tail = (
        cleaned.text[tokens[_MOST_TOKENS - _OVERLAP].start :] if len(tokens) > _MOST_TOKENS else ""
    )
    beyond = text[LIMIT - _PIECE_OVERLAP :] if cleaned.cut else ""
    step = _PIECE - _PIECE_OVERLAP
    return [
        rest[start : start + _PIECE]
        for rest in (tail, beyond)
        for start in range(0, max(len(rest) - _PIECE_OVERLAP, 0), step)
    ]


def _strictest(found: Assessment, pieces: Sequence[str], grammar: Grammar) -> Assessment:
    """The most urgent of what the message and its further pieces report."""
    for piece in pieces[:_MOST_PIECES]:
        found = max(found, check_signs(piece, grammar), key=lambda item: item.tier)
    if len(pieces) > _MOST_PIECES and found.tier is Tier.NONE:
        return replace(found, tier=Tier.ASK, signs=("other",))
    return found


def check_signs(text: str, grammar: Grammar, *, likeness: bool = True) -> Assessment:
    """The safety check alone, for a further part of a message or several turns as one.

    Without ``likeness`` only the word lists are asked: turns strung together are like no
    message that anybody wrote.
    """
    cleaned = clean(text)
    tokens = grammar.speller.mend(tokenize(cleaned.text)[:_MOST_TOKENS])
    table = grammar.lexicon.spans(tokens)
    hits = grammar.lexicon.match(tokens, table)
    library = grammar.library
    signs = read_signs(cleaned.text, tokens, table, hits)
    found = assess(signs, library.tier_rules, dict(library.public_signs))
    learned = grammar.learned if likeness else None
    return raised(learned, tokens, signs, found, grammar.settled)
