"""The evening, the morning after and the day the arm is eligible again.

Rest by the MLB/USA Baseball guideline (content/rules/mlb_usab): at 11, 51 to 65 pitches
ask for 3 whole days, so 62 on Tuesday 9 June 2026 mean Saturday 13 June.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from conversation import phrase
from reminder_clock import AGREED, guardian, own_chat
from reminder_family import KAI, TUESDAY, comes, family_of, game, held, look, only, other, said

from armbot.model.family import Athlete, Clearance, Done, Member, OffSeason, Role, Talk
from armbot.model.outbox import Urgency
from armbot.model.outings import OutingKind
from armbot.model.people import AgeSpan, BirthMonth
from armbot.model.reports import Tier

GAME = game(TUESDAY, 62)
EVENING, MORNING, FREE = "2026-06-09 19:00", "2026-06-10 08:00", "2026-06-13 09:00"


def test_the_evening_tells_the_rest_days_with_their_dates() -> None:
    """62 pitches at 11 on Tuesday: Wednesday to Friday off, Saturday by the chart."""
    found = said(family_of(GAME), EVENING)
    assert [message.key for message in found] == ["rest.a1.2026-06-09"]
    message = found[0]
    assert message.text.startswith("**Rest for Kai: Wed 10, Thu 11 and Fri 12 June.**")
    assert "62 pitches on Tue 9 June" in message.text
    assert "by the chart: **Sat 13 June**" in message.text
    assert phrase("en", "if_normal") in message.text
    assert "(Major League Baseball with USA Baseball, 2014)" in message.text
    assert (message.urgency, message.chat, message.grants) == (Urgency.REMINDER, 101, True)
    assert message.at == datetime(2026, 6, 9, 23, tzinfo=UTC)
    assert message.until == datetime(2026, 6, 10, 1, tzinfo=UTC), "quiet hours begin at nine"


def test_the_same_evening_in_spanish_and_to_the_athlete() -> None:
    """The parent is told about Kai, Kai's own chat is spoken to; each in its language."""
    people = (guardian(101, "es"), own_chat(102, "a1", "es"), own_chat(103, "a2", "es"))
    found = said(family_of(GAME, members=people), EVENING)
    assert [(m.chat, m.key) for m in found] == [
        (101, "rest.a1.2026-06-09"),
        (102, "rest.a1.2026-06-09.102"),
    ]
    assert found[0].text.startswith("**Descanso para Kai: mié 10, jue 11 y vie 12 de junio.**")
    assert found[1].text.startswith("**Tus días de descanso: mié 10,")


def test_rest_days_across_a_month_name_both_months() -> None:
    """Tuesday 30 June with 62 pitches: 1 to 3 July."""
    text = only(family_of(game(date(2026, 6, 28), 62)), "2026-06-28 19:00")
    assert "Mon 29, Tue 30 June and Wed 1 July" in text


@pytest.mark.parametrize("pitches", [1, 20])
def test_an_evening_without_rest_days_is_silent(pitches: int) -> None:
    """Up to 20 pitches at 11 owe no day, so there is no date to tell."""
    assert said(family_of(game(TUESDAY, pitches)), EVENING) == []


def test_a_missing_count_is_asked_for() -> None:
    """Without a count no date is told: the count decides."""
    found = said(family_of(game(TUESDAY, None, outs=9)), EVENING)
    assert "How many pitches did Kai throw on Tue 9 June?" in found[0].text
    assert not found[0].grants


def test_more_than_any_band_names_no_date() -> None:
    """At 8 the printed table ends at 50: more rest than its top band, and a call."""
    young = replace(KAI, birth=BirthMonth(2018, 3))
    found = said(family_of(game(TUESDAY, 60), athletes=(young,)), EVENING)
    assert "no band that high for age 8" in found[0].text
    assert "First day" not in found[0].text
    assert not found[0].grants


def test_leagues_that_differ_are_named_as_in_an_answer() -> None:
    """The stricter one counts, and both are named."""
    athlete = replace(KAI, rules=("little_league",))
    assert "Little League" in only(family_of(GAME, athletes=(athlete,)), EVENING)


def test_the_next_morning_asks_how_the_arm_is() -> None:
    """A question with four answers; it grants nothing and names no day."""
    found = said(family_of(GAME), MORNING)
    assert [message.key for message in found] == ["arm.a1.2026-06-10"]
    assert found[0].text.startswith("**How is Kai's arm this morning?**")
    assert not found[0].grants
    assert [b.label for b in found[0].buttons] == ["Fine", "A bit sore", "It hurts", "Not now"]
    assert found[0].buttons[2].act == "rem:arm:a1:20260610:hurts"


