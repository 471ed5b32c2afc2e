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
from armbot.engine import joining_erase, joining_planned
from armbot.engine.joining_finish import agreed, committed, finished, known_of
from armbot.engine.joining_form import (
    Heard,
    Question,
    Said,
    Scene,
    with_answers,
    without_answers,
)
from armbot.engine.joining_steps import (
    ADD,
    DEPENDS,
    ERASE,
    JOIN,
    PLANNED,
    STEPS,
    WAITING,
    is_young,
    language_button,
    next_step,
    step_before,
)
from armbot.engine.joining_where import zone_words
from armbot.engine.joining_words import is_just, spoken_in
from armbot.engine.say import fit, paragraphs, sentence
from armbot.model.family import Family, Form, JoinCode, Member, Role, with_member
from armbot.model.library import Library
from armbot.model.outbox import Button

__all__ = ["Said", "begin", "open_form", "step"]

_FIRST_STEPS = ("consent", "role")
_FIRST_WORDS = ("agree", "no", "hello", "guardian", "athlete")
"""Steps at which the language of an answer is looked at, and the meanings it is known by."""
_ASIDE = {ERASE: joining_erase.answered, PLANNED: joining_planned.answered}
"""Forms that are no row of questions: they ask one thing and act on it."""


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
    member = family.member(chat) or Member(chat, lang=_language(lang, library))
    scene = _scene(with_member(family, member), member, library, at, zones)
    if code is not None:
        return _invited(scene, code)
    if _waits(scene):
        return _waiting(scene)
    if member.form is not None and member.form.name == JOIN:
        return _asked(scene)
    answers = known_of(family, member)
    scene = replace(scene, form=with_answers(Form(JOIN, ""), answers.items()))
    if _has_joined(scene):
        # Whatever else was open in this chat is left.
        family = with_member(scene.family, replace(scene.member, form=None))
        return Said(family, scene.say("welcome_back"))
    return _on(scene)


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
    scene = _scene(with_member(family, member), member, library, now, zones)
    kind, value = _act(text)
    if kind == "start":
        return _started(scene, value)
    if member.form is None:
        return Said(scene.family, scene.say("button_stale"))
    language = value if kind == "lang" else _language_asked(scene, text)
    if language in library.languages and scene.form.name not in _ASIDE:
        return _turned(scene, language)
    if scene.form.step == WAITING:
        return _waiting(scene) if _waits(scene) else _restarted(scene)
    if scene.form.name in _ASIDE:
        return _ASIDE[scene.form.name](scene, kind, value or text)
    if kind:
        return _pressed(scene, kind, value)
    if is_just(library, text, "stop"):
        return _left(scene)
    if is_just(library, text, "back"):
        return _back(scene)
    scene = _in_own_words(scene, text)
    return _heard(scene, STEPS[scene.form.step].hear(scene, text))


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


def open_form(scene: Scene, name: str, *answers: tuple[str, str]) -> Said:
    """A form of that name begun, with what is already known."""
    return _on(replace(scene, form=with_answers(Form(name, ""), answers)))


def _act(text: str) -> tuple[str, str]:
    """The step and the value of a button's act; two empty texts for typed words."""
    if not text.startswith("form:"):
        return "", ""
    kind, _, value = text.removeprefix("form:").partition(":")
    return kind or "?", value


def _scene(
    family: Family, member: Member, library: Library, now: datetime, zones: Sequence[str]
) -> Scene:
    form = member.form or Form(JOIN, "")
    return Scene(family, member, form, library, now, table_of(zones))


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
    return _waiting(scene) if _waits(scene) else _asked(scene)


def _has_joined(scene: Scene) -> bool:
    """Whether the member has agreed and nothing that is needed is left to ask."""
    member = scene.member
    if member.consent is None or member.role is Role.UNKNOWN:
        return False
    if member.role is Role.ATHLETE:
        athlete = scene.family.athlete(member.athlete)
        return athlete is not None and athlete.birth is not None
    return any(a.name for a in scene.family.athletes)


def _invited(scene: Scene, code: JoinCode) -> Said:
    """Joining by a code: the role is known, and the family's facts are there already."""
    codes = tuple(c for c in scene.family.codes if c.digest != code.digest)
    member = replace(scene.member, role=code.role, athlete=code.athlete)
    family = with_member(replace(scene.family, codes=codes), member)
    answers = [("role", code.role.value)]
    if code.athlete or any(a.name for a in family.athletes):
        answers.append(("invited", "yes"))
    if member.consent is not None:
        answers.append(("consent", member.consent.version))
    return open_form(replace(scene, family=family, member=member), JOIN, *answers)


