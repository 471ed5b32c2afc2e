"""Reads content/zones/zones.yaml: what families call their time zone."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import available_timezones

from armbot.content.paths import content_folder
from armbot.content.sources import by_language
from armbot.content.strict import Node, load
from armbot.core.zones import Zones, table
from armbot.language.normal import clean

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping
    from pathlib import Path

NAME = "zones/zones.yaml"


def load_zones(folder: Path | None = None) -> Zones:
    """The zones of this machine's tz database with the places of a content base.

    ``folder`` is the content base, by default the one this package came with. Raises
    ContentError for an unknown zone, a name that is not plain, or a mistake in shape.
    """
    known = available_timezones()
    top = load((folder or content_folder()) / NAME).mapping(
        required=("common", "labels", "everyday", "places"), optional=()
    )
    places = _by_zone(top["places"], known)
    found = table(
        known,
        {zone: _plain(node) for zone, node in places.items()},
        {
            country: tuple(_zone(item, known) for item in node)
            for country, node in top["common"].mapping().items()
        },
        {zone: by_language(node) for zone, node in _by_zone(top["labels"], known).items()},
        _plain(top["everyday"]),
    )
    for node in top["everyday"]:
        if node.text() not in found.meant:
            raise node.fail(f"'{node.text()}' is no place here", "add the place, or remove it")
    return found


def _by_zone(node: Node, known: Collection[str]) -> Mapping[str, Node]:
    found = node.mapping()
    for zone, value in found.items():
        if zone not in known:
            raise value.fail(f"no time zone '{zone}'", "use a name of the tz database")
    return found


def _zone(node: Node, known: Collection[str]) -> str:
    zone = node.text()
    if zone not in known:
        raise node.fail(f"no time zone '{zone}'", "use a name such as America/Chicago")
    return zone


def _plain(node: Node) -> tuple[str, ...]:
    """Names as a family's text will be compared with them; each once."""
    names = node.words()
    for item, name in zip(node, names, strict=True):
        if clean(name).text != name:
            raise item.fail(f"'{name}' is not plain", f"write '{clean(name).text}'")
        if names.count(name) > 1:
            raise item.fail(f"'{name}' stands here twice", "keep one of the two")
    return names
