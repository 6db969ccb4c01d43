"""Activity coefficients of sea water as PHREEQC prints them in its first example."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from halfdrop.core.equilibrium.activity import EXTENDED
from tests.published.row import Row, Source

STRENGTH = 0.6736
PLACE = "output of example 1, sea water, I = 0.6736 mol/kg"
# ion: charge, ion size in angstrom and b of phreeqc.dat, log gamma as printed
IONS = {
    "H+": (1, 9, 0, "-0.122"), "OH-": (-1, 3.5, 0, "-0.215"), "Na+": (1, 4.08, 0.082, "-0.144"),
    "K+": (1, 3.5, 0.015, "-0.205"), "Mg2+": (2, 5.5, 0.2, "-0.540"), "Ca2+": (2, 5, 0.165, "-0.602"),
    "Cl-": (-1, 3.63, 0.017, "-0.200"), "CO3 2-": (-2, 5.4, 0, "-0.682"), "SO4 2-": (-2, 5, -0.04, "-0.740"),
    "Mn3+": (3, 9, 0, "-1.099"), "HCO3-": (-1, 5.4, 0, "-0.170"),
}  # fmt: skip
NOTE = {"HCO3-": "with b = 0, as the output was made; the database now lists 0.0078, which gives -0.165"}


def _log_gamma(charge: float, size: float, salting: float) -> Callable[[], float]:
    def compute() -> float:
        one = (np.array([value]) for value in (charge, STRENGTH, size, salting))
        return float(EXTENDED.log_gamma(*one)[0, 0])

    return compute


SOURCE = Source(
    title="US Geological Survey, PHREEQC version 3: examples",
    where="repository usgs-coupled/phreeqc3, examples/ex1.out and database/phreeqc.dat",
    rows=tuple(
        Row(
            PLACE,
            f"log gamma of {ion}",
            printed,
            _log_gamma(z, size, salting),
            "halfdrop.core.equilibrium.activity.Activity.log_gamma",
            note=NOTE.get(ion, ""),
        )
        for ion, (z, size, salting, printed) in IONS.items()
    ),
)
