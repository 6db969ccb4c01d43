"""Problems on oxidation and precipitation in an old book, with its atomic weights and four-place logarithms.

The book says itself that the fourth figure of its answers may be off by one or, rarely, two.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from halfdrop.core.chemistry.reaction import parse_reaction, ratio
from tests.methods.written import worked
from tests.published.row import Row, Source
from tests.published.solutions import molar_mass

TALBOT = "Talbot 1920"
WORK_OUT = "halfdrop.core.titration.work.work_out"
LOGARITHMS = (
    "Worked with four-place logarithms: the book says the fourth figure may be off by one or, rarely, two."
)
CUT = "The book has cut the figures off where it should have rounded."


def _mass(formula: str) -> float:
    return molar_mass(formula, TALBOT)


def _percent(method: str, titre: str, mass: str, back: str = "", **given: str) -> float:
    """Return what a method makes of one titre of a weighed sample, and of a titre taken back."""
    own = {"mass": mass}
    if back:
        own |= {"back_initial": "0.00", "back_final": back}
    return worked(method, [("0.00", titre, own)], weights=TALBOT, **given).value


def _dichromate() -> float:
    """Problem 41, equivalents in a litre: six for each dichromate."""
    return 6 * _percent(
        "dichromate-by-iron-wire", "42.42", "0.22", back="3.27", purity="0.9985", iron="0.1011"
    )


def _tin() -> float:
    return _percent("tin-by-iron", "9.47", "0.1", purity="0.9978")


def _limonite() -> float:
    return _percent(
        "limonite-back",
        "50.00",
        "0.5000",
        back="6.00",
        permanganate_per_ml="0.005317",
        iron_per_ml="0.009200",
    )


def _lime() -> float:
    """Problem 48: the titre follows from the calcium oxide in lime that kept 3 % of carbon dioxide."""
    wanted = 33.10 / ((100 - 43.00) / 0.97) * 100
    return wanted / _percent("lime-by-permanganate", "10.00", "1", titrant="0.2") * 10


def _pyrolusite() -> float:
    permanganate = 0.03038 / _mass("FeSO4.7H2O") / 5 * 1000
    return _percent(
        "pyrolusite-by-oxalic", "23.95", "0.6000", oxalic="0.9000", purity="1", titrant=repr(permanganate)
    )


def _with_sulfur_dioxide() -> float:
    """Problem 53: percent of iron(III) oxide too much."""
    return _percent("iron-oxide-by-permanganate", "38.60", "0.5000", titrant="0.02") - 60


def _sulfur_dioxide() -> float:
    """Problem 53: what of the permanganate was not taken by 0.3 g of oxide was taken by sulfur dioxide."""
    return _with_sulfur_dioxide() / 100 * 0.5000 / _mass("Fe2O3") * _mass("SO2")


def _thiosulfate() -> float:
    return _percent("thiosulfate-iodate", "48.00", "0.3000", purity="1")


def _decomposed() -> float:
    """Problem 62: a thiosulfate gives iodine one electron, the sulfite that it turns into gives two."""
    by_thiosulfate = ratio(parse_reaction("I2 + 2 S2O3^2- -> 2 I- + S4O6^2-"), "I2", "S2O3^2-")
    by_sulfite = ratio(parse_reaction("H2SO3 + I2 + H2O -> SO4^2- + 2 I- + 4 H+"), "I2", "H2SO3")
    left = Fraction(99, 100) + Fraction(1, 100) * by_sulfite / by_thiosulfate
    return float(1000 * 0.1079 * left / Fraction(1, 10))


def _second_way() -> float:
    """Problem 64: the permanganate that a sample of known manganese dioxide leaves for itself."""
    thiosulfate = 49.66 / _mass("Na2S2O3.5H2O")
    dioxide = _percent("pyrolusite-by-iodine", "38.72", "0.5000", titrant=repr(thiosulfate))
    none, much = (
        _percent("pyrolusite-by-oxalic", titre, "0.5000", oxalic="0.9012", purity="1", titrant="0.05")
        for titre in ("0.00", "50.00")
    )
    return 50.00 * (none - dioxide) / (none - much)


def _iron_chloride() -> float:
    """Problem 66: arsenite gives the iodine its strength, and the iodine the thiosulfate."""
    taken = ratio(parse_reaction("As2O3 + 2 I2 + 5 H2O -> 2 H3AsO4 + 4 H+ + 4 I-"), "I2", "As2O3")
    iodine = 0.005160 / _mass("As2O3") * 1000 * float(taken) * 45 / 45.27
    thiosulfate = 2 * iodine * 45 / 45.95
    return _percent(
        "iron-chloride-by-iodine", "50.00", "1.000", back="7.85",
        titrant=repr(thiosulfate), strength=repr(45.95 / 45),
    )  # fmt: skip


def _as_much_as_permanganate() -> float:
    """Problem 68: iodine set free by permanganate counts like iodine set free by manganese dioxide."""
    thiosulfate = 0.0175 / _mass("I2") * 2 * 1000
    return _percent("pyrolusite-by-iodine", "37.12", "1", titrant=repr(thiosulfate)) / 89.21


def _thiosulfate_by_pyrolusite() -> float:
    """Problem 69: the strength at which the known manganese dioxide is found."""
    return 0.1 * 92.50 / _percent("pyrolusite-by-iodine", "46.24", "0.2400", titrant="0.1")


def _weakest_thiocyanate() -> float:
    """Problem 70: the strength at which 50 mL find 90 % of silver."""
    return 0.1 * 90 / _percent("silver-in-alloy", "50.00", "0.5000", titrant="0.1")


def _bromine() -> float:
    return _percent(
        "bromide-in-mixture", "25.00", "0.6", titrant="0.1", silver="0.2017", silver_volume="45.15"
    )


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


SOURCE = Source(
    title="H. P. Talbot, Quantitative Chemical Analysis, 6th edition, 1921: oxidation and precipitation",
    where="Project Gutenberg 12787",
    rows=(
        _row(41, "dichromate against iron wire, equivalents/L", "0.1006", _dichromate),
        _row(43, "tin(II) chloride, g/L", "17.92", _tin, 1.0),
        _row(43, "tin(II) chloride, equivalents/L", "0.1888", lambda: 2 * _tin() / _mass("SnCl2")),
        _row(46, "iron in limonite, %", "44.60", _limonite, 1.0),
        _row(48, "permanganate for the calcium oxide of a lime, mL", "20.08", _lime),
        _row(51, "manganese dioxide in pyrolusite, %", "84.47", _pyrolusite, 2.3),
        _row(53, "iron(III) oxide found too much, %", "1.60", _with_sulfur_dioxide, 0.6, CUT),
        _row(
            53, "the same as part of the oxide, %", "2.67", lambda: _with_sulfur_dioxide() / 0.60, 0.65, CUT
        ),
        _row(53, "sulfur dioxide left in the solution, g", "0.00322", _sulfur_dioxide),
        _row(61, "thiosulfate against iodate, equivalents/L", "0.1753", _thiosulfate, 0.7),
        _row(61, "iodine for 1 mL of it, g", "0.02224", lambda: _thiosulfate() / 2 * _mass("I2") / 1000),
        _row(62, "volume to which the thiosulfate is diluted, mL", "1090", _decomposed),
        _row(64, "permanganate for the excess of oxalic acid, mL", "26.22", _second_way, 1.1),
        _row(66, "iron in iron(III) chloride, %", "23.77", _iron_chloride),
        _row(68, "pyrolusite that does as much as the permanganate, g", "0.2493", _as_much_as_permanganate),
        _row(
            69, "thiosulfate against manganese dioxide, equivalents/L", "0.1105", _thiosulfate_by_pyrolusite
        ),
        Row(
            "Part IV, problem 70",
            "thiocyanate of which 50 mL do for a coin, equivalents/L",
            "0.08339",
            _weakest_thiocyanate,
            WORK_OUT,
            right="0.08341",
            note="0.4500 g / 107.9 g/mol / 50 mL; the print needs 107.93, an older weight.",
        ),
        _row(71, "bromine in lithium chloride and barium bromide, %", "40.11", _bromine),
    ),
)
