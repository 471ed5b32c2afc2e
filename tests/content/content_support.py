"""Content folders to test with: the small sound base, and overlays that break it."""

from __future__ import annotations

import shutil
from pathlib import Path

HERE = Path(__file__).parent
SOUND = HERE / "sound"
BROKEN = HERE / "broken"
SHIPPED = HERE.parents[1] / "content"


def sound_copy(into: Path) -> Path:
    """A copy of the sound base that a test may edit."""
    return Path(shutil.copytree(SOUND, into / "content"))


def overlaid(name: str, into: Path) -> Path:
    """The sound base with one broken file (or one file too many) in it."""
    folder = sound_copy(into)
    shutil.copytree(
        BROKEN / name,
        folder,
        dirs_exist_ok=True,
        ignore=shutil.ignore_patterns("expected.yaml"),
    )
    return folder


def edit(folder: Path, file: str, old: str, new: str) -> None:
    """Replace ``old``, which must be there, in one file."""
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
