"""Molar masses printed in worked examples of an open textbook."""

from __future__ import annotations

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula
from tests.published.row import Row, Source


def _row(formula: str, printed: str, right: str = "", note: str = "") -> Row:
    return Row(
        place="Chapter 3, Molarity (m68703)",
        what=f"molar mass of {formula}, g/mol",
        printed=printed,
        compute=lambda: parse_formula(formula).molar_mass(atomic_weights("CIAAW 2021 abridged")).value,
        function="halfdrop.core.chemistry.formula.Formula.molar_mass",
        right=right,
        note=note,
    )


SOURCE = Source(
    title="OpenStax, Chemistry 2e, 2019",
    where="https://openstax.org/details/books/chemistry-2e",
    rows=(
        _row("CH3CO2H", "60.052"),
        _row(
            "CoCl2",
            "128.9",
            right="129.83",
            note="58.933 + 2 x 35.45 = 129.83; the example's answer carries the mistake on.",
        ),
    ),
)
