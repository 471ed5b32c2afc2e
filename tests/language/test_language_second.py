"""The second reader: it may raise a tier for the wording, and lowers none."""

from __future__ import annotations

import pytest
from conversation import grammar
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK

from armbot.language.normal import clean
from armbot.language.second import RULE_ID, Learned, learned_of, raised, row, undenied
from armbot.language.signs import read_signs
from armbot.language.tokens import Token, tokenize
from armbot.model.reports import Assessment, SignReading, Tier

ALWAYS, NEVER = learned_of({}, (50.0, 50.0, -50.0)), learned_of({}, (-50.0, -50.0, -50.0))
"""Readers that find a report in everything, and in nothing."""
LONG = "one two three four five six seven eight nine"


def read(text: str) -> tuple[tuple[Token, ...], SignReading]:
    """Tokens and signs of a text."""
    cleaned = clean(text)
    tokens = tokenize(cleaned.text)
    table = grammar().lexicon.spans(tokens)
    return tokens, read_signs(cleaned.text, tokens, table, grammar().lexicon.match(tokens, table))


def after(learned: Learned | None, text: str, found: Assessment) -> Assessment:
    """The assessment as the second reader leaves it."""
    tokens, signs = read(text)
    return raised(learned, tokens, signs, found, frozenset({"lowering"}))


@pytest.mark.parametrize("tier", list(Tier))
@pytest.mark.parametrize("learned", [ALWAYS, NEVER, None])
def test_no_tier_is_lowered(learned: Learned | None, tier: Tier) -> None:
    """Whatever it was learned from, the tier that the lists found stays or rises."""

    @QUICK
    @given(text=st.text())
    def holds(text: str) -> None:
        assert after(learned, text, Assessment(tier)).tier >= tier

    holds()


def test_a_message_like_reports_is_stopped_and_says_why() -> None:
    """Named by its own rule id, with a sign, so that the family and the clinic see it."""
    found = after(ALWAYS, LONG, Assessment(Tier.NONE))
    assert (found.tier, found.signs, found.rule_ids) == (Tier.STOP, ("other",), (RULE_ID,))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("so so", Assessment(Tier.NONE)),
        ("no pain at all", Assessment(Tier.NONE)),
        (LONG, Assessment(Tier.NONE, other_body=True)),
        (LONG, Assessment(Tier.ASK, rule_ids=("lowering",))),
        ("he had elbow pain last year, the doctor cleared him, its gone", Assessment(Tier.NONE)),
    ],
    ids=[
        "too short",
        "all denied",
        "another body part",
        "lowered for a reason",
        "over and cleared",
    ],
)
def test_what_the_lists_understood_is_left_alone(text: str, found: Assessment) -> None:
    """Likeness is for what the lists do not know."""
    assert after(ALWAYS, text, found) == found


def test_what_is_denied_is_not_read() -> None:
    """The words of a denied sign leave the message before it is compared."""
    tokens, signs = read("no pain in the elbow, threw great")
    left = [token.word for token in undenied(tokens, signs)]
    assert "pain" not in left
    assert "great" in left
    assert not any("pain" in feature for feature in row(tokens, signs))
