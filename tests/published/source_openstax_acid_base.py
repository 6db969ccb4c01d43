"""Acid-base titrations in the exercises of an open textbook.

Where a volume is asked for, the method is worked with a volume of 10 mL and the rest follows in proportion.
"""

from __future__ import annotations

from tests.methods.written import plain, worked
from tests.published.row import Row, Source
from tests.published.solutions import molar_mass

WORK_OUT = "halfdrop.core.titration.work.work_out"
TITRATION_ANALYSIS = "Chapter 4, Quantitative Chemical Analysis (m68716), titration analysis"
EXERCISES = "Chapter 4, exercises (m68716)"


def _aliquots(method: str, titre: str, titrant: str, aliquot: str) -> float:
    return worked(method, plain(("0.00", titre)), titrant=titrant, aliquot=aliquot).value


def _volume(method: str, titrant: str, aliquot: str, strength: float) -> float:
    """Return the titre, mL, at which a method finds a strength."""
    return 10 * strength / _aliquots(method, "10.00", titrant, aliquot)


def _acid_for_hydrogencarbonate() -> float:
    found = worked("acid-by-hydrogencarbonate", [("0.00", "10.00", {"mass": "2.50"})], purity="1").value
    return 10 * found / 0.600


def _amount_of_acid() -> float:
    done = worked("strong-acid-strong-base", plain(("0.00", "35.23")), titrant="0.250", aliquot="50.00")
    return float(done.evaluation.lines["n_HCl"])


def _chlorine_for_each_tungsten() -> float:
    page = [("0.00", "46.2", {"mass": "0.2232"})]
    return molar_mass("W") / worked("molar-mass-of-an-acid", page, titrant="0.1051", basicity="1").value


SOURCE = Source(
    title="OpenStax, Chemistry 2e, 2019: titrations of acids and bases",
    where="https://openstax.org/details/books/chemistry-2e",
    rows=(
        Row(TITRATION_ANALYSIS, "hydrochloric acid in the sample, mol", "8.81e-3", _amount_of_acid, WORK_OUT),
        Row(
            TITRATION_ANALYSIS,
            "hydrochloric acid, mol/L",
            "0.176",
            lambda: _aliquots("strong-acid-strong-base", "35.23", "0.250", "50.00"),
            WORK_OUT,
        ),
        Row(
            EXERCISES,
            "sulfuric acid in rain, mol/L",
            "3.4e-3",
            lambda: _aliquots("sulfuric-by-hydroxide", "1.7", "0.0811", "20.0"),
            WORK_OUT,
        ),
        Row(
            EXERCISES,
            "acid for 2.50 g of sodium hydrogencarbonate, mL",
            "49.6",
            _acid_for_hydrogencarbonate,
            WORK_OUT,
        ),
        Row(
            EXERCISES,
            "hydroxide for oxalic acid, mL",
            "13.64",
            lambda: _volume("oxalic-by-hydroxide", "0.3300", "15.00", 0.1500),
            WORK_OUT,
        ),
        Row(
            EXERCISES,
            "calcium hydroxide in a saturated solution, mol/L",
            "0.0122",
            lambda: _aliquots("limewater-by-acid", "36.6", "5.00e-2", "75.00"),
            WORK_OUT,
        ),
        Row(
            EXERCISES,
            "hydroxide for phosphoric acid to hydrogenphosphate, mL",
            "34.99",
            lambda: _volume("phosphoric-by-hydroxide", "0.1500", "40.00", 0.0656),
            WORK_OUT,
        ),
        Row(
            EXERCISES,
            "chlorine atoms for each tungsten of a chloride (WCl4)",
            "4",
            _chlorine_for_each_tungsten,
            WORK_OUT,
        ),
    ),
)
