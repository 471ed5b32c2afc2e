"""Telling staff of a report at once, and again until somebody has read it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from armbot.engine.frames import innings_text
from armbot.engine.say import Voice, paragraphs
from armbot.model.clinic import Clinic
from armbot.model.family import Athlete, Family, Report
from armbot.model.library import Library
from armbot.model.outbox import Button, Outgoing, Urgency
from armbot.model.outings import Outing
from armbot.model.staff import Staff

_LOG_DAYS = 14
"""The last two weeks of the log go with a report."""
_LONGEST_PAUSE = timedelta(hours=12)
_MOST_LINES = 20


def tell(
    family: Family, report_id: str, library: Library, staff: Sequence[Staff], now: datetime
) -> Family:
    """The family with one more round of alerts about a report in its outbox.

    The first two rounds go to the chats that are told at once; each later round reaches one
    more of the others. Without staff nothing is sent, and the report stays unread.
    """
    report = next(r for r in family.reports if r.id == report_id)
    messages = tuple(
        _alert(family, report, library, person, now) for person in _reached(staff, report.told)
    )
    told = replace(report, told=report.told + 1, told_at=now)
    reports = tuple(told if r.id == report_id else r for r in family.reports)
    return replace(family, reports=reports, outbox=(*family.outbox, *messages))


def tell_again(family: Family, library: Library, staff: Sequence[Staff], now: datetime) -> Family:
    """The family with alerts about every report that was not read in time."""
    for report in family.reports:
        when = _again_at(report, library.clinic)
        if staff and when is not None and when <= now:
            family = tell(family, report.id, library, staff, now)
    return family


def next_alert(family: Family, clinic: Clinic) -> datetime | None:
    """When staff have to be told again; None when every report was read."""
    times = [_again_at(report, clinic) for report in family.reports]
    return min((when for when in times if when is not None), default=None)


def _again_at(report: Report, clinic: Clinic) -> datetime | None:
    """When a report becomes overdue: the tier's limit, longer after each later round."""
    if report.read_at is not None or report.told_at is None:
        return None
    limit = timedelta(minutes=clinic.unread_minutes[report.tier.word])
    pause: timedelta = limit * 2 ** max(report.told - 2, 0)
    return report.told_at + min(pause, max(_LONGEST_PAUSE, limit))


def _reached(staff: Sequence[Staff], rounds_before: int) -> list[Staff]:
    first = [person for person in staff if not person.late]
    late = [person for person in staff if person.late]
    return [*first, *late[: max(rounds_before - 1, 0)]] or list(staff)


def _alert(
    family: Family, report: Report, library: Library, person: Staff, now: datetime
) -> Outgoing:
    voice = Voice(library, person.lang)
    key = f"{family.id}:{report.id}"
    return Outgoing(
        f"alert.{report.id}.{report.told}.{person.chat}",
        person.chat,
        Urgency.ALERT,
        report_text(family, report, voice, now.astimezone(ZoneInfo(family.zone)).date()),
        now,
        (
            Button(voice.say("staff_read"), f"st:read:{key}"),
            Button(voice.say("staff_clear"), f"st:clear:{key}"),
            Button(voice.say("staff_keep"), f"st:keep:{key}"),
        ),
    )


def report_text(family: Family, report: Report, voice: Voice, today: date) -> str:
    """What staff read: tier, who, what was said and answered, the last two weeks' log."""
    athlete = family.athlete(report.athlete)
    at = report.at.astimezone(ZoneInfo(family.zone))
    return paragraphs(
        voice.say(
            "staff_report" if report.told == 0 else "staff_report_again",
            tier=voice.say(f"staff_tier_{report.tier.word}"),
            who=_who(athlete, voice, today),
            day=voice.day(at.date()),
            time=f"{at:%H:%M}",
        ),
        voice.say("staff_said", said=_short(report.said)),
        voice.say("staff_answered", answered=_short(report.answered.replace("**", ""))),
        _log(family.outings_of(report.athlete), voice, today),
        voice.say("staff_last_seen") if report.told else "",
    )


def _short(text: str) -> str:
    return text if len(text) <= 900 else text[:900] + "…"


def _who(athlete: Athlete | None, voice: Voice, today: date) -> str:
    if athlete is None:
        return voice.say("staff_not_known")
    span = athlete.span_on(today)
    name = athlete.name or voice.say("the_athlete")
    return f"{name}, {voice.age(span)}" if span else name


def _log(outings: Sequence[Outing], voice: Voice, today: date) -> str:
    """The last two weeks, newest first, a line an outing."""
    recent = [o for o in outings if timedelta(0) <= today - o.day < timedelta(days=_LOG_DAYS)]
    if not recent:
        return voice.say("staff_log_none")
    recent.sort(key=lambda outing: outing.day, reverse=True)
    lines = [_line(outing, voice) for outing in recent[:_MOST_LINES]]
    return voice.say("staff_log") + "\n" + "\n".join(lines)


def _line(outing: Outing, voice: Voice) -> str:
    parts = [voice.day(outing.day), voice.say(f"staff_kind_{outing.kind.value}")]
    if outing.pitches is not None:
        parts.append(voice.say("staff_pitches", n=outing.pitches))
    if outing.outs:
        parts.append(voice.say("staff_innings", innings=innings_text(outing.outs)))
    if outing.innings_caught:
        parts.append(voice.say("staff_caught", n=outing.innings_caught))
    return ", ".join(parts)
