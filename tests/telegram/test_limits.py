"""Telegram's sending limits: never above them, and an answer never waits behind reminders.

30 a second overall, 1 a second in a chat, 20 a minute in a group: telegram.constants of
python-telegram-bot 22.8 and the Bots FAQ, "My bot is hitting limits". Time is simulated.
"""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK
from sending_clock import TINY, Asked, most_ahead, most_within, played
from stand_in_rules import Limits, RefusedError
from telegram.constants import FloodLimit

from armbot.channels.telegram.limits import Limiter, Rates
from armbot.model.outbox import Urgency

ANSWERS = (Urgency.SAFETY, Urgency.ALERT, Urgency.REPLY)
AT_ONCE = st.builds(
    lambda at, chat, urgency, many: [Asked(at, chat + n % 9, urgency) for n in range(many)],
    at=st.floats(0, 3),
    chat=st.sampled_from([-30, 1, 5, 10, 20]),
    urgency=st.sampled_from(Urgency),
    many=st.sampled_from([1, 2, 5, 40]),
)


@QUICK
@given(st.lists(AT_ONCE, min_size=1, max_size=8))
def test_never_above_the_rates_over_any_window(groups: list[list[Asked]]) -> None:
    """Whatever is asked for when: each of the three limits holds in every window."""
    asked = [one for group in groups for one in group]
    went = played(asked, Limiter())
    assert len(went) == len(asked)
    assert most_within([w.at for w in went], 1) <= FloodLimit.MESSAGES_PER_SECOND
    for chat in {a.chat for a in asked}:
        times = [w.at for w in went if w.asked.chat == chat]
        assert most_ahead(times, FloodLimit.MESSAGES_PER_SECOND_PER_CHAT) <= 3 + TINY
        if chat < 0:
            assert most_within(times, 60) <= FloodLimit.MESSAGES_PER_MINUTE_PER_GROUP


@QUICK
@given(st.lists(st.sampled_from([-1, 1, 2]), min_size=60, max_size=60))
def test_a_flood_into_few_chats_is_held_to_the_chat_and_group_limits(chats: list[int]) -> None:
    """60 answers asked for at once: three, then at most one a second; 20 a minute in a group."""
    went = played([Asked(0, chat, Urgency.REPLY) for chat in chats], Limiter())
    for chat in (1, 2):
        times = [w.at for w in went if w.asked.chat == chat]
        assert most_within(times, 1) <= 3
        assert [at for n, at in enumerate(times[3:], start=1) if not n <= at <= 1.1 * n + 1] == []
    group = [w.at for w in went if w.asked.chat == -1]
    assert most_within(group, 60) == min(20, len(group))


@QUICK
@given(st.lists(st.tuples(st.floats(0, 20), st.sampled_from(ANSWERS)), max_size=29))
def test_an_answer_waits_at_most_a_second_behind_5000_reminders(
    answers: list[tuple[float, Urgency]],
) -> None:
    """Reminders for 5,000 families drain; no answer to a family is late by more than 1 s.

    Up to 29 answers at any moments, all at once included.
    """
    reminders = [Asked(0, 1000 + n, Urgency.REMINDER) for n in range(5000)]
    asked = [Asked(at, 1 + n, urgency) for n, (at, urgency) in enumerate(answers)]
    went = played([*reminders, *asked], Limiter(), until=22)
    late = [w.late for w in went if w.asked.urgency in ANSWERS]
    assert len(late) == len(answers)
    assert max(late, default=0) <= 1


@pytest.mark.parametrize("a_second", [2, 10, 20])
def test_a_steady_stream_of_answers_is_hardly_late(a_second: int) -> None:
    """Up to 20 answers a second while reminders drain: 99 of 100 wait under 0.25 s (R25)."""
    reminders = [Asked(0, 1000 + n, Urgency.REMINDER) for n in range(5000)]
    asked = [Asked(n / a_second, 1 + n, ANSWERS[n % 3]) for n in range(30 * a_second)]
    went = played([*reminders, *asked], Limiter(), until=40)
    late = sorted(w.late for w in went if w.asked.urgency in ANSWERS)
    assert len(late) == len(asked)
    assert late[int(0.99 * len(late))] < 0.25


def test_5000_reminders_alone_take_three_minutes() -> None:
    """The part kept for answers costs reminders a tenth of the rate, no more."""
    reminders = [Asked(0, n + 1, Urgency.REMINDER) for n in range(5000)]
    went = played(reminders, Limiter())
    assert went[-1].at < 5000 / 26.9


def test_reminders_are_spaced_evenly() -> None:
    """So that places come free one by one, and an answer among them waits for one only."""
    reminders = [Asked(0, n + 1, Urgency.BROADCAST) for n in range(100)]
    times = [w.at for w in played(reminders, Limiter())]
    gaps = [b - a for a, b in pairwise(times)]
    assert min(gaps) > 0.036


def test_answers_alone_use_nearly_the_whole_rate() -> None:
    """What piled up in an outage goes at 28 a second, evenly, and in no burst."""
    went = played([Asked(0, n + 1, Urgency.REPLY) for n in range(281)], Limiter())
    times = [w.at for w in went]
    assert times[:3] == [0.0, 0.0, 0.0]
    assert times[-1] <= 10
    assert min(b - a for a, b in pairwise(times[2:])) > 0.035


