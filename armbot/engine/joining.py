"""Joining: the first contact with a chat, and the forms it answers question by question.

Every question can be answered by a button or in words of either language. What does not fit
is asked again with a hint; nothing told is lost. The caller checks every text for danger
signs before it comes here, and nothing said here lets anybody throw.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from armbot.core.zones import table_of
from armbot.engine.joining_finish import known_of
from armbot.engine.joining_flow import (
    ASIDE,
    asked,
    back,
    has_joined,
    left,
    open_form,
    pressed,
    restarted,
    taken,
    waiting,
    waits,
)
from armbot.engine.joining_form import (
    Said,
    Scene,
)
from armbot.engine.joining_steps import (
    ADD,
    JOIN,
    STEPS,
    WAITING,
)
from armbot.engine.joining_words import is_just, spoken_in
from armbot.model.family import Family, Form, JoinCode, Member, Role, with_member
from armbot.model.library import Library

__all__ = ["Said", "begin", "step"]

_FIRST_STEPS = ("consent", "role")
_FIRST_WORDS = ("agree", "no", "hello", "guardian", "athlete")
"""Steps at which the language of an answer is looked at, and the meanings it is known by."""


def begin(  # noqa: PLR0913 - what a first contact brings along
    family: Family,
    chat: int,
    lang: str,
    at: datetime,
    library: Library,
    code: JoinCode | None,
    zones: Sequence[str] = (),
) -> Said:
    """The first contact of a chat with the family, or one more.

    ``lang`` is the language of the device ("es-MX"), ``at`` the aware time, ``code`` an
    invitation found good by codes.use: it is used up here. A form under way goes on, an
    unfinished one begins where it stopped, and whoever has joined is just greeted.
    """
    member = family.member(chat) or Member(chat, lang=lang)
    scene = _scene(family, member, library, at, zones)
    if code is not None:
        return _invited(scene, code)
    if waits(scene):
        return waiting(scene)
    if member.form is not None and member.form.name == JOIN:
        return asked(scene)
    return _from_the_start(scene)


def _from_the_start(scene: Scene) -> Said:
    """The first question that is still open; a greeting for whoever has joined."""
    if has_joined(scene):
        # Whatever else was open in this chat is left.
        family = with_member(scene.family, replace(scene.member, form=None))
        return Said(family, scene.say("welcome_back"))
    return open_form(scene, JOIN, *known_of(scene.family, scene.member).items())


def step(  # noqa: PLR0911, PLR0913 - the order in which a text is looked at, one return each
    family: Family,
    member: Member,
    text: str,
    library: Library,
    now: datetime,
    zones: Sequence[str],
) -> Said:
    """One answer of the form that ``member`` is in, typed or as a button's act.

    An act is "form:<step>:<value>"; that of another step than the present one changes
    nothing. ``now`` is aware; ``zones`` are the names of all time zones, best as a table of
    armbot.core.zones. Never raises for any text.
    """
    text = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    scene = _scene(family, member, library, now, zones)
    kind, value = _act(text)
    if kind == "start":
        return _started(scene, value)
    if member.form is None:
        return Said(scene.family, scene.say("button_stale"))
    language = value if kind == "lang" else _language_asked(scene, text)
    if language in library.languages and scene.form.name not in ASIDE:
        return _turned(scene, language)
    if scene.form.step == WAITING:
        return waiting(scene) if waits(scene) else restarted(scene)
    if scene.form.name in ASIDE:
        return ASIDE[scene.form.name](scene, kind, value or text)
    if kind:
        return pressed(scene, kind, value)
    if is_just(library, text, "stop"):
        return left(scene)
    if is_just(library, text, "back"):
        return back(scene)
    scene = _in_own_words(scene, text)
    return taken(scene, STEPS[scene.form.step].hear(scene, text))


def _in_own_words(scene: Scene, text: str) -> Scene:
    """The scene in the language in which somebody new answers, before one was chosen."""
    member = scene.member
    if member.lang_chosen or scene.form.step not in _FIRST_STEPS:
        return scene
    spoken = spoken_in(scene.library, text, _FIRST_WORDS)
    if len(spoken) != 1 or member.lang in spoken:
        return scene
    member = replace(member, lang=spoken.pop())
    return replace(scene, member=member, family=with_member(scene.family, member))


def _act(text: str) -> tuple[str, str]:
    """The step and the value of a button's act; two empty texts for typed words."""
    if not text.startswith("form:"):
        return "", ""
    kind, _, value = text.removeprefix("form:").partition(":")
    return kind or "?", value


def _scene(
    family: Family, member: Member, library: Library, now: datetime, zones: Sequence[str]
) -> Scene:
    member = replace(member, lang=_language(member.lang, library))
    form = member.form or Form(JOIN, "")
    return Scene(with_member(family, member), member, form, library, now, table_of(zones))


def _language(lang: str, library: Library) -> str:
    """The language of a device, as far as the bot speaks it."""
    short = lang.lower()[:2]
    return short if short in library.languages else library.languages[0]


def _language_asked(scene: Scene, text: str) -> str:
    """The language that a text asks for; "" where it asks for none."""
    found = [x for x in scene.library.languages if is_just(scene.library, text, f"lang_{x}")]
    return found[0] if len(found) == 1 else ""


def _turned(scene: Scene, lang: str) -> Said:
    member = replace(scene.member, lang=lang, lang_chosen=True)
    scene = replace(scene, member=member, family=with_member(scene.family, member))
    return waiting(scene) if waits(scene) else asked(scene)


def _invited(scene: Scene, code: JoinCode) -> Said:
    """Joining by a code: the role is known, and the family's facts are there already."""
    codes = tuple(c for c in scene.family.codes if c.digest != code.digest)
    member = replace(scene.member, role=code.role, athlete=code.athlete)
    family = with_member(replace(scene.family, codes=codes), member)
    answers = [("role", code.role.value)]
    grown = code.role is Role.GUARDIAN and any(a.name for a in family.athletes)
    if code.athlete or grown:
        answers.append(("invited", "yes"))
    if member.consent is not None:
        answers.append(("consent", member.consent.version))
    return open_form(replace(scene, family=family, member=member), JOIN, *answers)


def _started(scene: Scene, name: str) -> Said:
    """A form begun by a button: joining, or one more athlete."""
    if waits(scene):
        return waiting(scene)
    if scene.member.form is not None:
        return asked(scene, scene.say("form_stale"))
    if name == ADD and scene.member.consent and scene.member.role is Role.GUARDIAN:
        return open_form(scene, ADD)
    if name == JOIN:
        return _from_the_start(scene)
    return Said(scene.family, scene.say("button_stale"))
