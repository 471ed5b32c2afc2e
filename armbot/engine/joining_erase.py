"""Asking before everything is removed: one question, one plain yes."""

from __future__ import annotations

from dataclasses import replace

from armbot.engine.joining_form import Said, Scene, button
from armbot.engine.joining_steps import ERASE
from armbot.engine.joining_words import is_just
from armbot.model.family import Form, with_member

STEP = "sure"


def question(scene: Scene) -> Said:
    """What erasing means, and whether it is meant."""
    member = replace(scene.member, form=Form(ERASE, STEP))
    word = scene.say("erase_word")
    buttons = (
        button(STEP, "yes", scene.say("label_erase")), button(STEP, "no", scene.say("label_keep")),
    )  # fmt: skip
    text = scene.say("erase_ask", word=word)
    return Said(with_member(scene.family, member), text, buttons)


def answered(scene: Scene, kind: str, value: str) -> Said:
    """The answer to the question: the button, the word itself, or anything else for no.

    Nothing is removed here: the caller removes a record when ``act`` is "erase".
    """
    if kind not in ("", STEP) or not value:
        return question(scene)
    meant = value == "yes" if kind else is_just(scene.library, value, "erase")
    family = with_member(scene.family, replace(scene.member, form=None))
    if meant:
        return Said(family, scene.say("erased"), act="erase")
    return Said(family, scene.say("erase_kept"))
