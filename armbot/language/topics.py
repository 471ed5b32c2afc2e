"""What a message is about: topics by the words that point to them and by example.

Two readings are added up. Patterns (content/words/*/intents.yaml) say which words point
to a topic and how strongly; the examples beside each topic say what messages like it look
like. Both can be shown as reasons. A message that is word for word an example (numbers
aside) goes where that example stands: whoever writes one may rely on it.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

from armbot.language.examples import ExampleModel, features, features_of
from armbot.language.normal import clean
from armbot.language.patterns import Hit, Lexicon
from armbot.language.tokens import Token, tokenize, words_of
from armbot.model.library import Library

_WEIGHTS = {"strong": 5.0, "plain": 2.0, "faint": 1.0}
_PER_WORD = 0.3
"""A longer phrase is surer than a short one."""
_SECOND = 0.35
"""What each further phrase for the same topic adds, of its own weight."""
_MOST_FURTHER = 3
_EXAMPLE_WEIGHT = 1.5
_BOUND = 8.0
"""However unlike its examples a message is, a topic falls behind by no more than this, so
that plain words for a topic can still carry it."""
_SPECIFIC = frozenset(
    {"imaging", "injection", "medicine", "ice_heat", "softball", "weighted_balls", "radar_gun",
     "long_toss", "ll_elbow", "ll_shoulder", "ucl_sprain", "ucl_surgery", "growth_plate",
     "physical_therapy", "catcher_rule", "reminder_settings", "other_sports_rest", "warm_up"}
)  # fmt: skip
"""Topics named by a thing (an MRI, a cortisone shot): naming it settles more than a turn of
phrase that many questions share, such as "how long"."""
_NAMED_THING = 4.0
_DIAGNOSES = frozenset({"ll_elbow", "ll_shoulder", "ucl_sprain", "ucl_surgery", "growth_plate"})
_NAMED_DIAGNOSIS = 6.0
"""A child with a named injury is asked about as such, whatever else the message asks."""
_UNFAMILIAR = 2.0
"""What the example reading counts less where most words are new to it."""
_REMEMBERED = 25.0
"""Puts the topic of a message that is itself an example before all others."""
_FEWEST_WORDS = 3
"""A shorter example ("12", "and him?") leans on the turn before and is no rule by itself."""

_FEWEST_TO_CHOOSE = 2
"""A single word says what it is about at best, not what is asked about it."""
_SURE, _SURE_UNKNOWN = 1.5, 2.5
"""Points by which an answer must lead the next; else the topic's plain answer is given. Of
what is no topic at all, only the plainest cases get an answer of their own."""
_MARKS = (".", "!", ",")
"""Marks that go with the polite words at either end."""
_LEAST_MATTER = 1


def matter(
    tokens: Sequence[Token], table: Sequence[Mapping[str, tuple[int, ...]]]
) -> Sequence[Token]:
    """The tokens without greetings and thanks, where enough is left to be about something."""
    polite = {
        place + step
        for place, here in enumerate(table)
        for size in here.get("@polite", ())
        for step in range(size)
    }
    left = [token for place, token in enumerate(tokens) if place not in polite]
    while polite and left and left[-1].word in _MARKS:
        left.pop()
    while polite and left and left[0].word in _MARKS:
        left.pop(0)
    words = [token for token in left if token.word.isalnum()]
    return left if len(words) >= _LEAST_MATTER else tokens


@dataclass(frozen=True, slots=True)
class TopicScore:
    """A topic, its score, the phrases that spoke for it and how strongly they did."""

    topic: str
    score: float
    phrases: tuple[str, ...]
    pointed: float = 0.0


class TopicMatcher:
    """Built once from the library."""

    def __init__(self, library: Library, lexicon: Lexicon) -> None:
        self._lexicon = lexicon
        keys: list[tuple[int, str]] = []
        self._topics = ExampleModel(_noted(library, keys))
        self._kept_answers = _unambiguous(keys)
        self._kept = _unambiguous((key, place.partition("/")[0]) for key, place in keys)
        self._library = library
        self._answers: dict[str, ExampleModel] = {}

    def rank(
        self, tokens: Sequence[Token], hits: Sequence[Hit], *, remember: bool = True
    ) -> list[TopicScore]:
        """All topics with a score, best first; ``remember`` knows examples word for word."""
        row = features(tokens)
        kept = self._kept.get(_key(row)) if remember else None
        weight = _EXAMPLE_WEIGHT
        if self._topics.familiarity(row) < 0.5:
            weight /= _UNFAMILIAR
        pointed = _pointed(hits)
        found = []
        for topic, by_example in self._topics.scores(row).items():
            phrases = pointed.get(topic, {})
            weights = sorted(phrases.values(), reverse=True)
            words = (weights[0] + _SECOND * sum(weights[1 : 1 + _MOST_FURTHER])) if weights else 0.0
            if topic in _SPECIFIC and words >= _WEIGHTS["strong"]:
                words += _NAMED_DIAGNOSIS if topic in _DIAGNOSES else _NAMED_THING
            score = words - weight * _BOUND * (1 - math.exp(by_example / _BOUND))
            score += _REMEMBERED if topic == kept else 0.0
            found.append(TopicScore(topic, score, tuple(phrases), words))
        found.sort(key=lambda item: (-item.score, item.topic))
        return found

    def answer(self, topic: str, tokens: Sequence[Token]) -> str:
        """Which of the topic's answers fits best; "default" when nothing is known."""
        if topic not in self._library.topics:
            return "default"
        row = features(tokens)
        kept = self._kept_answers.get(_key(row), "")
        if kept.startswith(f"{topic}/"):
            return kept.partition("/")[2]
        if _words(row) < _FEWEST_TO_CHOOSE:
            return "default"
        if topic not in self._answers:
            rows = chain(_examples(self._library, topic), _texts(self._library, topic))
            self._answers[topic] = ExampleModel(rows)
        scores = self._answers[topic].scores(row)
        best, *others = sorted(scores, key=lambda name: (-scores[name], name != "default", name))
        lead = _SURE_UNKNOWN if topic == "unknown" else _SURE
        sure = not others or scores[best] - scores[others[0]] >= lead
        return best if sure else "default"

    def words_in(self, least: int) -> set[str]:
        """The words that at least so many examples hold."""
        return self._topics.words_in(least)

    def best(self, text: str, *, remember: bool = True) -> tuple[str, str, float]:
        """Topic, answer and score for a text on its own."""
        tokens = tokenize(clean(text).text)
        hits = self._lexicon.match(tokens, self._lexicon.spans(tokens))
        top = self.rank(tokens, hits, remember=remember)[0]
        return top.topic, self.answer(top.topic, tokens), top.score


