"""``python -m armbot``: the same as the command ``armbot``."""

from __future__ import annotations

import sys

from armbot.cli import main

if __name__ == "__main__":
    sys.exit(main())
