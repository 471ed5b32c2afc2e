"""The command ``armbot``: what can be typed, and the plain way each mistake is told."""

from __future__ import annotations

import argparse
import os
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from armbot import commands, live
from armbot.app import data_folder
from armbot.batch import answer_lines
from armbot.channels.terminal import Terminal
from armbot.chat import Setting, converse
from armbot.commands import Failure
from armbot.content.library import load_library
from armbot.content.sources import LANGUAGES
from armbot.content.strict import ContentError
from armbot.language.grammar import Grammar
from armbot.language.patterns import PatternError
from armbot.model.family import Family
from armbot.request import known_zone
from armbot.store.base import StoreError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

OK, BAD, MISUSE = 0, 1, 2
FAMILY_ID = "terminal"
"""The one family whose conversation the terminal holds."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Exit codes: 0 done, 1 something checked was bad, 2 not possible."""
    options = parser().parse_args(arguments)
    try:
        code: int = options.run(options)
        sys.stdout.flush()
    except (KeyboardInterrupt, BrokenPipeError) as error:
        return _left(error)
    except ContentError as error:
        return _told(f"content: {error}")
    except PatternError as error:
        return _told(f"content: {error} -- armbot content check names the file and line")
    except (Failure, StoreError) as error:
        return _told(str(error))
    except OSError as error:
        return _told(f"{error.filename or 'file'}: {error.strerror or error}")
    return code


def _left(error: BaseException) -> int:
    """The person left, or whoever read the output did: no traceback either way."""
    if isinstance(error, BrokenPipeError):
        # Python flushes stdout once more at exit; let that go nowhere.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return BAD
    sys.stdout.write("\n")
    return OK


def _told(problem: str) -> int:
    sys.stderr.write(f"armbot: {problem}\n")
    return MISUSE


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = argparse.ArgumentParser(
        prog="armbot",
        description="Sourced arm-care answers. "
        "Not medical advice: no diagnosis, no dose. Nobody watches this program.",
    )
    added = top.add_subparsers(required=True, metavar="COMMAND")
    chat = _command(added, "chat", _chat, "talk with the bot in this terminal")
    chat.add_argument("--lang", choices=LANGUAGES, help="keep to this language")
    chat.add_argument("--zone", type=_zone, help="IANA time zone of the family")
    _at_option(chat)
    _data_option(chat)
    ask = _command(added, "ask", _ask, "answer lines of JSON from standard input")
    ask.add_argument("--jsonl", action="store_true", required=True, help="JSON Lines in and out")
    clear = _command(added, "clear", _clear, "for clinic staff: record a clearance")
    clear.add_argument("--role", help="the role that clears")
    clear.add_argument("--athlete", help="nickname, where more than one hold is on record")
    _at_option(clear)
    _data_option(clear)
    _data_option(_command(added, "report", _report, "for clinic staff: list what was reported"))
    live.add_commands(added)
    _content_commands(_command(added, "content", None, "check the content, and who signed it"))
    return top


def _content_commands(content: argparse.ArgumentParser) -> None:
    added = content.add_subparsers(required=True, metavar="COMMAND")
    check = _command(added, "check", _check, "list mistakes")
    check.add_argument("folder", nargs="?", type=Path, help="by default the one in use")
    _command(added, "signoffs", _signoffs, "list items and signatures")
    learn = _command(added, "learn", _learn, "learn the second reader's numbers again")
    learn.add_argument("folder", nargs="?", type=Path, help="by default the one in use")
    evaluate = _command(added, "evaluate", _evaluate, "score a labelled file")
    evaluate.add_argument("file", type=Path)


def _command(
    added: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    run: Callable[[argparse.Namespace], int] | None,
    text: str,
) -> argparse.ArgumentParser:
    command = added.add_parser(name, help=text, description=text)
    if run is not None:
        command.set_defaults(run=run)
    return command


def _data_option(command: argparse.ArgumentParser) -> None:
    text = "where the record is kept (default: $XDG_DATA_HOME/armbot or ~/.local/share/armbot)"
    command.add_argument("--data", type=Path, metavar="FOLDER", help=text)


def _at_option(command: argparse.ArgumentParser) -> None:
    text = "act as if it were this ISO date and time, such as 2026-06-10T19:00"
    command.add_argument("--at", type=_moment, metavar="ISO", help=text)


def _zone(text: str) -> str:
    if not known_zone(text):
        raise argparse.ArgumentTypeError(f"no time zone '{text}': write such as America/Chicago")
    return text


def _moment(text: str) -> datetime:
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"'{text}' is no date and time: write such as 2026-06-10T19:00"
        ) from None
    if not 1970 <= found.year <= 2199:
        raise argparse.ArgumentTypeError(f"the year {found.year}: give one from 1970 to 2199")
    return found


def _chat(options: argparse.Namespace) -> int:
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    grammar = Grammar(load_library())
    zone = options.zone or grammar.library.clinic.time_zone
    setting = Setting(
        grammar=grammar,
        folder=options.data or data_folder(),
        fresh=Family(id=FAMILY_ID, zone=zone),
        lang=options.lang,
        zone=options.zone,
        clock=_clock(options.at, zone),
        complain=lambda problem: print(f"armbot: {problem}", file=sys.stderr, flush=True),
    )
    try:
        converse(Terminal(sys.stdin, sys.stdout), setting)
    except StoreError as error:
        number = grammar.library.clinic.emergency_number
        raise Failure(f"{error}. No answers until then; in an emergency call {number}") from error
    return OK


def _clock(at: datetime | None, zone: str) -> Callable[[], datetime]:
    """The clock of a conversation: standing still at ``at``, or the real one."""
    if at is None:
        return lambda: datetime.now(tz=UTC).astimezone(ZoneInfo(zone))
    fixed = at if at.tzinfo else at.replace(tzinfo=ZoneInfo(zone))
    return lambda: fixed


def _ask(_options: argparse.Namespace) -> int:
    grammar = Grammar(load_library())

    def write(line: str) -> None:
        sys.stdout.write(line + "\n")
        sys.stdout.flush()

    good = answer_lines(sys.stdin.buffer, write, grammar, lambda: datetime.now(tz=UTC))
    return OK if good else BAD


def _clear(options: argparse.Namespace) -> int:
    library = load_library()
    now = _clock(options.at, library.clinic.time_zone)()
    folder = options.data or data_folder()
    commands.record_clearance(
        library, folder, FAMILY_ID, role=options.role, athlete=options.athlete, now=now
    )
    return OK


def _report(options: argparse.Namespace) -> int:
    commands.list_reports(options.data or data_folder(), FAMILY_ID)
    return OK


def _check(options: argparse.Namespace) -> int:
    if options.folder is not None and not options.folder.is_dir():
        raise Failure(f"{options.folder}: no such folder; name one with a sources.yaml in it")
    return commands.check_content(options.folder, datetime.now(tz=UTC).date())


def _learn(options: argparse.Namespace) -> int:
    return commands.learn_numbers(options.folder)


def _signoffs(_options: argparse.Namespace) -> int:
    return commands.list_signoffs(datetime.now(tz=UTC).date())


def _evaluate(options: argparse.Namespace) -> int:
    commands.evaluate_file(Grammar(load_library()), options.file)
    return OK
