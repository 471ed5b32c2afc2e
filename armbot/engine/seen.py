"""The family as one of its chats sees it, and what that chat changed brought back.

The engine knows one conversation. A family has several: each member's open question,
language and greeting are his own, and an athlete's own phone speaks of that athlete alone.
"""

from __future__ import annotations

from dataclasses import replace

from armbot.model.family import Family, Member, Talk, new_athlete_id, with_member


def seen_by(family: Family, member: Member) -> Family:
    """The family as the engine is to see it for a message from that member."""
    own = replace(
        family,
        lang=member.lang,
        lang_chosen=member.lang_chosen,
        greeted=member.greeted,
        talk=member.talk,
    )
    if not member.athlete or family.athlete(member.athlete) is None:
        return own
    mine = (member.athlete, "")
    free = int(new_athlete_id(family)[1:])
    return replace(
        own,
        next_id=max(family.next_id, free),
        athletes=tuple(a for a in family.athletes if a.id == member.athlete),
        outings=tuple((a, o) for a, o in family.outings if a in mine),
        holds=tuple(h for h in family.holds if h.athlete in mine),
    )


def brought_back(family: Family, member: Member, after: Family) -> Family:
    """The whole family after ``after``, which is what its part became (see seen_by)."""
    before = seen_by(family, member)
    athletes = {a.id: a for a in family.athletes} | {a.id: a for a in after.athletes}
    hidden_outings = tuple(pair for pair in family.outings if pair not in before.outings)
    hidden_holds = tuple(hold for hold in family.holds if hold not in before.holds)
    member = replace(
        member,
        talk=after.talk,
        greeted=after.greeted,
        lang=after.lang,
        lang_chosen=after.lang_chosen,
    )
    whole = replace(
        after,
        athletes=tuple(athletes.values()),
        outings=(*hidden_outings, *after.outings),
        holds=(*hidden_holds, *after.holds),
        talk=Talk(),
        lang=family.lang,
        lang_chosen=family.lang_chosen,
        greeted=family.greeted,
    )
    return with_member(whole, member)
