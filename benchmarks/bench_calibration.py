"""How long it takes to calibrate a shelf of 200 burettes at 10 marks with 3 deliveries to each.

Limit: 0.1 s for corrections, full covariance between marks, straying between them and the decision on every
pair of marks. The peer is the same sum for one burette after the other.
"""

from __future__ import annotations

import math
import statistics
import sys
import time
from collections.abc import Callable

import numpy as np

from halfdrop.core.glassware.between_marks import straying
from halfdrop.core.glassware.conditions import Air, Balance, Conditions, expansion_of
from halfdrop.core.glassware.conformity import Rule, compare
from halfdrop.core.glassware.gravimetric import Spread, Weighings, calibrate
from halfdrop.core.glassware.levels import Pattern
from halfdrop.core.glassware.thermal import DEFAULT_GLASS
from halfdrop.core.measure.estimate import Estimate, Shape

LIMIT_S = 0.1
BURETTES, MARKS, REPEATS = 200, 10, 3
RUNS = 15


def shelf(rng: np.random.Generator) -> tuple[Weighings, Conditions]:
    """Return made-up weighings, levels read to 0.01 mL near their marks."""
    marks = np.arange(1, MARKS + 1) * 50.0 / MARKS
    stops = np.tile(np.arange(1, MARKS + 1), REPEATS)
    pattern = Pattern(marks, np.zeros_like(stops), stops, np.zeros(len(stops), dtype=bool))
    shape = (BURETTES, pattern.deliveries)
    stop = np.minimum(marks[stops - 1] + np.round(rng.normal(0, 0.03, shape), 2), 50.0)
    tare = rng.uniform(24, 26, shape)
    net = stop * 0.9969 + rng.normal(0, 0.015, shape)
    names = tuple(f"burette:B{k:03}" for k in range(BURETTES))
    flat = Shape.RECTANGULAR
    conditions = Conditions(
        "2026-09-01",
        Estimate(21.4, 0.1, flat, key="thermometer:T2"),
        Air(
            "CIPM-2007",
            Estimate(21.0, 0.5, flat, key="room"),
            Estimate(1005.0, 1.0, flat, key="barometer"),
            Estimate(45.0, 5.0, flat, key="hygrometer"),
        ),
        Balance("K1", 0.0002, 2e-6, 0.0001, 0.0001, Estimate(8000.0, 50.0)),
        Estimate(0.001, 0.001 / math.sqrt(3), flat, key="evaporation"),
        expansion_of(DEFAULT_GLASS),
    )
    return Weighings(pattern, names, np.zeros(shape), stop, tare + net, tare), conditions


def whole(weighings: Weighings, conditions: Conditions) -> None:
    """Calibrate, with everything that a certificate says."""
    done = calibrate(weighings, conditions, Spread(0.01))
    limits = np.full(len(weighings.pieces), 0.05)
    assert done.covariance_ml2.shape == (len(weighings.pieces), MARKS, MARKS)
    compare(done, limits, Rule.GUARDED)
    straying(done.marks_ml, done.corrections_ml, limits)


def one_by_one(weighings: Weighings, conditions: Conditions) -> None:
    """Calibrate one burette after the other."""
    for k in range(len(weighings.pieces)):
        rows = (weighings.start_ml, weighings.stop_ml, weighings.gross_g, weighings.tare_g)
        start, stop, gross, tare = (part[[k]] for part in rows)
        name = weighings.pieces[k : k + 1]
        whole(Weighings(weighings.pattern, name, start, stop, gross, tare), conditions)


def seconds(work: Callable[[Weighings, Conditions], None], about: tuple[Weighings, Conditions]) -> float:
    """Return how long one run takes."""
    begun = time.perf_counter()
    work(*about)
    return time.perf_counter() - begun


def main() -> int:
    """Measure in turns; return 0 when the limit is met."""
    about = shelf(np.random.default_rng(1))
    whole(*about)
    together = statistics.median(seconds(whole, about) for _ in range(RUNS))
    apart = statistics.median(seconds(one_by_one, about) for _ in range(3))
    print(f"  {BURETTES} burettes x {MARKS} marks x {REPEATS}, together {together * 1000:6.0f} ms")
    print(f"  one after the other {apart * 1000:27.0f} ms   {apart / together:5.1f} x together")
    return 0 if together < LIMIT_S else 1


if __name__ == "__main__":
    sys.exit(main())
