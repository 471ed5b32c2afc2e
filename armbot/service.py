"""One incoming thing, one reminder, one sent message: each is one commit of one family.

Everything here blocks on the disk for a moment and may be called from several threads.
"""

from __future__ import annotations

import contextlib
import secrets
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from armbot import invitations
from armbot.app import FamilyGone, change, load_family
from armbot.desk import alerts, staff
from armbot.engine import codes, household
from armbot.engine.reminders import next_due, remind, rescheduled
from armbot.engine.say import Voice
from armbot.engine.speaking import Bot, Reply, marked, say
from armbot.model.family import Family, Member, with_member
from armbot.model.incoming import Incoming, Kind
from armbot.model.outbox import Outgoing, Ready, Urgency
from armbot.model.staff import Staff
from armbot.sent import Sent
from armbot.store.base import Store, StoreError, is_family_id

STRANGER = "x-"
"""What the id of a family begins with that came without an invitation."""


_NO_KEYS: frozenset[str] = frozenset()
_IDLE_LINES = 20_000
"""Lines of notes that say nothing any more, before the file is written anew."""


class _EraseAsked(Exception):  # noqa: N818 - says what happened
    """Nothing is committed of a family that is to go: a crash would leave half of it."""

    def __init__(self, family: Family) -> None:
        self.family = family


