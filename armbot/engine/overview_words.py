"""The overview in words: the same as the picture, for whoever cannot or will not see it."""

from __future__ import annotations

import unicodedata
from datetime import date

from armbot.engine.overview_values import Arm, Overview, State
from armbot.engine.say import Voice, paragraphs, sentence
from armbot.model.family import Athlete
from armbot.model.library import Library
from armbot.model.season import OffFrom

_NAME_LENGTH = 40
"""Characters of a nickname that are shown: a longer one is cut."""
_CONTROL = ("C", "Zl", "Zp")
"""Unicode categories without a shape of their own, marks of direction among them."""


def shown_name(athlete: Athlete, library: Library, lang: str) -> str:
    """The nickname as one plain line; the phrase for an athlete without one.

    Marks of direction, line breaks and the signs of bold text are left out.
    """
    plain = "".join(
        " " if char.isspace() else char
        for char in athlete.name
        if char != "*" and (char.isspace() or not unicodedata.category(char).startswith(_CONTROL))
    )
    name = " ".join(plain.split())
    if len(name) > _NAME_LENGTH:
        name = name[: _NAME_LENGTH - 1].rstrip() + "…"
    return name or Voice(library, lang).say("picture_nameless")


def overview_text(shown: Overview, library: Library, lang: str) -> str:
    """The picture as a short text: where the athlete stands, the weeks, the months, sources."""
    voice = Voice(library, lang)
    return paragraphs(
        sentence(f"{capital(shown.name)}:", headline(shown, voice), standing_note(shown, voice)),
        sentence(weeks_line(shown, voice), *notes(shown, voice)),
        months_line(shown, voice),
        sentence(voice.say("total_only_logged"), voice.sources(shown.sources)),
    )


def capital(name: str) -> str:
    """The name with a capital first letter, as a sentence begins."""
    return name[:1].upper() + name[1:]


_HEADLINES = {
    State.WAITING: "picture_waiting",
    State.DAY_OFF: "picture_day_off",
    State.NO_AGE: "picture_no_age",
    State.NO_TABLE: "picture_no_table",
    State.EMPTY: "picture_empty",
    State.BEYOND: "picture_beyond",
    State.NOT_ALLOWED: "picture_no_table",
}


def headline(shown: Overview, voice: Voice) -> str:
    """What matters most, in bold: never a day to throw while one must not be named."""
    if shown.state is State.HOLD:
        return voice.say("picture_hold")
    if (until := off_season_until(shown)) is not None:
        return voice.say("picture_off_season", day=voice.day(until))
    if shown.state is State.COUNT_MISSING and shown.missing is not None:
        return voice.say("picture_count_missing", day=voice.day(shown.missing))
    if shown.state is State.REST:
        rest = voice.say("picture_rest", days=days_said(shown.rest_ahead, voice))
        return rest if shown.rest_ahead else ""
    return voice.say(_HEADLINES.get(shown.state, "picture_free"))


def off_season_until(shown: Overview) -> date | None:
    """The last day of the off-season that today lies in, where that is what stands first."""
    if shown.state is not State.OFF_SEASON:
        return None
    return max(off.last for off in shown.off_seasons if off.first <= shown.today <= off.last)


def standing_note(shown: Overview, voice: Voice) -> str:
    """What goes with the headline: why, what then, and the caution."""
    if shown.state is State.HOLD and shown.hold_since is not None:
        return voice.say("hold_why", day=voice.day(shown.hold_since))
    if shown.state not in (State.REST, State.FREE):
        return ""
    first = ""
    if shown.first is not None and shown.first > shown.today:
        first = voice.say("next_day", day=voice.day(shown.first))
    return sentence(first, voice.say("if_normal"))


def days_said(days: tuple[date, ...], voice: Voice) -> str:
    """Days as a list of weekdays; as a span where that would name a weekday twice."""
    names = [voice.weekday(day) for day in days]
    if len(set(names)) == len(names):
        return voice.listing(names)
    return voice.say("picture_until", day=voice.day(days[-1]))


def weeks_line(shown: Overview, voice: Voice) -> str:
    """Days with pitching and their pitches in the weeks shown, and the most on one day."""
    pitched = [day for day in shown.days if day.pitches is not None]
    if not pitched:
        return ""
    most = max(pitched, key=lambda day: day.pitches or 0)
    total = sum(day.pitches or 0 for day in pitched)
    line = voice.say("picture_sum", n=shown.weeks, days=len(pitched), pitches=total)
    if most.limit is None or not most.pitches:
        return line
    told = voice.say(
        "picture_most", pitches=most.pitches, day=voice.day(most.day), limit=most.limit
    )
    return sentence(line, told)


def notes(shown: Overview, voice: Voice) -> tuple[str, ...]:
    """What of the weeks must not be overlooked."""
    found = (
        ("picture_over", [d.day for d in shown.days if d.over]),
        ("picture_too_soon", [d.day for d in shown.days if d.breach and not d.over]),
        ("picture_open", [d.day for d in shown.days if d.pitched and not d.counted]),
    )
    said = [voice.say(key, days=_several(days, voice)) for key, days in found if days]
    practice = sum(day.practice or 0 for day in shown.days)
    if practice:
        said.append(voice.say("picture_practice", pitches=practice))
    return tuple(said)


def _several(days: list[date], voice: Voice) -> str:
    """Days in words; of more than three their number and the last of them."""
    if len(days) > 3:
        return voice.say("picture_many", n=len(days), day=voice.day(days[-1]))
    return voice.listing([voice.day(day) for day in days])


def months_line(shown: Overview, voice: Voice) -> str:
    """How the months were spent, and what is advised."""
    uses = [month.use for month in shown.months]
    return sentence(
        spent_line(shown, voice),
        aim_line(shown, voice),
        voice.say("season_open") if Arm.UNKNOWN in uses[:-1] else "",
    )


def spent_line(shown: Overview, voice: Voice) -> str:
    """Months pitched and off, as far as the log reaches; nothing where it is empty."""
    uses = [month.use for month in shown.months]
    if set(uses) == {Arm.UNKNOWN}:
        return ""
    return voice.say(
        "picture_months_sum",
        n=len(uses),
        pitched=uses.count(Arm.PITCHED),
        off=uses.count(Arm.OFF),
        run=shown.longest_run(Arm.OFF),
    )


def aim_line(shown: Overview, voice: Voice) -> str:
    """The months off that the guideline advises at the athlete's age."""
    if shown.aim is None or shown.age is None:
        return ""
    throwing = shown.aim.off_from is OffFrom.ALL_THROWING
    return voice.say(
        "picture_aim",
        age=voice.age(shown.age),
        months=shown.aim.needed,
        what=voice.say("months_all" if throwing else "months_pitching"),
        run=shown.aim.run_needed,
    )
