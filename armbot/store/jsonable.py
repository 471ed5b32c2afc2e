"""What a family's document may be made of, and an independent copy of it.

The rules are the narrowest that every store can keep exactly: what goes in must
come out equal, in the same types, whichever store is behind the contract.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TypeAlias

JSON: TypeAlias = bool | int | float | str | list["JSON"] | dict[str, "JSON"] | None

DEEPEST = 60
"""Levels of lists and mappings inside one another; far more than a record needs."""

LARGEST = 2**63 - 1
"""Whole numbers stay within 64 bits, in either direction."""


class NotJSONError(ValueError):
    """A document holds something that a store could not give back unchanged.

    The message names the place as a path of keys, never the text found there:
    it may be a family's own words.
    """


def json_copy(document: object) -> dict[str, JSON]:
    """A copy of ``document`` that shares nothing with it.

    Allowed: None, true and false, whole numbers of 64 bits, finite floats, text
    without lone surrogates, lists, and mappings with text keys.
    Raises NotJSONError for anything else, tuples included (they would come back
    as lists).
    """
    if not isinstance(document, Mapping):
        raise NotJSONError("the document itself must be a mapping")
    copied = _copy(dict(document), "document", 0)
    assert isinstance(copied, dict)  # noqa: S101  # for the type checker: dicts copy to dicts
    return copied


def _copy(value: object, place: str, depth: int) -> JSON:
    # Exact types: a subclass (an enum of str, say) would come back as its base.
    if value is None or type(value) is bool:
        return value
    if type(value) is str:
        return _text(value, place)
    if type(value) is int:
        if -LARGEST <= value <= LARGEST:
            return value
        raise NotJSONError(f"{place}: the whole number does not fit into 64 bits")
    if type(value) is float:
        if math.isfinite(value):
            return value
        raise NotJSONError(f"{place}: the number is not finite")
    return _copy_container(value, place, depth)


def _copy_container(value: object, place: str, depth: int) -> JSON:
    if depth >= DEEPEST:
        raise NotJSONError(f"{place}: nested deeper than {DEEPEST} levels")
    if type(value) is list:
        return [_copy(item, f"{place}[{at}]", depth + 1) for at, item in enumerate(value)]
    if type(value) is dict:
        return {
            _key(key, place): _copy(item, f"{place}.{key}", depth + 1)
            for key, item in value.items()
        }
    raise NotJSONError(f"{place}: a {type(value).__name__} cannot be kept; use JSON types")


def _key(key: object, place: str) -> str:
    if type(key) is not str:
        raise NotJSONError(f"{place}: a key is a {type(key).__name__}; keys must be text")
    return _text(key, f"{place} (a key)")


def _text(text: str, place: str) -> str:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise NotJSONError(
            f"{place}: the text holds half of a surrogate pair; clean it before storing"
        ) from None
    return text
