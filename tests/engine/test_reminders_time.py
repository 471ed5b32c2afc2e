"""Reminders through clocks that change, families that move, and servers that sleep."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache

import pytest
from reminder_clock import Clock, guardian, library, local, server_down
from reminder_family import (
    KAI,
    LUZ,
    TUESDAY,
    ZONE,
    at,
    comes,
    family_of,
    game,
    held,
    look,
    only,
    other,
    said,
)

from armbot.engine.reminders import next_due, remind, rescheduled
from armbot.model.cite import Cite, Seen
from armbot.model.family import Family, OffSeason, Planned, Quiet
from armbot.model.library import Library
from armbot.model.outings import OutingKind
from armbot.model.people import BirthMonth
from armbot.model.reminders import ReminderKind
from armbot.model.rules import Figure

GAME = game(TUESDAY, 62)
EVENING = "2026-06-09 19:00"
LOUD = Quiet(0, 0)


@cache
def content_at(kind: ReminderKind, hour: int) -> Library:
    """The shipped content with one kind moved to another hour."""
    cite = Cite("common-practice", "test", "undated", Seen.COMMON)
    reminders = library().reminders
    moved = replace(reminders.kinds[kind], hour=Figure(hour, cite))
    kinds = {**reminders.kinds, kind: moved}
    return replace(library(), reminders=replace(reminders, kinds=kinds))


def run(family: Family, content: Library, start: datetime, end: datetime) -> list[str]:
    """Everything a clock that never sleeps brings: key and local time."""
    family = replace(family, due=next_due(family, content, start))
    told = []
    while family.due is not None and family.due < end:
        now = family.due
        family = remind(family, content, now)
        told += [f"{m.key} {m.at.astimezone(start.tzinfo):%H:%M %Z}" for m in family.outbox]
        family = replace(family, outbox=())
    return told


def test_twice_at_the_same_moment_changes_nothing() -> None:
    """A second look finds nothing more to do, and no other moment to come."""
    for moment in (EVENING, "2026-06-10 08:00", "2026-06-10 22:30", "2026-06-13 09:00"):
        once = look(family_of(GAME, GAME, **held("a2")), moment)
        assert remind(once, library(), at(moment)) == once


def test_what_is_of_no_use_any_more_is_remembered_as_such() -> None:
    """The evening missed by a day, under its key; the morning that was sent, under its own."""
    family = look(replace(family_of(GAME), due=at(EVENING)), "2026-06-10 12:00")
    assert [message.key for message in family.outbox] == ["arm.a1.2026-06-10"]
    keys = [entry.key for entry in family.done]
    assert keys == ["arm.a1.2026-06-10", "not.rest.a1.2026-06-09"]


def test_nothing_logged_means_nothing_is_due() -> None:
    """A family that told nothing is never woken."""
    assert next_due(family_of(), library(), at(EVENING)) is None
    assert look(family_of(), EVENING) == family_of()


def test_a_reminder_on_the_minute_that_does_not_exist_comes_right_after_once() -> None:
    """02:00 on 14 March 2027 in New York: at 03:00 EDT, and not again."""
    family = family_of(game(date(2027, 3, 13), 62), quiet=LOUD, muted=("rest", "limits"))
    told = run(
        family,
        content_at(ReminderKind.ARM, 2),
        local("2027-03-13 20:00", ZONE),
        at("2027-03-17 00:00"),
    )
    assert told == ["arm.a1.2027-03-14 03:00 EDT"]


def test_a_reminder_on_the_minute_that_comes_twice_comes_at_the_first_once() -> None:
    """01:00 on 1 November 2026 in New York: at 01:00 EDT, and not at 01:00 EST."""
    family = family_of(game(date(2026, 10, 31), 62), quiet=LOUD, muted=("rest", "limits"))
    told = run(
        family,
        content_at(ReminderKind.ARM, 1),
        local("2026-10-31 20:00", ZONE),
        at("2026-11-04 00:00"),
    )
    assert told == ["arm.a1.2026-11-01 01:00 EDT"]


@pytest.mark.parametrize(
    ("day", "told"),
    [(date(2027, 3, 13), "19:00 EST"), (date(2027, 3, 14), "19:00 EDT")],
)
def test_an_evening_keeps_its_hour_on_the_wall_on_both_sides_of_a_change(
    day: date, told: str
) -> None:
    """Seven is seven, whatever the offset."""
    family = family_of(game(day, 62), muted=("arm", "limits", "eligible"))
    found = run(family, library(), local(f"{day} 12:00", ZONE), at("2027-03-20 00:00"))
    assert found == [f"rest.a1.{day} {told}"]


def test_the_leap_day_is_a_day_of_rest_and_of_pitching() -> None:
    """62 pitches on 26 February 2028: rest 27, 28 and 29, the first day is 1 March."""
    young = replace(KAI, birth=BirthMonth(2016, 3))
    family = family_of(game(date(2028, 2, 26), 62), athletes=(young,))
    assert "Sun 27, Mon 28 and Tue 29 February" in only(family, "2028-02-26 19:00")
    assert "Wed 1 March" in only(family, "2028-03-01 09:00")


def test_an_off_season_from_a_leap_day_has_its_months() -> None:
    """From 29 February 2028 on: 29 March, 29 April."""
    off = OffSeason("a1", date(2028, 2, 29), date(2028, 5, 31))
    family = family_of(off_seasons=(off,))
    days, now = [], at("2028-02-20 12:00")
    due = next_due(family, library(), now)
    while due is not None:
        family = remind(replace(family, due=due), library(), due)
        days += [f"{message.key}" for message in family.outbox]
        family = replace(family, outbox=())
        due = family.due
    assert days == [f"off.a1.2028-{day}" for day in ("02-29", "03-29", "04-29", "05-18", "05-31")]


def test_a_birthday_overnight_changes_the_limit_that_is_told() -> None:
    """Twelve until the end of April, thirteen from 1 May: 85 a day becomes 95."""
    older = replace(KAI, birth=BirthMonth(2014, 4))
    family = family_of(game(date(2027, 4, 26), 62), athletes=(older,))
    assert "85 pitches" in only(family, "2027-04-30 09:00")
    later = family_of(game(date(2027, 4, 27), 62), athletes=(older,))
    assert "95 pitches" in only(later, "2027-05-01 09:00")


def test_a_birthday_between_outing_and_first_day_moves_the_rest_by_the_row_of_its_day() -> None:
    """14 in April, 15 in May: rest is owed by the row of the day thrown, as answers say."""
    older = replace(KAI, birth=BirthMonth(2012, 4))
    family = family_of(game(date(2027, 4, 29), 65), athletes=(older,))
    assert "Mon 3 May" in only(family, "2027-04-29 19:00")
    assert "95 pitches" in only(family, "2027-05-03 09:00")


def test_an_outing_told_after_its_evening_hour_brings_no_echo_of_the_answer() -> None:
    """Logged at 21:40: the answer told the rest days; the next thing is the morning."""
    comes(replace(family_of(GAME), due=None), "2026-06-10 08:00", "2026-06-09 21:40")
    waiting = replace(family_of(GAME), due=at("2026-06-13 09:00"))
    comes(waiting, "2026-06-10 08:00", "2026-06-09 21:40")


def test_an_old_log_brought_in_at_once_does_not_bring_a_pile() -> None:
    """Ninety outings of a season, imported: nothing is due for what is over."""
    outings = [game(TUESDAY - timedelta(days=n), 20) for n in range(8, 98)]
    assert next_due(family_of(*outings), library(), at(EVENING)) is None


def test_a_move_west_does_not_tell_the_same_evening_twice() -> None:
    """Told at seven in New York; at seven in Denver the family has heard it."""
    family = look(family_of(GAME), EVENING)
    moved = rescheduled(family, replace(family, zone="America/Denver"), library(), at(EVENING))
    assert said(moved, EVENING) == []


def test_a_move_east_does_not_lose_the_evening() -> None:
    """At 17:30 in Denver the family moves to New York, where it is 19:30: it comes now."""
    family = replace(family_of(GAME), zone="America/Denver", due=at(EVENING, "America/Denver"))
    now = at("2026-06-09 17:30", "America/Denver")
    moved = rescheduled(family, replace(family, zone=ZONE), library(), now)
    assert moved.due == now
    assert [m.key for m in remind(moved, library(), now).outbox] == ["rest.a1.2026-06-09"]


def test_a_move_east_into_the_night_waits_for_the_morning() -> None:
    """From Honolulu at five to New York at eleven at night: eight in the morning, if of use."""
    far = "Pacific/Honolulu"
    muted = ("arm", "limits", "eligible")
    family = replace(family_of(GAME, muted=muted), zone=far, due=at(EVENING, far))
    moved = rescheduled(family, replace(family, zone=ZONE), library(), at("2026-06-09 17:00", far))
    assert moved.due == at("2026-06-10 08:00")
    assert [m.key for m in said(moved, "2026-06-10 08:00")] == ["rest.a1.2026-06-09"]


def test_new_quiet_hours_do_not_lose_a_reminder() -> None:
    """Quiet until nine; at half past eight quiet hours are turned off: the question comes."""
    family = family_of(GAME, quiet=Quiet(21, 9), due=at("2026-06-10 09:00"))
    now = at("2026-06-10 08:30")
    assert rescheduled(family, replace(family, quiet=LOUD), library(), now).due == now


def test_quiet_hours_move_a_reminder_or_drop_it() -> None:
    """Quiet from six in the evening: rest days wait for the morning; limits are dropped."""
    family = family_of(GAME, quiet=Quiet(18, 7), muted=("arm", "eligible"))
    comes(family, "2026-06-10 07:00", "2026-06-09 15:00")
    assert only(family, "2026-06-10 07:00").startswith("**Rest for Kai")


def test_a_server_that_wakes_in_the_night_waits_for_the_morning() -> None:
    """Due at seven, awake at eleven: nothing now, and nothing twice in the morning."""
    family = replace(family_of(GAME, muted=("arm",)), due=at(EVENING))
    night = look(family, "2026-06-09 23:00")
    assert night.outbox == ()
    assert night.due == at("2026-06-10 08:00")
    morning = look(night, "2026-06-10 08:00")
    assert [m.key for m in morning.outbox] == ["rest.a1.2026-06-09"]
    assert said(morning, "2026-06-10 08:00") == []


def busy_family() -> Family:
    """Two children with games, plans, an off-season and a report: much is due each day."""
    games = [("a1", game(date(2026, 6, day), 40)) for day in (6, 9, 12, 15)]
    games += [("a2", game(date(2026, 6, day), 50)) for day in (7, 10, 13)]
    games += [("a1", other(date(2026, 6, day), OutingKind.BULLPEN)) for day in (8, 11, 14)]
    return replace(
        family_of(athletes=(KAI, LUZ), members=(guardian(101), guardian(102)), **held("a2")),
        outings=tuple(games),
        planned=tuple(Planned("a1", date(2026, 6, day)) for day in (11, 14, 16)),
        off_seasons=(OffSeason("a1", date(2026, 6, 11), date(2026, 9, 30)),),
    )


def test_after_three_days_asleep_a_family_gets_one_message_not_a_pile() -> None:
    """Asleep from Wednesday noon to Saturday noon: the one that matters most, and current."""
    clock = Clock(replace(busy_family(), due=at("2026-06-10 14:00")))
    asleep = at("2026-06-13 12:00")
    events = [(at("2026-06-10 14:00"), server_down(asleep))]
    clock.run(events, at("2026-06-13 16:59"))
    assert [told.message.key for told in clock.told] == [
        "seen.a2.2026-06-13",
        "seen.a2.2026-06-13.102",
    ]
    assert {told.at for told in clock.told} == {asleep}


def test_what_stood_back_after_a_long_sleep_comes_at_its_next_hour_while_of_use() -> None:
    """The clash of the off-season, two days old, is told at five that afternoon."""
    clock = Clock(replace(busy_family(), due=at("2026-06-10 14:00")))
    events = [(at("2026-06-10 14:00"), server_down(at("2026-06-13 12:00")))]
    clock.run(events, at("2026-06-13 17:01"))
    keys = [told.message.key for told in clock.told if told.message.chat == 101]
    assert keys == ["seen.a2.2026-06-13", "off.a1.2026-06-12"]


def test_a_year_asleep_ends_in_silence() -> None:
    """Everything is long of no use; nothing is due any more."""
    family = replace(busy_family(), holds=(), due=at("2026-06-10 14:00"))
    later = look(family, "2027-06-10 12:00")
    assert later.outbox == ()
    assert later.due is None


def test_the_message_is_of_no_use_in_the_next_quiet_hours() -> None:
    """If sending takes too long it must not ring in the night."""
    message = said(family_of(GAME, quiet=Quiet(20, 7)), EVENING)[0]
    assert message.until == datetime(2026, 6, 10, 0, tzinfo=UTC)
    loud = said(family_of(GAME, quiet=LOUD), EVENING)[0]
    assert loud.until == at(EVENING) + timedelta(hours=14)
