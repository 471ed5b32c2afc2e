"""The steps of the forms: consent, who writes, the throwing arm and sport, and all others.

Which steps a form has, and in which order, depends on what was answered and is already
known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from armbot.engine.admission import ALONE_FROM, needs_guardian
from armbot.engine.joining_birth import MONTH, YEAR
from armbot.engine.joining_form import Heard, Question, Scene, Step, button
from armbot.engine.joining_league import LEAGUE, leagues_for
from armbot.engine.joining_names import NAME
from armbot.engine.joining_where import QUIET, ZONE
from armbot.engine.joining_words import hear
from armbot.engine.say import paragraphs
from armbot.model.family import Role
from armbot.model.outbox import Button
from armbot.model.people import BirthMonth

CONSENT_VERSION = "1"
"""The version of the text that is agreed to (the phrases join_hello to join_consent). A
change of what it says needs a new one."""
CONSENT_KEYS = ("join_hello", "join_watch", "join_private", "join_consent")
JOIN, ADD, ZONE_FORM, QUIET_FORM = "join", "add", "zone", "quiet"
RENAME, LEAGUES, PLANNED, ERASE = "rename", "leagues", "planned", "erase"
WAITING = "grownup"
"""The step at which an athlete under 13 waits for a guardian."""
ARMS = ("right", "left", "both")
SPORTS = ("baseball", "softball")
_ROLES = (Role.GUARDIAN.value, Role.ATHLETE.value)


def about(scene: Scene) -> str:
    """What this is and is not, who watches, and what is kept: the text agreed to."""
    clinic = scene.library.clinic.names[scene.voice.lang]
    return paragraphs(
        scene.say("join_hello", clinic=clinic), scene.say("join_watch"), scene.say("join_private")
    )


def language_button(scene: Scene) -> Button:
    """A button that changes to the other language, in that language's own word."""
    others = [lang for lang in scene.library.languages if lang != scene.voice.lang]
    other = others[0] if others else scene.voice.lang
    return Button(scene.library.phrase(other, "label_language"), f"form:lang:{other}")


def _ask_consent(scene: Scene) -> Question:
    told = scene.answer("role")
    if told:
        buttons = [button("consent", "yes", scene.say("label_agree"))]
    else:
        buttons = [button("consent", role, scene.say(f"label_agree_{role}")) for role in _ROLES]
    buttons += [button("consent", "no", scene.say("label_decline")), language_button(scene)]
    ask = scene.say("join_consent")
    return Question(paragraphs(about(scene), ask), tuple(buttons), again=ask)


def _hear_consent(scene: Scene, text: str) -> Heard:
    role = hear(scene.library, text, _ROLES)
    agreed = hear(scene.library, text, ("yes", "agree", "no"))
    if agreed == "no":
        return Heard((("consent", ""),))
    if agreed:
        told = (("role", role),) if role and not scene.answer("role") else ()
        return Heard((("consent", CONSENT_VERSION), *told))
    note = (("role", role),) if role and not scene.answer("role") else ()
    return Heard(hint=scene.say("hint_consent"), notes=note)


def _pick_consent(scene: Scene, value: str) -> Heard:
    if value == "no":
        return Heard((("consent", ""),))
    if value in _ROLES and not scene.answer("role"):
        return Heard((("consent", CONSENT_VERSION), ("role", value)))
    if value == "yes":
        return Heard((("consent", CONSENT_VERSION),))
    return Heard(hint=scene.say("hint_consent"))


def _ask_role(scene: Scene) -> Question:
    buttons = tuple(button("role", role, scene.say(f"label_{role}")) for role in _ROLES)
    return Question(scene.say("join_role"), buttons)


def _hear_role(scene: Scene, text: str) -> Heard:
    return _pick_role(scene, hear(scene.library, text, _ROLES))


def _pick_role(scene: Scene, value: str) -> Heard:
    if value in _ROLES:
        return Heard((("role", value),))
    return Heard(hint=scene.say("hint_role"))


def birth_of(scene: Scene) -> BirthMonth | None:
    """The birth told so far; None until year and month are there."""
    year, month = scene.answer("birth_year"), scene.answer("birth_month")
    return BirthMonth(int(year), int(month)) if year and month else None


def is_young(scene: Scene) -> bool:
    """Whether the athlete who writes is too young to join without a guardian, and has none."""
    born = birth_of(scene)
    if not scene.own or born is None or born.age_on(scene.today) >= ALONE_FROM:
        return False
    return needs_guardian(scene.family, scene.member, scene.now)


def _ask_sure(scene: Scene) -> Question:
    """Asked once and without saying what for, so that a slip is mended and none is invited."""
    born = birth_of(scene)
    month = scene.voice.month(born.month) if born else ""
    text = scene.say("join_sure", month=month, year=born.year if born else "")
    choices = ("yes", "change", "parent")
    return Question(text, tuple(button("sure", c, scene.say(f"label_sure_{c}")) for c in choices))


