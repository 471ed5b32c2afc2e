"""Hundreds of kills under traffic: ``python tests/bench/bench_kill.py [kills] [seed]``.

Prints what tests/telegram/killing.py counts at the end.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1] / "telegram")]
from killing import run  # noqa: E402 - the helpers of the tests lie there


def main(kills: int, seed: int) -> None:
    """Kill in rounds of at most 60, each with families of its own and another load."""
    began, done = time.monotonic(), 0
    while done < kills:
        size = min(60, kills - done)
        chats = (6, 12, 40)[done // 60 % 3]
        with tempfile.TemporaryDirectory() as folder:
            result = run(Path(folder) / "data", size, chats, seed + done)
        done += size
        print(f"{done} kills, {chats} families: {result}", flush=True)
    print(f"{time.monotonic() - began:.0f} s")


if __name__ == "__main__":
    main(*(int(word) for word in (sys.argv[1:] + ["300", "1"][len(sys.argv) - 1 :])))
