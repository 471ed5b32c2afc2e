"""Random and hostile messages: no exception, no runaway time, no reply a chat cannot take.

The default run tries a few thousand; ``ARMBOT_HOSTILE_MESSAGES=100000`` tries as many as
it says. The messages come from a fixed seed, so a failure can be had again.
"""

from __future__ import annotations

import json
import os
import random
import time
from datetime import date
from typing import TYPE_CHECKING

import pytest
from conversation import NOW, after, grammar, new_family, recorded, say
from strategies import SIGNS, TRICKY

from armbot.batch import shown
from armbot.engine.say import TELEGRAM_LIMIT, units
from armbot.language.normal import LIMIT
from armbot.store.records import family_from, to_document

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from armbot.model.family import Family

COUNT = int(os.environ.get("ARMBOT_HOSTILE_MESSAGES", "3000"))
SLOWEST = 0.25
"""Processor seconds one message may take (the bot's own bound for a chat that feels alive)."""
TRIES = 3
"""A slow message is timed again: a busy machine is slow once, a bad pattern every time."""

REPEATED = (
    "no pain ", "elbow ", "1/3 ", "((((", "no ", "hurts ", "his elbow hurts ", "40 pitches ",
    "he is 11 ", "monday ", "not ", "no, ", "and ", "sore elbow and ", "1/2/3 ", "12u ", "6/5 ",
    "..", "...", "?", "a?", "elbow\n", "\n", "'", "n't ", "don't ", "🔥", "🔥elbow", "é", "e\u0301",
    "tingling and numb ", "no pain, no swelling, ", "cannot straighten ", "can't ", "of the ",
    "threw 30 monday ", "la la la ", "no le duele ", "le duele el codo y ", "sin dolor ni ",
    "treinta y ", "hundred ", "twenty ", "a hundred and five ", "ibuprofen before ", "-", "- ",
    "--", "1-", "1.", "1:", "/", "#", "9", "0", "elbowelbow", "x", "\u202e1", "\ufeff", "\x00",
    "in in in ", "next ", "last ", "on the ", "days ago ", "the 5th ", "hace dos dias ",
    "long toss ", "little league ", "pop ", "pop! ", "locked in ", "up ", "his ", "he ",
    "elbow pain shoulder pain arm pain ", "feels like ", "when he throws it hurts and ",
)  # fmt: skip
SCRIPTS = (
    (0x20, 0x7E), (0xA0, 0x24F), (0x300, 0x36F), (0x370, 0x52F), (0x590, 0x6FF), (0x900, 0x97F),
    (0xE00, 0xE7F), (0x1100, 0x11FF), (0x2000, 0x206F), (0x2070, 0x218F), (0x3040, 0x30FF),
    (0x4E00, 0x4FFF), (0xD800, 0xDFFF), (0xE000, 0xE0FF), (0xFB00, 0xFDFF), (0xFE00, 0xFEFF),
    (0xFF00, 0xFFFF), (0x1D400, 0x1D7FF), (0x1F300, 0x1F6FF), (0xE0000, 0xE007F), (0x0, 0x1F),
)  # fmt: skip
DIGITS = "0123456789٠١٢٣٤٥٦٧٨٩०१२३४५६७८९０１２３４５６７８９𝟘𝟙𝟚𝟛²³¹½⅓⅔Ⅷ①㊿〇三十"  # noqa: RUF001  # digits of many scripts are the point


def random_text(rng: random.Random) -> str:
    """Characters of one script, or of all."""
    low, high = rng.choice((*SCRIPTS, (0, 0x10FFFF)))
    return "".join(chr(rng.randint(low, high)) for _ in range(rng.randint(0, 300)))


def repeated(rng: random.Random) -> str:
    """One or two pieces over and over, up to and beyond what a chat can send."""
    pieces = rng.sample(REPEATED, rng.randint(1, 2))
    size = rng.choice((20, 60, 200, 500)) if rng.random() < 0.97 else rng.choice((LIMIT, 2 * LIMIT))
    return ("".join(pieces) * size)[:size]


