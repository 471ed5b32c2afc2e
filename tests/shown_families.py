"""Invented families for what is shown of them: the picture, its text and the calendar."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from conversation import NOW, TODAY, grammar
from hypothesis import strategies as st

from armbot.engine.overview import Overview, overview
from armbot.model.family import (
    Athlete,
    Clearance,
    Family,
    Hold,
    OffSeason,
    Planned,
    Report,
    Talk,
)
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import AgeSpan, BirthMonth
from armbot.model.reports import Tier

ZONE = ZoneInfo("America/New_York")
KAI = Athlete(id="a1", name="Kai", birth=BirthMonth(2015, 3))
"""Eleven on the tests' Wednesday, 10 June 2026."""
LONG = Athlete(id="a2", name="Maximiliano Alejandro de la Garza y Núñez", birth=BirthMonth(2012, 1))
LANGUAGES = ("en", "es")


def ago(days: int) -> date:
    """So many days before today."""
    return TODAY - timedelta(days=days)


def at(days: int, hour: int = 18) -> datetime:
    """An hour of the day so many days before today, where the family lives."""
    return datetime.combine(ago(days), datetime.min.time(), ZONE).replace(hour=hour)


def threw(days: int, pitches: int | None, team: str = "", **more: object) -> Outing:
    """A game so many days ago."""
    return Outing(f"o{days}{team}", ago(days), pitches=pitches, team=team, **more)  # type: ignore[arg-type]


def family(*outings: Outing, who: Athlete = KAI, **more: object) -> Family:
    """A family of one athlete with that log."""
    log = tuple((who.id, outing) for outing in outings)
    return Family("f1", athletes=(who,), outings=log, **more)  # type: ignore[arg-type]


def held(base: Family, days: int = 4, owner: str = "a1") -> Family:
    """The family with a report so many days ago, and the hold that it brought."""
    since = at(days)
    report = Report(since, owner, Tier.STOP, ("pain",), "invented")
    holds = (*base.holds, Hold(owner, since, Tier.STOP))
    return replace(base, reports=(*base.reports, report), holds=holds)


def cleared(base: Family, days: int = 1) -> Family:
    """The family with every hold ended so many days ago."""
    ended = tuple(Clearance(hold.athlete, at(days, 9), "physician") for hold in base.holds)
    return replace(base, holds=(), clearances=(*base.clearances, *ended))


_SEASON = (
    threw(33, 40, "A"), threw(31, 30, "B"), threw(27, 62, "A"), threw(24, 20, "B"),
    threw(20, 75, "A"), threw(20, 15, "B"), threw(16, 45, "A"), threw(13, 30, "B"),
    threw(9, 66, "A"), threw(6, 90, "B"), threw(1, 45, "A"),
    Outing("b1", ago(3), OutingKind.BULLPEN, pitches=25),
    Outing("b2", ago(40), OutingKind.BULLPEN, pitches=25),
    Outing("c1", ago(11), OutingKind.CATCHING, innings_caught=4),
    Outing("s1", ago(18), OutingKind.OVERHEAD_SPORT, note="swimming"),
    Outing("s2", ago(100), OutingKind.OVERHEAD_SPORT, note="swimming"),
)  # fmt: skip
_PLANNED = (Planned("a1", ago(-1)), Planned("a1", ago(-2)), Planned("a1", ago(-9)))
NONE = family()
ONE = family(threw(1, 62))
BUSY = family(*_SEASON, planned=_PLANNED)
HELD = held(BUSY)
CLEARED = cleared(held(BUSY, days=12), days=5)
RESTING = family(
    *(threw(60 + 7 * week, 40) for week in range(20)),
    off_seasons=(OffSeason("a1", ago(10), ago(-80)),),
)
UNCOUNTED = family(threw(2, None))
LONG_NAME = family(*_SEASON, who=LONG)
FAMILIES = {
    "nothing logged": NONE,
    "one outing": ONE,
    "busy season with two teams": BUSY,
    "on hold": HELD,
    "cleared": CLEARED,
    "off-season": RESTING,
    "count missing": UNCOUNTED,
    "long nickname": LONG_NAME,
}


def today_of(of: Family) -> date:
    """The date where the family lives, at the tests' hour."""
    return NOW.astimezone(ZoneInfo(of.zone)).date()


def shown(of: Family, lang: str = "en", today: date | None = None) -> Overview:
    """The overview of the family's first athlete."""
    return overview(of, of.athletes[0], grammar().library, lang, today or today_of(of))


def three_years() -> Family:
    """A family that logged a game on every day of three years."""
    return family(*(threw(days, 10 + days % 80) for days in range(3 * 365)))


def _days(first: int, last: int) -> st.SearchStrategy[date]:
    return st.integers(first, last).map(ago)


_outings = st.builds(
    Outing,
    id=st.uuids().map(str),
    day=st.one_of(_days(-3, 40), _days(0, 400)),
    kind=st.sampled_from((*(OutingKind.GAME,) * 4, *OutingKind)),
    pitches=st.one_of(st.none(), st.integers(0, 130), st.integers(1, 90)),
    innings_caught=st.sampled_from((0, 0, 0, 4)),
    team=st.sampled_from(("", "A", "B")),
)
NAMES = st.one_of(
    st.sampled_from(
        ("Kai", "", "$x_2$", "🧢", "O'Neil, Jr.; \\n", "**Kai**", "ñ" * 60, "\u202eiaK")
    ),
    st.text(max_size=30),
)
"""Nicknames as they may be typed: empty, long, of signs that files and pictures escape."""


@st.composite
def families(draw: st.DrawFn, *, on_hold: bool | None = None) -> Family:
    """A family of one or two athletes in any state; on hold or not where that is asked for."""
    ages = st.one_of(st.builds(BirthMonth, st.integers(2003, 2021), st.integers(1, 12)), st.none())
    span = st.one_of(st.none(), st.integers(6, 19).map(lambda age: AgeSpan(age, age)))
    athletes = tuple(
        Athlete(
            f"a{number}", draw(NAMES), draw(ages), draw(span),
            rules=draw(st.sampled_from(((), (), ("little_league",), ("unheard_of",)))),
            sport=draw(st.sampled_from(("baseball", "baseball", "softball"))),
        )
        for number in (1, 2)[: draw(st.integers(1, 2))]
    )  # fmt: skip
    owners = [athlete.id for athlete in athletes]
    of_one = st.sampled_from(owners)
    log = draw(st.lists(st.tuples(of_one, _outings), max_size=25))
    off = st.builds(
        lambda owner, first, length: OffSeason(owner, ago(first), ago(first - length)),
        of_one, st.integers(-60, 60), st.integers(0, 120),
    )  # fmt: skip
    found = Family(
        id="f1",
        zone=draw(st.sampled_from(("America/New_York", "Pacific/Kiritimati", "Etc/GMT+12"))),
        athletes=athletes,
        outings=tuple(log),
        off_seasons=tuple(draw(st.lists(off, max_size=2))),
        planned=tuple(draw(st.lists(st.builds(Planned, of_one, _days(-40, 5)), max_size=4))),
        talk=Talk(tier=draw(st.sampled_from((Tier.NONE, Tier.NONE, Tier.ASK)))),
    )
    if draw(st.booleans()):
        found = cleared(
            held(found, draw(st.integers(8, 40)), draw(of_one)), draw(st.integers(1, 7))
        )
    if on_hold or (on_hold is None and draw(st.booleans())):
        found = held(found, draw(st.integers(0, 7)), draw(st.sampled_from(("", "a1"))))
    return found
