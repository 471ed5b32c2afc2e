"""The settings of a live channel: one YAML file, each mistake told with its line.

The token comes from the environment (ARMBOT_TOKEN) or from a file named here, never from the
settings themselves: those get shown around.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from armbot.content.sources import LANGUAGES
from armbot.content.strict import ContentError, Node, load
from armbot.model.staff import Staff

TOKEN_VARIABLE = "ARMBOT_TOKEN"  # noqa: S105 - the name of a variable
API = "https://api.telegram.org"
_TOKEN = re.compile(r"[0-9]{3,20}:[A-Za-z0-9_-]{20,100}")
_ADDRESS = re.compile(r"https?://[^\s/]+(?::[0-9]+)?(?:/[^\s]*)?")
_CHAT = re.compile(r"-?[0-9]{1,19}")


@dataclass(frozen=True, slots=True)
class Webhook:
    """Where Telegram is to post: the public address, and where this process listens.

    TLS ends in front of it; ``secret_file`` holds the secret that every post must bring.
    """

    url: str
    host: str
    port: int
    secret_file: Path


@dataclass(frozen=True, slots=True)
class Rates:
    """Messages a second overall and in one chat, and a minute in a group."""

    overall: int = 30
    chat: int = 1
    group: int = 20


@dataclass(frozen=True, slots=True)
class Settings:
    """What ``armbot serve`` runs with.

    ``api`` is the Bot API server; ``open_to_all`` lets families join without an invitation;
    ``trial`` lets content out that no clinician has signed, under a mark.
    """

    staff: tuple[Staff, ...] = ()
    token_file: Path | None = None
    api: str = API
    webhook: Webhook | None = None
    open_to_all: bool = False
    trial: bool = False
    data: Path | None = None
    rates: Rates = Rates()


class TokenMissing(Exception):  # noqa: N818 - says what happened
    """No usable token: the message says where it is looked for."""


def load_settings(path: Path) -> Settings:
    """Read a settings file. Raises ContentError naming file, line, problem and remedy."""
    fields = load(path).mapping(
        optional=("staff", "token_file", "api", "webhook", "joining", "trial", "data", "rates"),
    )
    base = path.absolute().parent
    return Settings(
        staff=_staff(fields["staff"]) if "staff" in fields else (),
        token_file=_path(fields["token_file"], base) if "token_file" in fields else None,
        api=_address(fields["api"]) if "api" in fields else API,
        webhook=_webhook(fields["webhook"], base) if "webhook" in fields else None,
        open_to_all=_joining(fields["joining"]) if "joining" in fields else False,
        trial=fields["trial"].boolean() if "trial" in fields else False,
        data=_path(fields["data"], base) if "data" in fields else None,
        rates=_rates(fields["rates"]) if "rates" in fields else Rates(),
    )


def _staff(node: Node) -> tuple[Staff, ...]:
    found = tuple(_person(item) for item in node.items())
    if len({person.chat for person in found}) < len(found):
        raise node.fail("a chat is named twice", "name each staff chat once")
    if found and all(person.late for person in found):
        raise node.fail("every chat is late", "leave 'late' out for those told at once")
    return found


def _person(node: Node) -> Staff:
    fields = node.mapping(required=("chat", "role"), optional=("lang", "late"))
    chat = fields["chat"].text()
    if not _CHAT.fullmatch(chat):
        raise fields["chat"].fail(f"'{chat}' is no chat", "write the number of the chat")
    lang = fields["lang"].text() if "lang" in fields else LANGUAGES[0]
    if lang not in LANGUAGES:
        raise fields["lang"].fail(f"no language '{lang}'", f"use one of: {', '.join(LANGUAGES)}")
    late = fields["late"].boolean() if "late" in fields else False
    return Staff(int(chat), fields["role"].text(), lang, late)


def _webhook(node: Node, base: Path) -> Webhook:
    fields = node.mapping(required=("url", "secret_file", "port"), optional=("host",))
    url = _address(fields["url"])
    if not url.startswith("https://"):
        raise fields["url"].fail("Telegram posts to https only", "give the address of the proxy")
    port = fields["port"].integer()
    if not 1 <= port <= 65535:
        raise fields["port"].fail(f"there is no port {port}", "write one from 1 to 65535")
    host = fields["host"].text() if "host" in fields else "127.0.0.1"
    return Webhook(url, host, port, _path(fields["secret_file"], base))


def _rates(node: Node) -> Rates:
    fields = node.mapping(optional=("overall", "chat", "group"))
    numbers = {name: field.integer() for name, field in fields.items()}
    if not all(numbers.values()):
        raise node.fail("a rate of 0 sends nothing", "write whole numbers from 1 up")
    return Rates(**numbers)


def _joining(node: Node) -> bool:
    word = node.text()
    if word not in ("invited", "open"):
        raise node.fail(f"joining is not '{word}'", "write invited, or open")
    return word == "open"


def _address(node: Node) -> str:
    text = node.text()
    if not _ADDRESS.fullmatch(text):
        raise node.fail(f"'{text}' is no address", "write such as https://bot.example.org")
    return text.rstrip("/")


def _path(node: Node, base: Path) -> Path:
    """A path, relative to the folder of the settings."""
    return base / Path(node.text()).expanduser()


def token_of(settings: Settings, environment: Mapping[str, str] = os.environ) -> str:
    """The bot's token. Raises TokenMissing, and ContentError for a file that holds none."""
    if settings.token_file is None:
        token = environment.get(TOKEN_VARIABLE, "").strip()
        if not token:
            raise TokenMissing(
                f"no token: set {TOKEN_VARIABLE}, or name a file with it as token_file in the "
                "settings"
            )
        where = TOKEN_VARIABLE
    else:
        token, where = _secret(settings.token_file), str(settings.token_file)
    if not _TOKEN.fullmatch(token):
        raise TokenMissing(f"{where} holds no token: it looks like 123456:ABC-DEF... (one line)")
    return token


def secret_of(webhook: Webhook) -> str:
    """The webhook's secret. Raises TokenMissing where the file holds none that may be used."""
    secret = _secret(webhook.secret_file)
    if not re.fullmatch(r"[A-Za-z0-9_-]{16,256}", secret):
        raise TokenMissing(
            f"{webhook.secret_file} holds no secret: 16 to 256 letters, digits, - or _"
        )
    return secret


def _secret(path: Path) -> str:
    """The one line of a secret's file, which must be its owner's alone."""
    try:
        if path.stat().st_mode & 0o077:
            raise ContentError(path, 1, "others may read this file", f"run: chmod 600 {path}")
        return path.read_text("utf-8").strip()
    except UnicodeDecodeError:
        raise ContentError(path, 1, "not a text", "write the secret as one line") from None