def _words(row: Mapping[str, int]) -> int:
    return sum(1 for feature in row if feature[0] != "#" and feature.isalpha())


def _examples(library: Library, topic: str) -> Iterator[tuple[str, Counter[str]]]:
    """(answer, features) of every example of a topic, in all languages."""
    for answer in library.topics[topic].answers.values():
        for text in answer.texts.values():
            for example in text.examples:
                yield answer.id, features_of(words_of(clean(example).text))


def _noted(library: Library, keys: list[tuple[int, str]]) -> Iterator[tuple[str, Counter[str]]]:
    """(topic, features) of every example.

    The keys of those long enough go to ``keys``, with "topic/answer".
    """
    for topic in library.topics:
        for answer, row in _examples(library, topic):
            if _words(row) >= _FEWEST_WORDS:
                keys.append((_key(row), f"{topic}/{answer}"))
            yield topic, row


def _texts(library: Library, topic: str) -> Iterator[tuple[str, Counter[str]]]:
    """(answer, features) of what each answer says: its words are those it is asked with."""
    for answer in library.topics[topic].answers.values():
        yield answer.id, features_of(words_of(answer.id.replace("_", " ")))
        for text in answer.texts.values():
            for part in (text.short, text.long, text.question):
                if part:
                    yield answer.id, features_of(words_of(clean(part).text))


def _key(row: Mapping[str, int]) -> int:
    """Stands for the words in their order, by way of their pairs, whatever the marks between.

    Numbers are all alike.
    """
    return hash(frozenset(f for f in row if "_" in f and f.replace("_", "").isalnum()))


def _unambiguous(pairs: Iterable[tuple[int, str]]) -> dict[int, str]:
    """Key -> place, without keys that stand under several places."""
    found: dict[int, set[str]] = defaultdict(set)
    for key, place in pairs:
        found[key].add(place)
    return {key: next(iter(places)) for key, places in found.items() if len(places) == 1}


def _pointed(hits: Sequence[Hit]) -> dict[str, dict[str, float]]:
    """Topic -> pattern -> weight, from the intent hits."""
    found: dict[str, dict[str, float]] = defaultdict(dict)
    for hit in hits:
        if hit.name.startswith("intent:"):
            topic, _, level = hit.name[7:].partition("|")
            weight = _WEIGHTS[level] + _PER_WORD * (hit.end - hit.start)
            found[topic][hit.pattern] = max(weight, found[topic].get(hit.pattern, 0.0))
    return found


def build(library: Library) -> TopicMatcher:
    """A matcher with its own compiled patterns (the engine shares one lexicon instead)."""
    lexicon = Lexicon(library.words.classes)
    for name, patterns in library.words.patterns.items():
        if name.startswith("intent:"):
            lexicon.add(name, patterns)
    return TopicMatcher(library, lexicon)
