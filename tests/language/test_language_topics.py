"""What a message asks, which language it is in, and the phrase patterns underneath."""

from __future__ import annotations

import pytest
from conversation import grammar
from reading_support import hits, reading, tokens

from armbot.language.patterns import Lexicon, PatternError

TOPICS = {
    "how many days rest after 40 pitches at 11": "rest_days",
    "he is 12 and threw 40 monday, can he pitch saturday?": "can_pitch_date",
    "what is the daily pitch limit for a 10 year old": "daily_limit",
    "when can he throw a curveball": "pitch_type_age",
    "log 40 pitches today": "log_outing",
    "how many pitches has he thrown this season": "season_total",
    "can he pitch in both games of a doubleheader": "same_day",
    "should i ice his elbow after games": "ice_heat",
    "how many months off should he take each year": "months_off",
    "does he need an mri": "imaging",
    "what is little league elbow": "ll_elbow",
    "how long is recovery from tommy john surgery": "ucl_surgery",
    "are weighted balls safe for a 12 year old": "weighted_balls",
    "can my pitcher also play catcher": "catcher_rule",
    "how should he warm up": "warm_up",
    "is long toss good for him": "long_toss",
    "¿cuántos días de descanso con 40 lanzamientos a los 11?": "rest_days",
    "¿cuál es el límite diario a los 10 años?": "daily_limit",
    "¿a qué edad puede tirar curva?": "pitch_type_age",
    "apunta 40 lanzamientos de hoy": "log_outing",
    "¿le pongo hielo después del juego?": "ice_heat",
    "¿necesita una resonancia?": "imaging",
    "¿qué es el codo de pequeñas ligas?": "ll_elbow",
}  # fmt: skip


@pytest.mark.parametrize(("text", "topic"), TOPICS.items())
def test_a_plain_question_finds_its_topic(text: str, topic: str) -> None:
    """The plainest way to ask for each thing is understood."""
    assert reading(text).topic == topic


LANGUAGES = {
    "he threw 40 pitches": "en", "lanzó 40 pitcheos ayer": "es", "can he pitch": "en",
    "le duele el codo": "es", "when can he throw again": "en", "¿cuándo puede lanzar?": "es",
}  # fmt: skip


@pytest.mark.parametrize(("text", "lang"), LANGUAGES.items())
def test_the_language_of_a_message(text: str, lang: str) -> None:
    """The words decide."""
    assert reading(text).lang == lang


@pytest.mark.parametrize("text", ["ok", "12", "40", "?", "no", "slider", "62 pitches"])
@pytest.mark.parametrize("kept", ["en", "es"])
def test_too_few_words_keep_the_familys_language(text: str, kept: str) -> None:
    """A message that could be either leaves the family's own language."""
    assert reading(text, kept).lang == kept


def test_a_plain_change_of_language_is_followed() -> None:
    """A whole sentence in the other language is answered in it."""
    text = "mi hijo lanzó cuarenta lanzamientos el martes, ¿cuándo puede lanzar?"
    assert reading(text, "en").lang == "es"


def test_nicknames_are_found_with_and_without_possessive() -> None:
    """Kai, "Kai's" and "kais" are Kai; "kayak" is not."""
    for text in ("Kai threw 40", "kai threw 40", "Kai's arm", "kais arm"):
        assert reading(text, names=("Kai",)).names == ("Kai",), text
    assert reading("kayak", names=("Kai",)).names == ()


@pytest.mark.parametrize("name", ["José", "Ana María", "O'Neil", "de la Cruz"])
def test_a_nickname_of_any_spelling_is_found(name: str) -> None:
    """Accents, spaces and apostrophes in a nickname do not hide it."""
    assert reading(f"{name} threw 40 pitches", names=(name,)).names == (name,)


def lexicon(*patterns: str) -> Lexicon:
    """A lexicon with two small classes and these patterns."""
    made = Lexicon({"arm": ["elbow", "upper arm"], "hurt": ["hurt*", "sore"]})
    made.add("test", patterns)
    return made


PATTERNS = (
    ("elbow", "his elbow", True), ("elbow", "elbows", False), ("tingl*", "tingling", True),
    ("hurt/sore", "so sore", True), ("@arm @hurt", "upper arm hurting", True),
    ("@arm .. @hurt", "elbow is really kind of sore", True),
    ("@arm .. @hurt", "elbow. he is sore", False),
    ("@arm .. @hurt", "elbow a b c d e f sore", False),
    ("@arm ... @hurt", "elbow a b c d e f sore", True),
    ("a ?really sore", "a sore", True), ("a ?really sore", "a really sore", True),
    ("pop!", "pop", True), ("pop!", "pop fly", False), ("x y | p q", "p q", True),
    ("<number> pitches", "40 pitches", True),
)  # fmt: skip


@pytest.mark.parametrize(("pattern", "text", "found"), PATTERNS)
def test_what_a_pattern_matches(pattern: str, text: str, found: bool) -> None:  # noqa: FBT001
    """Each element of the pattern language does what DEVELOPERS.md says of it."""
    made = lexicon(pattern)
    seen = tokens(text)
    assert bool(made.match(seen, made.spans(seen))) is found


@pytest.mark.parametrize("pattern", [".. elbow", "elbow ..", "@nobody", "a//b", " "])
def test_a_pattern_that_cannot_be_read_is_refused(pattern: str) -> None:
    """A mistake in a pattern is an error that names the pattern, not a silent miss."""
    with pytest.raises(PatternError) as told:
        lexicon(pattern)
    assert pattern.strip().split(" ")[-1] in str(told.value) or "''" in str(told.value)


def test_a_class_inside_itself_is_refused() -> None:
    """A class may name another class, never itself, directly or around a corner."""
    with pytest.raises(PatternError):
        Lexicon({"a": ["@b"], "b": ["@a"]})


def test_the_longest_name_wins() -> None:
    """Each alias names its rule set: a longer name hides a shorter one inside it."""
    for rules in grammar().library.rules.values():
        for aliases in rules.aliases.values():
            for alias in aliases:
                named = reading(f"we play {alias} rules").rules_named
                assert rules.id in named, (rules.id, alias, named)


def test_every_hit_is_where_it_says() -> None:
    """A hit's place covers the words its pattern is about."""
    text = "his elbow hurts when he throws"
    words = [token.word for token in tokens(text)]
    found = {" ".join(words[hit.start : hit.end]) for hit in hits(text, "sign:pain")}
    assert "hurts" in found
