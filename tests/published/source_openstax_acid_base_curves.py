"""Titration curves of an open textbook: a strong acid, weak acids, a diprotic acid; slips of last digits."""

from __future__ import annotations

from collections.abc import Callable
from math import log10

import numpy as np

from halfdrop.core.equilibrium.acid_base import titrate
from halfdrop.core.equilibrium.acids import Acid, Mixture
from tests.published.row import Row, Source

TITRATE = "halfdrop.core.equilibrium.acid_base.titrate"
SECTION = "section Acid-Base Titrations (m68809)"
PKW = 14.0
VOLUMES = [
    "0",
    "5",
    "10",
    "15",
    "20",
    "22",
    "24",
    "24.5",
    "24.9",
    "25",
    "25.1",
    "25.5",
    "26",
    "28",
    "30",
    "35",
    "40",
    "45",
    "50",
]
STRONG = [
    "1.00",
    "1.18",
    "1.37",
    "1.60",
    "1.95",
    "2.20",
    "2.69",
    "3.00",
    "3.70",
    "7.00",
    "10.30",
    "11.00",
    "11.29",
    "11.75",
    "11.96",
    "12.22",
    "12.36",
    "12.46",
    "12.52",
]
WEAK = [
    "2.87",
    "4.14",
    "4.57",
    "4.92",
    "5.35",
    "5.61",
    "6.13",
    "6.44",
    "7.14",
    "8.72",
    "10.30",
    "11.00",
    "11.29",
    "11.75",
    "11.96",
    "12.22",
    "12.36",
    "12.46",
    "12.52",
]
ROUNDED = "the exact value is within 0.006 of the rounding limit; the book rounds on the way"
ROUNDED_AT = {"22", "24", "24.5", "0", "5"}


def ph(acid: Acid | None, acid_ml: float, acid_mol_L: float, base_mol_L: float, at_ml: float) -> float:
    """Return the pH where a strong (None) or weak acid has taken a volume of strong base."""
    flask = Mixture({}, {-1: acid_mol_L}) if acid is None else Mixture({acid.name: acid_mol_L}, {})
    acids = () if acid is None else (acid,)
    return float(titrate(acids, flask, acid_ml, Mixture({}, {1: base_mol_L}), np.array([at_ml]), PKW).ph[0])


def weak(name: str, ka: float) -> Acid:
    """Return a monoprotic acid."""
    return Acid(name, (-log10(ka),), -1)


ACETIC = weak("acetic acid", 1.8e-5)
FORMIC = weak("formic acid", 1.8e-4)
BARBITURIC = weak("barbituric acid", 9.8e-5)


def _at(
    acid: Acid | None, acid_ml: float, acid_mol_L: float, base_mol_L: float, volume: str
) -> Callable[[], float]:
    return lambda: ph(acid, acid_ml, acid_mol_L, base_mol_L, float(volume))


def _table(printed: list[str], acid: Acid | None, what: str) -> tuple[Row, ...]:
    return tuple(
        Row(
            f"{SECTION}, table of two titrations",
            f"pH of {what} after {volume} mL",
            text,
            _at(acid, 25.0, 0.100, 0.100, volume),
            TITRATE,
            units=1.1 if volume in ROUNDED_AT else 0.5,
            note=ROUNDED if volume in ROUNDED_AT else "",
        )
        for volume, text in zip(VOLUMES, printed, strict=True)
    )


def _few(
    place: str, rows: list[tuple[str, str, str, str]], acid: Acid | None, setup: tuple[float, float, float]
) -> tuple[Row, ...]:
    """Return rows of volume, printed pH, right pH and note."""
    return tuple(
        Row(
            f"{SECTION}, {place}",
            f"pH after {volume} mL",
            printed,
            _at(acid, *setup, volume),
            TITRATE,
            right=right,
            note=note,
            units=1.1 if note and not right else 0.5,
        )
        for volume, printed, right, note in rows
    )


APPROXIMATE = "the book neglects what dissociates beside the total; the charge balance gives 0.01 more"


def _carbonic(form: int) -> float:
    carbonic = Acid("carbonic acid", (-log10(4.3e-7), -log10(4.7e-11)), -2)
    found = titrate(
        (carbonic,), Mixture({"carbonic acid": 0.033}, {}), 1.0, Mixture({}, {1: 1.0}), np.zeros(1), PKW
    )
    return float(found.hydrogen[0]) if form < 0 else float(found.species[form, 0])


SOURCE = Source(
    title="OpenStax, Chemistry 2e, 2019: titration curves",
    where="https://openstax.org/details/books/chemistry-2e",
    rows=(
        *_few(
            "strong acid with strong base",
            [("0", "1.000", "", ""), ("25", "7.00", "", ""), ("37.5", "12.30", "", "")],
            None,
            (25.0, 0.100, 0.100),
        ),
        *_few(
            "nitric acid with sodium hydroxide",
            [
                ("0", "1.000", "", ""),
                ("15.0", "1.5111", "1.5119", "-log10(2.00/65.0) = 1.5119"),
                ("25.0", "7", "", ""),
                ("40.0", "12.523", "", ""),
            ],
            None,
            (50.0, 0.100, 0.200),
        ),
        *_table(STRONG, None, "hydrochloric acid"),
        *_table(WEAK, ACETIC, "acetic acid"),
        *_few(
            "weak acid with strong base",
            [
                ("0", "2.87", "", APPROXIMATE),
                ("12.50", "4.74", "", APPROXIMATE),
                ("25.00", "8.72", "", ""),
                ("37.50", "12.30", "", ""),
            ],
            ACETIC,
            (25.0, 0.100, 0.100),
        ),
        *_few(
            "formic acid with sodium hydroxide",
            [
                ("0", "2.37", "2.38", "the quadratic gives 2.382; the book neglects what dissociates"),
                ("15.0", "3.92", "", ""),
                ("25.00", "8.29", "8.28", "Kb = 5.6e-11, 0.0667 mol/L: 8.284"),
                ("30.0", "12.097", "", ""),
            ],
            FORMIC,
            (50.0, 0.100, 0.200),
        ),
        *_few(
            "exercise, barbituric acid with potassium hydroxide",
            [
                ("0", "2.50", "2.51", "the quadratic gives 2.511; the book neglects what dissociates"),
                ("20", "4.01", "", APPROXIMATE),
                ("39", "5.60", "", ""),
                ("40", "8.35", "", ""),
                ("41", "11.08", "11.09", "0.100 mmol in 81 mL of base: 11.092"),
            ],
            BARBITURIC,
            (40.0, 0.100, 0.100),
        ),
        Row(
            "section Polyprotic Acids (m68807)",
            "hydrogen ion in 0.033 mol/L carbonic acid, mol/L",
            "1.2e-4",
            lambda: _carbonic(-1),
            TITRATE,
        ),
        Row(
            "section Polyprotic Acids (m68807)",
            "hydrogencarbonate, mol/L",
            "1.2e-4",
            lambda: _carbonic(1),
            TITRATE,
        ),
        Row(
            "section Polyprotic Acids (m68807)", "carbonate, mol/L", "4.7e-11", lambda: _carbonic(0), TITRATE
        ),
    ),
)
