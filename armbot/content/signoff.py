"""What a clinician signs, and whether the signature still fits.

A signable item is a folder or a file of content/. Its digest is the SHA-256 of the
file bytes, brought to one form of line ends, so that any edit of the words or figures
breaks the signature and a different editor or platform does not.
"""

from __future__ import annotations

import re
from datetime import date
from hashlib import sha256
from typing import TYPE_CHECKING

from armbot.content.sources import LANGUAGES
from armbot.content.strict import ContentError, Node, load
from armbot.model.signoff import ContentItem, SignOff

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

SIGNOFFS = "signoffs.yaml"
_DIGEST = re.compile(r"[0-9a-f]{64}")
_WHOLE = ("symptoms", "season", "pitch_types", "reminders")
"""Folders signed as a whole: their rules only make sense together."""
_SPLIT = ("topics", "rules")
"""Folders whose sub-folders are signed one by one."""


def digest(root: Path, files: tuple[Path, ...]) -> str:
    """SHA-256, as 64 hex digits, of files under ``root`` with their names, in name order.

    A byte order mark, the kind of line end, space at line ends and empty lines at the
    end of a file do not count; everything else does.
    """
    total = sha256()
    for path in sorted(files):
        data = _normal(path.read_bytes())
        name = path.relative_to(root).as_posix()
        total.update(f"{name}\0{len(data)}\0".encode())
        total.update(data)
    return total.hexdigest()


def _normal(data: bytes) -> bytes:
    lines = data.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n").split(b"\n")
    return b"\n".join(line.rstrip(b" \t\r") for line in lines).rstrip(b"\n") + b"\n"


def load_items(folder: Path) -> dict[str, ContentItem]:
    """Every signable item of a content folder with its digest and signature, by id.

    Raises ContentError where signoffs.yaml is missing or unsound, or signs an item that
    is not there.
    """
    signed = load_signoffs(folder / SIGNOFFS)
    found = {
        name: ContentItem(name, digest(folder, files), signed.get(name))
        for name, files in item_files(folder).items()
    }
    for name in signed:
        if name not in found:
            place = _places(folder / SIGNOFFS)[name]
            raise place.fail(f"no item '{name}' in the content", "correct or remove the entry")
    return found


def item_files(folder: Path) -> dict[str, tuple[Path, ...]]:
    """The files of each signable item, by item id."""
    found: dict[str, tuple[Path, ...]] = {}
    for kind in _SPLIT:
        for path in sorted((folder / kind).glob("*/")):
            found[f"{kind}/{path.name}"] = _files(path)
    for kind in _WHOLE:
        if (folder / kind).is_dir():
            found[kind] = _files(folder / kind)
    for language in LANGUAGES:
        for path in sorted((folder / "words" / language).glob("phrases*.yaml")):
            found[f"words/{language}/{path.stem}"] = (path,)
    return found


def _files(folder: Path) -> tuple[Path, ...]:
    return tuple(sorted(path for path in folder.rglob("*") if path.is_file()))


def load_signoffs(path: Path) -> dict[str, SignOff]:
    """Read signoffs.yaml: item id to signature.

    Raises ContentError for a mistake in shape, an impossible date, a validity that ends
    before it begins, or an item signed twice.
    """
    found: dict[str, SignOff] = {}
    for node in _entries(path):
        signature = _signature(node)
        if signature.item in found:
            raise node.fail(
                f"'{signature.item}' is signed twice", "keep the entry that is in force"
            )
        found[signature.item] = signature
    return found


def _entries(path: Path) -> tuple[Node, ...]:
    if not path.is_file():
        raise ContentError(path, 1, "the file is missing", "write 'signoffs: []' if none is signed")
    return load(path).mapping(required=("signoffs",), optional=())["signoffs"].items()


def _places(path: Path) -> Mapping[str, Node]:
    return {node.mapping(required=("item",))["item"].text(): node for node in _entries(path)}


def _signature(node: Node) -> SignOff:
    fields = node.mapping(
        required=("item", "digest", "role", "signed_on", "valid_until"), optional=()
    )
    signed_on, valid_until = _day(fields["signed_on"]), _day(fields["valid_until"])
    if valid_until < signed_on:
        raise fields["valid_until"].fail(
            "the sign-off ends before it begins", "correct one of the two dates"
        )
    if not _DIGEST.fullmatch(fields["digest"].text()):
        raise fields["digest"].fail("this is no digest", "copy the 64 digits and letters a to f")
    return SignOff(
        item=fields["item"].text(),
        digest=fields["digest"].text(),
        role=fields["role"].text(),
        signed_on=signed_on,
        valid_until=valid_until,
    )


def _day(node: Node) -> date:
    try:
        return date.fromisoformat(node.text())
    except ValueError:
        raise node.fail(f"'{node.text()}' is no date", "write such as 2027-04-03") from None
