"""Where the content base lies: inside an installed package, or beside it in the repository."""

from __future__ import annotations

from pathlib import Path

import armbot
from armbot.content.strict import ContentError

_PROOF = "sources.yaml"
"""The file by which a content folder is told from any other of that name."""


def content_folder(package: Path | None = None) -> Path:
    """The folder with the content base.

    ``package`` is the folder of the armbot package, by default the one in use. A wheel
    carries the content as ``armbot/shipped``; an editable install reads ``content/``
    beside the package. Raises ContentError saying what to do when neither is there.
    """
    home = package or Path(armbot.__file__).parent
    for folder in (home / "shipped", home.parent / "content"):
        if (folder / _PROOF).is_file():
            return folder
    raise ContentError(
        home / "shipped",
        1,
        f"no content base here, nor in {home.parent / 'content'}",
        "install armbot anew, run it from its repository, or name a content folder in the settings",
    )
