"""Titrations by oxidation and by precipitation in the exercises of an open textbook."""

from __future__ import annotations

from tests.methods.written import plain, worked
from tests.published.row import Row, Source

WORK_OUT = "halfdrop.core.titration.work.work_out"


def _oxalic_acid() -> float:
    return worked(
        "oxalic-by-permanganate", plain(("0.00", "23.24")), titrant="0.09113", aliquot="20.00"
    ).value


def _iron() -> float:
    return worked("iron-dichromate", [("0.00", "19.17", {"mass": "2.5000"})], titrant="0.0100").value


def _serum() -> float:
    return worked("chloride-by-mercury", plain(("0.00", "1.46")), titrant="8.25e-4", aliquot="0.25").value


def _cyanide() -> float:
    return worked("cyanide-by-silver", plain(("0.00", "28.72")), titrant="0.0100", weights="CIAAW 2021").value


SOURCE = Source(
    title="OpenStax, Chemistry 2e, 2019: titrations by oxidation and by precipitation",
    where="https://openstax.org/details/books/chemistry-2e",
    rows=(
        Row(
            "Chapter 4, Quantitative Chemical Analysis (m68716), check your learning",
            "oxalic acid by permanganate, mol/L", "0.2648", _oxalic_acid, WORK_OUT, right="0.2647",
            note="23.24 mL x 0.09113 mol/L x 5/2 / 20.00 mL = 0.26473 mol/L.",
        ),
        Row("Exercises (m68842)", "iron in an ore by dichromate, %", "2.57", _iron, WORK_OUT),
        Row("Chapter 4, exercises (m68716)", "chloride in serum, mol/L", "9.6e-3", _serum, WORK_OUT),
        Row(
            "Chapter 15, exercises (m68813)", "sodium cyanide by silver, g", "0.0281", _cyanide, WORK_OUT,
            note="0.02815 g lies on the edge between 0.0281 and 0.0282; the full weights of 2021 are used.",
        ),
    ),
)  # fmt: skip
