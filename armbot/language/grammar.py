"""Everything that is compiled once from the library, so that reading a message is cheap."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from armbot.language.days import DayReader
from armbot.language.normal import clean
from armbot.language.numbers import NumberReader
from armbot.language.patterns import Lexicon
from armbot.language.plans import PlanReader
from armbot.language.quantities import QuantityReader
from armbot.language.second import Learned
from armbot.language.spelling import Speller
from armbot.language.spoken import own_words
from armbot.language.tokens import tokenize, words_of
from armbot.language.topics import TopicMatcher, matter
from armbot.language.totals import TotalReader
from armbot.model.library import Library

_OFTEN = 3
"""Examples a word must stand in to count as a word, not a slip."""


class Grammar:
    """The compiled form of content/words, content/topics and the names in the rules."""

    def __init__(self, library: Library) -> None:
        words = library.words
        self.library = library
        self.lexicon = Lexicon(words.classes)
        for name, patterns in words.patterns.items():
            self.lexicon.add(name, patterns)
        for key, phrases in _names(library):
            self.lexicon.add(key, phrases)
        self.numbers = NumberReader(words)
        self.days = DayReader(words)
        self.quantities = QuantityReader(words)
        self.totals = TotalReader(words)
        self.plans = PlanReader(words)
        self.topics = TopicMatcher(library, self.lexicon)
        self.common = words.common
        self.own_words = own_words(_examples(library))
        self.settled = frozenset(rule.id for rule in library.tier_rules if rule.final)
        self.learned = library.learned if isinstance(library.learned, Learned) else None
        prose = _prose_words(library) | self.topics.words_in(_OFTEN)
        known = prose | self.lexicon.vocabulary | _table_words(library)
        self.speller = Speller(words.spelling, _danger_words(library) & prose, known)

    def answer_for(self, topic: str, text: str) -> str:
        """Which of the topic's answers fits a plain text best."""
        tokens = self.speller.mend(tokenize(text))
        return self.topics.answer(topic, matter(tokens, self.lexicon.spans(tokens)))


def _examples(library: Library) -> dict[str, list[str]]:
    """Language -> the example messages of every topic."""
    found: dict[str, list[str]] = {lang: [] for lang in library.words.common}
    for topic in library.topics.values():
        for answer in topic.answers.values():
            for lang, text in answer.texts.items():
                found[lang].extend(text.examples)
    return found


def _names(library: Library) -> Iterable[tuple[str, list[str]]]:
    """Pattern lists for pitch types, rule sets and other sports, from their aliases."""
    spelling = library.words.spelling
    for pitch in library.pitch_types.values():
        yield f"pitch:{pitch.id}", _plain(pitch.aliases, spelling)
    for rules in library.rules.values():
        yield f"rules:{rules.id}", _plain(rules.aliases, spelling)
    for sport in library.season.sports:
        yield f"sport:{sport.id}", _plain(sport.aliases, spelling)


def _plain(aliases: Mapping[str, Sequence[str]], spelling: Mapping[str, str]) -> list[str]:
    """Aliases of all languages as plain patterns, spelt as a mended message spells them."""
    found = []
    for phrases in aliases.values():
        for phrase in phrases:
            words = " ".join(
                spelling.get(t.word, t.word)
                for t in tokenize(clean(phrase).text)
                if t.word.isalnum()
            )
            if words:
                found.append(words)
    return found


def _danger_words(library: Library) -> set[str]:
    """Single words of the sign lists and body parts: worth finding behind a slip."""
    found: set[str] = set()
    for name, patterns in library.words.patterns.items():
        if name.startswith("sign:"):
            for pattern in patterns:
                found.update(
                    word
                    for part in pattern.split()
                    for word in part.lstrip("?").split("/")
                    if word.isalpha() and word.isascii()
                )
    for name in ("elbow", "shoulder", "forearm", "upper_arm", "wrist", "fingers"):
        found.update(w.rstrip("*") for w in library.words.classes[name] if w.rstrip("*").isalpha())
    return {word for word in found if word.isascii()}


def _table_words(library: Library) -> set[str]:
    """Number words, days, months and units."""
    found: set[str] = set()
    for table in library.words.tables.values():
        found.update(word for phrase in table for word in phrase.split())
    for phrases in library.words.lists.values():
        found.update(word for phrase in phrases for word in phrase.split())
    return found


def _prose_words(library: Library) -> set[str]:
    """Words the content's own prose uses, and the everyday words: never "mended"."""
    found: set[str] = set()
    for words in library.words.common.values():
        found |= words
    texts = [
        text
        for topic in library.topics.values()
        for answer in topic.answers.values()
        for text in answer.texts.values()
    ]
    for text in texts:
        for part in (text.short, text.long, text.do_now, text.call_when):
            found.update(words_of(clean(part).text))
    return found
