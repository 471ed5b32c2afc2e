"""The family's record in its own hands: what is kept, taken along, and removed."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import Any

from armbot.core.zones import table_of
from armbot.engine import joining_erase
from armbot.engine.joining_finish import athlete_line
from armbot.engine.joining_form import Said, Scene
from armbot.engine.joining_steps import ERASE
from armbot.engine.joining_where import quiet_words, zone_words
from armbot.engine.say import Voice, fit, paragraphs
from armbot.engine.settings import may_change
from armbot.model.family import Athlete, Family, Form, Member
from armbot.model.library import Library
from armbot.model.outbox import Button
from armbot.model.outings import Outing

FORMAT = "armbot family record"
FORMAT_VERSION = 1


def summary(
    family: Family, member: Member, library: Library, now: datetime, zones: Sequence[str] = ()
) -> Said:
    """What is kept about the family, in short, with what can be done with it.

    An athlete's own chat sees that athlete. ``now`` is aware.
    """
    scene = Scene(family, member, Form(ERASE, ""), library, now, table_of(zones))
    voice = scene.voice
    seen = [a for a in family.athletes if member.athlete in ("", a.id)]
    lines = [_athlete_lines(voice, family, athlete, library) for athlete in seen]
    facts = [
        voice.say("sum_zone", zone=zone_words(zones, family.zone, voice.lang)),
        voice.say("sum_quiet", quiet=quiet_words(voice, family.quiet)),
        voice.say("data_chats", n=len(family.members)),
    ]
    if member.consent is not None:
        when = voice.day(member.consent.at.date())
        facts.append(voice.say("data_consent", version=member.consent.version, day=when))
    text = paragraphs(voice.say("data_head"), *lines, "\n".join(facts), voice.say("data_kept"))
    keys = ("export", "erase") if may_change(family, member) else ()
    return Said(
        family, fit(text), tuple(Button(voice.say(f"label_do_{k}"), f"do:{k}") for k in keys)
    )


def _athlete_lines(voice: Voice, family: Family, athlete: Athlete, library: Library) -> str:
    """An athlete, how much is logged, and what was reported."""
    log = family.outings_of(athlete.id)
    reports = sum(r.athlete == athlete.id for r in family.reports)
    lines = [athlete_line(voice, athlete, library)]
    if log:
        first, last = min(o.day for o in log), max(o.day for o in log)
        lines.append(
            voice.say("data_log", n=len(log), first=_dated(voice, first), last=_dated(voice, last))
        )
    else:
        lines.append(voice.say("data_no_log"))
    if reports:
        lines.append(voice.say("data_reports", n=reports))
    if family.hold_of(athlete.id) is not None:
        lines.append(voice.say("hold_on", name=athlete.name or voice.say("the_child")))
    return "\n".join(lines)


def _dated(voice: Voice, day: date) -> str:
    return f"{voice.day(day)} {day.year}"


def as_json(family: Family) -> str:
    """What a family may take along, as readable JSON (RFC 8259), its keys full words.

    Everything that was told and decided; without messages not yet sent, open questions of
    conversations, chat numbers and codes, which mean nothing elsewhere.
    """
    document = {
        "format": FORMAT,
        "version": FORMAT_VERSION,
        "language": family.lang,
        "time_zone": family.zone,
        "quiet_hours": {"from_hour": family.quiet.first, "to_hour": family.quiet.last},
        "reminders_turned_off": list(family.muted),
        "members": [_member(m) for m in family.members],
        "athletes": [_athlete(family, a) for a in family.athletes],
        "not_of_one_athlete": _kept_of(family, lambda owner: family.athlete(owner) is None),
    }
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"


def _member(member: Member) -> dict[str, Any]:
    consent = member.consent
    return {
        "role": member.role.value,
        "athlete": member.athlete,
        "language": member.lang,
        "consent": {"version": consent.version, "at": consent.at.isoformat()} if consent else None,
    }


def _athlete(family: Family, athlete: Athlete) -> dict[str, Any]:
    told = athlete.age
    return {
        "id": athlete.id,
        "nickname": athlete.name,
        "birth_month": str(athlete.birth) if athlete.birth else None,
        "age_told": {"from": told.first, "to": told.last} if told else None,
        "age_told_on": athlete.age_told_on.isoformat() if athlete.age_told_on else None,
        "throwing_arm": athlete.arm,
        "sport": athlete.sport,
        "leagues": list(athlete.rules),
        "division": athlete.division,
        **_kept_of(family, lambda owner: owner == athlete.id),
    }


def _kept_of(family: Family, own: Callable[[str], bool]) -> dict[str, Any]:
    """Outings, reports, holds, clearances and plans of the athletes whose ids are ``own``."""
    return {
        "outings": [_outing(outing) for owner, outing in family.outings if own(owner)],
        "reports": [
            {
                "at": r.at.isoformat(),
                "urgency": r.tier.word,
                "signs": list(r.signs),
                "said": r.said,
                "answered": r.answered,
                "read_by_clinic_at": r.read_at.isoformat() if r.read_at else None,
            }
            for r in family.reports
            if own(r.athlete)
        ],
        "holds": [
            {"since": h.since.isoformat(), "urgency": h.tier.word}
            for h in family.holds
            if own(h.athlete)
        ],
        "clearances": [
            {"at": c.at.isoformat(), "by": c.role} for c in family.clearances if own(c.athlete)
        ],
        "off_seasons": [
            {"first_day": o.first.isoformat(), "last_day": o.last.isoformat()}
            for o in family.off_seasons
            if own(o.athlete)
        ],
        "planned_days": [p.day.isoformat() for p in family.planned if own(p.athlete)],
    }


def _outing(outing: Outing) -> dict[str, Any]:
    return {
        "entry": outing.id,
        "day": outing.day.isoformat(),
        "kind": outing.kind.value,
        "pitches": outing.pitches,
        "outs": outing.outs,
        "innings_caught": outing.innings_caught,
        "pitches_to_last_batter": outing.last_batter_pitches,
        "warm_up_throws": outing.warmup,
        "team": outing.team,
        "pain_free": outing.pain_free,
        "note": outing.note,
    }


def erase_question(family: Family, member: Member, library: Library, now: datetime) -> Said:
    """Whether the record is really to go; the answer comes to joining.step as a form.

    Only who may change the settings may remove the record.
    """
    scene = Scene(family, member, Form(ERASE, ""), library, now, table_of(()))
    if not may_change(family, member):
        return Said(family, scene.say("set_grown_up"))
    return joining_erase.question(scene)