class Service:
    """The engine and the staff's desk between a store and a channel.

    ``people`` are the staff's chats; ``invited`` says which family an invitation's code
    founds; ``open_to_all`` lets families join without one; ``clock`` gives the aware time;
    ``forget`` removes what else is kept of chats when their family is erased; ``sent`` is
    where messages are noted that are done with.
    """

    def __init__(  # noqa: PLR0913 - the parts it is put together from
        self,
        store: Store,
        bot: Bot,
        people: Sequence[Staff],
        clock: Callable[[], datetime],
        sent: Sent,
        *,
        invited: Callable[[str], str | None] = lambda _: None,
        forget: Callable[[frozenset[int]], None] = lambda _: None,
        open_to_all: bool = False,
    ) -> None:
        self._store = store
        self._bot = bot
        self._people = tuple(people)
        self._by_chat = {person.chat: person for person in people}
        self._clock = clock
        self._open = open_to_all
        self._invited = invited
        self._sent = sent
        self._forget = forget

    def receive(self, incoming: Incoming) -> Ready:
        """Act on one incoming thing; when this returns, what it caused is on disk."""
        person = self._by_chat.get(incoming.chat)
        if person and incoming.kind is Kind.BUTTON and incoming.text.startswith(staff.PREFIX):
            return self._pressed(person, incoming)
        family_id = self._family_of(incoming)
        if family_id.startswith(invitations.FAMILY) and self._invited(incoming.text.strip()):
            incoming = replace(incoming, text="")  # the code has done what it is for
        now = self._clock()
        fresh = Family(family_id, zone=self._bot.library.clinic.time_zone)

        def step(family: Family) -> household.Handled:
            done = self._handled(family, incoming, person, now)
            if done.erase:
                raise _EraseAsked(done.family)
            return done

        before = self._store.family_of_chat(incoming.chat)
        try:
            family = self._change(fresh, lambda family: step(family).family)
        except _EraseAsked as asked:
            return self._erased(asked.family, incoming)
        if before not in (None, family_id):
            self._store.erase(str(before))  # the empty record from before the invitation
        return Ready(family_id, family.outbox)

    def _handled(
        self, family: Family, incoming: Incoming, person: Staff | None, now: datetime
    ) -> household.Handled:
        if person is not None and family.member(incoming.chat) is None:
            family = with_member(family, Member(person.chat, lang=person.lang, lang_chosen=True))
        guest = household.Guest.STAFF if person else self._guest(family)
        chance = secrets.token_hex(5).upper()
        done = household.handle(family, incoming, self._bot, now, guest, chance)
        after = done.family
        if (family.zone, family.quiet) != (after.zone, after.quiet):
            after = rescheduled(family, after, self._bot.library, now)
        if done.report is not None and self._people:
            after = alerts.tell(after, done.report.id, self._bot.library, self._people, now)
        return replace(done, family=self._timed(after, now))

    def _guest(self, family: Family) -> household.Guest:
        stranger = family.id.startswith(STRANGER) and not self._open
        return household.Guest.STRANGER if stranger else household.Guest.FAMILY

    def _family_of(self, incoming: Incoming) -> str:
        """The family of the chat; of the code it brings; or a new one."""
        known = self._store.family_of_chat(incoming.chat)
        if incoming.kind is Kind.STARTED and (known is None or known.startswith(STRANGER)):
            code = incoming.text.strip()
            joined = self._store.family_of_code(codes.digest(code))
            founded = self._invited(code)
            if joined is not None:
                return joined
            if founded is not None and self._store.load(founded) is None:
                return founded
        return known or STRANGER + secrets.token_hex(6)

    def _pressed(self, person: Staff, incoming: Incoming) -> Ready:
        now = self._clock()

        def step(family: Family) -> Family:
            after = staff.press(family, person, incoming, self._bot.library, now)
            return self._timed(after, now)

        family = self._changed(staff.family_of(incoming.text), step)
        if family is None:
            # The family was erased, or the act is of an earlier version.
            return self.receive(replace(incoming, text=""))
        return Ready(family.id, family.outbox)

    def _changed(self, family_id: str, step: Callable[[Family], Family]) -> Family | None:
        """A family that is there, changed; None where it is gone or never was."""
        if not is_family_id(family_id):
            return None
        with contextlib.suppress(FamilyGone):
            return self._change(Family(family_id), step, existing=True)
        return None

    def _change(
        self, fresh: Family, step: Callable[[Family], Family], *, existing: bool = False
    ) -> Family:
        """One commit: what was sent meanwhile leaves the record with it."""
        gone = _NO_KEYS

        def both(family: Family) -> tuple[Family, Family]:
            nonlocal gone
            gone = self._sent.of(family.id)
            kept = tuple(o for o in family.outbox if o.key not in gone)
            before = replace(family, outbox=kept)
            today = self._clock().astimezone(ZoneInfo(family.zone)).date()
            after = marked(before, step(before), self._bot, today)
            return after, after

        after = change(self._store, fresh, both, existing=existing)
        if gone:
            self._sent.forget(fresh.id, gone)
        return after

    def _erased(self, family: Family, incoming: Incoming) -> Ready:
        """Really gone; the farewell is the one message that lies nowhere."""
        last = family.outbox[-1:]
        self._forget(frozenset(m.chat for m in family.members))
        self._store.erase(family.id)
        self._sent.erase(family.id)
        return Ready(f"{family.id}-{incoming.id}", last, stored=False)

    def apologies(self, chat: int, update_id: int) -> Ready:
        """What is said where a message could not be handled: to the chat, and to staff.

        It lies in no record, since the record may be what made the trouble.
        """
        now = self._clock()
        incoming = Incoming(update_id, chat, Kind.TEXT, "", 0, now)
        member = Member(chat)
        key = self._store.family_of_chat(chat)
        if key is not None:
            with contextlib.suppress(StoreError, OSError):
                member = load_family(self._store, Family(key))[0].member(chat) or member
        text = Voice(self._bot.library, member.lang).say("not_handled")
        said = say(with_member(Family(""), member), incoming, Reply(text), self._bot).outbox
        told = tuple(
            Outgoing(
                f"aside.{update_id}.{person.chat}",
                person.chat,
                Urgency.ALERT,
                Voice(self._bot.library, person.lang).say("staff_set_aside"),
                now,
            )
            for person in self._people
        )
        return Ready(f"aside-{update_id}", (*said, *told), stored=False)

    def lost(self, family_ids: Sequence[str]) -> Ready:
        """What staff are told of records that cannot be read: a hold may be in them."""
        now = self._clock()
        told = tuple(
            Outgoing(
                f"lost.{family_id}.{person.chat}",
                person.chat,
                Urgency.ALERT,
                Voice(self._bot.library, person.lang).say("staff_damaged", family=family_id),
                now,
            )
            for person in self._people
            for family_id in family_ids
        )
        return Ready("lost", told, stored=False)

    def tick(self, family_id: str) -> Ready:
        """Whatever is due for a family: reminders, and staff told again of a report."""
        now = self._clock()

        def step(family: Family) -> Family:
            after = remind(family, self._bot.library, now)
            after = alerts.tell_again(after, self._bot.library, self._people, now)
            return self._timed(after, now)

        family = self._changed(family_id, step)
        return Ready(family_id, family.outbox if family else ())

    def due(self, most: int) -> list[str]:
        """Families for which something is due now."""
        return self._store.due(self._clock(), most)

    def waiting(self) -> list[str]:
        """Families with messages that were not sent yet."""
        return self._store.waiting()

    def ready(self, family_id: str) -> Ready:
        """What lies ready for a family; nothing where the family is gone."""
        family, _ = load_family(self._store, Family(family_id))
        gone = self._sent.of(family_id)
        return Ready(family_id, tuple(o for o in family.outbox if o.key not in gone))

    def claim(self, family_id: str, key: str) -> Outgoing | None:
        """Mark a message, on disk, as being sent for the only time; None when it is gone."""

        def step(family: Family) -> Family:
            outbox = (replace(o, claimed=True) if o.key == key else o for o in family.outbox)
            return replace(family, outbox=tuple(outbox))

        family = self._changed(family_id, step)
        return next((o for o in family.outbox if o.key == key), None) if family else None

    def current(self, family_id: str, key: str) -> Outgoing | None:
        """The message as it stands now: a hold may have changed or withdrawn it."""
        return next((o for o in self.ready(family_id).messages if o.key == key), None)

    def done_with(self, family_id: str, key: str) -> bool:
        """Whether a message was sent or let go, though it may still lie in its record."""
        return self._sent.holds(family_id, key)

    def remove(self, family_id: str, keys: frozenset[str]) -> None:
        """These messages are done with: they leave the record with its next change."""
        self._sent.note(family_id, keys)

    def tidy(self, most: int) -> None:
        """Take what is done with out of at most ``most`` records, and out of the notes."""
        for family_id in self._sent.families()[:most]:
            noted = self._sent.of(family_id)
            if self._changed(family_id, lambda family: family) is None:
                self._sent.forget(family_id, noted)
        if self._sent.idle_lines > _IDLE_LINES:
            self._sent.tidy()

    def unreachable(self, family_id: str, chat: int) -> None:
        """The chat is blocked or gone: nothing more is sent there until it speaks again."""

        def step(family: Family) -> Family:
            member = family.member(chat)
            if member is not None:
                family = with_member(family, replace(member, reachable=False))
            outbox = tuple(o for o in family.outbox if o.chat != chat)
            return self._timed(replace(family, outbox=outbox), self._clock())

        self._changed(family_id, step)

    def moved(self, family_id: str, chat: int, new: int) -> None:
        """The chat goes on under a new number."""

        def step(family: Family) -> Family:
            members = (replace(m, chat=new) if m.chat == chat else m for m in family.members)
            outbox = (replace(o, chat=new) if o.chat == chat else o for o in family.outbox)
            return replace(family, members=tuple(members), outbox=tuple(outbox))

        self._changed(family_id, step)

    def _timed(self, family: Family, now: datetime) -> Family:
        """The family with the next moment at which anything has to be looked at."""
        clinic = self._bot.library.clinic
        times = [
            next_due(family, self._bot.library, now),
            alerts.next_alert(family, clinic) if self._people else None,
        ]
        return replace(family, due=min((t for t in times if t is not None), default=None))
