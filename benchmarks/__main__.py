"""Run every benchmark: the modules ``bench_*.py`` of this folder, each a script that prints what it measured.

One after the other, each in a fresh interpreter, so that none warms up what another measures.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def main() -> int:
    """Run all, also after one has failed; return 0 when every one met its limit."""
    names = sorted(path.stem for path in Path(__file__).parent.glob("bench_*.py"))
    failed = []
    for name in names:
        print(f"\n{name.removeprefix('bench_').replace('_', ' ')}", flush=True)
        if subprocess.run([sys.executable, "-m", f"benchmarks.{name}"], check=False).returncode:
            failed.append(name)
    print(f"\nwithin their limits: {len(names) - len(failed)} of {len(names)}", *failed)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
