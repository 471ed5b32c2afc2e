"""What holds of every family, at every moment: generated families on a simulated clock."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from conversation import dates_in, holds_phrase
from granting import GRANTS
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from reminder_clock import guardian, library, own_chat
from reminder_family import KAI, LUZ, game

from armbot.core.workload import eligibility
from armbot.engine.frames import sets_for, who_of
from armbot.engine.reminder_view import view_of
from armbot.engine.reminders import next_due, remind, rescheduled
from armbot.engine.say import Voice
from armbot.model.family import Family, Hold, OffSeason, Planned, Quiet, Report
from armbot.model.outbox import Outgoing
from armbot.model.outings import Outing, OutingKind
from armbot.model.reports import Tier

FIRST = date(2026, 10, 20)
"""Two weeks around the autumn change, and the same around the spring one, lie ahead."""
ZONES = ("America/New_York", "America/Los_Angeles", "America/Phoenix", "Australia/Lord_Howe")
START = datetime(2026, 10, 20, 12, tzinfo=UTC)


def days(ahead: int) -> st.SearchStrategy[date]:
    """A day from the first one on."""
    return st.integers(0, ahead).map(lambda n: FIRST + timedelta(days=n))


@st.composite
def outings(draw: st.DrawFn) -> tuple[str, Outing]:
    """Something one of two children did."""
    day, owner = draw(days(20)), draw(st.sampled_from(["a1", "a2"]))
    if draw(st.booleans()):
        pitches = draw(st.none() | st.integers(1, 110))
        return owner, game(day, pitches, draw(st.none() | st.integers(1, 27)))
    kind = draw(st.sampled_from(list(OutingKind)))
    return owner, Outing(f"x{day}{owner}", day, kind, pitches=draw(st.integers(1, 60)))


@st.composite
def families(draw: st.DrawFn) -> Family:
    """Two children, two parents and a child's phone, with whatever a season brings."""
    since = START + timedelta(days=draw(st.integers(0, 20)))
    owner = draw(st.sampled_from(["", "a1", "a2"]))
    reported = draw(st.booleans())
    off = OffSeason("a1", draw(days(20)), FIRST + timedelta(days=draw(st.integers(21, 60))))
    return Family(
        id="f",
        zone=draw(st.sampled_from(ZONES)),
        athletes=(KAI, LUZ),
        members=(guardian(101), guardian(102, "es"), own_chat(103, "a1")),
        outings=tuple(draw(st.lists(outings(), max_size=10))),
        planned=tuple(Planned("a2", day) for day in draw(st.lists(days(20), max_size=3))),
        off_seasons=(off,) if draw(st.booleans()) else (),
        reports=(Report(since, owner, Tier.STOP, (), "", id="r1"),) if reported else (),
        holds=(Hold(owner, since, Tier.STOP),) if reported else (),
        quiet=draw(st.builds(Quiet, st.integers(0, 23), st.integers(0, 23))),
        due=START,
    )


def played(
    family: Family, sleeps: list[float], zones: list[str]
) -> tuple[list[Outgoing], list[tuple[datetime, str]]]:
    """Everything told in thirty days, and the family's zone at each look.

    The server sleeps for so many hours before each look, and the family moves about.
    """
    told: list[Outgoing] = []
    looks: list[tuple[datetime, str]] = []
    now, turn = START, 0
    while family.due is not None and family.due < START + timedelta(days=30):
        now = max(family.due, now) + timedelta(hours=sleeps[turn % len(sleeps)])
        zone = zones[turn % len(zones)]
        if zone != family.zone:
            family = rescheduled(family, replace(family, zone=zone), library(), now)
        looks.append((now, family.zone))
        family = remind(family, library(), now)
        assert remind(family, library(), now) == family, "a second look changes nothing"
        assert family.due is None or family.due > now
        told += family.outbox
        family = replace(family, outbox=())
        turn += 1
        assert turn < 2000, "it never comes to rest"
    return told, looks


