"""Workings that benchmarks measure and tests check, with made-up readings for any number of analysts."""

from __future__ import annotations

import math

import numpy as np

from halfdrop.core.measure.estimate import Array, Estimate, Estimates, Shape, Weights
from halfdrop.core.measure.evaluation import total_weights
from halfdrop.core.measure.expression import parse
from halfdrop.core.measure.working import Input, Step, Working, chained


def written(inputs: str, steps: str) -> Working:
    """Return the working in two tables: ``name | unit | role | scope``, ``name = formula | unit | role``."""
    read = [[cell.strip() for cell in line.split("|")] for line in inputs.strip().splitlines()]
    lines = [[cell.strip() for cell in line.split("|")] for line in steps.strip().splitlines()]
    formulas = [(*(part.strip() for part in text.split("=")), unit, role) for text, unit, role in lines]
    return Working(
        {name: Input(name, name, unit, role, scope) for name, unit, role, scope in read},
        {name: Step(name, name, unit, parse(text), role) for name, text, unit, role in formulas},
    )


HYDROXIDE = written(
    """
    R | 1     | repeatability | analyst
    m | g     | mass          | analyst
    P | 1     | purity        | class
    M | g/mol | molar mass    | class
    V | mL    | titre         | analyst
    """,
    """
    V_L = convert(V)  | L     | unit change
    m_P = m * P       | g     | purity
    n = m_P / M       | mol   | molar mass
    c = n * R / V_L   | mol/L | concentration
    """,
)


def hydroxide(n: int, rng: np.random.Generator) -> Estimates:
    """Return the inputs of ``n`` analysts (0: of one), sized as in Eurachem/CITAC QUAM example A2."""
    size = (n,) if n else ()
    m = np.round(rng.uniform(0.35, 0.45, size), 4)
    return {
        "R": Estimate(1.0, 0.0005),
        "m": Estimate(m, 0.00013),
        "P": Estimate(1.0, 0.0005 / math.sqrt(3), Shape.RECTANGULAR),
        "M": Estimate(204.2212, 0.0038),
        "V": Estimate(np.round(m * 1000 / 204.2212 / 0.1021, 2), 0.0135),
    }


STANDARD = written(
    """
    m_1 | g     | mass          | trials
    m_0 | g     | mass          | trials
    P   | 1     | purity        | class
    A_C | g/mol | molar mass    | class
    A_H | g/mol | molar mass    | class
    A_O | g/mol | molar mass    | class
    A_K | g/mol | molar mass    | class
    f   | mL    | reading       | trials
    i   | mL    | reading       | trials
    d   | mL    | repeatability | trials
    s   | mL    | scale         | analyst
    h   | 1     | temperature   | class
    V_b | mL    | blank         | analyst
    """,
    """
    m = m_1 - m_0                         | g     | mass
    m_P = m * P                           | g     | purity
    M = 8 * A_C + 5 * A_H + 4 * A_O + A_K | g/mol | molar mass
    n = m_P / M                           | mol   | molar mass
    T = f - i + d                         | mL    | titre
    T_s = T + s                           | mL    | scale
    T_20 = T_s * (1 + h)                  | mL    | temperature
    V = T_20 - V_b                        | mL    | blank
    V_L = convert(V)                      | L     | unit change
    c_i = n / V_L                         | mol/L | concentration
    c = mean(c_i)                         | mol/L | mean
    """,
)

