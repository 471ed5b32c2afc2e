"""A year of one invented family gives exactly the expected reminders, in both languages.

The script is tests/engine/year_script.py, the lists are tests/data/year_<language>.yaml: each
was read message by message. What follows after the comparison is worked out here by other
means: fixed offsets of the clock, and the rest table of the MLB/USA Baseball guideline.
"""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING

import pytest
from conversation import dates_in, holds_phrase
from granting import GRANTS
from year_expected import expected, row
from year_script import CHILD, PARENT, year

if TYPE_CHECKING:
    from reminder_clock import Clock, Told

LANGUAGES = ("en", "es")
OFFSETS = (
    (datetime(2026, 9, 1, tzinfo=UTC), -4),
    (datetime(2026, 11, 1, 6, tzinfo=UTC), -5),
    (datetime(2027, 3, 14, 7, tzinfo=UTC), -4),
    (datetime(2027, 6, 12, 22, 30, tzinfo=UTC), -6),
)
"""From when on the family's clock is so many hours from UTC: the US changes of that year at
2 in the morning, and the move at half past six that evening."""
HELD = (datetime(2027, 4, 11, 21, 30, tzinfo=UTC), datetime(2027, 5, 4, 13, tzinfo=UTC))
"""From the report to the clearance."""


@cache
def played(lang: str) -> Clock:
    """The year, once for all tests."""
    return year(lang)


def told(lang: str, kind: str = "", chat: int | None = None) -> list[Told]:
    """The reminders of a kind (or all) to a chat (or all)."""
    return [
        t
        for t in played(lang).told
        if t.message.key.startswith(kind) and chat in (None, t.message.chat)
    ]


def on_the_wall(at: datetime) -> datetime:
    """The family's local time, by the offsets above."""
    hours = [offset for since, offset in OFFSETS if since <= at][-1]
    return at.replace(tzinfo=None) + timedelta(hours=hours)


@pytest.mark.parametrize("lang", LANGUAGES)
def test_the_year_is_as_expected_message_by_message(lang: str) -> None:
    """Local times, keys, texts, buttons, limits of use: exactly the list, in its order."""
    rows, wanted = [row(t) for t in played(lang).told], expected(lang)
    for found, right in zip(rows, wanted, strict=False):
        assert found == right
    assert len(rows) == len(wanted)


def test_both_languages_hear_the_same_at_the_same_time() -> None:
    """Keys, chats, moments and whether they grant."""
    english, spanish = (
        [(t.at, t.message.key, t.message.chat, t.message.grants) for t in played(lang).told]
        for lang in LANGUAGES
    )
    assert english == spanish


@pytest.mark.parametrize("lang", LANGUAGES)
def test_no_message_came_in_quiet_hours(lang: str) -> None:
    """None from nine in the evening to eight in the morning on the family's wall clock."""
    assert played(lang).told
    assert all(8 <= on_the_wall(t.at).hour < 21 for t in told(lang))
    assert all(t.message.until and on_the_wall(t.message.until).hour <= 21 for t in told(lang))


@pytest.mark.parametrize("lang", LANGUAGES)
def test_every_key_is_unique_in_the_year(lang: str) -> None:
    """Nothing is said twice."""
    assert max(Counter(t.message.key for t in told(lang)).values()) == 1


@pytest.mark.parametrize("lang", LANGUAGES)
def test_no_message_named_a_throwing_day_during_the_hold(lang: str) -> None:
    """Three questions and one plan called off in those weeks; none grants, none names a day."""
    during = [t.message for t in told(lang) if HELD[0] <= t.at < HELD[1]]
    assert [message.key for message in during] == [
        "seen.a1.2027-04-12", "seen.a1.2027-04-15", "planned.a1.2027-04-17", "seen.a1.2027-04-18",
    ]  # fmt: skip
    for message in during:
        assert not message.grants
        assert dates_in(message.text, lang) == []
        assert holds_phrase(message.text, lang, GRANTS) == []


PITCHED = {
    date(2026, 9, 12): 48, date(2026, 9, 19): 58, date(2026, 10, 17): 61,
    date(2027, 3, 13): 40, date(2027, 3, 20): 55, date(2027, 3, 24): 44, date(2027, 3, 31): 62,
    date(2027, 5, 15): 30, date(2027, 5, 22): 66, date(2027, 6, 12): 45, date(2027, 7, 10): 70,
    date(2027, 7, 15): 60, date(2027, 7, 24): 75, date(2027, 7, 31): 72, date(2027, 8, 7): 80,
    date(2027, 8, 14): 74, date(2027, 8, 21): 58,
}  # fmt: skip
"""The outings after which the chart alone decides: not on hold, no rest broken, no second day."""


def rest(pitches: int) -> int:
    """Whole days of rest at 9 to 14 by the printed table (MLB/USA Baseball)."""
    return next(
        days for most, days in ((20, 0), (35, 1), (50, 2), (65, 3), (999, 4)) if pitches <= most
    )


def test_every_first_day_is_the_day_thrown_plus_rest_plus_one() -> None:
    """By the printed table, worked out here from the days and counts of the script."""
    free = {day + timedelta(days=rest(count) + 1) for day, count in PITCHED.items()}
    free.add(date(2026, 10, 6))  # 35 on the 3rd and 20 on the 4th: no third day running
    free.remove(date(2027, 5, 27))  # 18 more on the 26th: that morning asks how the arm is
    keys = {t.message.key for t in told("en", "eligible.", PARENT)}
    assert keys == {f"eligible.a1.{day}" for day in free}


def test_rest_days_are_named_one_by_one() -> None:
    """So many days as the table asks for, each with its date."""
    for t in told("en", "rest.", PARENT):
        day = date.fromisoformat(t.message.key.split(".")[2])
        if day not in PITCHED:
            continue
        named = [day + timedelta(days=n + 1) for n in range(rest(PITCHED[day]))]
        head = t.message.text.split("**")[1]
        assert all(f"{d:%a} {d.day}" in head for d in named), head
        assert len(named) == head.count(",") + head.count(" and ") + 1


def test_a_family_hears_at_most_three_things_a_day_about_a_child() -> None:
    """And on most days nothing at all."""
    days = Counter(on_the_wall(t.at).date() for t in told("en", chat=PARENT))
    assert max(days.values()) <= 3
    assert len(days) < 365 / 4


def test_from_august_on_the_child_hears_what_the_parent_hears() -> None:
    """At the same moments, in words of its own."""
    own = told("en", chat=CHILD)
    begins = min(t.at for t in own)
    assert begins >= datetime(2027, 8, 6, tzinfo=UTC)
    parents = [t for t in told("en", chat=PARENT) if t.at >= begins]
    assert [t.at for t in own] == [t.at for t in parents]
    assert not any("Finch" in t.message.text for t in own)


def test_three_days_asleep_in_october_brought_no_pile() -> None:
    """Down from the 17th to the 20th: the evening and the morning were of no use any more."""
    keys = [t.message.key for t in told("en")]
    assert "rest.a1.2026-10-17" not in keys
    assert "arm.a1.2026-10-18" not in keys
    assert "eligible.a1.2026-10-21" in keys


def test_a_tick_a_few_seconds_late_is_still_in_time() -> None:
    """Every message of the year went out within a minute of a full hour."""
    assert {on_the_wall(t.at).minute for t in told("en")} == {0}
