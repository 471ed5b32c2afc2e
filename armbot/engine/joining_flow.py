"""How a form goes on: from an answer to the next question, back, out of it, or to its end."""

from __future__ import annotations

from dataclasses import replace

from armbot.engine import joining_erase, joining_planned
from armbot.engine.joining_finish import agreed, committed, finished
from armbot.engine.joining_form import (
    Heard,
    Question,
    Said,
    Scene,
    with_answers,
    without_answers,
)
from armbot.engine.joining_steps import (
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
from armbot.engine.say import fit, paragraphs, sentence
from armbot.model.family import Family, Form, Member, Role, with_member
from armbot.model.outbox import Button

ASIDE = {ERASE: joining_erase.answered, PLANNED: joining_planned.answered}
"""Forms that are no row of questions: they ask one thing and act on it."""


def open_form(scene: Scene, name: str, *answers: tuple[str, str]) -> Said:
    """A form of that name begun, with what is already known."""
    return go_on(replace(scene, form=with_answers(Form(name, ""), answers)))


def pressed(scene: Scene, kind: str, value: str) -> Said:
    """On with the value of a button; that of another step changes nothing."""
    if kind != scene.form.step:
        return asked(scene, scene.say("form_stale"))
    if value == "back":
        return back(scene)
    return taken(scene, STEPS[kind].pick(scene, value))


def taken(scene: Scene, heard: Heard) -> Said:
    """On with what was heard; without an answer the question comes once more."""
    told = (*heard.notes, *heard.answers)
    changed = [step for step, value in told if scene.answer(step) != value]
    dropped = [d for step in changed for d in DEPENDS.get(step, ())]
    form = with_answers(without_answers(scene.form, dropped), told)
    scene = replace(scene, form=form)
    if heard.answers:
        return go_on(scene) if dict(heard.answers).get("consent", "yes") else _declined(scene)
    question = STEPS[form.step].ask(scene)
    return _put(scene, replace(question, buttons=heard.buttons or question.buttons), heard.hint)


def go_on(scene: Scene) -> Said:
    """The next question, the end of the form, or the wait for a grown-up."""
    if scene.form.name == JOIN:
        scene = agreed(scene)
    if is_young(scene) and scene.answer("sure") == "yes":
        return waiting(scene)
    coming = next_step(scene)
    if not coming:
        return finished(scene)
    return asked(replace(scene, form=replace(scene.form, step=coming)))


def asked(scene: Scene, hint: str = "") -> Said:
    """The present question."""
    if scene.form.name in ASIDE:
        return ASIDE[scene.form.name](scene, "", "")
    return _put(scene, STEPS[scene.form.step].ask(scene), hint)


def _put(scene: Scene, question: Question, hint: str) -> Said:
    """A question as it is said, with a button back where there is a step to go back to."""
    buttons = question.buttons
    if step_before(scene, scene.form.step):
        buttons = (*buttons, Button(scene.say("label_back"), f"form:{scene.form.step}:back"))
    family = with_member(scene.family, replace(scene.member, form=scene.form))
    text = question.again if hint and question.again else question.text
    return Said(family, fit(paragraphs(hint, text)), buttons)


def back(scene: Scene) -> Said:
    """The question before; what was answered stays."""
    before = step_before(scene, scene.form.step)
    if not before:
        return asked(scene, scene.say("first_question"))
    return asked(replace(scene, form=replace(scene.form, step=before)))


def left(scene: Scene) -> Said:
    """Out of the form; what was told is kept where there is consent, and nothing without."""
    if scene.member.consent is None:
        return _declined(scene)
    if is_young(scene):
        return waiting(scene)
    family, member = committed(scene)
    after = replace(scene, family=family, member=member)
    if scene.form.name == JOIN and not has_joined(after):
        buttons = (Button(scene.say("label_go_on"), f"form:start:{JOIN}"),)
    else:
        buttons = (Button(scene.say("label_settings"), "set:show"),)
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


def waits(scene: Scene) -> bool:
    """Whether the member is an athlete under 13 who waits for a guardian."""
    form = scene.member.form
    return form is not None and form.step == WAITING and _no_guardian(scene.family)


def _no_guardian(family: Family) -> bool:
    return not any(m.role is Role.GUARDIAN and m.consent is not None for m in family.members)


def waiting(scene: Scene) -> Said:
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


def restarted(scene: Scene) -> Said:
    """A guardian has joined meanwhile: the questions begin."""
    return open_form(scene, JOIN, ("role", Role.ATHLETE.value))


def has_joined(scene: Scene) -> bool:
    """Whether the member has agreed and nothing that is needed is left to ask."""
    member = scene.member
    if member.consent is None or member.role is Role.UNKNOWN:
        return False
    named = [a for a in scene.family.athletes if a.name and member.athlete in ("", a.id)]
    if member.role is Role.ATHLETE and not member.athlete:
        return False
    return bool(named) and all(a.birth and a.arm for a in named)
