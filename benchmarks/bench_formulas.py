"""How many formulas a second are read and weighed, beside molmass in the same run.

Limit: at least the peer's rate. Nothing is kept between formulas on either side. Hydrates are left out: the
peer reads their dot as a decimal point.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import molmass

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula

FORMULAS = (
    "NaOH", "HCl", "KHC8H4O4", "Na2CO3", "CH3COOH", "K2Cr2O7", "KMnO4", "Na2C2O4", "AgNO3", "C6H8O6",
    "(NH4)2Fe(SO4)2", "Na2S2O3", "KIO3", "CaCO3", "C10H14N2Na2O8",
)  # fmt: skip
TURNS = 9
ROUNDS = 40


def best_seconds(work: Callable[[str], object]) -> float:
    """Return the processor time of the fastest of several turns through all formulas."""
    turns = []
    for _ in range(TURNS):
        begun = time.process_time()
        for _ in range(ROUNDS):
            for formula in FORMULAS:
                work(formula)
        turns.append(time.process_time() - begun)
    return min(turns)


def main() -> int:
    """Measure both; return 0 when ours is at least as fast."""
    weights = atomic_weights()
    ours = best_seconds(lambda text: parse_formula(text).molar_mass(weights).value)
    peer = best_seconds(lambda text: molmass.Formula(text).mass)
    count = ROUNDS * len(FORMULAS)
    rates = f"{count / ours:8.0f}/s   molmass {count / peer:8.0f}/s   {peer / ours:.1f} x"
    print(f"  formulas read and weighed {rates}")
    return 0 if ours <= peer else 1


if __name__ == "__main__":
    sys.exit(main())
