"""Topic answers out of the content base, with their figures filled in and marked."""

from __future__ import annotations

from collections.abc import Mapping

from armbot.engine.answer import Answer, Scene
from armbot.engine.say import paragraphs
from armbot.model.cite import Seen
from armbot.model.topics import AnswerText, Topic, TopicAnswer


def fill(scene: Scene, topic: Topic, text: str) -> str:
    """``text`` with figures and clinic details; a figure from memory carries a star."""
    clinic = scene.library.clinic
    values: dict[str, str] = {
        "clinic_phone": clinic.phone,
        "emergency_number": clinic.emergency_number,
    }
    for name, figure in topic.figures.items():
        mark = "*" if figure.cite.seen is Seen.MEMORY else ""
        values[name] = figure.values.get(scene.voice.lang, figure.values["en"]) + mark
    return text.format_map(_Known(values))


class _Known(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return "{" + key + "}"


def topic_answer(scene: Scene, topic_id: str, answer_id: str, *, long: bool = False) -> Answer:
    """The prose answer ``answer_id`` of a topic, "default" where it has none of that name."""
    topic = scene.library.topics[topic_id]
    answer = topic.answers.get(answer_id) or topic.answers["default"]
    texts: Mapping[str, AnswerText] = answer.texts
    text = texts[scene.voice.lang]
    default = topic.answers["default"].texts[scene.voice.lang]
    parts = [_bold_first(text.short)]
    if long:
        parts.append(text.long or default.long)
    parts.append(text.do_now or (default.do_now if long or answer.id == "default" else ""))
    parts.append(text.call_when or (default.call_when if long or answer.id == "default" else ""))
    known_age = answer.asks == "age" and scene.age_known
    parts.append("" if known_age else text.question)
    body = fill(scene, topic, paragraphs(*parts))
    if topic_id == "unknown" and scene.library.clinic.phone not in body:
        body = paragraphs(body, scene.voice.say("clinic_helps"))
    if "*" in body.replace("**", ""):
        body = paragraphs(body, scene.voice.say("from_memory"))
    return Answer(
        body,
        asks="" if known_age else answer.asks,
        sources=_shown(answer),
        grants=not answer.hold_safe,
        why=tuple(
            scene.voice.say("why_text", item=f"{topic_id}/{answer.id}", source=_short(scene, key))
            for key in answer.sources
        ),
    )


def _short(scene: Scene, key: str) -> str:
    source = scene.library.sources.get(key)
    return source.short if source else key


def _shown(answer: TopicAnswer) -> tuple[str, ...]:
    return answer.sources[:2]


def _bold_first(text: str) -> str:
    """The first sentence in bold: the line that can be acted on alone."""
    head, mark, rest = text.partition(". ")
    return f"**{head}.** {rest}" if mark else f"**{text}**"
