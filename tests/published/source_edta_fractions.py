"""The fraction of EDTA that carries no proton, from two sets of constants in use: they are not the same."""

from __future__ import annotations

from collections.abc import Callable

from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.complexation import fraction_bare
from tests.published.row import Row, Source

FUNCTION = "halfdrop.core.equilibrium.complexation.fraction_bare"
FOUR = Acid("EDTA", (2.00, 2.67, 6.16, 10.26), -4)
SIX = Acid("EDTA", (0.00, 1.50, 2.00, 2.69, 6.13, 10.37), -4)
TABLE = {
    "2": "3.7e-14", "3": "2.5e-11", "4": "3.6e-9", "5": "3.5e-7", "6": "2.2e-5", "7": "4.8e-4", "8": "5.4e-3",
    "9": "5.2e-2", "10": "3.5e-1", "11": "8.5e-1", "12": "9.8e-1",
}  # fmt: skip
CONSTANTS = "pKa 2.00, 2.67, 6.16, 10.26, from memory; they give every value of the table"


def _fraction(acid: Acid, ph: str) -> Callable[[], float]:
    return lambda: float(fraction_bare(acid, float(ph)))


SOURCE = Source(
    title="F. W. Fifield, D. Kealey, Principles and Practice of Analytical Chemistry; a problem sheet",
    where="Table 5.7; a problem that prints pKa 0.00, 1.50, 2.00, 2.69, 6.13, 10.37",
    rows=(
        *(
            Row(
                "Table 5.7",
                f"fraction of Y4- at pH {ph}",
                text,
                _fraction(FOUR, ph),
                FUNCTION,
                note=CONSTANTS,
                units=0.55,
            )
            for ph, text in TABLE.items()
        ),
        Row(
            "six constants",
            "fraction of Y4- at pH 10",
            "0.30",
            _fraction(SIX, "10"),
            FUNCTION,
            note="rounded value from memory; the four constants give 0.35",
        ),
        Row(
            "six constants",
            "fraction of Y4- at pH 9",
            "0.041",
            _fraction(SIX, "9"),
            FUNCTION,
            note="from memory",
        ),
    ),
)
