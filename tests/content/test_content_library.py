"""Loading the content base into a Library."""

from __future__ import annotations

import shutil
import time
from typing import TYPE_CHECKING

import pytest
import yaml
from content_support import BROKEN, SHIPPED, SOUND, edit, overlaid, sound_copy

from armbot.content import strict
from armbot.content.library import load_library
from armbot.content.paths import content_folder
from armbot.content.strict import ContentError, parse
from armbot.model.reports import Tier
from armbot.model.topics import TopicKind

if TYPE_CHECKING:
    from pathlib import Path


def test_topics_hold_their_texts_in_every_language() -> None:
    """A topic carries kind, links, figures by language, and what each answer says."""
    topics = load_library(SOUND).topics
    assert list(topics) == ["icing", "resting"]
    icing, resting = topics["icing"], topics["resting"]
    assert icing.titles == {"en": "Ice", "es": "Hielo"}
    assert icing.figures["ice_minutes"].values == {"en": "15", "es": "15"}
    assert icing.figures["ice_minutes"].cite.source == "common-practice"
    assert resting.kind is TopicKind.COMPUTED
    assert resting.related == ("icing",)
    default, night = resting.answers["default"], resting.answers["night"]
    assert (default.asks, default.hold_safe) == ("age", True)
    assert (night.asks, night.hold_safe) == ("", False)
    assert night.sources == ("league-2027", "common-practice")
    assert default.texts["es"].question == "¿Qué edad tiene?"
    assert night.texts["en"].long == ""
    assert night.texts["en"].examples == ("does a late night start change it", "night game rest")


def test_a_figure_may_print_differently_in_a_language(tmp_path: Path) -> None:
    """value_es overrides value in Spanish alone."""
    folder = sound_copy(tmp_path)
    edit(folder, "topics/icing/topic.yaml", 'value: "15"', 'value: "15"\n    value_es: "quince"')
    values = load_library(folder).topics["icing"].figures["ice_minutes"].values
    assert values == {"en": "15", "es": "quince"}


def test_word_lists_of_the_languages_are_joined() -> None:
    """Classes named alike become one; patterns carry the kind of list they are from."""
    words = load_library(SOUND).words
    assert words.classes["elbow"] == ("elbow", "elbows", "inner elbow", "codo")
    assert words.patterns["sign:pain"] == ("@limb .. hurt*", "duele .. @limb")
    assert words.patterns["context:trauma"] == ("fell/fall", "cayo")
    assert words.patterns["intent:icing|strong"] == ("ice/icing", "hielo")
    assert words.spelling == {"agen": "again", "kodo": "codo"}


def test_phrases_and_everyday_words_stay_apart(tmp_path: Path) -> None:
    """What tells languages apart, and what the bot says, is kept by language."""
    folder = sound_copy(tmp_path)
    (folder / "words" / "es" / "common.yaml").write_text("[el, la]\n", encoding="utf-8")
    library = load_library(folder)
    assert library.phrase("es", "greet") == "Hola {name}."
    assert library.words.common == {"en": frozenset(), "es": frozenset({"el", "la"})}


def test_lists_and_tables_are_named_after_their_file(tmp_path: Path) -> None:
    """Lists of calendar, numbers and quantities join; a mapping becomes a table."""
    folder = sound_copy(tmp_path)
    for language, text in (
        ("en", "units: {one: '1', no: '0'}\njoiners: [and]\n"),
        ("es", "units: {uno: '1'}\njoiners: [y]\n"),
    ):
        (folder / "words" / language / "numbers.yaml").write_text(text, encoding="utf-8")
    words = load_library(folder).words
    assert words.tables["numbers.units"] == {"one": "1", "no": "0", "uno": "1"}
    assert words.lists["numbers.joiners"] == ("and", "y")


def test_symptoms_are_read_in_order() -> None:
    """Tier rules keep their order; a report example knows its tier, sign and language."""
    library = load_library(SOUND, for_learning=True)
    assert [rule.id for rule in library.tier_rules] == ["swollen-after-a-blow", "pain"]
    first = library.tier_rules[0]
    assert (first.tier, first.needs) == (Tier.STOP_URGENT, (frozenset({"trauma"}),))
    assert library.public_signs == {"pain": "pain", "swelling": "swelling"}
    example = library.report_examples[0]
    assert (example.text, example.tier, example.sign, example.lang) == (
        "elbow hurts",
        "stop",
        "pain",
        "en",
    )


