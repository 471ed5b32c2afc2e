"""What many families cost: ``python tests/bench/bench_families.py``; about three minutes.

Starting and memory, one commit, one tick with nothing due, and how long a report and its alert
take while 5,000 reminders are being sent within Telegram's own limits.
"""

from __future__ import annotations

import itertools
import json
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1] / "telegram")]
import stand_in_support as said  # noqa: E402 - the helpers of the tests lie there
from served import Program, family, server  # noqa: E402

from armbot.model.family import Family  # noqa: E402
from armbot.model.outbox import Outgoing, Urgency  # noqa: E402
from armbot.store import tiny  # noqa: E402
from armbot.store.base import Store  # noqa: E402
from armbot.store.records import columns_of, to_document  # noqa: E402

NEXT_YEAR = datetime(2100, 1, 1, tzinfo=UTC)
STAFF = 900


def lay(folder: Path, count: int, reminders: int = 0) -> None:
    """Records as the store writes them, without waiting for the disk each time."""
    folder.mkdir(parents=True)
    for number in range(count):
        one = family(f"f-{number}", 10_000 + number, due=NEXT_YEAR)
        if number < reminders:
            now = datetime.now(tz=UTC)
            text = f"reminder {number}"
            message = Outgoing(text, 10_000 + number, Urgency.REMINDER, text, now)
            one = family(f"f-{number}", 10_000 + number, due=NEXT_YEAR, outbox=(message,))
        record = {
            "family": one.id,
            "version": 1,
            "columns": tiny._written(columns_of(one)),  # noqa: SLF001 - laid as the store lays it
            "document": to_document(one),
        }
        path = folder / tiny._shard(one.id) / f"{one.id}.json"  # noqa: SLF001 - as above
        path.parent.mkdir(exist_ok=True)
        path.write_text(json.dumps({"record": {"1": record}}), "utf-8")


def memory() -> float:
    """Resident megabytes of this process."""
    text = Path("/proc/self/status").read_text("utf-8")
    return int(text.partition("VmRSS:")[2].split()[0]) / 1024


def timed(work: Callable[[], object], times: int) -> float:
    """Milliseconds for one, the median of ``times``."""
    took = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        took.append(1000 * (time.perf_counter() - began))
    return statistics.median(took)


def commit_cost(store: Store, one: Family) -> float:
    """Milliseconds of one commit."""
    stored = store.load(one.id)
    assert stored is not None
    versions = itertools.count(stored.version)

    def commit() -> None:
        store.commit(one.id, to_document(one), next(versions), columns_of(one))

    return timed(commit, 600)


def tick_cost(store: Store) -> float:
    """Milliseconds of asking what is due, when nothing is."""
    now = datetime.now(tz=UTC)
    return timed(lambda: store.due(now, 50), 2000)


def sizes(base: Path) -> None:
    """Start, memory, commit and tick by number of families."""
    print(f"{'families':>10}{'start':>10}{'a family':>12}{'commit':>12}{'idle tick':>12}")
    for count in (100, 1_000, 10_000, 20_000, 100_000):
        folder = base / str(count)
        lay(folder, count)
        before, began = memory(), time.perf_counter()
        store = tiny.TinyStore(folder)
        start, each = time.perf_counter() - began, 1024 * (memory() - before) / count
        one = family("f-7", 10_007, due=NEXT_YEAR)
        commit, tick = commit_cost(store, one), tick_cost(store)
        store.close()
        row = f"{count:>10,}{start:>8.2f} s{each:>9.2f} kB{commit:>9.3f} ms{1000 * tick:>9.2f} us"
        print(row, flush=True)


def reports(base: Path, seconds: int) -> None:
    """Reports while 5,000 reminders drain at Telegram's own limits."""
    folder = base / "drain"
    lay(folder, 5_200, reminders=5_000)
    settings = f"trial: true\nstaff: [{{chat: {STAFF}, role: physician}}]\n"
    replies: list[float] = []
    alerts: list[float] = []
    with server("--limits") as (remote, url):
        program = Program(url, folder, settings=settings)
        program.start()
        while not remote.ask("state")["sent"]:
            time.sleep(0.05)
        for number in range(seconds // 2):
            chat = 15_100 + number
            since, began = remote.ask("state")["sent"], time.monotonic()
            remote.tell("push", {"updates": [said.text(chat, "his elbow hurts")]})
            wanted = {chat: replies, STAFF: alerts}
            while wanted:
                for one in remote.ask(f"sent?since={since}"):
                    if one["chat"] in wanted:
                        wanted.pop(one["chat"]).append(time.monotonic() - began)
                time.sleep(0.005)
            time.sleep(max(0.0, 2 - (time.monotonic() - began)))
        drained = sum(one["shown"].startswith("reminder") for one in remote.ask("sent"))
        program.kill()
    for name, took in (("reply to a report", replies), ("alert to staff", alerts)):
        took.sort()
        p99 = took[min(len(took) - 1, int(0.99 * len(took)))]
        print(f"{name:20}median {statistics.median(took):.3f} s, 99th percentile {p99:.3f} s")
    print(f"{len(replies)} reports in {seconds} s, {drained} reminders sent meanwhile")


def main() -> None:
    """Both tables."""
    with tempfile.TemporaryDirectory() as base:
        sizes(Path(base))
        reports(Path(base), 100)
    print(timedelta(seconds=round(time.process_time())), "of processor time here")


if __name__ == "__main__":
    main()
