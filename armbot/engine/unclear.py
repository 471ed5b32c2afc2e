"""Numbers that no answer may rest on: hidden, another athlete's, too high, or of no kind."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from armbot.engine.answer import Answer, Scene
from armbot.engine.child import NUMBER_TOPICS
from armbot.engine.doubt import doubt_answer
from armbot.engine.rest import rest_answer
from armbot.engine.say import paragraphs, sentence
from armbot.engine.slots import Slots


def not_plain(scene: Scene, slots: Slots, computed: Collection[str]) -> Answer | None:
    """What must be said where a number is hidden, another athlete's, too high or unclear.

    ``computed`` are the topics that have a computed answer.
    """
    if scene.reading.doubtful:
        return Answer(f"**{scene.voice.say('doubtful_digits')}**", asks="pitches", grants=False)
    if scene.reading.of_others and scene.topic in (*NUMBER_TOPICS, *computed):
        return _beside_anothers(scene, slots)
    if slots.doubted is not None:
        return doubt_answer(scene, slots.doubted)
    return None if slots.number_unclear is None else _number(scene, slots.number_unclear)


def _beside_anothers(scene: Scene, slots: Slots) -> Answer:
    """What our own log says; of another athlete's outing only that it is not in there."""
    voice = scene.voice
    not_ours = voice.say("others_outing")
    if scene.reading.ask_days or "?" in scene.reading.text:
        answer = rest_answer(scene, slots)
        return replace(answer, text=paragraphs(not_ours, answer.text))
    text = sentence(f"**{not_ours}**", voice.say("others_ask"))
    return Answer(text, asks="pitches; date", grants=False)


def _number(scene: Scene, number: int) -> Answer:
    return Answer(
        f"**{scene.voice.say('need_number', n=number)}**",
        asks="what the number means; age; date",
        grants=False,
        topic="unknown",
        choices=(
            f"{number} {scene.voice.say('kind_game')}",
            scene.voice.say("age_years", n=number),
        ),
    )
