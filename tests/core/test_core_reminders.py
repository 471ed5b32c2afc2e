"""When a reminder comes and what is remembered of it, without content or words."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK

from armbot.core.reminders import (
    Item,
    Where,
    by_importance,
    coming,
    first_due,
    kept,
    key_of,
    open_since,
    sent_on,
    settled,
    shifted,
    times_of,
    waiting,
    with_no_use,
    with_sent,
    with_wait,
)
from armbot.model.cite import Cite, Seen
from armbot.model.family import Done, Quiet
from armbot.model.reminders import KindSettings, ReminderKind
from armbot.model.rules import Figure

EAST = Where("America/New_York", Quiet())
DAY = date(2026, 6, 10)
CITE = Cite("common-practice", "test", "undated", Seen.COMMON)


def settings(hour: int, useful: int, again: int | None = None) -> KindSettings:
    """A kind with these hours."""
    second = None if again is None else Figure(again, CITE)
    return KindSettings(
        ReminderKind.REST, {}, Figure(hour, CITE), second, Figure(useful, CITE), can_wait=False
    )


def utc(hour: int, day: int = 10) -> datetime:
    """A moment in June 2026."""
    return datetime(2026, 6, day, hour, tzinfo=UTC)


def item(*times: datetime, until: datetime | None = None, day: date = DAY) -> Item:
    """An item with these moments, of use until the last one or longer."""
    return Item(ReminderKind.REST, "a1", day, times, until or times[-1])


def test_a_kind_of_use_for_hours_has_one_moment() -> None:
    """At its hour, and of use for as long as it says; 19:00 EDT is 23:00 UTC."""
    assert times_of(EAST, settings(19, 4), DAY) == ((utc(23),), utc(3, 11))


def test_a_kind_of_use_for_days_is_tried_each_day_at_its_hour() -> None:
    """Fifty hours hold three evenings."""
    times, until = times_of(EAST, settings(20, 50), DAY)
    assert times == (utc(0, 11), utc(0, 12), utc(0, 13))
    assert until == utc(2, 13)


def test_a_second_hour_is_on_the_next_day() -> None:
    """The evening before a planned day, and that morning."""
    times, _ = times_of(EAST, settings(18, 18, again=8), DAY)
    assert times == (utc(22), utc(12, 11))


def test_quiet_hours_move_a_moment_to_their_end_or_drop_it() -> None:
    """Quiet from six in the evening: seven waits for eight in the morning, if of use then."""
    early = Where(EAST.zone, Quiet(18, 8))
    assert times_of(early, settings(19, 14), DAY)[0] == (utc(12, 11),)
    assert times_of(early, settings(19, 4), DAY)[0] == ()


def test_nothing_is_open_before_the_family_was_due() -> None:
    """An outing logged after its evening hour brings no reminder of that evening."""
    evening = item(utc(19), until=utc(23))
    assert open_since(evening, (), utc(18), utc(20)) == utc(19)
    assert open_since(evening, (), utc(21), utc(22)) is None
    assert open_since(evening, (), None, utc(22)) is None


def test_the_last_moment_that_has_come_counts() -> None:
    """After two days asleep it is yesterday's moment that is open, not the first one."""
    daily = item(utc(19, 10), utc(19, 11), utc(19, 12))
    assert open_since(daily, (), utc(19, 10), utc(12, 12)) == utc(19, 11)
    assert coming(daily, (), utc(12, 12)) == utc(19, 12)


def test_a_wait_is_a_moment_of_its_own() -> None:
    """What waits for the end of quiet hours is open then, and forgotten once it is sent."""
    evening = item(utc(19), until=utc(12, 11))
    done = with_wait((), evening.key, utc(8, 11), DAY)
    assert waiting(done, evening.key) == utc(8, 11)
    assert coming(evening, done, utc(20)) == utc(8, 11)
    assert open_since(evening, done, utc(8, 11), utc(8, 11)) == utc(8, 11)
    assert with_sent(done, evening.key, DAY) == (Done(evening.key, DAY),)


def test_a_second_wait_takes_the_place_of_the_first() -> None:
    """One moment to wait for at a time."""
    done = with_wait((), "rest.a1.2026-06-10", utc(8, 11), DAY)
    done = with_wait(done, "rest.a1.2026-06-10", utc(9, 11), DAY)
    assert waiting(done, "rest.a1.2026-06-10") == utc(9, 11)
    assert len(done) == 1


