"""Problems on acids and bases in an old book, with its atomic weights and four-place logarithms.

The book says itself that the fourth figure of its answers may be off by one or, rarely, two.
"""

from __future__ import annotations

from collections.abc import Callable

from halfdrop.core.chemistry.reaction import parse_reaction, ratio
from tests.methods.written import plain, result, worked
from tests.published.row import Row, Source
from tests.published.solutions import molar_mass

TALBOT = "Talbot 1920"
WORK_OUT = "halfdrop.core.titration.work.work_out"
RATIO = "halfdrop.core.chemistry.reaction.ratio"
LOGARITHMS = (
    "Worked with four-place logarithms: the book says the fourth figure may be off by one or, rarely, two."
)


def _mass(formula: str) -> float:
    return molar_mass(formula, TALBOT)


def _weighed(method: str, titre: str, mass: str, back: str = "", **given: str) -> float:
    """Return what a method makes of one titre of a weighed sample, and of a titre taken back."""
    own = {"mass": mass}
    if back:
        own |= {"back_initial": "0.00", "back_final": back}
    return worked(method, [("0.00", titre, own)], weights=TALBOT, **given).value


def _equivalent(base: str, equation: str) -> float:
    """Problem 3: grams of a base for each hydrogen ion it takes."""
    return _mass(base) * float(ratio(parse_reaction(equation), base, "HCl"))


def _acid_by_calcite() -> float:
    """Problem 12, equivalents in a litre: two for each sulfuric acid."""
    return 2 * _weighed(
        "acid-by-calcite", "42.42", "0.7423", back="11.22", purity="0.9244", strength=repr(1 / 0.9976)
    )


def _carbonate() -> float:
    return 2 * worked(
        "carbonate-by-tetroxalate", plain(("0.00", "20.00")), weights=TALBOT,
        mass="30.00", purity="1", flask="1000", aliquot="40.00",
    ).value  # fmt: skip


def _rochelle() -> float:
    acid = 0.1321 * 1.064 / 2
    return _weighed(
        "rochelle-salt", "43.65", "0.9500", back="1.72", titrant=repr(acid), strength=repr(1 / 1.064)
    )


def _tartar() -> float:
    """Problem 28: the mass of which the titres find 97.60 %."""
    hydroxide = 0.0255 / _mass("CaCO3") * 2 * 1000 / 1.02
    found = _weighed(
        "cream-of-tartar", "30.06", "1.000", back="0.50", titrant=repr(hydroxide), strength="1.02"
    )
    return found / 97.60


def _calcite() -> float:
    """Problem 30: hydroxide against oxalic acid, acid by the ratio of the two, then the calcite."""
    hydroxide = _weighed(
        "hydroxide-by-oxalic", "41.03", "0.2460", back="0.63", purity="1", strength=repr(1 / 1.190)
    )
    return _weighed(
        "limestone-back-titration", "36.38", "0.1200", back="6.20",
        titrant=repr(hydroxide / 1.190), back_titrant=repr(hydroxide),
    )  # fmt: skip


def _ammonia() -> float:
    nitrogen = _weighed("nitrogen-into-acid", "1.55", "1", acid="0.5", excess="50.00", titrant="0.5")
    return nitrogen * _mass("NH3") / _mass("N")


def _mixture(symbol: str, mass: str, first: str, second: str, titrant: str) -> Callable[[], float]:
    def compute() -> float:
        page = [("0.00", first, {"second": second})]
        return result(worked("alkali-mixture", page, weights=TALBOT, titrant=titrant, mass=mass), symbol)

    return compute


_23 = ("1.500", "28.85", "52.70", "0.5")
_24 = ("1.179", "48.16", "72.24", "0.30")
_25 = ("1.000", "26.40", "67.10", "0.25")


def _barium(symbol: str) -> float:
    done = worked(
        "hydroxide-by-barium",
        {"sample": plain(("0.00", "38.60")), "hydroxide": plain(("0.00", "29.62"))},
        weights=TALBOT, titrant="0.1062", mass="1.0000", flask="500", aliquot="100",
        diluted="250", filtrate="200",
    )  # fmt: skip
    return result(done, symbol)


