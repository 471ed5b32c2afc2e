"""YAML that keeps its word: strings stay strings, nothing is silently dropped.

Stock YAML turns a bare ``no`` into False, ``1:30`` into 90, a date into a date
object, and lets a repeated key silently win. In a bilingual list of yes/no words
and pitch counts each of those is a wrong answer waiting, so here every scalar is
text with a line number, and the reader says what it expected.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import yaml

if TYPE_CHECKING:
    from collections.abc import Iterator

# The C parser reads the same YAML about eight times faster; not every platform has it.
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class ContentError(Exception):
    """One mistake in content: where it is, what is wrong, how to mend it."""

    def __init__(self, path: Path | str, line: int, problem: str, remedy: str) -> None:
        self.path = Path(path)
        self.line = line
        self.problem = problem
        self.remedy = remedy
        super().__init__(f"{self.path}:{line}: {problem} -- {remedy}")


@dataclass(frozen=True, slots=True)
class Node:
    """A YAML value with the place it was read from.

    ``value`` is a str, a tuple of Nodes, or a dict from key text to Node; an empty
    scalar or ``null``/``~`` is None.
    """

    value: str | tuple[Node, ...] | dict[str, Node] | None
    path: Path
    line: int

    def fail(self, problem: str, remedy: str) -> ContentError:
        """A ContentError at this place (to be raised by the caller)."""
        return ContentError(self.path, self.line, problem, remedy)

    def mapping(
        self, required: tuple[str, ...] = (), optional: tuple[str, ...] | None = None
    ) -> dict[str, Node]:
        """The value as a mapping, its keys checked against what may stand here.

        With ``optional`` None any key is allowed beside the required ones.
        """
        if not isinstance(self.value, dict):
            raise self.fail("a mapping is expected here", "write key: value pairs")
        for key in required:
            if key not in self.value:
                raise self.fail(f"the key '{key}' is missing", f"add '{key}: ...'")
        if optional is not None:
            known = (*required, *optional)
            for key, node in self.value.items():
                if key not in known:
                    raise node.fail(
                        f"unknown key '{key}'", f"use one of: {', '.join(sorted(known))}"
                    )
        return self.value

    def items(self) -> tuple[Node, ...]:
        """The value as a list."""
        if not isinstance(self.value, tuple):
            raise self.fail("a list is expected here", "write one '- item' per line, or [a, b]")
        return self.value

    def text(self) -> str:
        """The value as non-empty text, surrounding space removed."""
        if not isinstance(self.value, str) or not self.value.strip():
            raise self.fail("text is expected here", "write a word or a quoted sentence")
        return self.value.strip()

    def integer(self) -> int:
        """The value as a whole number, zero or more."""
        text = self.text()
        if not (text.isascii() and text.isdigit() and len(text) <= 9):
            raise self.fail(f"'{text}' is not a whole number", "write digits only, such as 75")
        return int(text)

    def boolean(self) -> bool:
        """The value as true or false."""
        text = self.text()
        if text not in ("true", "false"):
            raise self.fail(f"'{text}' is neither true nor false", "write true or false")
        return text == "true"

    def words(self) -> tuple[str, ...]:
        """The value as a list of texts."""
        return tuple(item.text() for item in self.items())

    @property
    def empty(self) -> bool:
        """Whether nothing (or null) was written."""
        return self.value is None

    def __iter__(self) -> Iterator[Node]:
        return iter(self.items())


def load(path: Path) -> Node:
    """Read one YAML file. Raises ContentError with the line of the first mistake."""
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise ContentError(
            path, 1, f"the file cannot be read ({error.strerror})", "add it, or correct its name"
        ) from None
    except UnicodeDecodeError as error:
        raise ContentError(path, 1, f"not UTF-8 text ({error.reason})", "save as UTF-8") from None
    return parse(text, path)


def parse(text: str, path: Path) -> Node:
    """Read YAML text; ``path`` only names it in errors."""
    try:
        root = yaml.compose(text, Loader=_LOADER)
    except yaml.MarkedYAMLError as error:
        line = error.problem_mark.line + 1 if error.problem_mark else 1
        raise ContentError(
            path, line, f"not readable as YAML: {error.problem}", "check indentation and quotes"
        ) from None
    except yaml.YAMLError as error:
        raise ContentError(
            path, 1, f"not readable as YAML: {error}", "remove unusual characters"
        ) from None
    if root is None:
        raise ContentError(path, 1, "the file is empty", "fill it or delete it")
    return _convert(root, path)


def _convert(node: yaml.Node, path: Path) -> Node:
    line = node.start_mark.line + 1
    if isinstance(node, yaml.ScalarNode):
        plain = not node.style  # None from the Python parser, "" from the C one
        empty = plain and node.value in ("", "null", "~")
        return Node(None if empty else str(node.value), path, line)
    if isinstance(node, yaml.SequenceNode):
        return Node(tuple(_convert(child, path) for child in node.value), path, line)
    if not isinstance(node, yaml.MappingNode):
        raise ContentError(path, line, "an unknown kind of YAML value", "use text, lists, keys")
    found: dict[str, Node] = {}
    for key_node, value_node in node.value:
        key_line = key_node.start_mark.line + 1
        if not isinstance(key_node, yaml.ScalarNode):
            raise ContentError(path, key_line, "a key is not plain text", "use a word as the key")
        key = str(key_node.value)
        if key in found:
            raise ContentError(
                path, key_line, f"the key '{key}' stands here twice", "keep one of the two"
            )
        found[key] = _convert(value_node, path)
    return Node(found, path, line)
