"""Invariant 5: every figure carries its source and comes from content; the code holds none.

Every answer can say why: inputs, rule, arithmetic, source.
"""

from __future__ import annotations

import ast
import re
from typing import TYPE_CHECKING

import pytest
from conversation import ROOT, facts, grammar, new_family, recorded_decisions, say
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from armbot.model.talk import Turn

_NUMBER = re.compile(r"\d+")
_SAID_BACK = {"log_outing", "season_total"}
"""Topics that say back what the family logged itself."""


def figures_in(turn: Turn) -> list[str]:
    """Numbers of a reply other than telephone numbers, dates' parts and list marks."""
    clinic = grammar().library.clinic
    text = turn.reply
    for known in (clinic.phone, clinic.emergency_number, "24 horas"):
        text = text.replace(known, "")
    return _NUMBER.findall(text)


@pytest.mark.parametrize("name", ["questions", "fresh_questions"])
def test_every_reply_with_a_figure_can_say_where_it_is_from(name: str) -> None:
    """A number in a reply comes with a source line or with the reasons behind it."""
    bare = [
        (conversation.id, decision.turn.topic, decision.turn.reply[:160])
        for conversation, decisions in recorded_decisions(name)
        for decision in decisions
        if figures_in(decision.turn)
        and decision.turn.topic not in _SAID_BACK
        and not (decision.turn.sources or decision.turn.why)
        and not decision.turn.asks
    ]
    assert not bare


@pytest.mark.parametrize("name", ["questions", "fresh_questions"])
def test_every_computed_value_has_a_source_line(name: str) -> None:
    """Rest, dates and limits always print the source they are from."""
    keys = (
        "rest_days", "first_eligible", "daily_max", "innings_12_months", "months_off", "min_age",
    )  # fmt: skip
    bare = [
        (conversation.id, decision.turn.reply[:160])
        for conversation, decisions in recorded_decisions(name)
        for decision in decisions
        if any(row.get(key) is not None for row in facts(decision.turn.values) for key in keys)
        and not (decision.turn.sources and printed_source(decision.turn))
    ]
    assert not bare


def printed_source(turn: Turn) -> bool:
    """Whether the reply prints at least one of its sources by name."""
    sources = grammar().library.sources
    return any(sources[key].short in turn.reply for key in turn.sources if key in sources)


@QUICK
@given(age=st.integers(7, 18), pitches=st.integers(1, 120))
def test_why_tells_inputs_rule_arithmetic_and_source(age: int, pitches: int) -> None:
    """After a computed answer, "why" says the count, the age, the table's row and the sum."""
    first = say(new_family(), f"he is {age} and threw {pitches} pitches monday. when again?")
    row = facts(first.turn.values)[0]
    if row.get("first_eligible") is None:
        return
    told = say(first.family, "why").turn.reply
    assert str(age) in told
    assert str(pitches) in told
    assert f"+ {row['rest_days']} + 1" in told, told
    assert "copy" in told or "source" in told or "memory" in told, told


STRUCTURE: dict[str, dict[float, str]] = {
    "*": {
        0: "nothing, or the first place",
        1: "one, or the next place",
        2: "a pair, or the bytes of a UTF-16 unit",
        3: "outs in an inning",
        7: "days in a week",
        12: "months in a year",
        24: "hours in a day",
    },
    "core/ages.py": {5: "years between a school grade and the age in it"},
    "core/bars.py": {4: "the days of a four-day limit, its name in the rule sets"},
    "core/catching.py": {60: "days looked ahead before giving up"},
    "core/workload.py": {60: "days looked ahead before giving up"},
    "engine/computed.py": {4: "words of a bare 'why'"},
    "engine/threads.py": {
        5: "words of a fragment", 6: "words of a fragment", 11: "words of a short message"
    },
    "engine/subject.py": {6: "score by which a topic leads"},
    "engine/decide.py": {3000: "characters read together"},
    "engine/closing.py": {4: "turns read together", 600: "characters kept of a turn"},
    "engine/reporting.py": {
        300: "characters kept of an addition", 1000: "characters kept of a report",
        2000: "characters kept of a report with additions",
    },
    "engine/limits.py": {
        4: "words of a bare question", 9: "innings of a full game",
        10: "a tenth, for 'nearly used up'", 28: "a day that every month has",
    },
    "engine/joining_birth.py": {
        4: "digits of a year", 6: "youngest age with a button", 18: "oldest age with a button",
        31: "days in a month", 100: "years in a century",
    },
    "engine/joining_finish.py": {31: "an invented count in an example"},
    "engine/joining_where.py": {8: "an hour", 21: "an hour", 22: "an hour"},
    "engine/joining_words.py": {512: "phrase lists remembered"},
    "engine/record_csv.py": {
        20: "problems told one by one", 40: "characters of a cell shown", 2000: "rows read",
    },
    "engine/record_rows.py": {
        72: "outs beyond any game", 200: "pitches beyond any outing; characters of a note",
    },
    "engine/settings_words.py": {
        5: "letters of a word that may hold a slip", 7: "words of the longest request",
        8: "lists remembered",
        512: "lists remembered",
    },
    "engine/overview_known.py": {5: "weeks shown"},
    "engine/overview_words.py": {40: "characters of a nickname shown"},
    "engine/admission.py": {13: "age of consent on line, its source beside it"},
    "engine/household.py": {50: "update ids kept"},
    "engine/speaking.py": {40: "messages kept; characters of a label"},
    "engine/chores.py": {24: "characters of a label"},
    "engine/standing.py": {18: "hours after which a conversation is over"},
    "desk/alerts.py": {
        14: "days of the log shown", 20: "lines shown", 900: "characters shown",
    },
    "desk/staff.py": {4: "parts of an act"},
    "engine/say.py": {4096: "a chat message's limit in UTF-16 units"},
    "engine/replies.py": {8: "words of a message that is a yes or a no"},
    "engine/leaning.py": {
        18: "oldest age a bare number may be",
        14: "words of a message that answers a question",
        5.0: "topic score that settles a topic", 1.8: "topic score that leans to one",
        9: "words up to which a correction is short",
    },
    "engine/child.py": {
        4: "youngest age a bare number may be", 22: "oldest age a bare number may be",
        15: "fewest pitches a bare number may be",
    },
    "engine/carrying.py": {200: "most pitches a bare number may be"},
    "engine/doubt.py": {
        3: "digits of a count", 10: "fewest pitches worth offering as what was meant",
    },
    "engine/exchange.py": {5: "words that ask about one more day"},
}  # fmt: skip
"""Numbers that are structure, not medicine, each with what it is; by file, "*" for all."""


def numbers_in(path: Path) -> Iterator[tuple[int, float]]:
    """(line, number) for every number written in a Python file."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if not isinstance(node, ast.Constant) or isinstance(node.value, bool):
            continue
        if isinstance(node.value, int | float):
            yield node.lineno, node.value


@pytest.mark.parametrize("folder", ["core", "engine"])
def test_the_code_holds_no_medical_figures(folder: str) -> None:
    """Every number in core and engine is one of the listed structural ones, by file."""
    found = []
    for path in sorted((ROOT / "armbot" / folder).glob("*.py")):
        name = f"{folder}/{path.name}"
        allowed = STRUCTURE["*"] | STRUCTURE.get(name, {})
        found += [f"{name}:{line}: {n}" for line, n in numbers_in(path) if n not in allowed]
    assert not found
