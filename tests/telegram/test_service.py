"""One incoming thing, one reminder: what is in the record afterwards, whatever came between."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from conversation import grammar
from served import AGREED, family, kept

from armbot.engine.speaking import Bot
from armbot.model.family import Athlete, Family, Member, Quiet, Role
from armbot.model.incoming import Incoming, Kind
from armbot.model.outbox import Outgoing, Ready, Urgency
from armbot.model.people import BirthMonth
from armbot.model.staff import Staff
from armbot.sent import Sent
from armbot.service import Service
from armbot.store.base import NEW
from armbot.store.records import columns_of, family_from, to_document
from armbot.store.tiny import TinyStore

DOCTOR = Staff(900, "physician")
START = datetime(2026, 6, 10, 19, 0, tzinfo=UTC)
PARENT, MOTHER, CHILD = 5, 6, 7


@dataclass
class House:
    """A service over a real store, with a clock that can be set."""

    folder: Path
    trial: bool = True
    now: datetime = START
    ids: Iterator[int] = field(default_factory=lambda: count(1))

    def __post_init__(self) -> None:
        """Open the store and the notes."""
        self.store = TinyStore(self.folder)
        self.sent = Sent(self.folder)
        self.service = Service(
            self.store,
            Bot(grammar(), ("America/Chicago",), trial=self.trial),
            (DOCTOR,),
            lambda: self.now,
            self.sent,
            open_to_all=True,
        )

    def put(self, one: Family) -> None:
        """A family as it stands before the test."""
        self.store.commit(one.id, to_document(one), NEW, columns_of(one))

    def incoming(self, chat: int, text: str, kind: Kind = Kind.TEXT, number: int = 0) -> Incoming:
        """Something that comes now."""
        number = number or next(self.ids)
        return Incoming(number, chat, kind, text, number, self.now)

    def say(self, chat: int, text: str, kind: Kind = Kind.TEXT) -> Ready:
        """A message; what lies ready afterwards, the older messages sent."""
        ready = self.service.receive(self.incoming(chat, text, kind))
        if ready.stored:
            self.service.remove(ready.family, frozenset(m.key for m in ready.messages))
        return ready

    def record(self, name: str = "f-1") -> Family:
        """What is on disk."""
        stored = self.store.load(name)
        assert stored is not None
        return family_from(stored.document)

    def close(self) -> None:
        """Give the folder back."""
        self.sent.close()
        self.store.close()


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    """An open house with one family of two parents, a child of eleven and a brother."""
    found = House(tmp_path / "data")
    found.put(household())
    yield found
    found.close()


def household() -> Family:
    """Two parents, each with a chat; the child's own chat; a brother."""
    brother = Athlete("a2", "Remy", BirthMonth(2012, 1))
    one = family("f-1", PARENT)
    members = (
        *one.members,
        Member(MOTHER, Role.GUARDIAN, lang="es", lang_chosen=True, consent=AGREED),
        Member(CHILD, Role.ATHLETE, "a1", consent=AGREED),
    )
    return replace(one, athletes=(*one.athletes, brother), members=members, quiet=Quiet(0, 0))


def texts(ready: Ready, chat: int) -> str:
    """What goes to a chat."""
    return "\n".join(m.text for m in ready.messages if m.chat == chat)


def test_an_update_that_comes_again_has_no_second_effect(house: House) -> None:
    """Also much later, and after others; the answer is the same and under the same key."""
    first = house.incoming(PARENT, "kit threw 40 pitches today")
    ready = house.service.receive(first)
    again = house.service.receive(first)
    assert [m.key for m in again.messages] == [m.key for m in ready.messages]
    assert len(house.record().outings) == 1
    house.say(PARENT, "kit threw 20 pitches yesterday")
    house.service.receive(first)
    assert len(house.record().outings) == 2


def test_updates_out_of_order_each_have_their_effect(house: House) -> None:
    """Numbers may jump back after a quiet week."""
    for number, day in ((900, "monday"), (3, "sunday"), (500, "saturday")):
        house.service.receive(house.incoming(PARENT, f"kit threw 30 pitches {day}", number=number))
    assert len(house.record().outings) == 3


