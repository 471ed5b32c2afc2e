"""How long an answer takes, what starting costs, and how much memory it holds.

Run from the repository: ``python tests/bench/bench_decide.py``. It plays every labelled
conversation several times, each with a new family, and takes the time of each message.
Memory is the resident set of this process as Linux tells it.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path
from statistics import median, quantiles

DATA = Path(__file__).parents[1] / "data"
FILES = ("symptoms", "questions", "fresh_symptoms", "fresh_questions")
ROUNDS = 3


def resident_megabytes() -> float:
    """Resident memory of this process, in MB of 1,000,000 bytes."""
    for line in Path("/proc/self/status").read_text("utf-8").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) * 1024 / 1e6
    raise RuntimeError("/proc/self/status has no VmRSS: this needs Linux")


def conversations() -> list[list[str]]:
    """Every labelled conversation as its messages."""
    rows = [
        json.loads(line)
        for name in FILES
        for line in (DATA / f"{name}.jsonl").read_text("utf-8").splitlines()
        if line.strip()
    ]
    return [row.get("turns") or [row["text"]] for row in rows]


def main() -> None:
    """Print the table."""
    before = time.perf_counter()
    # Imported here, because importing is part of what starting costs.
    from armbot.content.library import load_library  # noqa: PLC0415
    from armbot.engine.decide import decide  # noqa: PLC0415
    from armbot.evaluate import ASKED_AT  # noqa: PLC0415
    from armbot.language.grammar import Grammar  # noqa: PLC0415
    from armbot.model.family import Family  # noqa: PLC0415

    imported = time.perf_counter()
    library = load_library()
    loaded = time.perf_counter()
    grammar = Grammar(library)
    compiled = time.perf_counter()
    times: list[float] = []
    for _ in range(ROUNDS):
        for turns in conversations():
            family = Family(id="bench", zone="America/New_York")
            for text in turns:
                begin = time.perf_counter()
                family = decide(family, text, grammar, ASKED_AT).family
                times.append(1000 * (time.perf_counter() - begin))
    rows = [
        ("Python", sys.version.split()[0]),
        ("import", f"{imported - before:.2f} s"),
        ("load the library", f"{loaded - imported:.2f} s"),
        ("compile the grammar", f"{compiled - loaded:.2f} s"),
        ("messages timed", f"{len(times):,}"),
        ("decide, median", f"{median(times):.2f} ms"),
        ("decide, 99th percentile", f"{quantiles(times, n=100)[98]:.2f} ms"),
        ("decide, longest", f"{max(times):.2f} ms"),
        ("resident memory", f"{resident_megabytes():.0f} MB"),
    ]
    for name, value in rows:
        print(f"{name:26}{value:>12}")


if __name__ == "__main__":
    main()
