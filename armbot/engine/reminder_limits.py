"""Limits of the season that come close or were passed: innings, months, weeks, days, teams."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from armbot.core.answers import Rule
from armbot.core.log import is_appearance
from armbot.core.season import (
    OUTS_PER_INNING,
    InningsCheck,
    count_months,
    innings_check,
    innings_in_12_months,
    week_checks,
)
from armbot.engine.frames import innings_text
from armbot.engine.reminder_people import Tongue
from armbot.engine.reminder_said import OK, STOP, Said
from armbot.engine.reminder_view import View, eligible, mark, marked_on, throwing_run
from armbot.engine.say import paragraphs, sentence
from armbot.model.outings import OutingKind
from armbot.model.reminders import PERCENT, Limit

PLAN = "plan"
"""The answer that asks how to plan time off."""


@dataclass(frozen=True, slots=True)
class _Found:
    """One limit close or passed: what is said of it, and from where."""

    limit: Limit
    over: bool
    line: str
    sources: tuple[str, ...]

    @property
    def name(self) -> str:
        """What the record calls it: passing a limit is news after coming close to it."""
        return f"{self.limit}{'_over' if self.over else ''}"


def limits_said(view: View, tongue: Tongue) -> Said | None:
    """Every limit close or passed that was not told lately; silent while on hold.

    Told after an outing, by the log as it now is. What needs an age is left out where the
    age is not known.
    """
    if view.hold is not None:
        return None
    news = [found for found in _found(view, tongue) if not _told_lately(view, found)]
    if not news:
        return None
    lines = "\n".join(f"- {found.line}" for found in news)
    sources = tuple(dict.fromkeys(source for found in news for source in found.sources))
    text = paragraphs(
        tongue.say("rem_limits"),
        lines,
        sentence(tongue.voice.say("total_only_logged"), tongue.voice.sources(sources)),
    )
    marks = tuple(mark(found.name, view.athlete.id) for found in news)
    long_view = any(found.limit in (Limit.INNINGS, Limit.MONTHS) for found in news)
    return Said(text, (OK, PLAN, STOP) if long_view else (OK, STOP), marks=marks)


def _told_lately(view: View, found: _Found) -> bool:
    told = marked_on(view.family, found.name, view.athlete.id)
    again = view.library.reminders.limits.repeat_days[found.limit].value
    return told is not None and view.today - told < timedelta(days=again)


def _found(view: View, tongue: Tongue) -> Iterator[_Found]:
    if view.by_chart:
        yield from _innings(view, tongue)
        yield from _week(view, tongue)
        yield from _teams(view, tongue)
    yield from _months(view, tongue)
    yield from _days(view, tongue)


def _near(view: View, have: int, limit: int) -> bool:
    return have * PERCENT >= limit * view.library.reminders.limits.near_percent.value


def _innings(view: View, tongue: Tongue) -> Iterator[_Found]:
    """Innings in the last 12 months against the limit of the age."""
    total = innings_in_12_months(view.log, view.today)
    check = innings_check(view.library.season.innings, view.age, total.outs) if view.age else None
    if check is None or check.limit_outs is None or not _near(view, check.outs, check.limit_outs):
        return
    over = check.over_by_outs > 0
    line = _innings_line(view, tongue, check, check.limit_outs, over=over)
    yield _Found(Limit.INNINGS, over, line, (check.limit.cite.source,))


def _innings_line(
    view: View, tongue: Tongue, check: InningsCheck, limit_outs: int, *, over: bool
) -> str:
    left = innings_text(check.over_by_outs if over else check.left_outs or 0)
    return tongue.say(
        "rem_innings_over" if over else "rem_innings_near",
        have=innings_text(check.outs),
        limit=limit_outs // OUTS_PER_INNING,
        age=tongue.voice.age(view.age) if view.age else "",
        left=left,
    )


def _week(view: View, tongue: Tongue) -> Iterator[_Found]:
    """Pitches in the last seven days against the strictest weekly cap of the age."""
    if view.age is None:
        return
    checks = week_checks(view.library.season.caps, view.age, view.log, view.today)
    if not checks or not _near(view, checks[0].thrown, checks[0].limit):
        return
    found = checks[0]
    cite = (found.cap.most or found.cap.most_per_year_of_age).cite  # type: ignore[union-attr]  # one of them is there
    over = found.over_by > 0
    line = tongue.say(
        "rem_week_over" if over else "rem_week_near",
        have=found.thrown,
        limit=found.limit,
        cap=found.cap.names[tongue.voice.lang],
    )
    yield _Found(Limit.WEEK, over, line, (cite.source,))


def _months(view: View, tongue: Tongue) -> Iterator[_Found]:
    """Months with pitching in a year, against the most that a study did not link with harm."""
    most = view.library.season.pitching_months_most
    pitched = len(count_months(view.log, view.today).pitched)
    if pitched < most.value:
        return
    over = pitched > most.value
    key = "rem_months_over" if over else "rem_months_near"
    line = tongue.say(key, have=pitched, most=most.value)
    yield _Found(Limit.MONTHS, over, line, (most.cite.source,))


def _days(view: View, tongue: Tongue) -> Iterator[_Found]:
    """Days in a row with throwing of any kind, up to today or yesterday."""
    thrown = [o.day for o in view.log if o.kind is not OutingKind.OVERHEAD_SPORT]
    most = view.library.reminders.limits.days_running
    run = max(throwing_run(thrown, view.today - timedelta(days=ago)) for ago in (0, 1))
    if run >= most.value:
        line = tongue.say("rem_days", days=run)
        yield _Found(Limit.DAYS, over=False, line=line, sources=(most.cite.source,))


def _teams(view: View, tongue: Tongue) -> Iterator[_Found]:
    """Several teams within a week, where a rule set advises one at a time."""
    result = eligible(view) if any(is_appearance(o) for o in view.log) else None
    flags = [flag for flag in result.flags if flag.rule is Rule.SEVERAL_TEAMS] if result else []
    if flags:
        line = tongue.say("rem_teams", teams=flags[0].facts["teams"])
        sources = tuple(view.library.rules[flag.ruleset_id].source for flag in flags)
        yield _Found(Limit.TEAMS, over=False, line=line, sources=sources)