SLEEPS = st.lists(st.sampled_from([0.0, 0.0, 0.01, 1.5, 9.0, 30.0, 80.0]), min_size=1, max_size=6)
MOVES = st.lists(st.sampled_from(ZONES), min_size=1, max_size=3)


@QUICK
@given(family=families(), sleeps=SLEEPS, zones=MOVES)
def test_each_key_once_outside_quiet_hours_and_while_it_is_of_use(
    family: Family, sleeps: list[float], zones: list[str]
) -> None:
    """Whatever the server sleeps and wherever the family moves."""
    told, looks = played(family, sleeps, zones)
    assert max(Counter(message.key for message in told).values(), default=0) <= 1
    zone_at = dict(looks)
    for message in told:
        hour = message.at.astimezone(ZoneInfo(zone_at[message.at])).hour
        first, last = family.quiet.first, family.quiet.last
        inside = first <= hour < last if first <= last else hour >= first or hour < last
        assert not inside
        assert message.until is not None
        assert message.at <= message.until
        assert all(len(button.act.encode("ascii")) <= 45 for button in message.buttons)


@QUICK
@given(family=families(), sleeps=SLEEPS)
def test_on_hold_nothing_grants_or_dates_throwing(family: Family, sleeps: list[float]) -> None:
    """From the moment of the report on, no message about that child names a day."""
    family = replace(family, holds=tuple(replace(h, since=START) for h in family.holds))
    told, _ = played(family, sleeps, [family.zone])
    for message in told:
        athlete = message.key.split(".")[1]
        if athlete and family.hold_of(athlete) is None:
            continue
        lang = "es" if message.chat == 102 else "en"
        if family.holds:
            assert not message.grants
            assert dates_in(message.text, lang) == []
            assert holds_phrase(message.text, lang, GRANTS) == []


@QUICK
@given(family=families(), sleeps=SLEEPS)
def test_after_a_long_sleep_one_message_a_chat(family: Family, sleeps: list[float]) -> None:
    """A look more than three days late brings one reminder at most, once for each listener."""
    now = START + timedelta(days=4, hours=sleeps[0])
    late = remind(family, library(), now)
    in_time = timedelta(minutes=library().reminders.in_time_minutes.value)
    fresh = remind(replace(family, due=now - in_time), library(), now)
    on_time = {message.key for message in fresh.outbox}
    keys = {m.key.rsplit(".", 1)[0] if m.key.count(".") == 3 else m.key for m in late.outbox}
    assert len(keys - on_time) <= 1


@QUICK
@given(family=families(), sleeps=SLEEPS)
def test_rest_days_told_are_those_of_an_answer_at_that_moment(
    family: Family, sleeps: list[float]
) -> None:
    """The first day named is what the charts say over the log as it is."""
    told, looks = played(family, sleeps, [family.zone])
    zone_at = dict(looks)
    for message in told:
        kind, owner, *_ = message.key.split(".")
        if kind not in ("rest", "eligible") or not message.grants:
            continue
        athlete = family.athlete(owner)
        assert athlete is not None
        moment = message.at.astimezone(ZoneInfo(zone_at[message.at]))
        view = view_of(family, library(), athlete, moment)
        lang = "es" if message.chat == 102 else "en"
        voice = Voice(library(), lang)
        sets = sets_for(view.scene(voice), view.frame)
        free = eligibility(sets, who_of(view.frame), view.log).first_eligible
        day = free if kind == "rest" else moment.date()
        assert voice.day(day) in message.text
        assert day >= free


@QUICK
@given(family=families(), hours=st.integers(0, 24 * 25))
def test_the_next_look_is_never_later_than_what_it_brings(family: Family, hours: int) -> None:
    """Between now and the next due moment no look would bring anything."""
    now = START + timedelta(hours=hours)
    family = remind(family, library(), now)
    family = replace(family, outbox=())
    due = next_due(family, library(), now)
    assert due == family.due
    end = due or now + timedelta(days=20)
    for share in (0.25, 0.5, 0.9):
        between = now + (end - now) * share
        assert remind(family, library(), between).outbox == ()
