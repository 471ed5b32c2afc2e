"""Reads content/reminders/reminders.yaml."""

from __future__ import annotations

from typing import TYPE_CHECKING

from armbot.content.sources import Cites, by_language, choice, read_cites
from armbot.content.strict import Node, load
from armbot.model.outings import OutingKind
from armbot.model.reminders import (
    FollowUps,
    KindSettings,
    Limit,
    LimitSettings,
    OffSettings,
    ReminderKind,
    Reminders,
    SorenessRest,
)

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from armbot.model.cite import Source
    from armbot.model.rules import Figure

_FIGURES = ("in_time_minutes", "most_a_day", "kept_days")
_PARTS = ("kinds", "arm_after", "follow_ups", "soreness", "limits", "off_season")
_LAST_HOUR = 23
_HOURS_A_DAY = 24


def load_reminders(path: Path, sources: Mapping[str, Source]) -> Reminders:
    """Read the settings of all reminders.

    Raises ContentError (file, line, problem, remedy) for a mistake in shape, origin or
    meaning: each kind stands there once, an hour is one of the day, and nothing may repeat
    after it was forgotten.
    """
    fields = load(path).mapping(required=("cites", *_FIGURES, *_PARTS), optional=())
    cites = read_cites(fields["cites"], sources)
    kinds = _kinds(fields["kinds"], cites)
    limits = _limits(fields["limits"], cites)
    off = _off(fields["off_season"], cites)
    follow_ups = _follow_ups(fields["follow_ups"], cites)
    kept = cites.figure(fields["kept_days"])
    longest = [figure.value for figure in limits.repeat_days.values()]
    longest += [off.warn_again_days.value, follow_ups.every_days.value]
    longest += [kind.useful_hours.value // _HOURS_A_DAY + 1 for kind in kinds.values()]
    if kept.value <= max(longest):
        raise fields["kept_days"].fail(
            f"{kept.value} days is no longer than the {max(longest)} after which one may repeat",
            "keep longer what was sent, or let it repeat sooner",
        )
    return Reminders(
        kinds=kinds,
        in_time_minutes=cites.figure(fields["in_time_minutes"]),
        most_a_day=_above_zero(fields["most_a_day"], cites),
        kept_days=kept,
        arm_after=frozenset(choice(node, OutingKind) for node in fields["arm_after"]),
        follow_ups=follow_ups,
        soreness=_soreness(fields["soreness"], cites),
        limits=limits,
        off=off,
    )


def _kinds(node: Node, cites: Cites) -> dict[ReminderKind, KindSettings]:
    found: dict[ReminderKind, KindSettings] = {}
    for entry in node:
        kind = _kind(entry, cites)
        if kind.kind in found:
            raise entry.fail(f"the kind '{kind.kind}' stands twice", "keep one of the two")
        found[kind.kind] = kind
    for wanted in ReminderKind:
        if wanted not in found:
            raise node.fail(f"the kind '{wanted}' is missing", "give its hour and its limit")
    return found


def _kind(node: Node, cites: Cites) -> KindSettings:
    fields = node.mapping(
        required=("id", "names", "hour", "useful_hours", "can_wait"), optional=("again_hour",)
    )
    again = fields.get("again_hour")
    return KindSettings(
        kind=choice(fields["id"], ReminderKind),
        names=by_language(fields["names"]),
        hour=_hour(fields["hour"], cites),
        again_hour=_hour(again, cites) if again else None,
        useful_hours=_above_zero(fields["useful_hours"], cites),
        can_wait=fields["can_wait"].boolean(),
    )


def _hour(node: Node, cites: Cites) -> Figure:
    figure = cites.figure(node)
    if figure.value > _LAST_HOUR:
        raise node.fail(f"{figure.value} is no hour of the day", "write 0 to 23")
    return figure


def _above_zero(node: Node, cites: Cites) -> Figure:
    figure = cites.figure(node)
    if figure.value < 1:
        raise node.fail("0 would never let it come", "write 1 or more")
    return figure


def _follow_ups(node: Node, cites: Cites) -> FollowUps:
    fields = node.mapping(required=("first_day", "every_days", "most"), optional=())
    first, every, most = (
        _above_zero(fields[key], cites) for key in ("first_day", "every_days", "most")
    )
    return FollowUps(first, every, most)


def _soreness(node: Node, cites: Cites) -> SorenessRest:
    fields = node.mapping(required=("least", "strict"), optional=())
    least, strict = cites.figure(fields["least"]), cites.figure(fields["strict"])
    if strict.value < least.value:
        raise fields["strict"].fail(
            f"the stricter {strict.value} is below {least.value}", "the more careful one is higher"
        )
    return SorenessRest(least, strict)


def _limits(node: Node, cites: Cites) -> LimitSettings:
    fields = node.mapping(required=("near_percent", "days_running", "repeat_days"), optional=())
    near = cites.figure(fields["near_percent"])
    if not 1 <= near.value <= 100:
        raise fields["near_percent"].fail(f"{near.value} is no share", "write 1 to 100")
    repeats = fields["repeat_days"].mapping(required=tuple(Limit), optional=())
    return LimitSettings(
        near_percent=near,
        days_running=_above_zero(fields["days_running"], cites),
        repeat_days={Limit(key): _above_zero(value, cites) for key, value in repeats.items()},
    )


def _off(node: Node, cites: Cites) -> OffSettings:
    fields = node.mapping(required=("notice_days", "usual_month", "warn_again_days"), optional=())
    month = cites.figure(fields["usual_month"])
    if not 1 <= month.value <= 12:
        raise fields["usual_month"].fail(f"{month.value} is no month", "write 1 to 12")
    return OffSettings(
        notice_days=_above_zero(fields["notice_days"], cites),
        usual_month=month,
        warn_again_days=_above_zero(fields["warn_again_days"], cites),
    )
