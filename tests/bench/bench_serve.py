"""How fast families are served: ``python tests/bench/bench_serve.py [messages]``.

The real program against a bare echo of python-telegram-bot (its own defaults) on the same
stand-in server, in the same run: messages a second from the first push to the last answer,
and processor time a message. The messages are those of tests/data/questions.jsonl, spread
over 500 families.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent / "telegram")]
import stand_in_support as said  # noqa: E402 - the helpers of the tests lie there
from served import Program, family, prepare, server  # noqa: E402
from stand_in import TOKEN  # noqa: E402

if TYPE_CHECKING:
    from stand_in_control import Remote

CHATS = 500
ECHO = """
import sys
from telegram.ext import Application, MessageHandler, filters
async def echo(update, context):
    await update.message.reply_text(update.message.text)
builder = Application.builder().token(sys.argv[1]).base_url(sys.argv[2] + "/bot")
if sys.argv[3] == "256":
    builder = builder.concurrent_updates(256).connection_pool_size(256)
app = builder.build()
app.add_handler(MessageHandler(filters.TEXT, echo))
app.run_polling()
"""


def texts(count: int) -> list[str]:
    """Messages of the labelled corpus, over and over."""
    lines = (HERE.parent / "data" / "questions.jsonl").read_text("utf-8").splitlines()
    found = [t for line in lines for t in json.loads(line).get("turns", [])]
    return [found[n % len(found)] for n in range(count)]


def cpu_of(process: subprocess.Popen[str]) -> float:
    """Processor seconds of a process so far."""
    fields = Path(f"/proc/{process.pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def measured(remote: Remote, process: subprocess.Popen[str], count: int) -> tuple[float, float]:
    """(messages a second, processor milliseconds a message), after a warm-up."""
    for warm in (200, count):
        before, cpu = remote.ask("state")["sent"], cpu_of(process)
        updates = [said.text(1000 + n % CHATS, words) for n, words in enumerate(texts(warm))]
        began = time.monotonic()
        remote.tell("push", {"updates": updates})
        while remote.ask("state")["sent"] < before + warm:
            time.sleep(0.02)
        took = time.monotonic() - began
    return count / took, 1000 * (cpu_of(process) - cpu) / count


def row(name: str, delay: str, count: int) -> float:
    """One line of the table; the messages a second."""
    wait = server("--delay", f"sendMessage={delay}")
    with wait as (remote, url), tempfile.TemporaryDirectory() as base:
        if name == "armbot serve":
            folder = Path(base) / "data"
            prepare(folder, [family(f"f-{n}", 1000 + n) for n in range(CHATS)])
            program = Program(url, folder)
            program.start()
            process = program.process
        else:
            command = [sys.executable, "-c", ECHO, TOKEN, url, name.rsplit(maxsplit=1)[-1]]
            process = subprocess.Popen(command, stderr=subprocess.DEVNULL, text=True)
        assert process is not None
        rate, cpu = measured(remote, process, count)
        memory = Path(f"/proc/{process.pid}/status").read_text().partition("VmRSS:")[2].split()[0]
        process.kill()
        process.wait()
    cells = f"{float(delay) * 1000:5.0f} ms{rate:9.0f}/s{cpu:9.2f} ms{int(memory) / 1024:7.0f} MB"
    print(f"{name:28}{cells}", flush=True)
    return rate


def main(count: int) -> None:
    """The table, and the two ratios."""
    print(f"{'':28}{'answer':>8}{'messages':>10}{'CPU each':>11}{'memory':>9}")
    for delay, echo_count in (("0", count), ("0.08", 200)):
        echo = row("echo, one at a time 1", delay, echo_count)
        many = row("echo, concurrent 256", delay, echo_count * 2)
        ours = row("armbot serve", delay, count)
        print(f"  {ours / echo:.2f} times the first echo, {ours / many:.2f} times the second")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
