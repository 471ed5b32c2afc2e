"""What counts as granting or dating throwing in a reply, for the invariants."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from conversation import dates_in, facts, holds_phrase, phrase, weekday

if TYPE_CHECKING:
    from armbot.model.family import Family
    from armbot.model.talk import Turn

GRANTS = (
    "can_yes", "coming_day", "next_day", "next_after", "rest_line", "rest_long", "rest_zero",
    "rest_zero_run", "if_normal", "limit_line", "innings_left", "pitch_ok", "pc_under", "thrown_on",
    "also_league", "league_differs", "months_until", "innings_rest", "disputed",
)  # fmt: skip
"""Phrases that give leave to throw, count rest towards it or name a day for it."""
GRANTING_VALUES = ("first_eligible", "may_pitch", "may_throw", "may_catch", "rest_on", "rest_days")
_LEAVE = {
    "en": r"(?i)\b(?:he|she|they|you|your (?:son|daughter|child|athlete)) (?:can|may|is|are)"
    r"(?: now| ok to| fine to| good to| cleared to| ready to| free to| allowed to)*"
    r" (?:pitch|throw|play)\b",
    "es": r"(?i)(?<!no )(?<!cuándo )(?<!cuando )(?<!si )\b(?:puede|ya está listo para"
    r"|tiene permiso de) (?:ya )?(?:lanzar|tirar|pichar|pitchear|jugar)\b",
}


def grants_in(turn: Turn, reply: str | None = None) -> list[str]:
    """Everything in a turn that grants, dates or implies leave to throw; empty is right.

    ``reply`` stands for the turn's own text where a part of it was taken out first.
    """
    text = turn.reply if reply is None else reply
    found = [f"phrase {key}" for key in holds_phrase(text, turn.lang, GRANTS)]
    found += [f"day '{day}'" for day in dates_in(text, turn.lang)]
    found += [f"leave '{match.group()}'" for match in re.finditer(_LEAVE[turn.lang], text)]
    for row in facts(turn.values):
        found += [f"value {key}={row[key]}" for key in GRANTING_VALUES if row.get(key)]
    return found


def without_report_day(turn: Turn, family: Family) -> str:
    """The reply without the days on which signs were reported: those say when it stopped."""
    text = turn.reply
    for hold in family.holds:
        day = hold.since.date()
        month = phrase(turn.lang, "months").split(",")[day.month - 1]
        said = phrase(turn.lang, "date", weekday=weekday(day, turn.lang), day=day.day, month=month)
        for key in ("hold_why", "why_hold"):
            text = text.replace(phrase(turn.lang, key, day=said), "")
    return text
