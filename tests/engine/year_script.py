"""The invented year of one family: a club in fall, a school team in spring, one report.

Finch, born in April 2014, pitches for a club in the fall and for the school in spring. In
June the family moves from the Eastern to the Mountain zone.
"""

from __future__ import annotations

from datetime import date, datetime

from reminder_clock import (
    Clock,
    Step,
    cleared,
    guardian,
    imports,
    joins,
    local,
    moves,
    own_chat,
    plans_day,
    plans_off_season,
    presses,
    says,
    server_down,
)

from armbot.model.family import Athlete, Family
from armbot.model.outings import Outing, OutingKind
from armbot.model.people import BirthMonth

EAST, MOUNTAIN = "America/New_York", "America/Denver"
PARENT, CHILD = 101, 102
FINCH = Athlete(id="a1", name="Finch", birth=BirthMonth(2014, 4))

SAID = {
    "en": {
        "log": "log {pitches} pitches and {innings} innings today",
        "swim": "log swimming today",
        "hurts": "his elbow hurts when he throws",
        "no": "no, nothing hurts",
        "thanks": "thanks",
    },
    "es": {
        "log": "apunta {pitches} lanzamientos y {innings} entradas hoy",
        "swim": "apunta natación hoy",
        "hurts": "le duele el codo cuando lanza",
        "no": "no, nada le duele",
        "thanks": "gracias",
    },
}


def family(lang: str) -> Family:
    """The family as it joins, on the first of September."""
    return Family(
        id="finch",
        lang=lang,
        lang_chosen=True,
        zone=EAST,
        athletes=(FINCH,),
        greeted=True,
        members=(guardian(PARENT, lang),),
    )


def script(lang: str) -> list[tuple[datetime, Step]]:
    """Everything that happens, with its moment."""
    words = SAID[lang]

    def pitched(pitches: int, innings: int) -> Step:
        return says(words["log"].format(pitches=pitches, innings=innings))

    def game(day: date, pitches: int, innings: int, team: str) -> Step:
        return imports("a1", Outing("", day, pitches=pitches, outs=innings * 3, team=team))

    def bullpen(day: date, pitches: int) -> Step:
        return imports("a1", Outing("", day, OutingKind.BULLPEN, pitches=pitches))

    east = [
        # Fall: the club.
        ("2026-09-12 14:30", pitched(48, 3)),
        ("2026-09-13 08:20", presses("arm", "fine")),
        ("2026-09-19 16:00", pitched(58, 4)),
        ("2026-09-20 08:30", presses("arm", "sore")),
        ("2026-09-20 08:32", says(words["no"])),
        ("2026-09-21 08:15", presses("arm", "gone")),
        ("2026-10-03 21:40", pitched(35, 2)),
        ("2026-10-04 13:00", pitched(20, 1)),
        ("2026-10-17 15:00", pitched(61, 4)),
        ("2026-10-17 15:01", server_down(local("2026-10-20 14:00", EAST))),
        # A plan for the winter, told on 24 October.
        ("2026-10-20 14:05", says(words["thanks"])),
        ("2026-10-24 10:00", plans_off_season("a1")),
        ("2026-12-12 18:30", says(words["swim"])),
        ("2026-12-14 18:30", says(words["swim"])),
        # Spring: the school team.
        ("2027-03-06 12:00", bullpen(date(2027, 3, 6), 20)),
        ("2027-03-13 13:00", game(date(2027, 3, 13), 40, 3, "school")),
        ("2027-03-20 13:00", game(date(2027, 3, 20), 55, 4, "school")),
        ("2027-03-24 18:00", plans_day("a1", date(2027, 3, 26))),
        ("2027-03-24 18:10", game(date(2027, 3, 24), 44, 3, "school")),
        ("2027-03-25 18:20", presses("planned", "dropped")),
        ("2027-03-31 18:10", game(date(2027, 3, 31), 62, 5, "school")),
        ("2027-04-10 15:00", pitched(52, 4)),
        # The report, the hold and the clearance.
        ("2027-04-11 09:00", presses("arm", "fine")),
        ("2027-04-11 17:30", says(words["hurts"])),
        ("2027-04-12 12:00", plans_day("a1", date(2027, 4, 17))),
        ("2027-04-12 19:00", presses("seen", "notyet")),
        ("2027-04-15 10:30", presses("seen", "booked")),
        ("2027-04-18 11:00", presses("seen", "yes")),
        ("2027-05-04 09:00", cleared("a1", "physician")),
        ("2027-05-15 16:00", pitched(30, 2)),
        ("2027-05-22 16:00", game(date(2027, 5, 22), 66, 5, "school")),
        ("2027-05-26 16:00", game(date(2027, 5, 26), 18, 1, "club")),
        # The move, on the afternoon of a game.
        ("2027-06-12 16:00", pitched(45, 3)),
        ("2027-06-12 18:30", moves(MOUNTAIN)),
    ]
    mountain = [
        ("2027-07-10 13:00", game(date(2027, 7, 10), 70, 7, "club")),
        ("2027-07-15 19:00", game(date(2027, 7, 15), 60, 7, "club")),
        ("2027-07-24 13:00", game(date(2027, 7, 24), 75, 7, "club")),
        ("2027-07-31 13:00", game(date(2027, 7, 31), 72, 6, "club")),
        # From August on Finch has a phone, and hears it too.
        ("2027-08-06 11:00", joins(own_chat(CHILD, "a1", lang))),
        ("2027-08-07 13:00", game(date(2027, 8, 7), 80, 8, "club")),
        ("2027-08-21 13:00", game(date(2027, 8, 21), 58, 6, "club")),
        ("2027-08-14 13:00", game(date(2027, 8, 14), 74, 8, "club")),
    ]
    return [(local(at, EAST), step) for at, step in east] + [
        (local(at, MOUNTAIN), step) for at, step in mountain
    ]


def year(lang: str) -> Clock:
    """The whole year, run."""
    clock = Clock(family(lang))
    clock.run(script(lang), local("2027-09-01 00:00", MOUNTAIN))
    return clock
