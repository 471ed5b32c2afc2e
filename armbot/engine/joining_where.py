"""Time zone and quiet hours: where and when the family can be written to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from armbot.core.zones import Zones, common_near, find, label, table_of
from armbot.engine.joining_form import Heard, Question, Scene, Step, button
from armbot.engine.joining_words import MOST_WORDS, hear, slips, words_in
from armbot.engine.say import Voice
from armbot.language.normal import clean
from armbot.model.family import Quiet
from armbot.model.outbox import Button

NO_QUIET = "none"
USUAL = (Quiet(21, 8), Quiet(22, 7))
"""Quiet hours that have a button."""
_LONGEST = 12
"""Hours that quiet hours span at most where it has to be found out which half of the day is
meant: nobody means a whole day."""
_CLOCK = re.compile(r"(\d{1,2})(?:[:.](\d\d))?\s*(am|pm|a ?m|p ?m)?(?![\d:])")
_FEWEST_LETTERS = 3


def quiet_words(voice: Voice, quiet: Quiet) -> str:
    """Quiet hours as they are read: "9 pm to 8 am", or that there are none."""
    if quiet.first == quiet.last:
        return voice.say("quiet_none")
    return voice.say(
        "quiet_span", first=hour_words(voice, quiet.first), last=hour_words(voice, quiet.last)
    )


def hour_words(voice: Voice, hour: int) -> str:
    """A whole hour of the day as it is read: 21 is "9 pm"."""
    half = "hour_am" if hour < 12 else "hour_pm"
    return voice.say(half, hour=(hour - 1) % 12 + 1)


def zone_words(zones: Sequence[str], zone: str, lang: str) -> str:
    """What the family's time zone is called."""
    return label(table_of(zones), zone, lang)


def read_zone(scene: Scene, text: str) -> tuple[str, ...]:
    """The time zones a text may mean; a slip of the pen in a place's name is overlooked."""
    plain = clean(text).text.strip(" .,;:!?\n")
    home = scene.library.clinic.time_zone
    words = words_in(text)
    if not plain or len(words) > MOST_WORDS:
        return ()
    found = find(scene.zones, plain, scene.now, home)
    if len(found) == 1:
        return found
    near = _nearest(scene.zones, words)
    mended = find(scene.zones, f"{near} {plain}", scene.now, home) if near else ()
    return mended if len(mended) == 1 or not found else found


def _nearest(zones: Zones, words: Sequence[str]) -> str:
    """The one name of a place that is a slip of the pen away from words of the text."""
    best: dict[str, int] = {}
    spans = {" ".join(words[i:j]) for i in range(len(words)) for j in range(i + 1, len(words) + 1)}
    for span in spans:
        for name in zones.meant:
            if len(span) > _FEWEST_LETTERS and name[0] == span[0] and name not in zones.everyday:
                allowed = 1 + (len(span) > 2 * _FEWEST_LETTERS)
                if abs(len(name) - len(span)) <= allowed and slips(span, name) <= allowed:
                    best[name] = slips(span, name)
    least = [name for name, far in best.items() if far == min(best.values())]
    meant = {zones.meant[name] for name in least}
    return least[0] if len(meant) == 1 else ""


def zone_buttons(scene: Scene, zones: Iterable[str]) -> tuple[Button, ...]:
    """A button for each zone."""
    return tuple(button("zone", z, label(scene.zones, z, scene.voice.lang)) for z in zones)


def _ask_zone(scene: Scene) -> Question:
    usual = common_near(scene.zones, scene.library.clinic.time_zone)
    return Question(scene.say("join_zone"), zone_buttons(scene, usual))


def _hear_zone(scene: Scene, text: str) -> Heard:
    found = read_zone(scene, text)
    if len(found) == 1:
        return Heard((("zone", found[0]),))
    if found:
        return Heard(hint=scene.say("hint_which_zone"), buttons=zone_buttons(scene, found))
    return Heard(hint=scene.say("hint_zone"))


def _pick_zone(scene: Scene, value: str) -> Heard:
    if value in scene.zones.names:
        return Heard((("zone", value),))
    return Heard(hint=scene.say("hint_zone"))


