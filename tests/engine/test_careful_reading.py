"""Invariant 3: the careful reading wins.

Two rules apply: the stricter answers, and both are named. A number is missing or
doubtful: ask, one short question, never guess. An unknown question gets "no signed
answer for that" and the clinic's contact, never an invention.
"""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from conversation import TODAY, dates_in, facts, grammar, new_family, phrase, say, weekday
from hypothesis import assume, given
from hypothesis import strategies as st
from quick import QUICK
from states import family_in

from armbot.core.ages import Who, choose_group
from armbot.core.workload import applicable_sets, eligibility
from armbot.model.outings import Outing
from armbot.model.people import AgeSpan

LEAGUES = {
    "little league": "little_league", "pony": "pony", "babe ruth": "babe_ruth",
    "baseball canada": "baseball_canada",
}  # fmt: skip
GUIDELINE = "mlb_usab"
ages, counts, backs = st.integers(7, 18), st.integers(1, 120), st.integers(0, 6)


def first_day(sets: tuple[str, ...], age: int, pitches: int, day: date) -> date:
    """The core's own answer for these rule sets: the reference for what replies say."""
    rules = grammar().library.rules
    chosen = applicable_sets(rules, sets)
    who = Who(age=AgeSpan(age, age))
    return eligibility(chosen, who, [Outing("x", day, pitches=pitches)]).first_eligible


def asked(age: int, pitches: int, day: date, league: str = "") -> str:
    """A plain question with everything in it."""
    within = f" in {league}" if league else ""
    return (
        f"he is {age} and threw {pitches} pitches{within} on {day:%B} {day.day}. "
        "when can he pitch again?"
    )


@QUICK
@given(age=ages, pitches=counts, back=backs, league=st.sampled_from(sorted(LEAGUES)))
def test_of_two_rules_the_stricter_answers(age: int, pitches: int, back: int, league: str) -> None:
    """With a league named, the date is never earlier than the guideline's or the league's."""
    day = TODAY - timedelta(days=back)
    row = facts(say(new_family(), asked(age, pitches, day, league)).turn.values)[0]
    assume(row.get("first_eligible"))
    told = date.fromisoformat(str(row["first_eligible"]))
    for sets in ((), (LEAGUES[league],)):
        assert told >= first_day(sets, age, pitches, day)


@QUICK
@given(age=ages, pitches=counts, back=backs, league=st.sampled_from(sorted(LEAGUES)))
def test_of_two_rules_both_are_named(age: int, pitches: int, back: int, league: str) -> None:
    """Where the league's day differs from the guideline's, the reply names the league."""
    day = TODAY - timedelta(days=back)
    turn = say(new_family(), asked(age, pitches, day, league)).turn
    assume(facts(turn.values)[0].get("first_eligible"))
    rules = grammar().library.rules[LEAGUES[league]]
    who = Who(age=AgeSpan(age, age))
    assume(choose_group(rules, who, day) is not None)
    assert rules.short_names["en"] in turn.reply
    assert grammar().library.sources[grammar().library.rules[GUIDELINE].source].short in turn.reply


@QUICK
@given(pitches=st.integers(20, 120), back=backs, lang=st.sampled_from(["en", "es"]))
def test_a_missing_age_is_asked_for_and_no_number_given(pitches: int, back: int, lang: str) -> None:
    """Without an age there is no rest, no date and no limit: one question about the age."""
    day = TODAY - timedelta(days=back)
    text = {
        "en": f"threw {pitches} pitches on {day:%B} {day.day}, when can he pitch again?",
        "es": f"tiró {pitches} lanzamientos el {day.day} de junio, ¿cuándo puede lanzar otra vez?",
    }[lang]
    turn = say(new_family(), text).turn
    assert turn.asks is not None, turn.reply
    assert "age" in turn.asks, turn.reply
    assert not any(row.get("rest_days") or row.get("first_eligible") for row in facts(turn.values))
    assert not dates_in(turn.reply, turn.lang), turn.reply


@QUICK
@given(age=ages, lang=st.sampled_from(["en", "es"]))
def test_a_missing_count_is_asked_for_and_no_number_given(age: int, lang: str) -> None:
    """Without a count there is no rest and no date: one question about the pitches."""
    text = (
        f"he is {age} and pitched yesterday. how many days rest does he need?"
        if lang == "en"
        else f"tiene {age} años y lanzó ayer. ¿cuántos días de descanso necesita?"
    )
    turn = say(new_family(), text).turn
    assert turn.asks is not None, turn.reply
    assert "pitches" in turn.asks, turn.reply
    assert not any(row.get("rest_days") or row.get("first_eligible") for row in facts(turn.values))
    assert not dates_in(turn.reply, turn.lang), turn.reply


@QUICK
@given(low=st.integers(7, 17), pitches=counts, back=backs)
def test_an_age_between_two_rows_answers_by_the_younger(low: int, pitches: int, back: int) -> None:
    """Told "13 or 14", never less rest than either age alone would be given."""
    day = TODAY - timedelta(days=back)
    text = f"he is {low} or {low + 1}, threw {pitches} pitches {day:%B} {day.day}. next day?"
    row = facts(say(new_family(), text).turn.values)[0]
    assume(row.get("first_eligible"))
    told = date.fromisoformat(str(row["first_eligible"]))
    assert told >= max(first_day((), age, pitches, day) for age in (low, low + 1))


