"""Reads and writes content/symptoms/learned.json, the second reader's numbers."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from armbot.content.strict import ContentError

NAME = Path("symptoms") / "learned.json"
_INPUTS = ("symptoms/examples/*.yaml", "symptoms/*.yaml", "topics/*/??.yaml", "words/*/*.yaml")

Numbers = tuple[dict[str, float], dict[str, tuple[float, ...]], tuple[float, ...]]
"""Rarity by feature, scores by feature and tier, scores of an unseen feature."""


def inputs_digest(folder: Path) -> str:
    """Hash over everything the numbers were learned from."""
    digest = hashlib.sha256()
    for pattern in _INPUTS:
        for path in sorted(folder.glob(pattern)):
            digest.update(path.relative_to(folder).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()


def load_numbers(folder: Path) -> Numbers | None:
    """The learned numbers, or None where none were learned yet."""
    path = folder / NAME
    if not path.exists():
        return None
    try:
        raw = json.loads(path.read_text(encoding="utf-8"))
        rarity = {f: float(row[0]) for f, row in raw["features"].items()}
        scores = {f: tuple(float(v) for v in row[1:]) for f, row in raw["features"].items()}
        unseen = tuple(float(v) for v in raw["unseen"])
    except (ValueError, KeyError, TypeError, IndexError) as error:
        raise ContentError(
            path, 1, f"not readable: {error}", "run `armbot content learn`"
        ) from None
    return rarity, scores, unseen


def is_stale(folder: Path) -> bool:
    """Whether content changed since the numbers were learned."""
    path = folder / NAME
    if not path.exists():
        return True
    raw = json.loads(path.read_text(encoding="utf-8"))
    return bool(raw.get("learned_from") != inputs_digest(folder))


def save_numbers(folder: Path, numbers: Numbers) -> Path:
    """Write the numbers, one feature a line so that changes can be read."""
    rarity, scores, unseen = numbers
    path = folder / NAME
    rows = ",\n".join(
        f"{json.dumps(f)}:{json.dumps([rarity[f], *scores[f]], separators=(',', ':'))}"
        for f in sorted(scores)
    )
    path.write_text(
        "{\n"
        f'"learned_from": "{inputs_digest(folder)}",\n'
        f'"unseen": {json.dumps(list(unseen))},\n'
        f'"features": {{\n{rows}\n}}\n}}\n',
        encoding="utf-8",
    )
    return path