def quiet_value(quiet: Quiet) -> str:
    """Quiet hours as a form and a button keep them: "21-8"."""
    return f"{quiet.first}-{quiet.last}"


def quiet_of(value: str) -> Quiet | None:
    """Quiet hours back from ``quiet_value``, or none at all; None for anything else."""
    if value == NO_QUIET:
        return Quiet(0, 0)
    first, _, last = value.partition("-")
    ends = [int(end) for end in (first, last) if end.isascii() and end.isdigit() and len(end) < 3]
    if len(ends) == 2 and all(end < 24 for end in ends):
        return Quiet(*ends)
    return None


def read_quiet(text: str, scene: Scene) -> tuple[Quiet, ...]:
    """The quiet hours a text may mean: none, the ones meant, or several to choose from.

    Half hours are widened to whole ones. A span of more than half a day is meant only where
    nothing shorter fits.
    """
    plain = _with_halves(clean(text).text, scene)
    ends = _CLOCK.findall(plain)
    if len(ends) != 2 or len(words_in(text)) > MOST_WORDS:
        return ()
    firsts = _hours(*ends[0], up=False)
    lasts = _hours(*ends[1], up=True)
    spans = [(a, b) for a in firsts for b in lasts if a != b]
    short = [(a, b) for a, b in spans if (b - a) % 24 <= _LONGEST]
    return tuple(Quiet(a, b) for a, b in dict.fromkeys(short or spans))


def _with_halves(plain: str, scene: Scene) -> str:
    """The text with "in the evening", "de la noche", "midnight" as am and pm."""
    for phrases in scene.library.words.phrases.values():
        for key in ("hear_clock_am", "hear_clock_pm", "hear_midnight", "hear_noon"):
            for word in sorted(phrases[key].split(","), key=len, reverse=True):
                said = clean(word).text.strip()
                plain = re.sub(rf"\b{re.escape(said)}\b\.?", _CLOCK_WORDS[key], plain)
    return plain


_CLOCK_WORDS = {
    "hear_clock_am": "am", "hear_clock_pm": "pm", "hear_midnight": "00:00", "hear_noon": "12:00 pm",
}  # fmt: skip


def _hours(hour: str, minute: str, half: str, *, up: bool) -> tuple[int, ...]:
    """The hours of the day that one end of a span may be; half hours go outwards."""
    told, late = int(hour), int(minute or 0) > 0
    half = half.replace(" ", "")
    if told > 24 or (half and not 1 <= told <= 12):
        return ()
    if half:
        hours = [told % 12 + (12 if half == "pm" else 0)]
    elif told == 0 or told > 12 or (len(hour) == 2 and hour[0] == "0"):
        hours = [told % 24]
    else:
        hours = [told % 12 + 12, told % 12]
    return tuple((h + (late and up)) % 24 for h in hours)


def _ask_quiet(scene: Scene) -> Question:
    buttons = _quiet_buttons(scene, USUAL)
    none = button("quiet", NO_QUIET, scene.say("label_no_quiet"))
    return Question(scene.say("join_quiet"), (*buttons, none))


def _quiet_buttons(scene: Scene, spans: Iterable[Quiet]) -> tuple[Button, ...]:
    return tuple(button("quiet", quiet_value(q), quiet_words(scene.voice, q)) for q in spans)


def _hear_quiet(scene: Scene, text: str) -> Heard:
    found = read_quiet(text, scene)
    if len(found) == 1:
        return Heard((("quiet", quiet_value(found[0])),))
    if found:
        return Heard(hint=scene.say("hint_which"), buttons=_quiet_buttons(scene, found))
    meant = hear(scene.library, text, ("none", "no", "usual", "yes"))
    if meant in ("none", "no"):
        return Heard((("quiet", NO_QUIET),))
    if meant:
        return Heard((("quiet", quiet_value(USUAL[0])),))
    return Heard(hint=scene.say("hint_quiet"))


def _pick_quiet(scene: Scene, value: str) -> Heard:
    if quiet_of(value) is None:
        return Heard(hint=scene.say("hint_quiet"))
    return Heard((("quiet", value),))


ZONE = Step("zone", _ask_zone, _hear_zone, _pick_zone)
QUIET = Step("quiet", _ask_quiet, _hear_quiet, _pick_quiet)
