"""Molar mass of potassium hydrogen phthalate and its uncertainty, as in the Eurachem example."""

from __future__ import annotations

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula
from tests.published.row import Row, Source

MASS = parse_formula("C8H5O4K").molar_mass(atomic_weights("Eurachem"))

SOURCE = Source(
    title="EURACHEM/CITAC Guide CG 4, Quantifying Uncertainty in Analytical Measurement, 3rd edition, 2012",
    where="https://www.measurementuncertainty.org/guide/app_a_example2.html",
    rows=(
        Row(
            place="Example A2, Table A2.2",
            what="molar mass of KHP, g/mol",
            printed="204.2212",
            compute=lambda: MASS.value,
            function="halfdrop.core.chemistry.molar_mass.molar_mass_of",
        ),
        Row(
            place="Example A2, Table A2.2",
            what="standard uncertainty of the molar mass, g/mol",
            printed="0.0038",
            compute=lambda: MASS.standard_uncertainty,
            function="halfdrop.core.chemistry.molar_mass.MolarMass.standard_uncertainty",
        ),
        Row(
            place="Example A2 worked with full digits (GUM Workbench file of the 2nd edition's example)",
            what="standard uncertainty of the molar mass, g/mol",
            printed="0.00376530211271287",
            compute=lambda: MASS.standard_uncertainty,
            function="halfdrop.core.chemistry.molar_mass.MolarMass.standard_uncertainty",
        ),
    ),
)