def _hear_sure(scene: Scene, text: str) -> Heard:
    if hear(scene.library, text, _ROLES) == Role.GUARDIAN:
        return _pick_sure(scene, "parent")
    meant = hear(scene.library, text, ("yes", "no"))
    return _pick_sure(scene, {"yes": "yes", "no": "change"}.get(meant, ""))


def _pick_sure(scene: Scene, value: str) -> Heard:
    if value == "yes":
        return Heard((("sure", "yes"),))
    if value == "parent":
        return Heard((("role", Role.GUARDIAN.value),))
    if value == "change":
        return Heard((("birth_year", ""), ("birth_month", "")))
    return Heard(hint=scene.say("hint_sure"))


def _ask_arm(scene: Scene) -> Question:
    buttons = tuple(
        button("arm", f"{arm}-{sport}", scene.say(f"label_{arm}_{sport}"))
        for sport in SPORTS
        for arm in ARMS[:2]
    )
    return Question(scene.say("join_arm"), buttons)


def _hear_arm(scene: Scene, text: str) -> Heard:
    """The arm, and the sport where it is told with it; a sport alone is kept."""
    arm = hear(scene.library, text, ARMS)
    sport = hear(scene.library, text, SPORTS)
    told = (("sport", sport),) if sport else ()
    if arm:
        return Heard((("arm", arm), *told))
    return Heard(hint=scene.say("hint_arm"), notes=told)


def _pick_arm(scene: Scene, value: str) -> Heard:
    arm, _, sport = value.partition("-")
    if arm in ARMS and sport in SPORTS:
        return Heard((("arm", arm), ("sport", sport)))
    return Heard(hint=scene.say("hint_arm"))


def _ask_sport(scene: Scene) -> Question:
    buttons = tuple(button("sport", s, scene.say(f"label_{s}")) for s in SPORTS)
    return Question(scene.say("join_sport"), buttons)


def _hear_sport(scene: Scene, text: str) -> Heard:
    return _pick_sport(scene, hear(scene.library, text, SPORTS))


def _pick_sport(scene: Scene, value: str) -> Heard:
    return Heard((("sport", value),)) if value in SPORTS else Heard(hint=scene.say("hint_sport"))


_ALL = (
    Step("consent", _ask_consent, _hear_consent, _pick_consent),
    Step("role", _ask_role, _hear_role, _pick_role),
    Step("sure", _ask_sure, _hear_sure, _pick_sure),
    Step("arm", _ask_arm, _hear_arm, _pick_arm),
    Step("sport", _ask_sport, _hear_sport, _pick_sport),
    *(NAME, YEAR, MONTH, LEAGUE, ZONE, QUIET),
)
STEPS: Mapping[str, Step] = {step.name: step for step in _ALL}


def _athlete(scene: Scene) -> tuple[str, ...]:
    """The questions about one athlete; the one who writes is asked for its age first."""
    birth = ("birth_year", "birth_month")
    leagues = leagues_for(scene.library, scene.answer("sport") or SPORTS[0])
    rest = ("arm", "sport", *(("league",) if leagues else ()))
    return (*birth, "name", *rest) if scene.own else ("name", *birth, *rest)


def _join(scene: Scene) -> tuple[str, ...]:
    first = ("consent", "role")
    if scene.answer("invited"):
        return first
    athlete = _athlete(scene)
    if is_young(scene):
        athlete = (*athlete[:2], "sure", *athlete[2:])
    return (*first, *athlete, "zone", "quiet")


FORMS: Mapping[str, Callable[[Scene], tuple[str, ...]]] = {
    JOIN: _join,
    ADD: _athlete,
    ZONE_FORM: lambda _: ("zone",),
    QUIET_FORM: lambda _: ("quiet",),
    RENAME: lambda _: ("name",),
    LEAGUES: lambda _: ("league",),
}
"""Each form's steps, in order."""


DEPENDS: Mapping[str, tuple[str, ...]] = {
    "role": ("sure",),
    "name": ("name_doubt",),
    "birth_year": ("sure",),
    "birth_month": ("sure",),
    "sport": ("league",),
}
"""Answers that no longer stand once another one has changed."""


def next_step(scene: Scene) -> str:
    """The first step that is not answered; "" where all are.

    Whoever went back and answered once more goes on where the form stood.
    """
    return next((s for s in FORMS[scene.form.name](scene) if not scene.answer(s)), "")


def step_before(scene: Scene, step: str) -> str:
    """The step before one; "" where there is none to go back to (consent is given once)."""
    steps = [s for s in FORMS[scene.form.name](scene) if s != "consent"]
    return steps[steps.index(step) - 1] if step in steps and steps.index(step) else ""
