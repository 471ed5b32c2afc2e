"""What a family asks while its athlete is on hold: who ends it, when, what is fine meanwhile.

None of these answers grants throwing, names a day or ends a hold.
"""

from __future__ import annotations

from armbot.engine.answer import Answer, Scene
from armbot.engine.say import paragraphs, sentence
from armbot.engine.slots import Slots
from armbot.engine.standing import THROW_TOPICS, hold_meant
from armbot.engine.subject import GENERIC
from armbot.model.reports import Tier
from armbot.model.talk import Reading

_QUESTIONS = (
    ("hold_seen", ("hold_seen",)),
    ("hold_who", ("hold_who",)),
    ("hold_end", ("hold_end",)),
    ("hold_bat", ("hold_bat",)),
    ("hold_run", ("hold_run",)),
    ("hold_position", ("hold_position",)),
    ("hold_what", ("hold_bat", "hold_run")),
)
"""Act -> the phrases that answer it, the first question before the others."""
_MOST = 2
"""Answers given to one message."""
_OPEN = THROW_TOPICS | GENERIC | {"strength", "return_to_throw", "months_off"}
"""Topics beside which a question about the hold is what was meant."""


def asked_of_hold(reading: Reading) -> tuple[str, ...]:
    """The phrases that answer what the message asks about a hold; none where it tells more."""
    if reading.counts or reading.planned or "log" in reading.acts:
        return ()
    keys = [key for act, phrases in _QUESTIONS if act in reading.acts for key in phrases]
    return tuple(dict.fromkeys(keys))[:_MOST]


def hold_question(scene: Scene, slots: Slots) -> Answer | None:
    """The answer to a question about the hold, None where nothing of it is asked."""
    hold = hold_meant(scene.family, slots)
    keys = asked_of_hold(scene.reading)
    if hold is None or not keys or scene.topic not in _OPEN:
        return None
    voice = scene.voice
    urgent = hold.tier >= Tier.STOP_URGENT
    said = [voice.say("hold_run_later" if key == "hold_run" and urgent else key) for key in keys]
    return Answer(
        paragraphs(*said, sentence(voice.say("nobody_watches"))),
        sources=_explained(scene) if "hold_run" in keys else (),
        grants=False,
        why=(voice.say("why_hold", day=voice.day(hold.since.date())),),
    )


def _explained(scene: Scene) -> tuple[str, ...]:
    """The sources of the topic's own text on what a hold leaves open."""
    answer = scene.library.topics["symptom_report"].answers.get("hold_explained")
    return answer.sources[:2] if answer else ()
