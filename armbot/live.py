"""The commands of a live channel: serve, invite, health."""

from __future__ import annotations

import argparse
import gc
import logging
import signal
import sys
from datetime import UTC, datetime
from pathlib import Path

import armbot.keeping as keep
from armbot import invitations
from armbot.app import data_folder
from armbot.commands import Failure
from armbot.config import Settings, TokenMissing, load_settings, token_of
from armbot.content.library import load_library
from armbot.engine.signed import is_draft
from armbot.language.grammar import Grammar
from armbot.model.library import Library

_SILENT = 90.0
"""Seconds without an answer from Telegram after which the server counts as unwell: a long
poll takes up to 30, and after a fault the next try begins within 30."""


def add_commands(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands to the command line."""
    serve = added.add_parser("serve", help="serve families on Telegram", description=_SERVE)
    serve.add_argument("--settings", type=Path, metavar="FILE", help="the settings (YAML)")
    serve.add_argument("--data", type=Path, metavar="FOLDER", help="where records are kept")
    serve.set_defaults(run=_serve)
    invite = added.add_parser(
        "invite", help="for clinic staff: make an invitation for one family", description=_INVITE
    )
    invite.add_argument("--days", type=_days, default=invitations.DAYS, help="how long it is good")
    invite.add_argument("--settings", type=Path, metavar="FILE", help="the settings (YAML)")
    invite.add_argument("--data", type=Path, metavar="FOLDER", help="where records are kept")
    invite.set_defaults(run=_invite)
    health = added.add_parser(
        "health", help="whether the server hears Telegram: ends with 1 if not"
    )
    health.add_argument("--settings", type=Path, metavar="FILE", help="the settings (YAML)")
    health.add_argument("--data", type=Path, metavar="FOLDER", help="where records are kept")
    health.set_defaults(run=_health)


_SERVE = (
    "Serves families on Telegram until it is told to stop. Nobody watches it around the clock: "
    "reports go to the staff chats named in the settings."
)
_INVITE = "Prints a link that opens the chat and lets one family join, once."


def _days(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:4]) <= 365):
        raise argparse.ArgumentTypeError(f"'{text}' days: write 1 to 365")
    return int(text)


def _settings(options: argparse.Namespace) -> tuple[Settings, Path]:
    """The settings and the data folder; the command line wins over the file."""
    settings = load_settings(options.settings) if options.settings else Settings()
    return settings, options.data or settings.data or data_folder()


def _serve(options: argparse.Namespace) -> int:
    from armbot.serve import Place, serve  # noqa: PLC0415 - the libraries take a second to load

    logging.basicConfig(
        level=logging.WARNING, stream=sys.stderr, format="%(asctime)s %(name)s: %(message)s"
    )
    # Until the server itself listens for it, a signal to stop just ends the start.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    settings, folder = _settings(options)
    try:
        token = token_of(settings)
        grammar = Grammar(load_library())
        _check(grammar.library, settings)
        # The content lives as long as the process: no collection need look at it again.
        gc.collect()
        gc.freeze()
        return serve(Place(settings, token, grammar, folder))
    except (TokenMissing, keep.KeyUnreadable) as error:
        raise Failure(str(error)) from None


def _check(library: Library, settings: Settings) -> None:
    """Nothing unsigned goes to families, unless the clinic says that this is a trial."""
    today = datetime.now(tz=UTC).date()
    unsigned = any(is_draft(library, "greeting", lang, today) for lang in library.languages)
    if unsigned and not settings.trial:
        raise Failure(
            "the content is not signed by a clinician, so it is not shown to families: sign it "
            "(armbot content signoffs lists what), or write 'trial: true' in the settings to "
            "try it with a mark on every message"
        )
    roles = {person.role for person in settings.staff}
    if not roles & set(library.clinic.who_may_clear):
        sys.stderr.write(
            "armbot: no staff chat in the settings may clear: reports reach nobody who can end "
            "a hold\n"
        )


def _invite(options: argparse.Namespace) -> int:
    _, folder = _settings(options)
    code = invitations.make(keep.key_of(folder), datetime.now(tz=UTC), options.days)
    name = keep.name_of(folder)
    print(f"https://t.me/{name}?start={code}" if name else f"/start {code}")
    print(f"good for one family, for {options.days} days", file=sys.stderr)
    return 0


def _health(options: argparse.Namespace) -> int:
    _, folder = _settings(options)
    health = keep.read_health(folder)
    if health is None:
        print(f"unwell: no server has written to {folder}")
        return 1
    silent = (datetime.now(tz=UTC) - health.polled).total_seconds()
    word = "unwell" if silent > _SILENT else "well"
    print(
        f"{word}: Telegram answered {silent:.0f} s ago; {health.waiting} messages wait; "
        f"{health.set_aside} set aside"
    )
    return 1 if silent > _SILENT else 0