def test_a_sign_may_have_no_public_name(tmp_path: Path) -> None:
    """A tilde stands for no name."""
    folder = sound_copy(tmp_path)
    edit(folder, "symptoms/signs.yaml", "swelling: swelling", "swelling: ~")
    assert load_library(folder).public_signs["swelling"] == ""


def test_signable_items_come_with_the_library() -> None:
    """Every item is there with its digest."""
    items = load_library(SOUND).items
    assert {"topics/icing", "rules/league", "symptoms", "season", "pitch_types"} <= items.keys()
    assert {"words/en/phrases", "words/es/phrases"} <= items.keys()


SHAPE = (
    *("unknown_key", "doubled_key", "not_yaml", "missing_key", "empty_text", "text_for_list"),
    *("wrong_folder", "unknown_kind", "unknown_source", "common_practice_seen"),
    *("answer_missing", "question_without_asks", "misnamed_words_file", "languages_disagree"),
    *("contract_wants_more", "unknown_tier", "signed_nothing", "clinic_phone"),
)
"""The broken folders whose mistake is one of shape or origin."""


@pytest.mark.parametrize("name", SHAPE)
def test_loading_stops_at_a_mistake_of_shape(name: str, tmp_path: Path) -> None:
    """Content that cannot be trusted is not loaded: the first mistake is raised."""
    with pytest.raises(ContentError) as caught:
        load_library(overlaid(name, tmp_path))
    expected = strict.load(BROKEN / name / "expected.yaml").mapping()["errors"].items()[0]
    assert caught.value.path.as_posix().endswith(expected.mapping()["file"].text())
    assert expected.mapping()["words"].text() in str(caught.value)


@pytest.mark.parametrize("file", ["topics/icing/es.yaml", "sources.yaml", "contract.yaml"])
def test_a_missing_file_is_named(file: str, tmp_path: Path) -> None:
    """A file that is not there is an error like any other, with its path."""
    folder = sound_copy(tmp_path)
    (folder / file).unlink()
    with pytest.raises(ContentError, match="cannot be read") as caught:
        load_library(folder)
    assert caught.value.path == folder / file


def test_both_parsers_read_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where PyYAML has no C parser, everything reads the same: text stays text."""
    text = 'a: no\nb: ~\nc: ""\nd: "~"\ne: [1:30, 2027-04-03]\nf: >-\n  long\n  text\n'
    fast = parse(text, SOUND)
    monkeypatch.setattr(strict, "_LOADER", yaml.SafeLoader)
    assert parse(text, SOUND) == fast
    found = fast.mapping()
    assert found["a"].text() == "no"
    assert found["b"].empty
    assert not found["d"].empty
    assert found["e"].words() == ("1:30", "2027-04-03")


def test_the_content_folder_is_found(tmp_path: Path) -> None:
    """An installed package carries its content; in the repository it lies beside it."""
    package = tmp_path / "armbot"
    package.mkdir()
    with pytest.raises(ContentError, match=r"no content base here.*install armbot anew"):
        content_folder(package)
    shutil.copytree(SOUND, tmp_path / "content")
    assert content_folder(package) == tmp_path / "content"
    shutil.copytree(SOUND, package / "shipped")
    assert content_folder(package) == package / "shipped"


def test_the_shipped_content_is_the_default() -> None:
    """Without a folder the package's own content is read."""
    assert load_library().items.keys() == load_library(SHIPPED).items.keys()


def test_the_shipped_content_loads_fast() -> None:
    """A start costs under a second of processor time (C parser), also on a busy machine."""
    best = min(_seconds() for _ in range(3))
    assert best < (1.0 if hasattr(yaml, "CSafeLoader") else 10)


def _seconds() -> float:
    start = time.thread_time()
    load_library(SHIPPED)
    return time.thread_time() - start


def test_every_topic_answers_in_both_languages() -> None:
    """Each shipped answer has a text and examples in English and in Spanish."""
    library = load_library(SHIPPED)
    for topic in library.topics.values():
        assert topic.titles.keys() == set(library.languages)
        for answer in topic.answers.values():
            for language in library.languages:
                assert answer.texts[language].short
                assert answer.texts[language].examples
