"""``kill -9`` at random moments: nothing lost, nothing doubled, nothing unreadable.

A short run of what tests/bench/bench_kill.py does some hundred times.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from killing import run


@pytest.mark.slow
def test_nothing_is_lost_or_said_twice_over_kills(tmp_path: Path) -> None:
    """Outings, reports and replies once each; reminders and broadcasts at most once.

    A reply may be repeated, at most once for a kill.
    """
    seed = random.randrange(10**6)  # noqa: S311 - moments, not secrets
    result = run(tmp_path / "data", kills=8, chats=12, seed=seed)
    told = f"seed {seed}: {result}"
    assert result.messages > 50, told
    assert result.faults() == [], told
    assert result.repeated_replies <= result.kills, told
    assert result.most_repeats_of_one <= 1, told
    assert result.sent_once_only >= result.laid_once_only - result.kills, told
