"""Reads the register of sources, and the origin that every figure must name."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

from armbot.content.strict import Node, load
from armbot.model.cite import Cite, Seen, Source
from armbot.model.rules import Figure

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

LANGUAGES = ("en", "es")
Choice = TypeVar("Choice", bound=StrEnum)
COMMON_PRACTICE = "common-practice"
"""The register key of a fact of the trade with no published source behind it."""


def load_sources(path: Path) -> dict[str, Source]:
    """Read content/sources.yaml: register key to source.

    Raises ContentError naming file and line for a missing or unknown field.
    """
    return {key: _source(key, node) for key, node in load(path).mapping().items()}


def _source(key: str, node: Node) -> Source:
    fields = node.mapping(required=("body", "title", "year", "kind"), optional=("note",))
    note = fields.get("note")
    return Source(
        key=key,
        body=fields["body"].text(),
        title=fields["title"].text(),
        year=fields["year"].text(),
        kind=fields["kind"].text(),
        note=note.text() if note else "",
    )


def read_cite(node: Node, sources: Mapping[str, Source]) -> Cite:
    """Read ``{source, section, in_force, seen}``.

    Raises ContentError for a key the register does not hold, and where "common" and the
    common-practice entry do not go together.
    """
    fields = node.mapping(required=("source", "section", "in_force", "seen"), optional=())
    key, seen = fields["source"].text(), choice(fields["seen"], Seen)
    if key not in sources:
        raise fields["source"].fail(
            f"no source '{key}' in the register", "add it to sources.yaml, or correct the key"
        )
    if (seen == Seen.COMMON) != (key == COMMON_PRACTICE):
        raise fields["seen"].fail(
            f"source '{key}' cannot have been seen as '{seen}'",
            f"'common' goes with the source '{COMMON_PRACTICE}', and only with it",
        )
    return Cite(key, fields["section"].text(), fields["in_force"].text(), seen)


def choice(node: Node, names: type[Choice]) -> Choice:
    """The value as one of a closed set of names; ContentError lists them."""
    text = node.text()
    if text not in list(names):
        raise node.fail(f"'{text}' is not known here", f"use one of: {', '.join(names)}")
    return names(text)


def by_language(node: Node) -> dict[str, str]:
    """A text in each language."""
    fields = node.mapping(required=LANGUAGES, optional=())
    return {language: text.text() for language, text in fields.items()}


@dataclass(frozen=True, slots=True)
class Cites:
    """The origins named at the top of one file; its figures point to them by name."""

    named: Mapping[str, Cite]

    def cite(self, node: Node) -> Cite:
        """The origin that ``node`` names."""
        name = node.text()
        if name not in self.named:
            known = ", ".join(sorted(self.named))
            raise node.fail(f"no origin '{name}' under cites", f"use one of: {known}")
        return self.named[name]

    def cite_if(self, fields: Mapping[str, Node], key: str) -> Cite | None:
        """The origin named under ``key``, None if nothing is."""
        return self.cite(fields[key]) if key in fields else None

    def figure(self, node: Node, key: str = "value") -> Figure:
        """A whole number under ``key`` with its ``cite``."""
        fields = node.mapping(required=(key, "cite"))
        return Figure(fields[key].integer(), self.cite(fields["cite"]))

    def figure_if(self, fields: Mapping[str, Node], key: str) -> Figure | None:
        """The figure under ``key``, None if nothing is; no other key may stand in it."""
        if key not in fields:
            return None
        fields[key].mapping(required=("value", "cite"), optional=())
        return self.figure(fields[key])


def read_cites(node: Node, sources: Mapping[str, Source]) -> Cites:
    """Read the ``cites`` of a file: name to origin."""
    return Cites({name: read_cite(cite, sources) for name, cite in node.mapping().items()})
