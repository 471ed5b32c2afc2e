"""Makes the program's own parts of README.md again: ``python tests/docs/refresh.py``.

The speed is measured where it is run; transcript and scores are the same anywhere.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[1]


def speed() -> str:
    """The benchmark's table."""
    script = HERE.parent / "bench" / "bench_decide.py"
    done = subprocess.run(
        [sys.executable, str(script)],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
        env={"PYTHONPATH": str(ROOT)},
    )
    return f"```text\n{done.stdout.strip()}\n```"


def main() -> None:
    """Replace every part and say how many."""
    sys.path[:0] = [str(ROOT), str(HERE), str(HERE.parent)]
    # Only now can they be found.
    from conversation import grammar  # noqa: PLC0415
    from readme_parts import README, scores, transcript, with_part  # noqa: PLC0415

    made = {"transcript": transcript(grammar()), "speed": speed(), "scores": scores()}
    text = README.read_text("utf-8")
    for name, content in made.items():
        text = with_part(text, name, content)
    README.write_text(text, "utf-8")
    sys.stdout.write(f"{README.name}: {len(made)} parts made\n")


if __name__ == "__main__":
    main()