VINEGAR = chained(
    STANDARD,
    "titrant",
    written(
        """
        c   | mol/L | titrant       | analyst
        f   | mL    | reading       | trials
        i   | mL    | reading       | trials
        d   | mL    | repeatability | trials
        s   | mL    | scale         | analyst
        h   | 1     | temperature   | class
        V_b | mL    | blank         | analyst
        r   | 1     | ratio         | class
        V_p | mL    | aliquot       | analyst
        V_f | mL    | dilution      | analyst
        V_s | mL    | dilution      | analyst
        A_C | g/mol | molar mass    | class
        A_H | g/mol | molar mass    | class
        A_O | g/mol | molar mass    | class
        """,
        """
        T = f - i + d                 | mL    | titre
        T_m = mean(T)                 | mL    | mean
        T_s = T_m + s                 | mL    | scale
        T_20 = T_s * (1 + h)          | mL    | temperature
        V = T_20 - V_b                | mL    | blank
        V_L = convert(V)              | L     | unit change
        n_t = c * V_L                 | mol   | amount
        n_a = n_t * r                 | mol   | ratio
        V_a = convert(V_p)            | L     | unit change
        c_d = n_a / V_a               | mol/L | aliquot
        k = V_f / V_s                 | 1     | dilution
        c_v = c_d * k                 | mol/L | dilution
        M = 2 * A_C + 4 * A_H + 2 * A_O | g/mol | molar mass
        g = c_v * M                   | g/L   | molar mass
        """,
    ),
    "c",
)

_WEIGHTS = {"C": (12.0106, 0.0006), "H": (1.00798, 0.00008), "O": (15.9994, 0.0002), "K": (39.0983, 0.00006)}


def vinegar(n: int, rng: np.random.Generator, trials: int = 4) -> tuple[Estimates, Weights]:
    """Return inputs and weights of ``n`` analysts (0: of one), 2 to ``trials`` trials in either series."""
    size = (n,) if n else ()
    ragged = np.arange(trials).reshape((-1, *(1 for _ in size))) < rng.integers(2, trials + 1, size)
    tare, mass = rng.uniform(9, 14, (trials, *size)), rng.uniform(0.45, 0.60, (trials, *size))
    strong = rng.uniform(7.5, 9.5, size) / 0.1023
    titres = {"titrant.": mass * 9787 / 204.22 + 0.05, "": strong / 4 + 0.05}
    shared = {
        "titrant.P": Estimate(0.9995, 0.0003, Shape.RECTANGULAR),
        "titrant.m_1": Estimate(np.round(tare + mass, 4), 0.0001),
        "titrant.m_0": Estimate(np.round(tare, 4), 0.0001),
        "titrant.A_K": Estimate(*_WEIGHTS["K"], Shape.RECTANGULAR, key="element:K"),
        "r": Estimate(1.0),
        "V_p": Estimate(np.full(size, 25.0), 0.012, Shape.TRIANGULAR),
        "V_f": Estimate(np.full(size, 250.0), 0.06, Shape.TRIANGULAR),
        "V_s": Estimate(np.full(size, 25.0), 0.012, Shape.TRIANGULAR),
    }
    for prefix, titre in titres.items():
        shared |= _titrated(prefix, titre, (trials, *size), rng)
    return shared, {"titrant.trials": total_weights(ragged), "trials": total_weights(ragged)}


def _titrated(
    prefix: str, titre: Array, size: tuple[int, ...], rng: np.random.Generator
) -> dict[str, Estimate]:
    start = np.round(rng.uniform(0, 5, size), 2)
    end = np.round(start + titre + rng.normal(0, 0.04, size), 2)
    apart = {
        "f": Estimate(end, 0.012, Shape.TRIANGULAR),
        "i": Estimate(start, 0.012, Shape.TRIANGULAR),
        "d": Estimate(0.0, 0.03, dof=11),
        "s": Estimate(np.zeros(size[1:]), 0.029, Shape.RECTANGULAR, key="burette:B07/scale"),
        "h": Estimate(0.0, 0.0004, Shape.RECTANGULAR, key="room:1/temperature"),
        "V_b": Estimate(np.full(size[1:], 0.05), 0.02, key="blank"),
    }
    for element in "CHO":
        apart[f"A_{element}"] = Estimate(*_WEIGHTS[element], Shape.RECTANGULAR, key=f"element:{element}")
    return {prefix + name: one for name, one in apart.items()}