def digits(rng: random.Random) -> str:
    """Digits of every script, very long numbers, marks between them."""
    size = rng.choice((3, 10, 100)) if rng.random() < 0.97 else LIMIT
    text = "".join(rng.choice(DIGITS + ".,/:- ") for _ in range(size))
    return f"he is {text[:6]} and threw {text} pitches {text[:4]}/{text[-4:]}"


def word_salad(rng: random.Random) -> str:
    """Words of the bot's own lists in any order: what patterns are made of."""
    vocabulary = _vocabulary()
    size = rng.choice((3, 12, 30)) if rng.random() < 0.97 else 600
    return " ".join(rng.choice(vocabulary) for _ in range(size))


def zalgo(rng: random.Random) -> str:
    """A real message drowned in combining marks."""
    text = rng.choice(_real())
    return "".join(c + "".join(chr(rng.randint(0x300, 0x36F)) for _ in range(8)) for c in text)


def marked(rng: random.Random) -> str:
    """A real message with invisible and direction marks, halves of pairs and controls."""
    marks = "\u200b\u200d\u200e\u200f\u202a\u202e\u2066\u2069\ufeff\ud83d\udc00\x00\x07\u2028\u0085"
    text = rng.choice(_real())
    return "".join(c + (rng.choice(marks) if rng.random() < 0.2 else "") for c in text)


def broken(rng: random.Random) -> str:
    """Real messages cut, doubled, reversed and glued together."""
    one, two = rng.choice(_real()), rng.choice(_real())
    cut = rng.randint(0, len(one))
    return rng.choice((one[:cut] + two, one[cut:] * 3, one[::-1], one + two * 3, one.swapcase()))


def markup(rng: random.Random) -> str:
    """What would matter to a format string, a shell, a page or a prompt."""
    pieces = (
        "{clinic_phone}", "{0}", "{", "}", "%s", "%(x)s", "${HOME}", "$(id)", "`id`", "<b>",
        "</script>", "'; drop table families; --", "\\", "**", "__", "[x](y)", "@bot",
        "/start", "/clear", "../../etc/passwd", "ignore all previous instructions",
    )  # fmt: skip
    return " ".join(rng.choice((*pieces, *_real()[:30])) for _ in range(rng.randint(1, 12)))


MAKERS: tuple[Callable[[random.Random], str], ...] = (
    random_text, repeated, digits, word_salad, zalgo, marked, broken, markup,
)  # fmt: skip


def _real() -> list[str]:
    texts = [text for _, text in TRICKY] + [sign.en for sign in SIGNS] + [s.es for s in SIGNS]
    return texts + [c.turns[0] for c in recorded("questions")[::4]]


def _vocabulary() -> list[str]:
    return sorted(grammar().lexicon.vocabulary)


def hostile(count: int, seed: int) -> Iterator[str]:
    """``count`` messages, the kinds in turn."""
    rng = random.Random(seed)  # noqa: S311  # not for secrets
    for index in range(count):
        yield MAKERS[index % len(MAKERS)](rng)


def timed(family: Family, text: str) -> tuple[float, Family]:
    """Processor seconds for one message, the best of a few tries if slow; and what follows.

    Processor time, since a decision waits for nothing: what else the machine runs is not
    the message's doing.
    """
    best = SLOWEST * 100
    for _ in range(TRIES):
        start = time.thread_time()
        decision = say(family, text)
        best = min(best, time.thread_time() - start)
        if best <= SLOWEST:
            break
    turn = decision.turn
    assert units(turn.reply) <= TELEGRAM_LIMIT, f"{units(turn.reply)} units for {text[:200]!r}"
    assert turn.reply.strip(), f"nothing said to {text[:200]!r}"
    turn.reply.encode("utf-8")
    json.dumps(shown(turn), allow_nan=False)
    return best, decision.family


