"""How many titration curves of 500 points a second: Halfdrop beside PHREEQC, by turns in one run.

PHREEQC is given one input with all steps, an engine that is kept, and a database with nothing but the acids
at hand. Both agree to 1e-6 pH under its Davies equation. Limits: 120 times the rate of
PHREEQC for ideal solutions, 20 times with Davies's equation, for each of the acids.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable

import numpy as np
from tests.core.equilibrium.phreeqc import Phreeqc

from halfdrop.core.equilibrium.acid_base import Water, titrate
from halfdrop.core.equilibrium.acids import Acid, Mixture
from halfdrop.core.equilibrium.activity import DAVIES_PHREEQC, IDEAL, LN10
from halfdrop.core.equilibrium.mixing import Points

POINTS, RUNS, PKW = 500, 15, 13.997
ALIKE_PH = 1e-6
LIMITS = {"ideal": 120.0, "Davies": 20.0}
ACETATE = Acid("acetate", (4.757,), -1)
PHTHALATE = Acid("phthalate", (2.950, 5.408), -2)
PHOSPHATE = Acid("phosphate", (2.148, 7.198, 12.375), -3)
CASES: dict[str, tuple[tuple[Acid, ...], dict[str, float]]] = {
    "monoprotic": ((ACETATE,), {"acetate": 0.1}),
    "diprotic": ((PHTHALATE,), {"phthalate": 0.05}),
    "triprotic": ((PHOSPHATE,), {"phosphate": 0.05}),
    "mixture": ((ACETATE, PHOSPHATE), {"acetate": 0.05, "phosphate": 0.05}),
}
ADDED = 0.2  # mol of hydroxide for a kilogram of water


def seconds(work: Callable[[], object], times: int = 1) -> float:
    """Return the processor's time for one run, which other work on the machine lengthens least."""
    begun = time.process_time()
    for _ in range(times):
        work()
    return (time.process_time() - begun) / times


def farthest(acids: tuple[Acid, ...], totals: dict[str, float], peer: tuple[Phreeqc, str]) -> float:
    """Return the widest difference in pH under the peer's own model, water formed counted."""
    base = np.arange(POINTS + 1) * ADDED / POINTS
    amounts = np.array([[totals[acid.name]] for acid in acids]) * np.ones_like(base)
    points = Points(amounts, base, base, base, hydroxide=base)
    ours = Water(acids, PKW, DAVIES_PHREEQC).settle(points, np.full(base.shape, -7 * LN10))
    return float(np.abs(ours.ph - peer[0].run(peer[1])[0]).max())


def measure(name: str, model_name: str) -> bool:
    """Time one case by turns; print a line; tell whether the limit was met."""
    acids, totals = CASES[name]
    model = IDEAL if model_name == "ideal" else DAVIES_PHREEQC
    engine = Phreeqc(acids, PKW, ideal=model.ideal)
    text = engine.input(totals, 0.0, 0.0, ADDED, POINTS - 1)
    volumes = np.linspace(0.0, 50.0, POINTS)
    flask, burette = Mixture(totals, {}), Mixture({}, {1: 0.1})

    def ours() -> object:
        return titrate(acids, flask, 25.0, burette, volumes, PKW, model)

    ours(), engine.run(text)
    pairs = [(seconds(ours, 20), seconds(lambda: engine.run(text))) for _ in range(RUNS)]
    mine, peer = (statistics.median(column) for column in zip(*pairs, strict=True))
    apart = (
        f"{farthest(acids, totals, (engine, engine.input(totals, 0.0, 0.0, ADDED, POINTS))):.0e}"
        if not model.ideal
        else ""
    )
    print(
        f"  {model_name:<7}{name:<11}{mine * 1e3:7.2f} ms   PHREEQC {peer * 1e3:6.1f} ms"
        f"   {peer / mine:6.0f} x  {apart}"
    )
    return peer / mine >= LIMITS[model_name] and (not apart or float(apart) <= ALIKE_PH)


def main() -> int:
    """Measure all; return 0 when every limit is met. The last column: farthest apart, pH."""
    print(f"  curves of {POINTS} points; limits: " + ", ".join(f"{k} {v:.0f} x" for k, v in LIMITS.items()))
    met = [measure(name, model) for model in LIMITS for name in CASES]
    return 0 if all(met) else 1


if __name__ == "__main__":
    sys.exit(main())
