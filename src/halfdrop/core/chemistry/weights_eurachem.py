"""The atomic weights of the Eurachem/CITAC examples A2 and A3, as printed.

Source: EURACHEM/CITAC Guide CG 4, Quantifying Uncertainty in Analytical Measurement, 3rd edition (2012),
example A2, molar mass of potassium hydrogen phthalate; the 2nd edition (2000) has the same values. The guide
takes the quoted uncertainties as the bounds of a rectangular distribution. Only the four elements of those
examples: it is not a table to work with.
"""

from __future__ import annotations

from typing import Final

NAME: Final = "Eurachem"
SOURCE: Final = "EURACHEM/CITAC Guide CG 4 (QUAM), 3rd edition, 2012, example A2"

PRINTED: Final[dict[str, str]] = {
    "H": "1.00794 ± 0.00007",
    "C": "12.0107 ± 0.0008",
    "O": "15.9994 ± 0.0003",
    "K": "39.0983 ± 0.0001",
}
