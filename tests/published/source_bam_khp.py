"""Molar mass printed on a certificate of a reference material."""

from __future__ import annotations

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula
from tests.published.row import Row, Source

SOURCE = Source(
    title="BAM, certificate U2-0113, potassium hydrogen phthalate as acidimetric standard, about 2013",
    where="https://paperzz.com/doc/7626185/",
    rows=(
        Row(
            place="Certified value, note to the molar mass",
            what="Mr(KHC8H4O4)",
            printed="204.2212",
            compute=lambda: parse_formula("KHC8H4O4").molar_mass(atomic_weights("Eurachem")).value,
            function="halfdrop.core.chemistry.formula.Formula.molar_mass",
            note="The certificate follows the Eurachem guide, and its number needs the guide's weights.",
        ),
    ),
)