def test_dealt_with_is_sent_or_of_no_use() -> None:
    """Both keep a reminder from coming again; only what was sent counts as sent."""
    done = with_no_use(with_sent((), "rest.a1.2026-06-10", DAY), "arm.a1.2026-06-11", DAY)
    assert settled(done) >= {"rest.a1.2026-06-10", "arm.a1.2026-06-11"}
    assert sent_on(done, DAY) == ("a1",)
    assert sent_on((*done, Done("mark.sore.a1", DAY)), DAY) == ("a1",)
    assert sent_on(done, DAY + timedelta(days=1)) == ()


def test_first_due_lies_in_the_past_for_what_was_missed() -> None:
    """A family asleep since its due moment is due at once, not at its next moment."""
    items = [item(utc(19)), item(utc(9, 12), day=date(2026, 6, 12))]
    assert first_due(items, (), utc(19), utc(20)) == utc(19)
    assert first_due(items, (), utc(20), utc(20)) == utc(9, 12)
    assert first_due(items, with_sent((), items[0].key, DAY), utc(19), utc(20)) == utc(9, 12)
    assert first_due([], (), utc(19), utc(20)) is None


def test_importance_is_the_order_of_the_kinds_and_newer_goes_first() -> None:
    """A question after a report before all; of two of one kind the later day."""
    kinds = [ReminderKind.LIMITS, ReminderKind.REST, ReminderKind.SEEN]
    mixed = [Item(kind, "a1", DAY, (utc(9),), utc(9)) for kind in kinds]
    newer = Item(ReminderKind.SEEN, "a1", DAY + timedelta(days=3), (utc(9),), utc(9))
    assert [i.kind for i in by_importance(mixed)] == kinds[::-1]
    assert by_importance([*mixed, newer])[0] is newer


def test_the_record_forgets_after_the_days_told() -> None:
    """Kept up to and including the oldest day."""
    done = tuple(Done(f"k{ago}", DAY - timedelta(days=ago)) for ago in (41, 42, 43))
    assert [entry.key for entry in kept(done, DAY, 42)] == ["k41", "k42"]


def test_a_changed_clock_loses_nothing_that_was_to_come() -> None:
    """Seven in the evening is over after a move east: it comes at once, once."""
    before, after = item(utc(23), until=utc(9, 11)), item(utc(20), until=utc(6, 11))
    done = shifted([before], [after], (), EAST, utc(22))
    assert waiting(done, after.key) == utc(22)
    assert shifted([before], [after], with_sent((), after.key, DAY), EAST, utc(22)) == (
        Done(after.key, DAY),
    )
    assert shifted([after], [after], (), EAST, utc(22)) == ()


def test_a_changed_clock_keeps_quiet_hours_and_usefulness() -> None:
    """After a move into the night it waits for the morning, unless it is of no use then."""
    before, after = item(utc(4, 11), until=utc(14, 11)), item(utc(20), until=utc(13, 11))
    assert waiting(shifted([before], [after], (), EAST, utc(3, 11)), after.key) == utc(12, 11)
    short = item(utc(20), until=utc(11, 11))
    assert shifted([item(utc(4, 11))], [short], (), EAST, utc(3, 11)) == ()


@QUICK
@given(
    hour=st.integers(0, 23),
    useful=st.integers(1, 72),
    again=st.none() | st.integers(0, 23),
    quiet=st.builds(Quiet, st.integers(0, 23), st.integers(0, 23)),
    day=st.dates(date(2026, 1, 1), date(2028, 12, 31)),
)
def test_moments_are_in_order_and_within_use(
    hour: int, useful: int, again: int | None, quiet: Quiet, day: date
) -> None:
    """Rising, none before its hour, none after it is of no use."""
    times, until = times_of(Where("America/Denver", quiet), settings(hour, useful, again), day)
    first, _ = times_of(Where("America/Denver", Quiet(0, 0)), settings(hour, useful, again), day)
    assert list(times) == sorted(set(times))
    assert all(first[0] <= at <= until for at in times)


def test_a_key_names_kind_athlete_and_day() -> None:
    """The form others rely on."""
    assert key_of(ReminderKind.REST, "a1", DAY) == "rest.a1.2026-06-10"
    assert item(utc(19)).key == "rest.a1.2026-06-10"