@pytest.mark.parametrize("kind", [OutingKind.BULLPEN, OutingKind.LESSON])
def test_the_morning_after_a_bullpen_or_lesson_asks_too(kind: OutingKind) -> None:
    """Those are full-effort throws."""
    assert only(family_of(other(TUESDAY, kind)), MORNING).startswith("**How is Kai's arm")


@pytest.mark.parametrize(
    "kind", [OutingKind.PRACTICE, OutingKind.CATCHING, OutingKind.OVERHEAD_SPORT]
)
def test_daily_practice_does_not_bring_a_question_every_morning(kind: OutingKind) -> None:
    """A question each day would soon be turned off."""
    assert said(family_of(other(TUESDAY, kind)), MORNING) == []


def test_soreness_is_asked_about_once_more_with_the_published_rule() -> None:
    """The morning after it was told: one day off at least, two by a stricter plan."""
    sore = family_of(GAME, done=(Done("mark.sore.a1", date(2026, 6, 10)),))
    text = only(sore, "2026-06-11 08:00")
    assert "Is the soreness in Kai's arm gone?" in text
    assert "at least 1 day" in text
    assert "2 days" in text
    assert "University of Delaware" in text


def test_the_first_day_is_told_when_the_chart_and_the_log_allow_it() -> None:
    """Saturday morning, with the daily limit of the age and its source."""
    found = said(family_of(GAME), FREE)
    assert [message.key for message in found] == ["eligible.a1.2026-06-13"]
    text = found[0].text
    assert "may pitch again from today, Sat 13 June" in text
    assert phrase("en", "if_normal") in text
    assert "85 pitches" in text, "MLB/USA Baseball: 85 a day at 11 and 12"
    assert found[0].grants


def test_an_outing_in_between_moves_the_first_day() -> None:
    """30 more on Friday, against the rest owed: Saturday is silent, Sunday speaks."""
    family = family_of(GAME, game(date(2026, 6, 12), 30))
    assert said(family, FREE) == []
    assert "Sun 14 June" in only(family, "2026-06-14 09:00")


def silent_cases() -> dict[str, dict[str, Any]]:
    """What keeps the first day from being told."""
    cleared = Clearance("a1", datetime(2026, 6, 12, 15, tzinfo=UTC), "physician")
    asked, off = Talk(tier=Tier.ASK, athlete="a1"), Talk(off_on=date(2026, 6, 13))
    return {
        "on hold": held(),
        "a hold on nobody in particular": held(""),
        "cleared since: the clinician's plan leads": {"clearances": (cleared,)},
        "a safety question is open": {"talk": asked},
        "one is open in another chat": {"members": (replace(guardian(101), talk=asked),)},
        "today was called off": {"talk": off},
        "an off-season": {"off_seasons": (OffSeason("a1", date(2026, 6, 10), date(2026, 9, 1)),)},
        "used today already": {
            "outings": (("a1", GAME), ("a1", other(date(2026, 6, 13), OutingKind.PRACTICE)))
        },
        "soreness yesterday": {"done": (Done("mark.sore.a1", date(2026, 6, 12)),)},
        "turned off": {"muted": ("eligible",)},
        "softball": {"athletes": (replace(KAI, sport="softball"),)},
        "age unknown": {"athletes": (replace(KAI, birth=None),)},
        "no count": {"outings": (("a1", game(TUESDAY, None, outs=9)),)},
    }


@pytest.mark.parametrize("case", silent_cases())
def test_the_first_day_is_not_told_when_anything_speaks_against_it(case: str) -> None:
    """Each of these alone keeps it silent."""
    family = replace(family_of(GAME), **silent_cases()[case])
    assert [m for m in said(family, FREE) if m.key.startswith("eligible")] == []


def test_soreness_moves_the_first_day_by_the_stricter_rule() -> None:
    """Sore on Friday: free by the stricter rule on Sunday, when the chart has long allowed it."""
    sore = family_of(GAME, done=(Done("mark.sore.a1", date(2026, 6, 12)),))
    assert "Sun 14 June" in only(sore, "2026-06-14 09:00")


@pytest.mark.parametrize("text", [EVENING, FREE])
def test_on_hold_no_reminder_dates_or_allows_throwing(text: str) -> None:
    """Rest days and first days are silent for as long as the hold lasts."""
    assert said(family_of(GAME, **held(at="2026-06-09 18:00")), text) == []