def test_reminders_give_way_while_answers_need_everything() -> None:
    """After an outage the answers go first; reminders come when there is room again."""
    answers = [Asked(0, n + 1, Urgency.REPLY) for n in range(300)]
    reminders = [Asked(0, n + 1000, Urgency.REMINDER) for n in range(50)]
    went = played([*answers, *reminders], Limiter())
    last_answer = max(w.at for w in went if w.asked.urgency == Urgency.REPLY)
    assert last_answer <= 11
    assert min(w.at for w in went if w.asked.urgency == Urgency.REMINDER) > last_answer


def test_a_server_with_the_same_limits_refuses_next_to_nothing() -> None:
    """An outage's pile of answers, 5,000 reminders, a network that jitters: at most 1 % (R24).

    The server here is the stand-in's own counting, which knows nothing of ours.
    """
    chance = random.Random(7)  # noqa: S311 - a jitter, no secret
    reminders = [Asked(20, 1000 + n, Urgency.REMINDER) for n in range(5000)]
    asked = [Asked(0, 1 + n // 5, Urgency.REPLY) for n in range(500)]
    asked += [Asked(20.0 + n, 1 + n, Urgency.REPLY) for n in range(180)]
    went = played([*reminders, *asked], Limiter())
    arrivals = sorted((w.at + chance.uniform(0.02, 0.07), w.asked.chat) for w in went)
    server, refused = Limits(), 0
    for at, chat in arrivals:
        try:
            server.check(chat, at)
        except RefusedError:
            refused += 1
    assert len(arrivals) == 5680
    assert refused <= 0.01 * len(arrivals)


@pytest.mark.parametrize("urgency", ANSWERS)
def test_three_answers_go_at_once_into_a_chat_and_one_reminder(urgency: Urgency) -> None:
    """A long answer in three parts arrives together; reminders keep to one a second."""
    limiter = Limiter()
    for _ in range(3):
        assert limiter.wait(7, urgency, 100.0) == 0
        limiter.took(7, urgency, 100.0)
    assert limiter.wait(7, urgency, 100.5) == pytest.approx(0.5, abs=0.1)
    assert limiter.wait(7, Urgency.REMINDER, 100.5) == pytest.approx(2.5, abs=0.2)
    assert limiter.wait(8, urgency, 100.5) == 0
    assert limiter.wait(8, Urgency.REMINDER, 100.5) == 0
    limiter = Limiter()
    limiter.took(7, Urgency.REMINDER, 100.0)
    assert limiter.wait(7, Urgency.REMINDER, 100.5) == pytest.approx(0.5, abs=0.1)
    assert limiter.wait(7, urgency, 100.0) == 0


@pytest.mark.parametrize("urgency", Urgency)
def test_a_refusal_closes_that_chat_until_then(urgency: Urgency) -> None:
    """429 with retry_after 5: nothing to that chat for 5 s, and the others go on."""
    limiter = Limiter()
    limiter.refused(7, 5, 100.0)
    assert limiter.wait(7, urgency, 100.0) == 5
    assert limiter.wait(7, urgency, 104.0) == 1
    assert limiter.wait(7, urgency, 105.0) == 0
    assert limiter.wait(8, urgency, 100.0) == 0
    limiter.refused(7, 1, 100.0)
    assert limiter.wait(7, urgency, 100.0) == 5


@pytest.mark.parametrize("urgency", Urgency)
def test_refusals_in_two_chats_close_everything(urgency: Urgency) -> None:
    """Two chats refused within ten seconds: it was meant for the bot, so nothing goes."""
    limiter = Limiter()
    limiter.refused(7, 5, 100.0)
    limiter.refused(8, 30, 101.0)
    assert limiter.wait(9, urgency, 101.0) == 30
    assert limiter.wait(9, urgency, 131.0) == 0
    apart = Limiter()
    apart.refused(7, 5, 100.0)
    apart.refused(7, 5, 101.0)
    assert apart.wait(9, urgency, 101.0) == 0
    apart.refused(8, 5, 111.5)
    assert apart.wait(9, urgency, 112.0) == 0
    apart.close(4, 112.0)
    assert apart.wait(9, urgency, 113.0) == 3


def test_memory_does_not_grow_with_the_chats_ever_written_to() -> None:
    """100,000 chats and groups in an hour leave only those of the last minute."""
    limiter, now = Limiter(), 0.0
    most = 0
    for n in range(100_000):
        now += 0.04
        chat = n if n % 2 else -n - 1
        limiter.took(chat, Urgency.REMINDER, now)
        if n % 100 == 0:
            limiter.refused(chat, 3, now)
        most = max(most, limiter.remembered)
    assert most < 4000


def test_a_server_of_ones_own_may_allow_more() -> None:
    """The rates are parameters."""
    limiter = Limiter(Rates(overall=1000, reserved=100, chat=10, burst=5, group=600))
    went = played([Asked(0, 1 + n % 400, Urgency.REPLY) for n in range(2000)], limiter)
    assert went[-1].at == pytest.approx(2.0, abs=0.02)


@pytest.mark.parametrize(
    "rates",
    [
        {"overall": 0},
        {"overall": 3, "reserved": 3},
        {"reserved": -1},
        {"chat": 0},
        {"burst": 0},
        {"group": 0},
    ],
)
def test_rates_that_could_never_send_are_an_error(rates: dict[str, int]) -> None:
    """Better at the start than a bot that is silent for ever."""
    with pytest.raises(ValueError, match=r"reserved|rate"):
        Rates(**rates)
