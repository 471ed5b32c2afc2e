"""What a short reply means where a sign was asked about: "yes" is a report, "no" is not.

The bot asks "does the arm hurt now?" in many places. A bare "yes", "a little" or "his elbow"
to that is as much a report as a whole sentence; a question that several things were asked in
is answered by its most urgent one.
"""

from __future__ import annotations

from armbot.model.family import Talk
from armbot.model.reports import Tier
from armbot.model.talk import Reading

RULE_ID = "answered-yes"
"""Named in answers where a reply to a question, and no word of its own, was the report."""
_URGENT = ("numb", "locking", "pop/swelling")
_PAIN = ("pain", "hurt")
_SORE = ("soreness", "tired", "fatigue")
_WHERE = ("where it hurts", "what hurts")
"""Questions that a body part alone answers."""
_MOST_WORDS = 8
"""A longer message is read for what it says, not as a yes or no."""


def affirmed(talk: Talk, reading: Reading) -> Tier:
    """The tier that a yes to the open question reports; NONE where nothing is affirmed."""
    asks = talk.asks
    if _is_reply(reading) and _seen(asks) and "first:no" in reading.acts:
        return Tier.STOP  # pain there was, and nobody has looked at it
    if not _is_reply(reading) or denies(reading):
        return Tier.NONE
    named = bool(reading.signs.parts) and any(word in asks for word in _WHERE)
    plain_yes = "first:yes" in reading.acts and not _is_already(reading)
    yes = plain_yes or ("hedge" in reading.acts and not _begins_as_a_question(reading))
    if plain_yes and any(word in asks for word in _URGENT):
        return Tier.STOP_URGENT
    if (yes or named) and any(word in asks for word in _PAIN) and not _seen(asks):
        return Tier.STOP
    if any(word in asks for word in (*_URGENT, *_PAIN, *_SORE)) and not _seen(asks):
        return Tier.ASK if yes or "unsure" in reading.acts else Tier.NONE
    return Tier.NONE


def _is_already(reading: Reading) -> bool:
    """Whether the "ya" is Spanish for already, "ya lo vio el doctor", and no yes."""
    return reading.lang == "es" and reading.text.startswith("ya ")


def _begins_as_a_question(reading: Reading) -> bool:
    """Whether "he do" and the like stand in a question: "what can he do"."""
    return reading.text.split()[:1] != [] and reading.text.split()[0] in _ASKING


_ASKING = frozenset(
    "what when who how can could may should why where que cuando quien como puede cual".split()
)


def denies(reading: Reading) -> bool:
    """Whether the message says no to what was asked, or denies every sign it names."""
    plain_no = "first:no" in reading.acts and "unsure" not in reading.acts
    plain_no = plain_no and not _negates_another(reading)
    return reading.signs.all_denied or (plain_no and not reading.signs.mentions)


_AFTER_A_NO = frozenset(
    "no nada ninguno ninguna nunca para gracias señor señora senor senora que ya todo".split()
)
_NO_OF_ANOTHER = frozenset("way one matter time more chance rest".split())


def _negates_another(reading: Reading) -> bool:
    """Whether the "no" belongs to a sentence about something else.

    "No le digas a mi mamá", "no way im sitting out": no answer to whether the arm hurts.
    """
    words = reading.text.split()
    if len(words) < 2 or words[0] != "no":
        return False
    second = words[1].strip(".,!;:")
    return second not in _AFTER_A_NO if reading.lang == "es" else second in _NO_OF_ANOTHER


def settles(talk: Talk, reading: Reading) -> bool:
    """Whether the open safety question is answered with nothing to worry about.

    A bare "no" answers "does it hurt?", not "where does it hurt?" nor "was it seen?".
    """
    if was_seen(talk, reading):
        return True
    if any(word in talk.asks for word in (*_WHERE, "was he seen")):
        return reading.signs.all_denied
    return denies(reading)


def says_well(talk: Talk, reading: Reading) -> bool:
    """Whether a plain no answers a question about pain that nothing had given cause for."""
    asked = any(word in talk.asks for word in (*_PAIN, *_SORE))
    new = reading.counts or reading.ask_days or reading.ages or reading.bare
    return asked and not new and _is_reply(reading) and denies(reading)


def was_seen(talk: Talk, reading: Reading) -> bool:
    """Whether a yes answers that a clinician has looked and cleared."""
    return _is_reply(reading) and _seen(talk.asks) and "first:yes" in reading.acts


def _seen(asks: str) -> bool:
    return "was he seen" in asks


def _is_reply(reading: Reading) -> bool:
    return "?" not in reading.text and len(reading.text.split()) <= _MOST_WORDS
