"""Texts with placeholders: what stands in them, and what a family will read."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

_PLACEHOLDER = re.compile(r"\{([a-z][a-z0-9_]*)\}")
_DIGIT = re.compile(r"\d")
_BRACE = re.compile(r"[{}]")


def placeholders(text: str) -> frozenset[str]:
    """The names between braces."""
    return frozenset(_PLACEHOLDER.findall(text))


def fill(text: str, values: Mapping[str, str]) -> str:
    """The text with its placeholders filled in; unknown ones stay as they are."""
    return _PLACEHOLDER.sub(lambda found: values.get(found[1], found[0]), text)


def has_digit(text: str) -> bool:
    """Whether a digit stands outside the placeholders."""
    return bool(_DIGIT.search(_PLACEHOLDER.sub("", text)))


def has_loose_brace(text: str) -> bool:
    """Whether a brace belongs to no placeholder, so that a typo would reach a family."""
    return bool(_BRACE.search(_PLACEHOLDER.sub("", text)))


def word_count(text: str) -> int:
    """Words as a reader counts them: what stands between spaces."""
    return len(text.split())


def utf16_units(text: str) -> int:
    """Length as Telegram counts it: an emoji is two."""
    return len(text.encode("utf-16-le")) // 2
