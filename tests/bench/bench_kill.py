"""Hundreds of kills under traffic: ``python tests/bench/bench_kill.py [kills] [seed]``.

Rounds with few and many families, and with a server that answers a send at once or after 80 ms:
the longer that takes, the more messages are under way at a kill and may be said twice.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1] / "telegram")]
from killing import Result, run  # noqa: E402 - the helpers of the tests lie there

_ROUND = 50
_LOADS = ((6, 0.0), (12, 0.08), (40, 0.0))
"""Families, and seconds until a send is answered."""


def shown(result: Result, chats: int, delay: float) -> str:
    """One round in one line."""
    return (
        f"{result.kills} kills, {chats:2} families, answers after {1000 * delay:2.0f} ms: "
        f"{result.messages} messages, lost or doubled {len(result.faults())}, "
        f"answers repeated {result.repeated_replies}, reminders and broadcasts sent "
        f"{result.sent_once_only} of {result.laid_once_only}, "
        f"twice {len(result.repeated_once_only)}"
    )


def main(kills: int, seed: int) -> None:
    """Kill in rounds, each with families of its own."""
    began, done = time.monotonic(), 0
    while done < kills:
        size = min(_ROUND, kills - done)
        chats, delay = _LOADS[done // _ROUND % len(_LOADS)]
        with tempfile.TemporaryDirectory() as folder:
            result = run(Path(folder) / "data", size, chats, seed + done, delay)
        done += size
        print(shown(result, chats, delay), flush=True)
        for fault in result.faults():
            print("  ", fault, flush=True)
    print(f"{done} kills in {time.monotonic() - began:.0f} s")


if __name__ == "__main__":
    main(*(int(word) for word in (sys.argv[1:] + ["300", "1"][len(sys.argv) - 1 :])))