def test_the_morning_after_a_report_does_not_ask_what_was_told() -> None:
    """The question after a report takes its place."""
    family = family_of(GAME, **held())
    assert said(family, MORNING) == []
    assert [m.key for m in said(family, "2026-06-10 10:00")] == ["seen.a1.2026-06-10"]


def test_a_report_already_cleared_is_not_asked_about_by_the_morning_question() -> None:
    """Told and cleared the same evening: the clinician has spoken."""
    since = held()
    cleared = Clearance("a1", datetime(2026, 6, 10, 1, tzinfo=UTC), "physician")
    assert said(family_of(GAME, reports=since["reports"], clearances=(cleared,)), MORNING) == []


def test_without_a_count_no_first_day_comes_even_after_the_longest_rest() -> None:
    """Four days at 11 would end on Sunday: still nobody knows the count."""
    unknown = family_of(game(TUESDAY, None, outs=9))
    assert said(unknown, "2026-06-14 09:00") == []


def test_a_count_missing_long_ago_keeps_nothing_from_being_told() -> None:
    """Its longest rest is over, and kept in the sum: the last outing's count decides."""
    old = game(date(2026, 5, 1), None, outs=3)
    assert "Sat 13 June" in only(family_of(old, GAME), FREE)


def test_an_unknown_age_silences_what_needs_it_and_nothing_else() -> None:
    """No rest days, but the arm is asked about."""
    nameless = Athlete(id="a1")
    assert said(family_of(GAME, athletes=(nameless,)), EVENING) == []
    assert only(family_of(GAME, athletes=(nameless,)), MORNING).startswith(
        "**How is your pitcher's arm"
    )


def test_an_age_told_as_a_span_takes_the_stricter_row() -> None:
    """12 or 13: 62 pitches ask for 3 days in both rows."""
    span = replace(KAI, birth=None, age=AgeSpan(12, 13), age_told_on=TUESDAY)
    assert "Sat 13 June" in only(family_of(GAME, athletes=(span,)), EVENING)


@pytest.mark.parametrize(
    "member",
    [
        replace(guardian(101), reachable=False),
        replace(guardian(101), consent=None),
        Member(101, Role.UNKNOWN, consent=AGREED),
        own_chat(101, "a2"),
    ],
)
def test_nobody_to_tell_means_nothing_is_due(member: Member) -> None:
    """Blocked, not agreed, not known, or another child's phone: silence, and no waking."""
    family = family_of(GAME, members=(member,))
    assert said(family, EVENING) == []
    assert look(family, EVENING).due is None


def test_only_the_athletes_phone_hears_of_its_athlete() -> None:
    """A family without a guardian's chat: the key then carries the chat."""
    found = said(family_of(GAME, members=(own_chat(102, "a1"),)), EVENING)
    assert [message.key for message in found] == ["rest.a1.2026-06-09.102"]


def test_keys_stay_unique_with_two_guardians() -> None:
    """The second guardian's has the chat in its key."""
    found = said(family_of(GAME, members=(guardian(101), guardian(105))), EVENING)
    assert [m.key for m in found] == ["rest.a1.2026-06-09", "rest.a1.2026-06-09.105"]


@pytest.mark.parametrize("kind", ["rest", "arm", "eligible"])
def test_a_kind_turned_off_is_neither_sent_nor_waited_for(kind: str) -> None:
    """The next look is at another kind's moment."""
    hours = {"rest": EVENING, "arm": MORNING, "eligible": FREE}
    family = family_of(GAME, muted=(kind,))
    assert said(family, hours[kind]) == []
    if kind == "rest":
        comes(family, MORNING, "2026-06-09 15:00")


def test_an_impossible_log_silences_instead_of_failing() -> None:
    """More pitches to the last batter than in all: no chart can say."""
    broken = replace(GAME, last_batter_pitches=90)
    assert said(family_of(broken), EVENING) == []
    assert said(family_of(broken), FREE) == []


def test_what_is_due_next_is_the_next_hour_of_any_kind() -> None:
    """Logged in the afternoon: the evening, then the morning, then the first day."""
    family = family_of(GAME)
    comes(family, EVENING, "2026-06-09 15:00")
    comes(look(family, EVENING), MORNING, "2026-06-09 19:00")
    after = look(look(family, EVENING), MORNING)
    assert after.due == datetime(2026, 6, 11, 0, tzinfo=UTC), "the evening for limits"
    assert timedelta(0) < FREE_AT - after.due


FREE_AT = datetime(2026, 6, 13, 13, tzinfo=UTC)
