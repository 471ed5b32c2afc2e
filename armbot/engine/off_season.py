"""Planning the off-season with a family: dates from the log, or the family's own.

What a year asks for stands in content/season/months_off.yaml: so many months off, and a run
of them in a row without any overhead throwing. The better (longer) run is proposed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from armbot.core.log import is_appearance
from armbot.core.reminder_months import month_end, plus_months, whole_months
from armbot.core.season import count_months, months_check
from armbot.engine.reminder_people import Tongue
from armbot.engine.say import paragraphs, sentence
from armbot.model.family import Athlete, Family, OffSeason
from armbot.model.library import Library
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import AgeSpan
from armbot.model.season import MonthsOff, OffFrom

_DAY = timedelta(days=1)


def propose(family: Family, athlete: Athlete, library: Library, today: date) -> OffSeason | None:
    """An off-season by which the year has its months off and its run in a row.

    It begins in the usual month, or right after the last throw where that month has come;
    earlier where the months of pitching would pass the most that is advised. Months before
    the log began are not known and count as used: the careful reading.
    None where no age is known, none fits a row, or an off-season is planned already.
    """
    age = athlete.span_on(today)
    row = _row(library, age) if age else None
    ahead = any(o.athlete == athlete.id and o.last >= today for o in family.off_seasons)
    if age is None or row is None or ahead:
        return None
    log = family.outings_of(athlete.id)
    first = _begin(log, row, library, today)
    used = [*log, *_supposed(today, first)]
    for months in range(_run(row), max(row.off_months.value, _run(row)) + 1):
        last = _end(first, months)
        check = months_check(library.season.months_off, age, count_months(used, last))
        if check is not None and check.ok and check.run >= _run(row):
            return OffSeason(athlete.id, first, last)
    return OffSeason(athlete.id, first, _end(first, max(row.off_months.value, _run(row))))


def plan(family: Family, off_season: OffSeason) -> Family:
    """The family with the off-season planned, in the place of any it overlaps.

    Raises ValueError for one that ends before it begins.
    """
    if off_season.last < off_season.first:
        raise ValueError(f"off-season ends {off_season.last} before it begins {off_season.first}")
    kept = tuple(
        off
        for off in family.off_seasons
        if off.athlete != off_season.athlete
        or off.last < off_season.first
        or off_season.last < off.first
    )
    return replace(family, off_seasons=(*kept, off_season))


def dropped(family: Family, athlete: str, today: date) -> Family:
    """The family without the athlete's off-seasons that are not over yet."""
    kept = (off for off in family.off_seasons if off.athlete != athlete or off.last < today)
    return replace(family, off_seasons=tuple(kept))


def proposal_text(family: Family, off: OffSeason, tongue: Tongue) -> str:
    """The proposal as a question, with what it rests on. On hold it says hold alone."""
    if family.hold_of(off.athlete) is not None:
        return tongue.say("hold_on")
    question = tongue.say("off_proposal", **_dates(off, tongue))
    return paragraphs(question, tongue.say("rem_off_what"), _why(family, off, tongue))


def planned_text(family: Family, off: OffSeason, tongue: Tongue) -> str:
    """That it is planned, and where it is shorter than the guideline asks."""
    if family.hold_of(off.athlete) is not None:
        return sentence(tongue.say("off_planned_hold"), tongue.say("hold_on"))
    told = tongue.say("off_planned", **_dates(off, tongue))
    short = tongue.say("off_short") if is_short(family, off, tongue.voice.library) else ""
    return paragraphs(told, sentence(short, tongue.say("off_remind")), _why(family, off, tongue))


def no_proposal_text(family: Family, athlete: Athlete, tongue: Tongue, today: date) -> str:
    """Why there is no proposal: one is planned already, or the age is not known."""
    own = [o for o in family.off_seasons if o.athlete == athlete.id and o.last >= today]
    if family.hold_of(athlete.id) is not None:
        return tongue.say("hold_on")
    if own:
        return tongue.say("off_already", **_dates(own[0], tongue))
    return tongue.say("off_no_age")


def is_short(family: Family, off: OffSeason, library: Library) -> bool:
    """Whether it holds fewer whole months in a row than the guideline asks at least."""
    athlete = family.athlete(off.athlete)
    age = athlete.span_on(off.first) if athlete else None
    row = _row(library, age) if age else None
    if row is None:
        return False
    least = row.run_months[0].value if row.run_months else 1
    return whole_months(off.first, off.last) < least


def _row(library: Library, age: AgeSpan) -> MonthsOff | None:
    """The row of the younger age, as core.season reads the table."""
    rows = library.season.months_off
    return next((r for r in rows if r.ages[0] <= age.last and age.first <= r.ages[1]), None)


def _run(row: MonthsOff) -> int:
    """Months in a row, the better number; a run told in weeks is met by a whole month."""
    return row.run_months[1].value if row.run_months else 1


def _begin(log: Sequence[Outing], row: MonthsOff, library: Library, today: date) -> date:
    """The first day of the off-season."""
    month = library.reminders.off.usual_month.value
    usual = date(today.year, month, 1)
    latest = usual if usual <= today else usual.replace(year=today.year - 1)
    if today < plus_months(latest, _run(row)):
        return _already(log, latest, today)
    coming = plus_months(latest, 12)
    most = library.season.pitching_months_most.value
    first = plus_months(today.replace(day=1), 1)
    starts = [first]
    while starts[-1] < coming:
        starts.append(plus_months(starts[-1], 1))
    return next((s for s in reversed(starts) if _pitched(log, today, s) <= most), first)


def _already(log: Sequence[Outing], latest: date, today: date) -> date:
    """The usual month has come: from its first day or the day after the last throw."""
    used = [outing.day for outing in log if _loads(outing) and outing.day <= today]
    return max(latest, max(used) + _DAY) if used else today


def _loads(outing: Outing) -> bool:
    game = outing.kind is OutingKind.GAME
    return not game or is_appearance(outing) or outing.innings_caught > 0


def _pitched(log: Sequence[Outing], today: date, start: date) -> int:
    """Months with pitching in the year before ``start``, if it goes on until then."""
    used = [*log, *_supposed(today, start)]
    return len(count_months(used, start - _DAY).pitched)


def _supposed(today: date, start: date) -> list[Outing]:
    """A game in each month until the off-season begins: it is not off before."""
    days, day = [], today
    while day < start:
        days.append(day)
        day = plus_months(day.replace(day=1), 1)
    return [Outing("", day) for day in days]


def _end(first: date, months: int) -> date:
    """The last day of so many whole months from ``first`` on."""
    whole = first if first.day == 1 else plus_months(first.replace(day=1), 1)
    return month_end(plus_months(whole, months - 1))


def _dates(off: OffSeason, tongue: Tongue) -> dict[str, str]:
    return {"first": tongue.voice.day(off.first), "last": tongue.voice.day(off.last)}


def _why(family: Family, off: OffSeason, tongue: Tongue) -> str:
    """What the guideline asks of a year at this age, with its source."""
    voice = tongue.voice
    athlete = family.athlete(off.athlete)
    age = athlete.span_on(off.first) if athlete else None
    row = _row(voice.library, age) if age else None
    if age is None or row is None:
        return ""
    run = f"{row.run_months[0].value}-{row.run_months[1].value}" if row.run_months else "1"
    what = "months_all" if row.off_from is OffFrom.ALL_THROWING else "months_pitching"
    line = voice.say(
        "months_line",
        months=row.off_months.value,
        what=voice.say(what),
        age=voice.age(age),
        run=run,
    )
    return sentence(line.replace("**", ""), voice.sources((row.off_months.cite.source,)))
