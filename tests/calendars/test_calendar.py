"""The calendar file: read by a parser that did not write it, and never ahead of the rules.

RFC 5545 is the standard; the parser is the package ics, which shares no code with the
writer's.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import product
from time import thread_time
from zoneinfo import ZoneInfo

import ics  # type: ignore[import-untyped]
import pytest
from conversation import NOW, TODAY, grammar
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from shown_families import (
    BUSY,
    FAMILIES,
    HELD,
    KAI,
    LANGUAGES,
    LONG,
    NONE,
    ONE,
    RESTING,
    ago,
    families,
    family,
    held,
    three_years,
    threw,
    today_of,
)

from armbot.calendars.calendar import plain, write
from armbot.model.family import Family, OffSeason, Planned

GRANTING = ("calendar_first", "calendar_planned", "calendar_off_end", "calendar_planned_no")
"""Titles of events that speak of a day to throw, or of the end of a time without."""
BODY = {
    "en": "arm elbow shoulder hand finger pain hurt sore injury injured sign doctor clinic",
    "es": "brazo codo hombro mano dedo dolor duele lesión señal doctor clínica alta",
}
"""Words that a title on a locked screen must not hold."""


def made(of: Family, lang: str = "en", now: datetime = NOW, *, discreet: bool = True) -> str:
    """The family's file as text."""
    return write(of, grammar().library, lang, now, discreet=discreet).decode("utf-8")


def read(text: str) -> list[ics.Event]:
    """The events of a file in the order of their days, by the independent parser."""
    return sorted(ics.Calendar(text).events, key=lambda event: (event.begin, event.uid))


def told(of: Family, lang: str = "en", *, discreet: bool = True) -> list[tuple[date, str]]:
    """(day, title) of every event of a family's file."""
    return [(e.begin.date(), e.name) for e in read(made(of, lang, discreet=discreet))]


def granting(lang: str) -> set[str]:
    """What comes after the name in titles that speak of a day to throw."""
    phrases = (f"{key}{tail}" for key in GRANTING for tail in ("", "_plain"))
    return {grammar().library.phrase(lang, key).removeprefix("{name}") for key in phrases}


def titles_by_the_standard(text: str) -> list[str]:
    """Titles unfolded and unescaped in one pass (RFC 5545, 3.1 and 3.3.11).

    The package ics unescapes in several passes, and so misreads a backslash before an n.
    """
    lines = text.replace("\r\n ", "").split("\r\n")
    raw = [line.removeprefix("SUMMARY:") for line in lines if line.startswith("SUMMARY:")]
    return [re.sub(r"\\(.)", r"\1", title) for title in raw]


@QUICK
@given(of=families(), lang=st.sampled_from(LANGUAGES))
def test_any_familys_file_is_read_by_another_parser(of: Family, lang: str) -> None:
    """Lines end as the standard says, none is over 75 octets, and every event is found."""
    data = write(of, grammar().library, lang, NOW)
    lines = data.split(b"\r\n")
    assert (lines[0], *lines[-2:]) == (b"BEGIN:VCALENDAR", b"END:VCALENDAR", b"")
    assert max(map(len, lines)) <= 75
    assert not any(byte in line for line in lines for byte in (b"\n", b"\r", b"\x00"))
    found = read(data.decode("utf-8"))
    assert len({event.uid for event in found}) == len(found) == data.count(b"BEGIN:VEVENT")
    assert all(event.all_day and event.begin.date() >= today_of(of) for event in found)
    titles = titles_by_the_standard(data.decode("utf-8"))
    if not any("\\" in title for title in titles):
        assert Counter(titles) == Counter(event.name for event in found)


@QUICK
@given(of=families())
def test_the_same_event_keeps_its_identity(of: Family) -> None:
    """An hour later, in the other language, told plainly: the same identities."""
    first = {event.uid: event.begin for event in read(made(of))}
    again = made(of, "es", NOW + timedelta(minutes=30), discreet=False)
    assert {event.uid: event.begin for event in read(again)} == first


@QUICK
@given(of=families(on_hold=True))
def test_on_hold_no_day_to_throw_is_in_the_file(of: Family) -> None:
    """Neither a first day nor a planned outing nor the end of an off-season, for that athlete."""
    on_hold = [athlete for athlete in of.athletes if of.hold_of(athlete.id)]
    only = replace(of, athletes=tuple(on_hold))
    for lang, discreet in product(LANGUAGES, (True, False)):
        titles = titles_by_the_standard(made(only, lang, discreet=discreet))
        assert not [title for title in titles if title.endswith(tuple(granting(lang)))]


