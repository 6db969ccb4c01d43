"""How long a result takes from a cold start, chain and PDF included, beside the interpreter alone.

Limit: 1.2 s for the median, in a fresh process each, with the files already in the disk's cache.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

LIMIT_S = 1.2
RUNS = 7


def seconds(command: Sequence[str]) -> float:
    """Return how long one run takes; findings (exit status 1) are no failure."""
    begun = time.perf_counter()
    done = subprocess.run(command, check=False, capture_output=True)
    if done.returncode not in (0, 1):
        raise RuntimeError(done.stderr.decode())
    return time.perf_counter() - begun


def main() -> int:
    """Measure in turns; return 0 when the limit is met."""
    python, page = sys.executable, str(files("halfdrop") / "data" / "demo" / "bench-1.toml")
    halfdrop = str(Path(python).parent / "halfdrop")
    with tempfile.TemporaryDirectory() as folder:
        commands = {
            "result --pdf": [halfdrop, "result", page, "--pdf", f"{folder}/out.pdf"],
            "result --json": [halfdrop, "result", page, "--json"],
            "import numpy": [python, "-c", "import numpy"],
            "python alone": [python, "-c", ""],
        }
        times: dict[str, list[float]] = {name: [] for name in commands}
        for _ in range(RUNS):
            for name, command in commands.items():
                times[name].append(seconds(command))
    medians = {name: statistics.median(measured) for name, measured in times.items()}
    for name, median in medians.items():
        print(f"  {name:<16} {median:6.2f} s   {median / medians['python alone']:6.1f} x python alone")
    return 0 if medians["result --pdf"] < LIMIT_S else 1


if __name__ == "__main__":
    sys.exit(main())