def test_two_parents_have_a_conversation_each(house: House) -> None:
    """The one's "and friday?" does not lean on the other's question; each in its language."""
    house.say(PARENT, "kit threw 62 on tuesday, can he pitch thursday?")
    house.say(MOTHER, "¿qué es la placa de crecimiento?")
    assert "62" in texts(house.say(PARENT, "and friday?"), PARENT)
    assert house.record().talk.topic == ""


def test_a_childs_own_chat_sees_that_child_alone(house: House) -> None:
    """Its questions are about itself; a brother's log is not in it, and stays as it was."""
    house.say(PARENT, "remy threw 77 pitches today")
    ready = house.say(CHILD, "i threw 30 today")
    assert "77" not in texts(ready, CHILD)
    outings = [(owner, outing.pitches) for owner, outing in house.record().outings]
    assert sorted(outings) == [("a1", 30), ("a2", 77)]


def test_a_childs_report_reaches_its_parents_and_the_clinic(house: House) -> None:
    """Each parent in its own language; the child is on hold in every chat, the brother not."""
    ready = house.say(CHILD, "my elbow hurts when i throw")
    assert texts(ready, CHILD).startswith("**No throwing today")
    assert "Tell a grown-up now" in texts(ready, CHILD)
    assert "Kit told me" in texts(ready, PARENT)
    assert "Kit me contó" in texts(ready, MOTHER)
    assert "my elbow hurts" in texts(ready, 900)
    assert [h.athlete for h in house.record().holds] == ["a1"]
    assert "on hold" in texts(house.say(PARENT, "can kit pitch saturday?"), PARENT)


def test_a_child_without_a_parent_waits_but_is_heard(tmp_path: Path) -> None:
    """Nothing but danger signs is answered until a guardian has agreed."""
    house = House(tmp_path / "data")
    one = household()
    house.put(replace(one, members=one.members[2:]))
    assert "62" not in texts(house.say(CHILD, "11, threw 62 tuesday, can i pitch?"), CHILD)
    assert texts(house.say(CHILD, "my elbow popped"), CHILD).startswith("**Stop throwing now")
    house.close()


def test_a_hold_takes_back_answers_that_were_not_sent_yet(house: House) -> None:
    """One parent's answer lies ready when the other reports a sign."""
    house.service.receive(house.incoming(PARENT, "kit threw 30 on monday, when can he pitch?"))
    before = house.record().outbox
    assert before[0].grants
    reminder = Outgoing("r", PARENT, Urgency.REMINDER, "Kit can pitch", START, grants=True)
    stored = house.store.load("f-1")
    assert stored is not None
    one = house.record()
    one = replace(one, outbox=(*one.outbox, reminder))
    house.store.commit("f-1", to_document(one), stored.version, columns_of(one))
    house.service.receive(house.incoming(MOTHER, "a kit le duele el codo"))
    after = house.record().outbox
    assert not any(message.grants for message in after)
    assert "r" not in [message.key for message in after]
    assert "on hold" in next(m.text for m in after if m.key == before[0].key)


def test_what_was_sent_leaves_the_record_with_the_next_change(house: House) -> None:
    """And is not offered again meanwhile."""
    ready = house.service.receive(house.incoming(PARENT, "hello"))
    key = ready.messages[0].key
    house.service.remove("f-1", frozenset({key}))
    assert [m.key for m in house.record().outbox] == [key]
    assert house.service.ready("f-1").messages == ()
    assert house.service.done_with("f-1", key)
    house.service.tidy(10)
    assert house.record().outbox == ()
    assert not house.service.done_with("f-1", key)


def test_nothing_brings_an_erased_family_back(house: House) -> None:
    """Neither a tick, nor a message that was under way, nor a staff button."""
    house.say(PARENT, "kit threw 40 today")
    house.say(PARENT, "erase everything")
    farewell = house.say(PARENT, "form:sure:yes", Kind.BUTTON)
    assert not farewell.stored
    house.service.tick("f-1")
    house.service.remove("f-1", frozenset({"u1.1"}))
    house.service.unreachable("f-1", PARENT)
    assert house.service.claim("f-1", "u1.1") is None
    house.say(900, "st:sure:f-1:r1", Kind.BUTTON)
    assert "f-1" not in kept_names(house)