def test_the_check_for_days_to_throw_sees_one() -> None:
    """Without a hold the first day is there, and the planned outing as well."""
    titles = [name for _, name in told(BUSY)]
    assert sum(name.endswith(tuple(granting("en"))) for name in titles) == 4


@pytest.mark.parametrize("discreet", [True, False])
def test_a_new_file_takes_back_what_an_older_one_named(discreet: bool) -> None:  # noqa: FBT001
    """On hold each event that named a day to throw is told again, as one without throwing."""
    off = (OffSeason("a1", ago(-20), ago(-40)),)
    before = replace(BUSY, off_seasons=off)
    older = {e.uid: e for e in read(made(before, discreet=discreet))}
    newer = {e.uid: e for e in read(made(held(before, days=0), discreet=discreet))}
    named = [uid for uid, e in older.items() if e.name.endswith(tuple(granting("en")))]
    assert len(named) == 5
    for uid in named:
        assert newer[uid].name.startswith("Kai: on hold")
        assert "No throwing" in newer[uid].description


def test_a_later_file_counts_as_a_later_revision() -> None:
    """SEQUENCE rises with time (RFC 5545, 3.8.7.4), and DTSTAMP is that of the making, in UTC."""
    early, late = made(ONE), made(ONE, now=NOW + timedelta(hours=2))
    assert "DTSTAMP:20260610T230000Z\r\n" in early
    assert "DTSTAMP:20260611T010000Z\r\n" in late
    numbers = [int(text.split("SEQUENCE:")[1].split("\r\n")[0]) for text in (early, late)]
    assert 0 < numbers[0] < numbers[1] < 2**31


def test_rest_and_first_day_of_one_outing() -> None:
    """62 pitches at 11 on Tuesday: rest Wednesday to Friday, first day Saturday.

    Major League Baseball with USA Baseball, 2014: ages 11-12, 51-65 pitches, 3 days.
    """
    assert told(ONE) == [
        (ago(0), "Kai: rest day"),
        (ago(-1), "Kai: rest day"),
        (ago(-2), "Kai: rest day"),
        (ago(-3), "Kai: first day by the chart"),
    ]
    assert all("Only if the arm feels normal" in e.description for e in read(made(ONE))[-1:])


def test_a_day_is_a_whole_day() -> None:
    """DATE values, the end being the day after (RFC 5545, 3.6.1), free and private."""
    text = made(ONE)
    assert "DTSTART;VALUE=DATE:20260613\r\nDTEND;VALUE=DATE:20260614\r\n" in text
    count = text.count("BEGIN:VEVENT")
    assert text.count("TRANSP:TRANSPARENT") == text.count("CLASS:PRIVATE") == count
    assert "TZID" not in text


@pytest.mark.parametrize("lang", LANGUAGES)
def test_on_hold_it_asks_whether_the_arm_was_seen(lang: str) -> None:
    """From today on the days on which the bot asks, and that there is a hold."""
    titles = Counter(name for _, name in told(HELD, lang, discreet=False))
    phrase = grammar().library.phrase
    assert titles[phrase(lang, "calendar_follow_up_plain").format(name="Kai")] == 3
    assert titles[phrase(lang, "calendar_hold_plain").format(name="Kai")] == 4


def test_the_off_season_has_a_start_and_an_end() -> None:
    """Two days, not one bar over months; once begun only its end is to come."""
    ahead = family(off_seasons=(OffSeason("a1", ago(-5), ago(-65)),))
    assert told(ahead) == [
        (ago(-5), "Kai: off-season starts"), (ago(-65), "Kai: off-season ends"),
    ]  # fmt: skip
    assert told(RESTING) == [(ago(0), "Kai: off-season"), (ago(-80), "Kai: off-season ends")]


def test_a_planned_outing_inside_the_rest_says_not_yet() -> None:
    """The plan is kept, with what stands against it."""
    early = replace(ONE, planned=(Planned("a1", ago(-1)), Planned("a1", ago(-9))))
    assert (ago(-1), "Kai: planned outing, not yet") in told(early)
    assert (ago(-9), "Kai: planned outing") in told(early)


