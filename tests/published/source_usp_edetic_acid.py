"""Molar masses in a pharmacopoeia's assay of edetic acid."""

from __future__ import annotations

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula
from tests.published.row import Row, Source


def _row(name: str, formula: str, printed: str) -> Row:
    return Row(
        place="Edetic acid, Assay",
        what=f"molar mass of {name}, g/mol",
        printed=printed,
        compute=lambda: parse_formula(formula).molar_mass(atomic_weights("CIAAW 2021 abridged")).value,
        function="halfdrop.core.chemistry.formula.Formula.molar_mass",
    )


SOURCE = Source(
    title="United States Pharmacopeia 29 - National Formulary 24, monograph Edetic Acid",
    where="http://pharmacopeia.cn/v29240/usp29nf24s0_m29030.html",
    rows=(_row("edetic acid", "C10H16N2O8", "292.24"), _row("calcium carbonate", "CaCO3", "100.09")),
)
