"""Learns the second reader's numbers from the examples of the content base.

Logistic regression by scikit-learn (the extra ``learn``), three times: whether an example
asks for a stop at least, for a question at least, and for emergency care. Only this command
needs the library; answering does not.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from importlib import import_module

from armbot.content.learned import Numbers
from armbot.language.grammar import Grammar
from armbot.language.normal import clean
from armbot.language.second import TIERS, row
from armbot.language.signs import read_signs
from armbot.language.tokens import tokenize
from armbot.model.library import Library
from armbot.model.reports import Tier

_QUIET_STEP = 2
"""Every so many-th topic example is taken as a message that reports nothing: enough to
know ordinary questions, few enough not to drown the reports."""
_SPEAKS_OF_SIGNS = frozenset(
    {"symptom_report", "velocity_drop", "soreness_rules", "when_to_see_clinician"}
)
_LOOSENESS = 10.0
"""How freely the weights may follow the examples (C of the library), by cross-validation."""
_SCALE = 1.5
_MOST_ROUNDS = 500
_LEAST_WEIGHT = 0.5
"""Features that move the odds by less are not kept."""


def learn_from(library: Library, grammar: Grammar) -> Numbers:
    """The numbers to be saved; deterministic. Needs scikit-learn (ImportError)."""
    import_module("sklearn.linear_model")  # before the long work, so that a lack shows at once
    known = [(tier, _row(text, grammar)) for tier, text in _examples(library)]
    seen = Counter(feature for _, each in known for feature in each)
    rarity = {f: _SCALE * math.log((len(known) + 1) / (n + 0.5)) for f, n in seen.items()}
    rows = [{f: v * rarity[f] for f, v in each.items()} for _, each in known]
    models = [fitted(rows, [tier >= least for tier, _ in known]) for least in TIERS]
    weights = {
        f: tuple(round(weight[f] * rarity[f], 1) for weight, _ in models) for f in sorted(seen)
    }
    kept = {f: row for f, row in weights.items() if max(map(abs, row)) >= _LEAST_WEIGHT}
    return kept, tuple(round(base, 2) for _, base in models)


def fitted(
    rows: Sequence[Mapping[str, float]], answers: Sequence[bool]
) -> tuple[dict[str, float], float]:
    """Weight per feature and the base log odds, by logistic regression."""
    from sklearn.feature_extraction import DictVectorizer  # noqa: PLC0415 - an extra
    from sklearn.linear_model import LogisticRegression  # noqa: PLC0415 - an extra

    columns = DictVectorizer()
    model = LogisticRegression(C=_LOOSENESS, max_iter=_MOST_ROUNDS)
    model.fit(columns.fit_transform(rows), answers)
    weights = zip(columns.get_feature_names_out(), model.coef_[0], strict=True)
    return {str(feature): float(weight) for feature, weight in weights}, float(model.intercept_[0])


def _examples(library: Library) -> Iterator[tuple[Tier, str]]:
    for example in library.report_examples:
        yield Tier[example.tier.upper()], example.text
    quiet = [
        text
        for topic in library.topics.values()
        if topic.id not in _SPEAKS_OF_SIGNS
        for answer in topic.answers.values()
        for lang in sorted(answer.texts)
        for text in answer.texts[lang].examples
    ]
    for text in quiet[::_QUIET_STEP]:
        yield Tier.NONE, text


def _row(text: str, grammar: Grammar) -> dict[str, float]:
    cleaned = clean(text)
    tokens = grammar.speller.mend(tokenize(cleaned.text))
    table = grammar.lexicon.spans(tokens)
    signs = read_signs(cleaned.text, tokens, table, grammar.lexicon.match(tokens, table))
    return row(tokens, signs)
