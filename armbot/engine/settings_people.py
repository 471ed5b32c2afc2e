"""Athletes in the settings: added, renamed, removed, their leagues and planned days."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from armbot.engine import joining_planned
from armbot.engine.joining_finish import athlete_line
from armbot.engine.joining_flow import open_form
from armbot.engine.joining_form import Said, Scene
from armbot.engine.joining_league import league_names, leagues_for
from armbot.engine.joining_steps import ADD, LEAGUES, RENAME
from armbot.engine.say import fit, paragraphs
from armbot.model.family import Athlete, Family, Role
from armbot.model.outbox import Button


def _people(scene: Scene, _rest: Sequence[str]) -> Said | None:
    """Everyone on record, with buttons for what can be changed of one of them."""
    athletes = scene.family.athletes
    if len(athletes) == 1:
        return _one(scene, [athletes[0].id])
    lines = [athlete_line(scene.voice, a, scene.library) for a in athletes]
    buttons = tuple(Button(_name(scene, a), f"set:one:{a.id}") for a in athletes)
    text = paragraphs(scene.say("people_head" if athletes else "people_none"), "\n".join(lines))
    return Said(scene.family, fit(text), (*buttons, Button(scene.say("label_add"), "set:add")))


def _one(scene: Scene, rest: Sequence[str]) -> Said | None:
    athlete = _athlete(scene, rest)
    if athlete is None:
        return None
    keys = ("rename", "leagues", "plan", "remove")
    buttons = [Button(scene.say(f"label_{key}"), f"set:{key}:{athlete.id}") for key in keys]
    if not leagues_for(scene.library, athlete.sport):
        del buttons[1]
    if scene.member.role is not Role.GUARDIAN:
        del buttons[-1]
    else:
        buttons.append(Button(scene.say("label_add"), "set:add"))
    return Said(scene.family, athlete_line(scene.voice, athlete, scene.library), tuple(buttons))


def _athlete(scene: Scene, rest: Sequence[str]) -> Athlete | None:
    """The athlete named in an act, or the only one there is."""
    if rest:
        return scene.family.athlete(rest[0])
    return scene.family.athletes[0] if len(scene.family.athletes) == 1 else None


def _name(scene: Scene, athlete: Athlete) -> str:
    return athlete.name or scene.voice.say("sum_unnamed")


def _add(scene: Scene, _rest: Sequence[str]) -> Said | None:
    """One more athlete; an athlete who joined alone is the only one."""
    return open_form(scene, ADD) if scene.member.role is Role.GUARDIAN else None


def _rename(scene: Scene, rest: Sequence[str]) -> Said | None:
    athlete = _athlete(scene, rest)
    return open_form(scene, RENAME, ("athlete", athlete.id)) if athlete else _people(scene, ())


def _leagues(scene: Scene, rest: Sequence[str]) -> Said | None:
    """The leagues an athlete plays in, all of them anew."""
    athlete = _athlete(scene, rest)
    if athlete is None:
        return _people(scene, ())
    if not leagues_for(scene.library, athlete.sport):
        sport = scene.say(f"label_{athlete.sport}")
        return Said(scene.family, scene.say("leagues_none", sport=sport.lower()))
    asked = open_form(scene, LEAGUES, ("athlete", athlete.id), ("sport", athlete.sport))
    now = league_names(scene.library, athlete.rules, scene.voice.lang)
    known = scene.say("leagues_now", leagues=", ".join(now)) if now else ""
    return replace(asked, text=fit(paragraphs(known, asked.text)))


def _plan(scene: Scene, rest: Sequence[str]) -> Said | None:
    athlete = _athlete(scene, rest)
    return joining_planned.question(scene, athlete) if athlete else _people(scene, ())


def _unplan(scene: Scene, rest: Sequence[str]) -> Said | None:
    """One planned day off the list: "set:unplan:<athlete>:<date>"."""
    athlete = _athlete(scene, rest)
    try:
        day = date.fromisoformat(rest[1])
    except (IndexError, ValueError):
        return None
    if athlete is None:
        return None
    kept = tuple(p for p in scene.family.planned if (p.athlete, p.day) != (athlete.id, day))
    family = replace(scene.family, planned=kept)
    return Said(family, scene.say("plan_removed", name=_name(scene, athlete)))


def _remove(scene: Scene, rest: Sequence[str]) -> Said | None:
    """An athlete and the whole log, after one more yes; never while a hold stands.

    Removing and naming a child anew would else be a way around a hold.
    """
    athlete = _athlete(scene, rest)
    if athlete is None or scene.member.role is not Role.GUARDIAN:
        return None
    name = _name(scene, athlete)
    if scene.family.hold_of(athlete.id) is not None:
        return Said(
            scene.family, paragraphs(scene.say("hold_on", name=name), scene.say("remove_hold"))
        )
    if rest[1:] != ["yes"]:
        sure = Button(scene.say("label_remove_sure", name=name), f"set:remove:{athlete.id}:yes")
        keep = Button(scene.say("label_keep"), "set:show")
        return Said(scene.family, scene.say("remove_ask", name=name), (sure, keep))
    return Said(without_athlete(scene.family, athlete.id), scene.say("removed", name=name))


def without_athlete(family: Family, key: str) -> Family:
    """The family without an athlete and everything kept of it, its own phone included."""
    return replace(
        family,
        athletes=tuple(a for a in family.athletes if a.id != key),
        outings=tuple((a, o) for a, o in family.outings if a != key),
        reports=tuple(r for r in family.reports if r.athlete != key),
        clearances=tuple(c for c in family.clearances if c.athlete != key),
        members=tuple(m for m in family.members if m.athlete != key),
        codes=tuple(c for c in family.codes if c.athlete != key),
        off_seasons=tuple(o for o in family.off_seasons if o.athlete != key),
        planned=tuple(p for p in family.planned if p.athlete != key),
    )


CHANGES: Mapping[str, Callable[[Scene, Sequence[str]], Said | None]] = {
    "people": _people,
    "one": _one,
    "add": _add,
    "rename": _rename,
    "leagues": _leagues,
    "plan": _plan,
    "unplan": _unplan,
    "remove": _remove,
}
"""What follows "set:" about athletes, and the doing of it. None: nothing was changed."""