def kept_names(house: House) -> list[str]:
    """The families on disk."""
    return list(house.store.families())


@pytest.mark.parametrize(
    "letters", ["IFZM9HlIaxlYUH5qWRtcDI1fAIgt", "OW8AgN0CaxlYUHp__fGD02Zsp7Od"]
)
def test_a_code_that_spells_a_sign_by_chance_is_no_report(tmp_path: Path, letters: str) -> None:
    """One code in a thousand holds such letters; the family is welcomed all the same."""
    house = House(tmp_path / "data")
    house.service = Service(
        house.store,
        Bot(grammar(), ("America/Chicago",), trial=True),
        (DOCTOR,),
        lambda: house.now,
        house.sent,
        invited=lambda code: "f-9" if code == letters else None,
    )
    ready = house.say(PARENT, letters, Kind.STARTED)
    assert ready.family == "f-9"
    assert house.record("f-9").holds == ()
    assert ready.messages[0].buttons
    house.close()


def test_a_clock_that_jumps_repeats_no_reminder(house: House) -> None:
    """An hour back, a day forward, back again: each key once."""
    house.say(PARENT, "kit threw 62 pitches today")
    keys: list[str] = []
    steps = (2, 20, -1, 24, -25, 26, -1, 30, 48, -48, 49)
    for hours in steps:
        house.now += timedelta(hours=hours)
        ready = house.service.tick("f-1")
        keys += [m.key for m in ready.messages if m.urgency is Urgency.REMINDER]
        house.service.remove("f-1", frozenset(m.key for m in ready.messages))
    assert keys
    assert len(keys) == len(set(keys))


def test_a_blocked_chat_is_left_alone_until_it_speaks(house: House) -> None:
    """Its reminders stop; the other parent's go on."""
    house.say(PARENT, "", Kind.BLOCKED)
    assert not next(m for m in house.record().members if m.chat == PARENT).reachable
    house.say(PARENT, "", Kind.UNBLOCKED)
    assert next(m for m in house.record().members if m.chat == PARENT).reachable


def test_on_a_live_channel_nothing_unsigned_goes_out_but_safety(tmp_path: Path) -> None:
    """Without the trial's mark an answer that nobody signed is not given; a stop is."""
    house = House(tmp_path / "data", trial=False)
    house.put(household())
    answer = texts(house.say(PARENT, "kit threw 62 tuesday, can he pitch friday?"), PARENT)
    assert "no signed answer" in answer
    assert "62" not in answer
    assert texts(house.say(PARENT, "his elbow hurts"), PARENT).startswith("**No throwing today")
    house.close()


def test_in_a_trial_every_message_says_so(house: House) -> None:
    """Answers, what goes to parents and staff, reminders, and what staff bring about."""
    ready = [*house.say(CHILD, "my elbow hurts when i throw").messages]
    ready += house.say(900, "st:read:f-1:r1", Kind.BUTTON).messages
    ready += house.say(900, "st:sure:f-1:r1", Kind.BUTTON).messages
    ready += house.say(PARENT, "remy threw 62 pitches today").messages
    for _ in range(3):
        house.now += timedelta(hours=13)
        ready += house.service.tick("f-1").messages
    marks = tuple(grammar().library.phrase(lang, "draft") for lang in ("en", "es"))
    assert {m.urgency for m in ready} >= {Urgency.SAFETY, Urgency.ALERT, Urgency.REMINDER}
    assert [m.text for m in ready if not m.text.endswith(marks)] == []


def test_a_report_nobody_reads_is_told_again(house: House) -> None:
    """By the tick, after the limit of its tier."""
    house.say(PARENT, "kit's elbow hurts")
    assert house.service.due(9) == []
    house.now += timedelta(minutes=61)
    assert house.service.due(9) == ["f-1"]
    ready = house.service.tick("f-1")
    assert "Not read yet" in texts(ready, 900)


def test_records_are_whole_after_all_this(house: House) -> None:
    """Closed and opened again they say the same."""
    house.say(PARENT, "kit threw 40 today")
    before = house.record()
    house.close()
    assert kept(house.folder)["f-1"] == before
    house.__post_init__()
