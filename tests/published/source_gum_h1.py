"""The end gauge: independent causes with finite degrees of freedom, first-order terms.

Lengths stand as plain numbers of nanometres, because a volumetric laboratory's units hold no length.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

from benchmarks.workings import written

from halfdrop.core.measure.estimate import Estimate, Shape, standard_from_limits
from halfdrop.core.measure.evaluation import Evaluation, Evaluator
from halfdrop.core.measure.statistics import coverage_factor
from tests.published.row import Row, Source

WORKING = written(
    """
    l_s | 1   | constant    | class
    d_0 | 1   | reading     | analyst
    d_1 | 1   | reading     | analyst
    d_2 | 1   | reading     | analyst
    a_s | 1/K | constant    | class
    d_a | 1/K | constant    | class
    t_m | K   | temperature | class
    t_c | K   | temperature | class
    d_t | K   | temperature | class
    """,
    """
    d = d_0 + d_1 + d_2         | 1 | reading
    t = t_m + t_c               | K | temperature
    x = d_a * t + a_s * d_t     | 1 | temperature
    l = l_s + d - l_s * x       | 1 | difference
    """,
)


def _within(
    value: float, half_width: float, dof: float = math.inf, shape: Shape = Shape.RECTANGULAR
) -> Estimate:
    return Estimate(value, standard_from_limits(half_width, shape), shape, dof)


INPUTS = {
    "l_s": Estimate(50_000_623, 25, dof=18),
    "d_0": Estimate(215, 5.8, dof=24), "d_1": Estimate(0.0, 3.9, dof=5), "d_2": Estimate(0.0, 6.7, dof=8),
    "a_s": _within(11.5e-6, 2e-6), "d_a": _within(0.0, 1e-6, 50),
    "t_m": Estimate(-0.1, 0.2), "t_c": _within(0.0, 0.5, shape=Shape.ARCSINE), "d_t": _within(0.0, 0.05, 2),
}  # fmt: skip
COMPARATOR = ("d_0", "d_1", "d_2")
NOMINAL_NM = 50_000_000


@cache
def line(name: str = "l") -> Evaluation:
    """Work out the example up to a line."""
    part = WORKING.up_to(name)
    return Evaluator(part).evaluate({k: INPUTS[k] for k in part.inputs}, {})


@cache
def _nominal() -> Evaluation:
    """With the nominal length for that of the standard, as GTC's own test has it."""
    return Evaluator(WORKING).evaluate(INPUTS | {"l_s": Estimate(NOMINAL_NM, 25, dof=18)}, {})


def _part(*keys: str) -> Callable[[], float]:
    return lambda: math.hypot(*(one.component for one in line().contributions if one.key in keys))


def _dof() -> float:
    return float(line().dof())


def _expanded() -> float:
    return coverage_factor(_dof(), 0.99) * float(line().u)


EVALUATE = "halfdrop.core.measure.evaluation.Evaluator.evaluate"
DOF = "halfdrop.core.measure.evaluation.Evaluation.dof"
NOMINAL = "Example H.1 in the tests of GTC (test_uncertain_real_dof.py), standard taken as 50 mm"
DIGITS = "Example H.1 worked with full digits (GTC 1.x documentation, GUM_H1)"

SOURCE = Source(
    title="JCGM 100:2008, Guide to the expression of uncertainty in measurement: H.1",
    where="Annex H.1, Table H.1; unrounded: GTC documentation, docs/API/GUM_H1.rst. The second-order "
    "terms, which bring u to 34 nm, are not part of a budget here; Monte Carlo shows them",
    rows=(
        Row("H.1", "length of the end gauge, nm", "50000838", lambda: float(line().value), EVALUATE),
        Row("Table H.1", "part of u from the standard, nm", "25", _part("l_s"), EVALUATE),
        Row("Table H.1", "part of u from the comparator, nm", "9.7", _part(*COMPARATOR), EVALUATE),
        Row("Table H.1", "part of u from the difference in expansion, nm", "2.9", _part("d_a"), EVALUATE),
        Row("Table H.1", "part of u from the difference in temperature, nm", "16.6", _part("d_t"), EVALUATE),
        Row("H.1.5", "combined standard uncertainty, nm", "32", lambda: float(line().u), EVALUATE),
        Row(
            "H.1.6",
            "effective degrees of freedom, cut to a whole number",
            "16",
            lambda: math.floor(_dof()),
            DOF,
        ),
        Row(
            "H.1.6",
            "expanded uncertainty at 99 %, nm",
            "93",
            _expanded,
            "halfdrop.core.measure.statistics.coverage_factor",
            units=1,
            note="the Guide multiplies rounded numbers, 2.92 times 32; unrounded it is 92.5",
        ),
        Row(DIGITS, "u of the comparator, nm", "9.68194195397", lambda: float(line("d").u), EVALUATE),
        Row(
            DIGITS,
            "degrees of freedom of the comparator",
            "25.4472507774",
            lambda: float(line("d").dof()),
            DOF,
        ),
        Row(DIGITS, "u of the temperature, K", "0.406201920232", lambda: float(line("t").u), EVALUATE),
        Row(DIGITS, "part of u from the difference in expansion, nm", "2.88679", _part("d_a"), EVALUATE),
        Row(DIGITS, "part of u from the difference in temperature, nm", "16.599", _part("d_t"), EVALUATE),
        Row(
            NOMINAL,
            "combined standard uncertainty, nm",
            "31.6637674111",
            lambda: float(_nominal().u),
            EVALUATE,
        ),
        Row(NOMINAL, "effective degrees of freedom", "16.7521475092", lambda: float(_nominal().dof()), DOF),
    ),
)
