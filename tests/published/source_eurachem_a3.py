"""Hydrochloric acid titrated with sodium hydroxide that was itself standardised."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache

from benchmarks.workings import written

from halfdrop.core.measure.estimate import Estimate, Shape
from halfdrop.core.measure.evaluation import Evaluation, Evaluator
from tests.published.row import Row, Source
from tests.published.source_eurachem_a2 import INPUTS as A2
from tests.published.source_eurachem_a2 import within

FUNCTION = "halfdrop.core.measure.evaluation.Evaluator.evaluate"
PLACE, DIGITS = (
    "Example A3, Table A3.1",
    "Example A3 worked with full digits (GTC 1.x documentation, CITAC_A3)",
)
ABOVE = "the table is above what the guide's own contributions give, 0.03/sqrt(6) and 4 K of expansion"
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
    V_1 | mL    | titre         | analyst
    s_1 | mL    | scale         | analyst
    h_1 | mL    | temperature   | analyst
    b_1 | mL    | end point     | analyst
    V_2 | mL    | titre         | analyst
    s_2 | mL    | scale         | analyst
    h_2 | mL    | temperature   | analyst
    b_2 | mL    | end point     | analyst
    V_3 | mL    | aliquot       | analyst
    s_3 | mL    | scale         | analyst
    h_3 | mL    | temperature   | analyst
    R   | 1     | repeatability | analyst
    """,
    """
    m_n = m + e_1 - e_0                   | g     | mass
    m_P = m_n * P                         | g     | purity
    M = 8 * A_C + 5 * A_H + 4 * A_O + A_K | g/mol | molar mass
    n = m_P / M                           | mol   | molar mass
    V_s1 = V_1 + s_1                      | mL    | scale
    V_h1 = V_s1 + h_1                     | mL    | temperature
    V_T1 = V_h1 - b_1                     | mL    | end point
    L_1 = convert(V_T1)                   | L     | unit change
    c_B = n / L_1                         | mol/L | titrant
    V_s2 = V_2 + s_2                      | mL    | scale
    V_h2 = V_s2 + h_2                     | mL    | temperature
    V_T2 = V_h2 - b_2                     | mL    | end point
    L_2 = convert(V_T2)                   | L     | unit change
    n_2 = c_B * L_2                       | mol   | amount
    V_s3 = V_3 + s_3                      | mL    | scale
    V_T3 = V_s3 + h_3                     | mL    | temperature
    L_3 = convert(V_T3)                   | L     | unit change
    c_1 = n_2 / L_3                       | mol/L | aliquot
    c = c_1 * R                           | mol/L | repeatability
    """,
)


def _expansion(volume_ml: float) -> Estimate:
    """Within 4 K of 20 degC, water, 2.1e-4 per K."""
    return within(0.0, volume_ml * 2.1e-4 * 4)


PRINTED = {
    **{name: one for name, one in A2.items() if name in WORKING.inputs},
    "V_1": Estimate(18.64), "s_1": within(0.0, 0.03, Shape.TRIANGULAR), "h_1": _expansion(19),
    "V_2": Estimate(14.89), "s_2": within(0.0, 0.03, Shape.TRIANGULAR), "h_2": _expansion(15),
    "b_1": Estimate(0.0), "b_2": Estimate(0.0),
    "V_3": Estimate(15.0), "s_3": within(0.0, 0.02, Shape.TRIANGULAR), "h_3": _expansion(15),
    "R": Estimate(1.0, 0.001),
}  # fmt: skip
CASES = {
    "printed": PRINTED,
    "triplicate": PRINTED | {"R": Estimate(1.0, 0.001 / math.sqrt(3))},
    # the excess of titrant that phenolphthalein needs; the guide goes on from the mean of three
    "indicator": PRINTED
    | {"R": Estimate(1.0, 0.001 / math.sqrt(3)), "b_1": Estimate(0.05, 0.03), "b_2": Estimate(0.05, 0.03)},
    "one burette, one room": PRINTED
    | {name: replace(PRINTED[name], key="burette") for name in ("s_1", "s_2")}
    | {name: replace(PRINTED[name], key="room") for name in ("h_1", "h_2", "h_3")},
}


@cache
def line(name: str = "c", case: str = "printed") -> Evaluation:
    """Work out a case of the example up to a line."""
    part = WORKING.up_to(name)
    return Evaluator(part).evaluate({k: CASES[case][k] for k in part.inputs}, {})


def _value(case: str = "printed") -> Callable[[], float]:
    return lambda: float(line("c", case).value)


def _u(name: str = "c", case: str = "printed") -> Callable[[], float]:
    return lambda: float(line(name, case).u)


def _relative(name: str) -> Callable[[], float]:
    return lambda: float(line(name).u / line(name).value)


def _from(*keys: str, case: str = "printed") -> Callable[[], float]:
    return lambda: math.hypot(*(one.component for one in line("c", case).contributions if one.key in keys))