@pytest.mark.parametrize("lang", LANGUAGES)
@pytest.mark.parametrize("name", FAMILIES)
def test_titles_are_discreet(name: str, lang: str) -> None:
    """No part of the body and nothing of an illness is in a title unless asked for."""
    words = {
        word.strip(".,:;?¿").lower()
        for _, title in told(FAMILIES[name], lang)
        for word in title.split()
    }
    assert not words & set(BODY[lang].split())
    plainly = " ".join(title for _, title in told(HELD, lang, discreet=False)).split()
    assert {word.strip("?").lower() for word in plainly} & set(BODY[lang].split())


def test_signs_and_what_was_said_are_in_no_file() -> None:
    """The report's words and signs stay in the record."""
    text = made(HELD, discreet=False).lower()
    assert "invented" not in text
    assert "pain," not in text.replace("no pain,", "")


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("O'Neil, Jr.; \\n", "O'Neil, Jr.; \\n"),
        ("X\r\nEND:VCALENDAR", "X END:VCALENDAR"),
        ("\\", "\\"),
        ("🧢" * 30, "🧢" * 30),
        ("Ñ" * 30, "Ñ" * 30),
    ],
)
def test_a_nickname_cannot_break_the_file(typed: str, printed: str) -> None:
    """Commas, semicolons, backslashes and line breaks come back as they were, as one line."""
    text = made(family(threw(1, 62), who=replace(KAI, name=typed)))
    assert len(read(text)) == 4
    assert titles_by_the_standard(text)[0] == f"{printed}: rest day"


@pytest.mark.parametrize(
    ("zone", "first"),
    [("America/New_York", TODAY), ("Pacific/Kiritimati", TODAY + timedelta(days=1))],
)
def test_today_is_that_of_the_familys_zone(zone: str, first: date) -> None:
    """Seven in the evening of New York is already tomorrow on the islands of the date line."""
    assert told(replace(ONE, zone=zone))[0][0] == first
    assert made(ONE, now=NOW.astimezone(ZoneInfo("Asia/Tokyo"))) == made(ONE)


def test_a_time_without_offset_is_refused() -> None:
    """It could be meant anywhere."""
    with pytest.raises(ValueError, match="offset"):
        write(ONE, grammar().library, "en", datetime(2026, 6, 10, 19, 0))  # noqa: DTZ001


def test_an_empty_calendar_still_holds_one_event() -> None:
    """RFC 5545, 3.6: a calendar holds at least one component."""
    assert told(NONE) == [(TODAY, "Pitching days: nothing yet")]
    assert told(Family("f9")) == [(TODAY, "Pitching days: nothing yet")]


def test_a_report_before_any_athlete_is_known_is_shown() -> None:
    """The hold is on everybody, named or not."""
    titles = [name for _, name in told(held(Family("f9"), owner=""))]
    assert "The athlete: on hold" in titles
    assert "The athlete: follow-up" in titles


def test_two_athletes_share_a_file_and_no_identity() -> None:
    """The days of both, each under its own name."""
    both = replace(ONE, athletes=(KAI, LONG), outings=(*ONE.outings, ("a2", threw(1, 62))))
    found = read(made(both))
    assert len({event.uid for event in found}) == len(found)
    assert {event.name.split(":")[0].split()[0] for event in found} == {"Kai", "Maximiliano"}


def test_identities_tell_nothing_of_the_family() -> None:
    """They are hashes, and those of another family with the same log are others."""
    for event in read(made(ONE)):
        assert re.fullmatch(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}@armbot", event.uid)
    other = {event.uid for event in read(made(replace(ONE, id="f2")))}
    assert not other & {event.uid for event in read(made(ONE))}


def test_three_years_of_daily_outings_stay_fast_and_small() -> None:
    """With a planned outing on each of a thousand days to come, only those of a year are told."""
    planned = tuple(Planned("a1", ago(-day)) for day in range(1000))
    of = replace(three_years(), planned=planned)
    began = thread_time()
    text = made(of)
    assert thread_time() - began < 1
    assert text.count("BEGIN:VEVENT") < 380
    assert len(text) < 300_000


def test_control_characters_are_left_out() -> None:
    """RFC 5545, 3.1: none in a text; a line of text stays one line."""
    assert plain("a\x07b\u2028c\n**d**\ud800") == "abcd"
    assert made(ONE, now=NOW.astimezone(UTC)) == made(ONE)