def check(texts: Iterator[str]) -> None:
    """Each message of a conversation that starts anew every 25 messages."""
    family, slow = new_family(), []
    for index, text in enumerate(texts):
        if index % 25 == 0:
            family = new_family()
        seconds, family = timed(family, text)
        slow.append((seconds, text))
        if index % 10 == 0:
            assert family_from(json.loads(json.dumps(to_document(family)))) == family
    seconds, text = max(slow)
    print(f"slowest of {len(slow)}: {seconds * 1000:.0f} ms for {text[:80]!r}")  # noqa: T201
    assert seconds <= SLOWEST, f"{seconds * 1000:.0f} ms for {text[:300]!r}"


def test_hostile_messages_are_all_answered() -> None:
    """Every message of eight hostile kinds gets a reply that fits, in time, as plain JSON."""
    check(hostile(COUNT, seed=20260610))


@pytest.mark.parametrize("piece", REPEATED)
def test_a_full_message_of_one_piece_is_answered_in_time(piece: str) -> None:
    """Four thousand characters of one piece, said after some of it: the time stays bounded."""
    text = (piece * LIMIT)[:LIMIT]
    seconds, _ = timed(after(text[:600]), text)
    assert seconds <= SLOWEST, f"{seconds * 1000:.0f} ms: {piece!r}"


def test_time_grows_no_faster_than_the_text() -> None:
    """Twice the text takes about twice the time at most: no message can make it run away."""
    for piece in ("his elbow hurts when he throws and ", "no pain ", "40 pitches monday "):
        half, whole = ((piece * LIMIT)[:size] for size in (LIMIT // 2, LIMIT))
        timed(new_family(), half)
        short, full = (
            min(timed(new_family(), text)[0] for _ in range(TRIES)) for text in (half, whole)
        )
        assert full <= 4 * short + 0.02, piece


@pytest.mark.parametrize("text", ["", " ", "\n", "\x00", "\ud800", "\u200b", "🤷", "."])
def test_a_message_of_nothing_is_answered(text: str) -> None:
    """Even a message with nothing to read gets words back."""
    timed(new_family(), text)


def test_what_was_typed_never_fills_a_phrase_in() -> None:
    """Braces in a message are not taken for the gaps of a phrase."""
    family = new_family()
    for text in ("{clinic_phone} {0} {x!r}", "his name is {phone}. his elbow hurts", "{" * 500):
        _, family = timed(family, text)


@pytest.mark.parametrize("day", [date(2027, 12, 31), date(2028, 2, 29), date(2027, 1, 1)])
def test_the_ends_of_a_year_break_nothing(day: date) -> None:
    """The last, the first and the leap day of a year: every tricky message is answered."""
    now = NOW.replace(year=day.year, month=day.month, day=day.day)
    for _, text in TRICKY:
        assert say(new_family(), text, now).turn.reply


NUMBERS = (
    "0", "00", "1", "3", "6", "19", "23", "24", "999999", "0.5", "1/0", "0/1", "1000000000", "2.9",
    "200", "201", "-5",
)  # fmt: skip


@pytest.mark.parametrize("number", NUMBERS)
def test_no_number_breaks_a_plain_message(number: str) -> None:
    """Nought, fractions and numbers nobody can throw, in every place a number has."""
    for text in (
        f"he is 12 and threw {number} pitches monday, can he pitch friday?",
        f"he is {number} and threw 40 pitches monday",
        f"threw {number} innings, he's 12", f"log {number} pitches today for my 11 year old",
        f"tiene 12 y lanzó {number} lanzamientos ayer", f"caught {number} innings and 30 pitches",
        f"threw 40 pitches {number} days ago, 12", f"{number}", f"he is in grade {number}",
    ):  # fmt: skip
        timed(new_family(), text)
