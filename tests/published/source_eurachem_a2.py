"""Sodium hydroxide standardised with potassium hydrogen phthalate, with its budget."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

from benchmarks.workings import written

from halfdrop.core.measure.estimate import Estimate, Shape, standard_from_limits
from halfdrop.core.measure.evaluation import Evaluation, Evaluator
from tests.published.row import Row, Source

FUNCTION = "halfdrop.core.measure.evaluation.Evaluator.evaluate"
PLACE, DIGITS = (
    "Example A2, Table A2.1",
    "Example A2 worked with full digits (GTC 1.x documentation, CITAC_A2)",
)
ROUNDED_ON = "the guide rounds on the way"
CUT = "digits cut off in print, not rounded"

WORKING = written(
    """
    m   | g     | mass          | analyst
    e_1 | g     | mass          | analyst
    e_0 | g     | mass          | analyst
    P   | 1     | purity        | class
    A_C | g/mol | molar mass    | class
    A_H | g/mol | molar mass    | class
    A_O | g/mol | molar mass    | class
    A_K | g/mol | molar mass    | class
    V   | mL    | titre         | analyst
    s   | mL    | scale         | analyst
    h   | mL    | temperature   | analyst
    R   | 1     | repeatability | analyst
    """,
    """
    m_n = m + e_1 - e_0                   | g     | mass
    m_P = m_n * P                         | g     | purity
    M = 8 * A_C + 5 * A_H + 4 * A_O + A_K | g/mol | molar mass
    n = m_P / M                           | mol   | molar mass
    V_s = V + s                           | mL    | scale
    V_T = V_s + h                         | mL    | temperature
    V_L = convert(V_T)                    | L     | unit change
    c_1 = n / V_L                         | mol/L | concentration
    c = c_1 * R                           | mol/L | repeatability
    """,
)


def within(value: float, half_width: float, shape: Shape = Shape.RECTANGULAR) -> Estimate:
    """Return an estimate from limits."""
    return Estimate(value, standard_from_limits(half_width, shape), shape)


INPUTS = {
    "m": Estimate(0.3888), "e_1": within(0.0, 0.00015), "e_0": within(0.0, 0.00015), "P": within(1.0, 0.0005),
    "A_C": within(12.0107, 0.0008), "A_H": within(1.00794, 0.00007), "A_O": within(15.9994, 0.0003),
    "A_K": within(39.0983, 0.0001), "V": Estimate(18.64), "s": within(0.0, 0.03, Shape.TRIANGULAR),
    "h": Estimate(0.0, 0.006), "R": Estimate(1.0, 0.0005),
}  # fmt: skip


@cache
def line(name: str) -> Evaluation:
    """Work out the example up to a line."""
    part = WORKING.up_to(name)
    return Evaluator(part).evaluate({k: INPUTS[k] for k in part.inputs}, {})


def _value() -> float:
    return float(line("c").value)


def _u(name: str = "c") -> Callable[[], float]:
    return lambda: float(line(name).u)


def _relative(name: str) -> Callable[[], float]:
    return lambda: float(line(name).u / line(name).value)


def _by_group(*groups: str) -> Callable[[], float]:
    return lambda: math.hypot(*(line("c").by_group()[group] for group in groups))


def _of(key: str) -> Callable[[], float]:
    return lambda: next(abs(float(one.component)) for one in line("c").contributions if one.key == key)


SOURCE = Source(
    title="EURACHEM/CITAC Guide CG 4, Quantifying Uncertainty in Analytical Measurement, 3rd edition, 2012: "
    "example A2",
    where="https://www.measurementuncertainty.org/guide/app_a_example2.html; unrounded: GTC documentation, "
    "docs/API/CITAC_A2.rst",
    rows=(
        Row(PLACE, "c(NaOH), mol/L", "0.10214", _value, FUNCTION),
        Row(PLACE, "u(c), mol/L", "0.00010", _u(), FUNCTION),
        Row(
            PLACE,
            "u(c)/c",
            "0.00097",
            _relative("c"),
            FUNCTION,
            right="0.00098",
            note=f"{ROUNDED_ON}: 0.00097 is the sum of its rounded relative uncertainties",
        ),
        Row(
            PLACE,
            "u(m), g",
            "0.00013",
            _u("m_n"),
            FUNCTION,
            right="0.00012",
            note=f"{ROUNDED_ON}: 0.15/sqrt(3) to 0.09 before it is taken twice",
        ),
        Row(
            PLACE,
            "u(m)/m",
            "0.00033",
            _relative("m_n"),
            FUNCTION,
            right="0.00032",
            note="follows u(m) = 0.00013",
        ),
        Row(PLACE, "u(M), g/mol", "0.0038", _u("M"), FUNCTION),
        Row(
            PLACE,
            "u(M)/M",
            "0.000019",
            _relative("M"),
            FUNCTION,
            right="0.000018",
            note="0.0038/204.2212, rounded up",
        ),
        Row(
            PLACE,
            "u(V), mL",
            "0.013",
            _u("V_T"),
            FUNCTION,
            right="0.014",
            note=f"{ROUNDED_ON}: 0.03/sqrt(6) to 0.012 before it is combined with 0.006",
        ),
        Row(PLACE, "u(V)/V", "0.0007", _relative("V_T"), FUNCTION),
        Row(DIGITS, "c(NaOH), mol/L", "0.102136159706", _value, FUNCTION, units=1, note=CUT),
        Row(DIGITS, "u(c), mol/L", "0.000100500722124", _u(), FUNCTION, units=1, note=CUT),
        Row(DIGITS, "part of u from V, mol/L", "7.47292E-05", _by_group("scale", "temperature"), FUNCTION),
        Row(DIGITS, "part of u from R, mol/L", "5.10681E-05", _by_group("repeatability"), FUNCTION),
        Row(DIGITS, "part of u from m, mol/L", "3.21735E-05", _by_group("mass"), FUNCTION),
        Row(DIGITS, "part of u from P, mol/L", "2.94842E-05", _by_group("purity"), FUNCTION),
        Row(DIGITS, "part of u from M, mol/L", "1.88312E-06", _by_group("molar mass"), FUNCTION),
        Row(DIGITS, "part of u from the burette's scale, mol/L", "6.71088E-05", _of("s"), FUNCTION),
        Row(DIGITS, "part of u from the temperature, mol/L", "3.28764E-05", _of("h"), FUNCTION),
        Row(DIGITS, "part of u from either weighing, mol/L", "2.27501E-05", _of("e_1"), FUNCTION),
        Row(DIGITS, "part of u from A(C), mol/L", "1.84798E-06", _of("A_C"), FUNCTION),
    ),
)
