"""Reads content/topics/<id>/{topic,en,es}.yaml into topics.

topic.yaml holds what is the same in every language (figures with their origins, the
answers and their sources); one file beside it per language holds the words.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from armbot.content.problems import Problems
from armbot.content.sources import LANGUAGES, choice, read_cite
from armbot.content.strict import ContentError, Node, load
from armbot.model.topics import AnswerText, ProseFigure, Topic, TopicAnswer, TopicKind

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from armbot.model.cite import Source

PARTS = ("short", "long", "do_now", "call_when", "question")
"""The texts an answer may have, in the order they are said."""
CLINIC_PLACEHOLDERS = ("clinic_phone", "emergency_number")
"""Filled in from clinic.yaml; every text may use them."""
DEFAULT = "default"
"""The answer every topic has: the general one."""
_CITE_KEYS = ("source", "section", "in_force", "seen")
_VALUES = tuple(f"value_{language}" for language in LANGUAGES)


@dataclass(frozen=True, slots=True)
class TopicFiles:
    """A topic and the places it was read from; ``texts`` by language.

    ``whole`` is false where mistakes kept a part of it from being read.
    """

    topic: Topic
    head: Node
    texts: Mapping[str, Node]
    whole: bool

    def place(self, language: str, answer: str = "", part: str = "") -> Node:
        """Where an answer or one part of it is written, or the nearest place there is."""
        return _walk(self.texts[language], ("answers", answer, part))

    def title_place(self, language: str) -> Node:
        """Where the title is written, or the nearest place there is."""
        return _walk(self.texts[language], ("title",))

    def head_place(self, *keys: str) -> Node:
        """A place in topic.yaml, or the nearest place there is."""
        return _walk(self.head, keys)


def _walk(node: Node, keys: tuple[str, ...]) -> Node:
    for key in keys:
        if isinstance(node.value, dict) and key in node.value:
            node = node.value[key]
    return node


def load_topics(folder: Path, sources: Mapping[str, Source]) -> dict[str, Topic]:
    """Read every topic under ``folder``: id to topic, in order of id.

    Raises ContentError (file, line, problem, remedy) for the first mistake in shape or
    origin: a missing file, an unknown key, a source the register does not hold, answers
    that differ between the languages.
    """
    return {name: files.topic for name, files in read_topics(folder, sources, Problems()).items()}


def read_topics(
    folder: Path, sources: Mapping[str, Source], problems: Problems
) -> dict[str, TopicFiles]:
    """Read every topic with the places of its texts; mistakes go to ``problems``."""
    found: dict[str, TopicFiles] = {}
    for path in sorted(folder.glob("*/")):
        with problems.here():
            found[path.name] = _topic(path, sources, problems)
    if not found:
        problems.add(ContentError(folder, 1, "no topic found", "add <id>/topic.yaml"))
    return found


def _topic(folder: Path, sources: Mapping[str, Source], problems: Problems) -> TopicFiles:
    before = len(problems.found)
    head = load(folder / "topic.yaml")
    top = head.mapping(required=("id", "kind", "related", "answers"), optional=("figures",))
    texts = {language: load(folder / f"{language}.yaml") for language in LANGUAGES}
    titles: dict[str, str] = {}
    for language, node in texts.items():
        with problems.here():
            titles[language] = node.mapping(("title", "answers"), ())["title"].text()
    topic = Topic(
        id=_id(top["id"], folder),
        kind=choice(top["kind"], TopicKind),
        titles=titles,
        related=_related(top["related"]),
        figures=_figures(top["figures"], sources, problems) if "figures" in top else {},
        answers=_answers(top["answers"], texts, sources, problems),
    )
    return TopicFiles(topic, head, texts, whole=len(problems.found) == before)


def _id(node: Node, folder: Path) -> str:
    name = node.text()
    if name != folder.name:
        raise node.fail(
            f"the id '{name}' differs from its folder '{folder.name}'", "give both the same name"
        )
    return name


def _related(node: Node) -> tuple[str, ...]:
    names = node.words()
    if not 1 <= len(names) <= 4 or len(set(names)) != len(names):
        raise node.fail("one to four different related topics are expected", "correct the list")
    return names


def _figures(
    node: Node, sources: Mapping[str, Source], problems: Problems
) -> dict[str, ProseFigure]:
    found: dict[str, ProseFigure] = {}
    for name, figure in node.mapping().items():
        with problems.here():
            if name in CLINIC_PLACEHOLDERS:
                raise figure.fail(f"'{name}' is the clinic's own", "rename the figure")
            found[name] = _figure(figure, sources)
    return found


def _figure(node: Node, sources: Mapping[str, Source]) -> ProseFigure:
    fields = node.mapping(required=("value", *_CITE_KEYS), optional=_VALUES)
    value = fields["value"].text()
    own = {
        language: fields[key].text() if key in fields else value
        for language, key in zip(LANGUAGES, _VALUES, strict=True)
    }
    origin = Node({key: fields[key] for key in _CITE_KEYS}, node.path, node.line)
    return ProseFigure(values=own, cite=read_cite(origin, sources))


def _answers(
    node: Node, texts: Mapping[str, Node], sources: Mapping[str, Source], problems: Problems
) -> dict[str, TopicAnswer]:
    heads = node.mapping(required=(DEFAULT,))
    written: dict[str, dict[str, Node]] = {}
    for language, root in texts.items():
        with problems.here():
            place = root.mapping(required=("answers",))["answers"]
            written[language] = place.mapping()
            _same_ids(heads, written[language], place, problems)
    found: dict[str, TopicAnswer] = {}
    for name, head in heads.items():
        with problems.here():
            here = {lang: answers[name] for lang, answers in written.items() if name in answers}
            found[name] = _answer(name, head, here, sources, problems)
    return found


def _same_ids(
    heads: Mapping[str, Node], written: Mapping[str, Node], place: Node, problems: Problems
) -> None:
    for name in heads:
        if name not in written:
            problems.add(
                place.fail(f"the answer '{name}' is missing", "write it, as topic.yaml names it")
            )
    for name, node in written.items():
        if name not in heads:
            problems.add(
                node.fail(f"topic.yaml has no answer '{name}'", "add it there, or correct the name")
            )


def _answer(
    name: str,
    head: Node,
    written: Mapping[str, Node],
    sources: Mapping[str, Source],
    problems: Problems,
) -> TopicAnswer:
    fields = head.mapping(required=("sources",), optional=("asks", "hold_safe"))
    asks = fields["asks"].text() if "asks" in fields else ""
    texts: dict[str, AnswerText] = {}
    for language, node in written.items():
        with problems.here():
            texts[language] = _text(node, asks=asks)
    return TopicAnswer(
        id=name,
        sources=_sources(fields["sources"], sources),
        asks=asks,
        hold_safe=fields["hold_safe"].boolean() if "hold_safe" in fields else True,
        texts=texts,
    )


def _sources(node: Node, sources: Mapping[str, Source]) -> tuple[str, ...]:
    keys = node.words()
    if not 1 <= len(keys) <= 3:
        raise node.fail(f"{len(keys)} sources", "name one to three")
    for item in node:
        if item.text() not in sources:
            raise item.fail(
                f"no source '{item.text()}' in the register",
                "add it to sources.yaml, or correct the key",
            )
    return keys


def _text(node: Node, *, asks: str) -> AnswerText:
    fields = node.mapping(required=("short", "examples"), optional=PARTS)
    if bool(asks) != ("question" in fields):
        raise node.fail(
            f"a question goes with 'asks' in topic.yaml (there: '{asks or 'nothing'}')",
            "write both, or neither",
        )
    said = {part: fields[part].text() for part in PARTS if part in fields}
    return AnswerText(examples=fields["examples"].words(), **said)
