"""Reminders turned on and off, each kind by itself or all at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from armbot.engine.joining_form import Said, Scene
from armbot.engine.say import fit, paragraphs
from armbot.model.outbox import Button

ALL = "all"
_ON, _OFF = "on", "off"


def summary(scene: Scene) -> str:
    """In a line which kinds are off."""
    off = [name for kind, name in _names(scene) if kind in scene.family.muted]
    if not off:
        return scene.say("remind_all_on")
    return scene.say("remind_off", kinds="; ".join(off))


def _names(scene: Scene) -> list[tuple[str, str]]:
    kinds = scene.library.reminders.kinds
    return [(kind.value, kinds[kind].names[scene.voice.lang]) for kind in kinds]


def change(scene: Scene, rest: Sequence[str]) -> Said | None:
    """List the kinds for "set:remind"; turn them for "set:remind:<kind or all>:<on or off>"."""
    if len(rest) != 2:
        return _listed(scene)
    wanted, way = rest
    known = [kind for kind, _ in _names(scene)]
    kinds = known if wanted == ALL else [kind for kind in known if kind == wanted]
    if not kinds or way not in (_ON, _OFF):
        return _listed(scene)
    others = tuple(kind for kind in scene.family.muted if kind not in kinds)
    muted = (*others, *kinds) if way == _OFF else others
    changed = replace(scene, family=replace(scene.family, muted=muted))
    return _listed(changed, scene.say("saved"))


def _listed(scene: Scene, head: str = "") -> Said:
    """Every kind with a mark for on or off, and buttons to turn each."""
    lines, buttons = [], []
    for kind, name in _names(scene):
        off = kind in scene.family.muted
        lines.append(f"{scene.say('mark_off' if off else 'mark_on')} {name}")
        label = scene.say("label_turn_on" if off else "label_turn_off", kind=name)
        buttons.append(Button(label, f"set:remind:{kind}:{_ON if off else _OFF}"))
    some_on = len(scene.family.muted) < len(lines)
    every = "label_all_off" if some_on else "label_all_on"
    buttons.append(Button(scene.say(every), f"set:remind:{ALL}:{_OFF if some_on else _ON}"))
    text = paragraphs(head, scene.say("remind_head"), "\n".join(lines), scene.say("remind_safety"))
    return Said(scene.family, fit(text), tuple(buttons))
