"""The fraction of a metal left bare by ammonia, as a textbook tabulates it."""

from __future__ import annotations

from collections.abc import Callable

from halfdrop.files.equilibria import constant_set
from tests.published.row import Row, Source

AMMONIA = ["1", "0.5", "0.1", "0.05", "0.01", "0.005", "0.001"]
PRINTED = {
    "Zn^2+": ["3.95e-10", "6.27e-9", "3.68e-6", "5.45e-5", "1.82e-2", "1.27e-1", "7.48e-1"],
    "Cu^2+": ["3.79e-14", "6.86e-13", "4.63e-10", "7.17e-9", "3.22e-6", "3.62e-5", "4.15e-3"],
    "Ca^2+": ["0.550", "0.736", "0.939", "0.969", "0.994", "0.997", "0.999"],
    "Mg^2+": ["0.176", "0.413", "0.848", "0.922", "0.984", "0.992", "0.998"],
}
DEDUCED = "constants deduced from this table (seven values, two to five constants), rounded to 0.01"


def _fraction(ion: str, ammonia: str) -> Callable[[], float]:
    metal = constant_set("textbook-0.1").metals[ion]
    return lambda: metal.fraction_free(0.0, {"NH3": float(ammonia)})


SOURCE = Source(
    title="D. Harvey, Modern Analytical Chemistry, McGraw-Hill 2000: metals in ammonia",
    where="Table 9.14, p. 317",
    rows=tuple(
        Row(
            "Table 9.14, p. 317",
            f"fraction of bare {ion} in {ammonia} mol/L ammonia",
            text,
            _fraction(ion, ammonia),
            "halfdrop.core.equilibrium.complexation.Metal.fraction_free",
            units=2.0,
            note=DEDUCED,
        )
        for ion, row in PRINTED.items()
        for ammonia, text in zip(AMMONIA, row, strict=True)
    ),
)
