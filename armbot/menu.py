"""The few commands of the menu, in each language."""

from __future__ import annotations

from armbot.engine.say import Voice
from armbot.model.library import Library

COMMANDS = ("start", "help", "settings", "chart", "calendar", "data")
"""Telegram's conventions ask for /start, /help and /settings; the others are the files."""


def commands(library: Library) -> dict[str, dict[str, str]]:
    """For each language each command and what it does."""
    return {
        lang: {name: Voice(library, lang).say(f"command_{name}") for name in COMMANDS}
        for lang in library.languages
    }