def test_two_children_and_no_name_is_asked() -> None:
    """A count that could be either child's is not booked on one of them."""
    family = family_in("two athletes", "en")
    turn = say(family, "threw 40 pitches today, when can he pitch again?").turn
    assert turn.asks is not None
    assert "child" in turn.asks or "age" in turn.asks, turn.reply
    assert not facts(turn.values)[0].get("first_eligible")


DOUBTFUL = ("he is 11 and threw \u202e26\u202c pitches monday", "11 yrs, \u206652\u2069 pitches")


@pytest.mark.parametrize("text", DOUBTFUL)
def test_digits_with_hidden_marks_are_asked_again(text: str) -> None:
    """A number that may be shown in another order than it is read is not used."""
    turn = say(new_family(), text).turn
    assert phrase("en", "doubtful_digits") in turn.reply
    assert not facts(turn.values)[0].get("rest_days")


UNKNOWN = {
    "en": (
        "what is the capital of france", "which bat should we buy", "who won the game last night",
        "can you do my homework", "asdf qwer zxcv", "what's a good protein powder",
        "how do i get recruited by colleges", "best glove for a shortstop?",
        "is it going to rain saturday", "my dog ate his cleats", "how much does the clinic cost",
        "lorem ipsum amet", "tell me a joke about umpires", "what is your favorite team",
    ),
    "es": (
        "¿cuál es la capital de francia?", "¿qué bate compramos?", "¿quién ganó anoche?",
        "¿va a llover el sábado?", "cuéntame un chiste", "¿cuánto cuesta la clínica?",
        "mi perro se comió los tacos", "¿cuál es tu equipo favorito?",
    ),
}  # fmt: skip


@pytest.mark.parametrize(
    ("lang", "text"), [(lang, text) for lang, texts in UNKNOWN.items() for text in texts]
)
def test_an_unknown_question_gets_the_clinic_and_no_invention(lang: str, text: str) -> None:
    """No topic of ours: the clinic's number, and no figure, date, rest or source."""
    turn = say(new_family(), text).turn
    clinic = grammar().library.clinic
    said = turn.reply.replace(clinic.phone, "").replace(clinic.emergency_number, "")
    assert clinic.phone in turn.reply, turn.reply
    assert turn.lang == lang
    assert not re.search(r"\d", said), turn.reply
    assert not any(facts(turn.values)[0].values())


@QUICK
@given(age=ages, pitches=counts, more=st.integers(1, 40), back=backs)
def test_more_pitches_told_never_mean_an_earlier_day(
    age: int, pitches: int, more: int, back: int
) -> None:
    """Rest through the whole bot is monotone in the count."""
    day = TODAY - timedelta(days=back)
    found = []
    for count in (pitches, pitches + more):
        row = facts(say(new_family(), asked(age, count, day)).turn.values)[0]
        assume("rest_days" in row)
        found.append(row)
    fewer, many = found
    if many["rest_days"] is None:
        return  # above the table there is no band: the reply says to give more and to call
    assert fewer["rest_days"] is not None
    assert int(str(fewer["rest_days"])) <= int(str(many["rest_days"]))
    assert str(fewer["first_eligible"]) <= str(many["first_eligible"])


@QUICK
@given(
    age=ages, pitches=st.integers(1, 60), other=st.integers(1, 60), back=st.integers(1, 4),
    before=st.integers(1, 3),
)  # fmt: skip
def test_another_outing_told_never_means_an_earlier_day(
    age: int, pitches: int, other: int, back: int, before: int
) -> None:
    """A second outing in the same message can only move the first day back, never forward."""
    day = TODAY - timedelta(days=back)
    earlier = day - timedelta(days=before)
    base = say(new_family(), asked(age, pitches, day)).turn
    both = say(
        new_family(),
        f"he is {age}. threw {other} pitches on {earlier:%B} {earlier.day} and "
        f"{pitches} pitches on {day:%B} {day.day}. when can he pitch again?",
    ).turn
    one, two = (facts(turn.values)[0].get("first_eligible") for turn in (base, both))
    assume(one)
    assert two is None or str(two) >= str(one), both.reply


@QUICK
@given(age=ages, pitches=counts, back=backs)
def test_the_words_and_the_values_say_the_same(age: int, pitches: int, back: int) -> None:
    """The day in the prose is the day in the values, and the core's own day."""
    day = TODAY - timedelta(days=back)
    turn = say(new_family(), asked(age, pitches, day)).turn
    row = facts(turn.values)[0]
    assume(row.get("first_eligible"))
    told = date.fromisoformat(str(row["first_eligible"]))
    assert told == first_day((), age, pitches, day)
    month = phrase("en", "months").split(",")[told.month - 1]
    said = phrase("en", "date", weekday=weekday(told), day=told.day, month=month)
    assert said in turn.reply
