"""Settings: what is set, and each changed by a button or in plain words.

An act is "set:<what>" with what it needs behind it. One member's language is that member's
own; all else is the family's and is changed by a guardian, or by an athlete who joined
without one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from armbot.core.zones import table_of
from armbot.engine import settings_people, settings_reminders
from armbot.engine.joining_finish import athlete_line
from armbot.engine.joining_flow import open_form
from armbot.engine.joining_form import Said, Scene
from armbot.engine.joining_steps import JOIN, QUIET_FORM, ZONE_FORM, language_button
from armbot.engine.joining_where import (
    NO_QUIET,
    quiet_of,
    quiet_words,
    zone_words,
)
from armbot.engine.say import fit, paragraphs
from armbot.engine.settings_words import understands
from armbot.model.family import Family, Form, Member, Role, with_member
from armbot.model.library import Library
from armbot.model.outbox import Button

__all__ = ["act", "may_change", "show", "understands"]


def show(
    family: Family, member: Member, library: Library, now: datetime, zones: Sequence[str]
) -> Said:
    """All settings in short, with a button for each that the member may change."""
    return _show(_scene(family, member, library, now, zones))


def act(  # noqa: PLR0913 - one act, and all it may need
    family: Family,
    member: Member,
    text: str,
    library: Library,
    now: datetime,
    zones: Sequence[str],
) -> Said:
    """Do what an act says: "set:lang:es", "set:remind:arm:off", "set:zone".

    An act that is not known, of somebody who is gone, or that is not this member's to give
    changes nothing and is answered by the settings. ``now`` is aware. A form that is open
    in this chat is left.
    """
    scene = _scene(family, member, library, now, zones)
    what, *rest = text.removeprefix("set:").split(":") if text.startswith("set:") else [""]
    if what == "lang":
        return _language(scene, rest)
    if what in _CHANGES and not may_change(family, member):
        return Said(scene.family, scene.say("set_grown_up"))
    changed = _CHANGES[what](scene, rest) if what in _CHANGES else None
    return changed or _show(scene)


def may_change(family: Family, member: Member) -> bool:
    """Whether the family's settings are this member's to change."""
    if member.role is Role.GUARDIAN:
        return True
    return not any(m.role is Role.GUARDIAN and m.consent is not None for m in family.members)


def _scene(
    family: Family, member: Member, library: Library, now: datetime, zones: Sequence[str]
) -> Scene:
    member = replace(member, form=None)
    whole = with_member(family, member)
    return Scene(whole, member, Form(JOIN, ""), library, now, table_of(zones))


def _show(scene: Scene) -> Said:
    family, voice = scene.family, scene.voice
    athletes = [a for a in family.athletes if scene.member.athlete in ("", a.id)]
    text = paragraphs(
        scene.say("set_head"),
        "\n".join(athlete_line(voice, athlete, scene.library) for athlete in athletes),
        "\n".join(
            (
                scene.say("sum_zone", zone=zone_words(scene.zones, family.zone, voice.lang)),
                scene.say("sum_quiet", quiet=quiet_words(voice, family.quiet)),
                settings_reminders.summary(scene),
            )
        ),
        scene.say("set_how"),
    )
    buttons: tuple[Button, ...] = (language_setting(scene),)
    if may_change(family, scene.member):
        keys = ("zone", "quiet", "remind", "people", "add")
        buttons += tuple(Button(scene.say(f"label_{key}"), f"set:{key}") for key in keys)
    return Said(family, fit(text), buttons)


def language_setting(scene: Scene) -> Button:
    """The button that changes to the other language, outside of a form."""
    other = language_button(scene)
    return replace(other, act=f"set:lang:{other.act.rpartition(':')[2]}")


def _language(scene: Scene, rest: Sequence[str]) -> Said:
    lang = rest[0] if rest else ""
    if lang not in scene.library.languages:
        return Said(scene.family, scene.say("set_lang"), (language_setting(scene),))
    member = replace(scene.member, lang=lang, lang_chosen=True)
    family = with_member(scene.family, member)
    if not any(m.consent for m in family.members if m.chat != member.chat):
        family = replace(family, lang=lang, lang_chosen=True)
    scene = replace(scene, family=family, member=member)
    return Said(family, scene.say("set_lang_done"))


def _zone(scene: Scene, rest: Sequence[str]) -> Said | None:
    if not rest:
        return open_form(scene, ZONE_FORM)
    if rest[0] not in scene.zones.names:
        return None
    family = replace(scene.family, zone=rest[0])
    zone = zone_words(scene.zones, rest[0], scene.voice.lang)
    return Said(family, scene.say("sum_zone", zone=zone))


def _quiet(scene: Scene, rest: Sequence[str]) -> Said | None:
    if not rest:
        return open_form(scene, QUIET_FORM)
    quiet = quiet_of(rest[0])
    if quiet is None or (quiet.first == quiet.last and rest[0] != NO_QUIET):
        return None
    family = replace(scene.family, quiet=quiet)
    return Said(family, scene.say("sum_quiet", quiet=quiet_words(scene.voice, quiet)))


_Change = Callable[[Scene, Sequence[str]], Said | None]
_CHANGES: Mapping[str, _Change] = {
    "zone": _zone,
    "quiet": _quiet,
    "remind": settings_reminders.change,
    **settings_people.CHANGES,
}
