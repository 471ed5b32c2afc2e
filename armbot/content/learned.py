"""Reads and writes content/symptoms/learned.json, the second reader's numbers."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from armbot.content.strict import ContentError
from armbot.language.second import TIERS, Learned, learned_of

NAME = Path("symptoms") / "learned.json"
_INPUTS = ("symptoms/examples/*.yaml", "symptoms/*.yaml", "topics/*/??.yaml", "words/*/*.yaml")

Numbers = tuple[dict[str, tuple[float, ...]], tuple[float, ...]]
"""Per feature what it adds to the log odds of each tier learned; where these begin."""


def inputs_digest(folder: Path) -> str:
    """Hash over everything the numbers were learned from."""
    digest = hashlib.sha256()
    for pattern in _INPUTS:
        for path in sorted(folder.glob(pattern)):
            digest.update(path.relative_to(folder).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()


def load_numbers(folder: Path) -> Learned | None:
    """The learned numbers, or None where none were learned yet."""
    path = folder / NAME
    if not path.exists():
        return None
    try:
        raw = json.loads(path.read_text(encoding="utf-8"))
        base = tuple(float(v) for v in raw["base"])
        weights = {f: tuple(map(float, row)) for f, row in raw["features"].items()}
        _checked(base, weights)
    except (ValueError, KeyError, TypeError, IndexError) as error:
        raise ContentError(
            path, 1, f"not readable: {error}", "run `armbot content learn`"
        ) from None
    return learned_of(weights, base)


def _checked(base: tuple[float, ...], weights: dict[str, tuple[float, ...]]) -> None:
    """Raise ValueError unless there is a number for each tier everywhere."""
    if len(base) != len(TIERS) or {len(row) for row in weights.values()} - {len(base)}:
        raise ValueError(f"{len(TIERS)} numbers are needed for each feature")


def is_stale(folder: Path) -> bool:
    """Whether content changed since the numbers were learned."""
    path = folder / NAME
    if not path.exists():
        return True
    raw = json.loads(path.read_text(encoding="utf-8"))
    return bool(raw.get("learned_from") != inputs_digest(folder))


def save_numbers(folder: Path, numbers: Numbers) -> Path:
    """Write the numbers, one feature a line so that changes can be read."""
    weights, base = numbers
    path = folder / NAME
    rows = ",\n".join(
        f"{json.dumps(f)}:{json.dumps(weights[f], separators=(',', ':'))}" for f in sorted(weights)
    )
    path.write_text(
        "{\n"
        f'"learned_from": "{inputs_digest(folder)}",\n'
        f'"base": {json.dumps(base)},\n'
        f'"features": {{\n{rows}\n}}\n}}\n',
        encoding="utf-8",
    )
    return path