def _started(scene: Scene, name: str) -> Said:
    """A form begun by a button: joining, or one more athlete."""
    if _waits(scene):
        return _waiting(scene)
    if scene.member.form is not None:
        return _asked(scene, scene.say("form_stale"))
    if name == ADD and scene.member.consent and scene.member.role is Role.GUARDIAN:
        return open_form(scene, ADD)
    if name == JOIN:
        answers = known_of(scene.family, scene.member)
        return open_form(scene, JOIN, *answers.items())
    return Said(scene.family, scene.say("button_stale"))


def _pressed(scene: Scene, kind: str, value: str) -> Said:
    if kind != scene.form.step:
        return _asked(scene, scene.say("form_stale"))
    if value == "back":
        return _back(scene)
    return _heard(scene, STEPS[kind].pick(scene, value))


def _heard(scene: Scene, heard: Heard) -> Said:
    """On with what was heard; without an answer the question comes once more."""
    told = (*heard.notes, *heard.answers)
    changed = [step for step, value in told if scene.answer(step) != value]
    dropped = [d for step in changed for d in DEPENDS.get(step, ())]
    form = with_answers(without_answers(scene.form, dropped), told)
    scene = replace(scene, form=form)
    if heard.answers:
        return _on(scene) if dict(heard.answers).get("consent", "yes") else _declined(scene)
    question = STEPS[form.step].ask(scene)
    return _put(scene, replace(question, buttons=heard.buttons or question.buttons), heard.hint)


def _on(scene: Scene) -> Said:
    """The next question, the end of the form, or the wait for a grown-up."""
    if scene.form.name == JOIN:
        scene = agreed(scene)
    if is_young(scene) and scene.answer("sure") == "yes":
        return _waiting(scene)
    coming = next_step(scene)
    if not coming:
        return finished(scene)
    return _asked(replace(scene, form=replace(scene.form, step=coming)))


def _asked(scene: Scene, hint: str = "") -> Said:
    """The present question."""
    if scene.form.name in _ASIDE:
        return _ASIDE[scene.form.name](scene, "", "")
    return _put(scene, STEPS[scene.form.step].ask(scene), hint)


def _put(scene: Scene, question: Question, hint: str) -> Said:
    """A question as it is said, with a button back where there is a step to go back to."""
    buttons = question.buttons
    if step_before(scene, scene.form.step):
        buttons = (*buttons, Button(scene.say("label_back"), f"form:{scene.form.step}:back"))
    family = with_member(scene.family, replace(scene.member, form=scene.form))
    text = question.again if hint and question.again else question.text
    return Said(family, fit(paragraphs(hint, text)), buttons)


def _back(scene: Scene) -> Said:
    before = step_before(scene, scene.form.step)
    if not before:
        return _asked(scene, scene.say("first_question"))
    return _asked(replace(scene, form=replace(scene.form, step=before)))


def _left(scene: Scene) -> Said:
    """Out of the form; what was told is kept where there is consent, and nothing without."""
    if scene.member.consent is None:
        return _declined(scene)
    if is_young(scene):
        return _waiting(scene)
    family, _ = committed(scene)
    again = scene.form.name if scene.form.name in (JOIN, ADD) else ""
    buttons = (Button(scene.say("label_go_on"), f"form:start:{again}"),) if again else ()
    zone = zone_words(scene.zones, family.zone, scene.voice.lang)
    return Said(family, scene.say("form_left", zone=zone), buttons)


def _declined(scene: Scene) -> Said:
    """No consent: nothing is kept but that this chat exists."""
    member = Member(scene.member.chat, lang=scene.member.lang, lang_chosen=True)
    if scene.answer("invited"):
        member = replace(member, role=scene.member.role, athlete=scene.member.athlete)
    text = sentence(scene.say("declined"), scene.say("worse"))
    again = Button(scene.say("label_start"), f"form:start:{JOIN}")
    return Said(with_member(scene.family, member), text, (again,))


def _waits(scene: Scene) -> bool:
    form = scene.member.form
    return form is not None and form.step == WAITING and _no_guardian(scene.family)


def _no_guardian(family: Family) -> bool:
    return not any(m.role is Role.GUARDIAN and m.consent is not None for m in family.members)


def _waiting(scene: Scene) -> Said:
    """An athlete under 13 without a guardian: what to do, and nothing kept of what was told."""
    member = replace(
        scene.member, role=Role.ATHLETE, athlete="", consent=None, form=Form(JOIN, WAITING)
    )
    text = paragraphs(
        scene.voice.say("grown_up_first"),
        scene.voice.say("grown_up_how"),
        sentence(scene.voice.say("grown_up_hurt"), scene.voice.say("nobody_watches")),
    )
    return Said(with_member(scene.family, member), text, (language_button(scene),))


def _restarted(scene: Scene) -> Said:
    """A guardian has joined meanwhile: the questions begin."""
    return open_form(scene, JOIN, ("role", Role.ATHLETE.value))
