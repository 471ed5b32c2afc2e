"""The conversation in a terminal: greet, answer, explain, leave."""

from __future__ import annotations

import traceback
from dataclasses import dataclass
from typing import TYPE_CHECKING

from armbot.app import answer, change, load_family, open_store, with_settings
from armbot.channels.base import Channel, Reply
from armbot.engine.decide import decide
from armbot.engine.say import Voice, paragraphs, sentence
from armbot.engine.signed import is_draft

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime
    from pathlib import Path

    from armbot.engine.decide import Decision
    from armbot.language.grammar import Grammar
    from armbot.model.family import Family

LEAVE = frozenset({"quit", "exit", "salir", "bye", "adios", "adiós"})
HELP = frozenset({"help", "ayuda"})


@dataclass(frozen=True, slots=True)
class Setting:
    """What a conversation is held with.

    ``fresh`` is the family as it begins when nothing is stored; ``lang`` and ``zone`` are
    those asked for on the command line, None to keep what is stored; ``clock`` gives the
    aware time of a message; ``complain`` takes a line for whoever runs the program.
    """

    grammar: Grammar
    folder: Path
    fresh: Family
    lang: str | None
    zone: str | None
    clock: Callable[[], datetime]
    complain: Callable[[str], None]


def converse(channel: Channel, setting: Setting) -> None:
    """Hold the conversation until the family leaves.

    The store is opened for each message only, so that a clearance recorded meanwhile in
    another terminal is known to the next answer. Raises what opening the record raises
    (StoreDamaged, StoreBusy, OSError, ValueError) before anything is said.
    """
    state = _State(_begin(setting))
    channel.show(_greeting(setting, state.family))
    for text in channel.messages():
        word = text.lower().strip(" .!?¿¡").removeprefix("/")
        if word in LEAVE:
            return
        if word in HELP:
            channel.show(_help(setting, state.family))
        else:
            reply, state = _reply(setting, state, text)
            channel.show(reply)


@dataclass(frozen=True, slots=True)
class _State:
    """The family as this conversation knows it, and whether all of that is on disk."""

    family: Family
    saved: bool = True


def _begin(setting: Setting) -> Family:
    """The stored family with the settings of this start kept, or the fresh one."""

    def step(family: Family) -> tuple[Family, Family]:
        chosen = with_settings(family, setting.lang, setting.zone)
        return chosen, chosen

    with open_store(setting.folder) as store:
        family, _ = load_family(store, setting.fresh)
        if with_settings(family, setting.lang, setting.zone) == family:
            return family
        return change(store, setting.fresh, step)


def _reply(setting: Setting, state: _State, text: str) -> tuple[Reply, _State]:
    """The answer and the state after it; a fault never leaves the family without words."""
    try:
        decision, saved = _decided(setting, state, text)
    except Exception as error:  # noqa: BLE001  # a hurt child may be behind this message
        setting.complain(_words_of(error))
        return _sorry(setting, state.family), state
    turn = decision.turn
    mark = _mark(setting, turn.topic, turn.lang)
    return Reply(turn.reply, turn.choices, mark), _State(decision.family, saved)


def _decided(setting: Setting, state: _State, text: str) -> tuple[Decision, bool]:
    """Decide and save; what cannot be saved is still answered, and said to be unsaved."""
    now = setting.clock()
    unsaved = None if state.saved else state.family
    try:
        with open_store(setting.folder) as store:
            return answer(store, setting.fresh, text, setting.grammar, now, unsaved), True
    except Exception as error:  # noqa: BLE001  # a safety message must not depend on a disk
        setting.complain(f"this message was answered but NOT saved: {_words_of(error)}")
        return decide(state.family, text, setting.grammar, now), False


def _words_of(error: Exception) -> str:
    return "".join(traceback.format_exception_only(error)).strip()


def _greeting(setting: Setting, family: Family) -> Reply:
    voice = Voice(setting.grammar.library, family.lang)
    text = paragraphs(voice.say("hello"), voice.say("hello_how"))
    return Reply(text, mark=_mark(setting, "greeting", family.lang))


def _help(setting: Setting, family: Family) -> Reply:
    voice = Voice(setting.grammar.library, family.lang)
    text = paragraphs(voice.say("help"), sentence(voice.say("worse"), voice.say("nobody_watches")))
    return Reply(text, mark=_mark(setting, "greeting", family.lang))


def _sorry(setting: Setting, family: Family) -> Reply:
    voice = Voice(setting.grammar.library, family.lang)
    text = paragraphs(
        voice.say("unknown_answer"), sentence(voice.say("worse"), voice.say("nobody_watches"))
    )
    return Reply(text, mark=_mark(setting, "unknown", family.lang))


def _mark(setting: Setting, topic: str, lang: str) -> str:
    library = setting.grammar.library
    today = setting.clock().date()
    voice = Voice(library, lang)
    return voice.say("draft") if is_draft(library, topic, lang, today) else ""
