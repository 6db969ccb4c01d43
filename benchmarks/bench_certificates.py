"""How long it takes to write the calibration reports of a shelf: 200 burettes, 5 marks, 3 deliveries to each.

Limit: 15 s for reading the file, working it out and 200 PDF files. The parts are shown beside it.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from halfdrop.files.forms import CALIBRATION, form_text
from halfdrop.reports.certificates import write_certificates
from halfdrop.usecases.calibrate import calibrate_file

LIMIT_S = 15.0
BURETTES, REPEATS = 200, 3
MARKS = (10, 20, 30, 40, 50)


def shelf(folder: Path) -> Path:
    """Write a calibration of many burettes with made-up weighings, and return its file."""
    rng = np.random.default_rng(1)
    names = [f"B{k:03}" for k in range(BURETTES)]
    rows = ["piece,run,mark_mL,tare_g,gross_g"]
    for name in names:
        for run in range(REPEATS):
            for mark in MARKS:
                net = mark * 0.99691 + rng.normal(0, 0.01)
                rows.append(f"{name},{run},{mark},30.0000,{30 + net:.4f}")
    (folder / "weighings.csv").write_text("\n".join(rows), encoding="utf-8")
    text = form_text(CALIBRATION)
    start, end = text.index("weighing = ["), text.index("[piece]")
    text = 'weighings_file = "weighings.csv"\n' + text[:start] + text[end:]
    listed = ", ".join(f'"{name}"' for name in names)
    (folder / "shelf.toml").write_text(text.replace('id = "B07"', f"ids = [{listed}]", 1), encoding="utf-8")
    return folder / "shelf.toml"


def main() -> int:
    """Measure once; return 0 when the limit is met."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = shelf(folder)
        begun = time.perf_counter()
        answer = calibrate_file(path)
        read = time.perf_counter()
        written = write_certificates(answer, html=None, pdf=folder)
        done = time.perf_counter()
    assert len(written) == BURETTES
    print(f"  {BURETTES} burettes read and worked out {read - begun:7.2f} s")
    print(f"  {BURETTES} reports as PDF               {done - read:7.2f} s")
    return 0 if done - begun < LIMIT_S else 1


if __name__ == "__main__":
    sys.exit(main())
