"""A textbook's table of first and second derivatives of a pH curve."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from halfdrop.core.equilibrium.measured.derivatives import derivatives
from tests.published.row import Row, Source

VOLUMES = (0.0, 2.0, 4.0, 10.0, 12.0, 14.0, 15.0, 15.5, 15.6, 15.7, 15.8, 16.0, 17.0, 18.0, 20.0, 24.0)
PH = (2.89, 4.52, 5.06, 5.89, 6.15, 6.63, 7.08, 7.75, 8.40, 9.29, 10.07, 10.65, 11.34, 11.63, 12.00, 12.41)
FIRST = (
    "0.815", "0.270", "0.138", "0.130", "0.240", "0.450", "1.34", "6.50", "8.90", "7.80", "2.90", "0.690",
    "0.290", "0.185", "0.103",
)  # fmt: skip
SECOND = (
    "-0.273", "-0.033", "-0.002", "0.055", "0.140", "1.19", "17.2", "24.0", "-11.0", "-32.8", "-3.68",
    "-0.400", "-0.070", "-0.027",
)  # fmt: skip
WRONG = {9: ("-32.7", "the book subtracts rounded slopes; from its own pH it is -32.67")}
ON_THE_LIMIT = {0: "-0.2725, on the rounding limit", 13: "-0.0275, on the rounding limit"}
TABLE = "Table 9.5, p. 291"
FUNCTION = "halfdrop.core.equilibrium.measured.derivatives.derivatives"


def _first(k: int) -> Callable[[], float]:
    return lambda: float(derivatives(np.array(VOLUMES), np.array(PH)).first[k])


def _second(k: int) -> Callable[[], float]:
    return lambda: float(derivatives(np.array(VOLUMES), np.array(PH)).second[k])


SOURCE = Source(
    title="D. Harvey, Modern Analytical Chemistry, McGraw-Hill 2000: derivatives of a titration curve",
    where="Table 9.5, p. 291",
    rows=(
        *(
            Row(TABLE, f"dpH/dV of step {k + 1}, 1/mL", text, _first(k), FUNCTION)
            for k, text in enumerate(FIRST)
        ),
        *(
            Row(
                TABLE,
                f"second derivative {k + 1}, 1/mL²",
                text,
                _second(k),
                FUNCTION,
                units=0.52 if k in ON_THE_LIMIT else 0.5,
                right=WRONG[k][0] if k in WRONG else "",
                note=WRONG[k][1] if k in WRONG else ON_THE_LIMIT.get(k, ""),
            )
            for k, text in enumerate(SECOND)
        ),
    ),
)