MOLAR, MASS = ("A_C", "A_H", "A_O", "A_K"), ("e_1", "e_0")

SOURCE = Source(
    title="EURACHEM/CITAC Guide CG 4, Quantifying Uncertainty in Analytical Measurement, 3rd edition, 2012: "
    "example A3",
    where="https://www.measurementuncertainty.org/guide/app_a_example3.html; unrounded: GTC documentation, "
    "docs/API/CITAC_A3.rst",
    rows=(
        Row(PLACE, "c(HCl), mol/L", "0.10139", _value(), FUNCTION),
        Row(
            PLACE,
            "u(c), mol/L",
            "0.00016",
            _u(),
            FUNCTION,
            right="0.00018",
            note="0.00016 belongs to the mean of three; the rows of the table itself give 0.00018 to 0.00019",
        ),
        Row(
            PLACE, "u(c)/c", "0.0016", _relative("c"), FUNCTION, right="0.0018", note="follows u(c) = 0.00016"
        ),
        Row(PLACE, "u(V2), mL", "0.015", _u("V_T2"), FUNCTION, right="0.014", note=ABOVE),
        Row(PLACE, "u(V2)/V2", "0.0010", _relative("V_T2"), FUNCTION),
        Row(PLACE, "u(V1), mL", "0.016", _u("V_T1"), FUNCTION, right="0.015", note=ABOVE),
        Row(
            PLACE,
            "u(V1)/V1",
            "0.00086",
            _relative("V_T1"),
            FUNCTION,
            right="0.00082",
            note="follows u(V1) = 0.016",
        ),
        Row(PLACE, "u(V) of the pipette, mL", "0.011", _u("V_T3"), FUNCTION),
        Row(PLACE, "u(V)/V of the pipette", "0.00073", _relative("V_T3"), FUNCTION),
        Row(DIGITS, "c(HCl), mol/L", "0.10139", _value(), FUNCTION),
        Row(DIGITS, "u(c), mol/L", "0.0001843", _u(), FUNCTION, units=1, note=CUT),
        Row(DIGITS, "part of u from R, mol/L", "0.000101387", _from("R"), FUNCTION),
        Row(DIGITS, "part of u from V2, mol/L", "9.69953E-05", _from("s_2", "h_2"), FUNCTION),
        Row(DIGITS, "part of u from V1, mol/L", "8.33653E-05", _from("s_1", "h_1"), FUNCTION),
        Row(DIGITS, "part of u from the pipette, mol/L", "7.39151E-05", _from("s_3", "h_3"), FUNCTION),
        Row(DIGITS, "part of u from m, mol/L", "3.19376E-05", _from(*MASS), FUNCTION),
        Row(DIGITS, "part of u from P, mol/L", "2.9268E-05", _from("P"), FUNCTION),
        Row(DIGITS, "part of u from M, mol/L", "1.86931E-06", _from(*MOLAR), FUNCTION),
        Row(DIGITS, "part of u from the burette's scale in V2, mol/L", "8.33938E-05", _from("s_2"), FUNCTION),
        Row(DIGITS, "part of u from the burette's scale in V1, mol/L", "6.66166E-05", _from("s_1"), FUNCTION),
        Row(DIGITS, "part of u from the pipette's mark, mol/L", "5.51882E-05", _from("s_3"), FUNCTION),
        Row(DIGITS, "part of u from the temperature in V1, mol/L", "5.01198E-05", _from("h_1"), FUNCTION),
        Row(DIGITS, "part of u from the temperature in V2, mol/L", "4.95334E-05", _from("h_2"), FUNCTION),
        Row(
            DIGITS,
            "part of u from the temperature of the pipette, mol/L",
            "4.91702E-05",
            _from("h_3"),
            FUNCTION,
        ),
        Row("A3.6, mean of three", "u(c), mol/L", "0.00016", _u(case="triplicate"), FUNCTION),
        Row(
            DIGITS,
            "part of u from R, mean of three, mol/L",
            "5.85359E-05",
            _from("R", case="triplicate"),
            FUNCTION,
        ),
        Row(
            DIGITS,
            "u(V1) with the indicator's excess, mL",
            "0.033688",
            _u("V_T1", "indicator"),
            FUNCTION,
            units=1,
            note=CUT,
        ),
        Row(
            DIGITS,
            "u(V2) with the indicator's excess, mL",
            "0.033210",
            _u("V_T2", "indicator"),
            FUNCTION,
            units=1,
            note=CUT,
        ),
        Row(DIGITS, "c(HCl) with the indicator's excess, mol/L", "0.10132", _value("indicator"), FUNCTION),
        Row(
            DIGITS,
            "u(c) with the indicator's excess, mol/L",
            "0.0003096",
            _u(case="indicator"),
            FUNCTION,
            units=1,
            note=CUT,
        ),
    ),
)