def _row(
    problem: int,
    what: str,
    printed: str,
    compute: Callable[[], float],
    units: float = 0.5,
    note: str = LOGARITHMS,
) -> Row:
    place = f"Part IV, problem {problem}"
    return Row(place, what, printed, compute, WORK_OUT, units, note=note if units > 0.5 else "")


def _base(name: str, printed: str, equation: str, right: str = "", note: str = "") -> Row:
    def compute() -> float:
        return _equivalent(name, equation)

    what = f"{name} that takes one hydrogen ion, g"
    return Row("Part IV, problem 3", what, printed, compute, RATIO, right=right, note=note)


SOURCE = Source(
    title="H. P. Talbot, Quantitative Chemical Analysis, 6th edition, 1921: acids and bases",
    where="Project Gutenberg 12787",
    rows=(
        _base("KOH", "56.1", "KOH + HCl -> KCl + H2O"),
        _base(
            "Na2CO3",
            "53.8",
            "Na2CO3 + 2 HCl -> 2 NaCl + CO2 + H2O",
            right="53.0",
            note="Half of 106.0 g/mol is 53.0; the print has a wrong figure.",
        ),
        _base("Ba(OH)2", "85.7", "Ba(OH)2 + 2 HCl -> BaCl2 + 2 H2O"),
        _base("NaHCO3", "84", "NaHCO3 + HCl -> NaCl + CO2 + H2O"),
        _row(
            8,
            "hydrochloric acid against sodium carbonate, mol/L",
            "0.4855",
            lambda: _weighed("hcl-sodium-carbonate", "47.26", "1.216", purity="1"),
        ),
        _row(12, "sulfuric acid against calcite, equivalents/L", "0.4398", _acid_by_calcite),
        _row(
            12,
            "sodium hydroxide of the same problem, equivalents/L",
            "0.4409",
            lambda: _acid_by_calcite() / 0.9976,
        ),
        _row(14, "potassium carbonate against tetroxalate, equivalents/L", "0.7084", _carbonate),
        Row(
            "Part IV, problem 19",
            "purity of Rochelle salt, %",
            "87.72",
            _rochelle,
            WORK_OUT,
            note="Printed with the unit cc.; it is a percentage.",
        ),
        _row(22, "ammonia of an ammonium salt, %", "41.17", _ammonia, 1.5),
        _row(23, "sodium hydroxide in a mixture, %", "6.67", _mixture("w_(NaOH)", *_23)),
        _row(
            23,
            "sodium carbonate in the same, %",
            "84.28",
            _mixture("w_(Na2CO3)", *_23),
            1.1,
        ),
        _row(24, "sodium hydroxide in a mixture, %", "24.50", _mixture("w_(NaOH)", *_24), 1.0),
        Row(
            "Part IV, problem 24",
            "sodium carbonate in the same, %",
            "64.92",
            _mixture("w_(Na2CO3)", *_24),
            WORK_OUT,
            right="64.95",
            note="24.08 mL x 0.30 mol/L x 106.0 g/mol / 1.179 g = 64.95 %; more than logarithms can do.",
        ),
        _row(25, "sodium carbonate in a mixture, %", "69.95", _mixture("w_(Na2CO3)", *_25), 1.1),
        _row(25, "sodium hydrogencarbonate in the same, %", "30.02", _mixture("w_(NaHCO3)", *_25), 1.1),
        _row(28, "cream of tartar weighed, g", "2.846", _tartar, 1.5),
        _row(
            30, "purity of calcite, %", "97.97", _calcite, 3.3, LOGARITHMS + " Three numbers in a row were."
        ),
        _row(39, "sodium hydroxide, carbonate precipitated, %", "78.63", lambda: _barium("w_(NaOH)"), 1.2),
        _row(
            39,
            "sodium carbonate of the same, %",
            "4.45",
            lambda: _barium("w_(Na2CO3)"),
            1.8,
            "A difference of two titres worked with four-place logarithms.",
        ),
        _row(
            39,
            "water of the same, by difference, %",
            "16.92",
            lambda: 100 - _barium("w_(NaOH)") - _barium("w_(Na2CO3)"),
            0.7,
            "The difference from 100 of the two numbers before.",
        ),
    ),
)
