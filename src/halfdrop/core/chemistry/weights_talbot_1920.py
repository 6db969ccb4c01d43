"""The atomic weights of 1920 with one decimal, which an old book's problems were worked with.

Source: H. P. Talbot, An Introductory Course of Quantitative Chemical Analysis, 6th edition, 1921, Part IV
(Stoichiometry): the international table of 1920 rounded to one decimal. The book gives no uncertainty; half a
unit of the printed decimal is taken as the bound of each value. For old examples, not to work with.
"""

from __future__ import annotations

from typing import Final

NAME: Final = "Talbot 1920"
SOURCE: Final = (
    "Talbot, Quantitative Chemical Analysis, 6th edition, 1921, Part IV (weights of 1920, one decimal)"
)

PRINTED: Final[dict[str, str]] = {
    "H": "1.0",
    "Li": "6.9",
    "C": "12.0",
    "N": "14.0",
    "O": "16.0",
    "Na": "23.0",
    "Mg": "24.3",
    "Al": "27.1",
    "P": "31.0",
    "S": "32.1",
    "Cl": "35.5",
    "K": "39.1",
    "Ca": "40.1",
    "Cr": "52.0",
    "Mn": "54.9",
    "Fe": "55.8",
    "Cu": "63.6",
    "As": "75.0",
    "Br": "79.9",
    "Ag": "107.9",
    "Sn": "118.7",
    "Sb": "120.2",
    "I": "126.9",
    "Ba": "137.4",
}
