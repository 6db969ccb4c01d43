"""How long ``halfdrop --help`` takes, beside the interpreter alone and beside what it is built on.

Limit: 0.2 s for the median of the runs, in a fresh process each, with the files already in the disk's cache.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

LIMIT_S = 0.2
RUNS = 15


def seconds(command: Sequence[str]) -> float:
    """Return how long one run takes."""
    begun = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - begun


def main() -> int:
    """Measure in turns, so that a busy moment falls on all alike; return 0 when the limit is met."""
    python = sys.executable
    commands = {
        "halfdrop --help": [str(Path(python).parent / "halfdrop"), "--help"],
        "import typer": [python, "-c", "import typer"],
        "python alone": [python, "-c", ""],
    }
    times: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(RUNS):
        for name, command in commands.items():
            times[name].append(seconds(command))
    medians = {name: statistics.median(measured) for name, measured in times.items()}
    for name, median in medians.items():
        print(
            f"  {name:<16} {median * 1000:6.0f} ms   {median / medians['python alone']:5.1f} x python alone"
        )
    return 0 if medians["halfdrop --help"] < LIMIT_S else 1


if __name__ == "__main__":
    sys.exit(main())
