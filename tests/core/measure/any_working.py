"""Random workings with random numbers, for properties that hold whatever is worked out."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import strategies as st

from halfdrop.core.measure.estimate import Array, Estimate, Factor, Numbers, Shape
from halfdrop.core.measure.expression import Expression, Number, Operation, Symbol
from halfdrop.core.measure.working import ANALYST, CLASS, SHARED, Input, Step, Working

SERIES = ("sample", "blank")
NUMBERS = st.sampled_from(["2", "0.5", "3.25", "1"])


@st.composite
def expressions(draw: st.DrawFn, names: tuple[str, ...] = ("a", "b_1", "c.d"), depth: int = 4) -> Expression:
    """Any formula the language can say, with no regard to units or trials."""
    kind = draw(
        st.sampled_from(["symbol", "number", *"+-*/^", "mean", "sum", "convert"] if depth else ["symbol"])
    )
    if kind == "symbol":
        return Symbol(draw(st.sampled_from(names)))
    if kind == "number":
        return Number(draw(NUMBERS))
    first = draw(expressions(names, depth - 1))
    if kind in ("mean", "sum", "convert"):
        return Operation(kind, (first,))
    if kind == "^":
        return Operation(kind, (first, Number(draw(st.sampled_from("123456789")))))
    return Operation(kind, (first, draw(expressions(names, depth - 1))))


@st.composite
def formulas(draw: st.DrawFn, scopes: dict[str, str], series: str, depth: int = 3) -> tuple[Expression, str]:
    """Draw a formula over quantities that are shared or of one series, and its scope."""
    fitting = [name for name, scope in scopes.items() if scope in (*SHARED, series)]
    kinds = ["symbol", "number", "+", "-", "*", "/", "^", "mean", "sum"] if depth else ["symbol"]
    kind = draw(st.sampled_from(kinds))
    if kind == "number":
        return Number(draw(NUMBERS)), CLASS
    if kind == "symbol":
        name = draw(st.sampled_from(fitting))
        return Symbol(name), scopes[name]
    left, scope = draw(formulas(scopes, series, depth - 1))
    if kind == "^":
        return Operation("^", (left, Number(draw(st.sampled_from("123"))))), scope
    if kind in ("mean", "sum"):
        return (Operation(kind, (left,)), ANALYST) if scope not in SHARED else (left, scope)
    if kind == "/":
        name = draw(st.sampled_from([name for name in fitting if name.startswith("x")]))
        right: Expression = Symbol(name)
        other = scopes[name]
    else:
        right, other = draw(formulas(scopes, series, depth - 1))
    joined = scope if scope not in SHARED else other if other not in SHARED else ANALYST
    return Operation(kind, (left, right)), joined


@st.composite
def workings(draw: st.DrawFn) -> Working:
    """Draw a working of plain numbers whose result hangs on every line."""
    # one shared input at least, so that every series has something to divide by
    scopes = {"x0": CLASS} | {
        f"x{k}": draw(st.sampled_from([CLASS, ANALYST, *SERIES])) for k in range(1, draw(st.integers(2, 6)))
    }
    inputs = {
        name: Input(name, name, "1", "factor", scope, group=f"of {scope}") for name, scope in scopes.items()
    }
    steps = {}
    for k in range(draw(st.integers(1, 4))):
        formula, _ = draw(formulas(scopes, draw(st.sampled_from(SERIES))))
        steps[f"y{k}"] = Step(f"y{k}", f"y{k}", "1", formula, "factor")
        scopes[f"y{k}"] = Working(inputs, steps).scopes[f"y{k}"]
    total: Expression = Number("1")
    for name, scope in scopes.items():
        part: Expression = Symbol(name) if scope in SHARED else Operation("mean", (Symbol(name),))
        total = Operation("+", (total, part))
    return Working(inputs, {**steps, "z": Step("z", "z", "1", total, "factor")})


@st.composite
def estimates(
    draw: st.DrawFn, working: Working, analysts: int = 0
) -> tuple[dict[str, Estimate], dict[str, Array]]:
    """Numbers for a working: values near 1, ragged series, keys and factors shared between inputs."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32)))
    trials = {series: draw(st.integers(1, 4)) for series in SERIES}
    found = {}
    for name, one in working.inputs.items():
        size = () if one.scope == CLASS else (analysts,) if analysts else ()
        size = (trials[one.scope], *size) if one.scope in SERIES else size
        choices: list[Numbers] = [0.0, 0.01, rng.uniform(0, 0.02, size)]
        key = "" if one.scope in SERIES else draw(st.sampled_from(["", "", "object:1", "object:2"]))
        factors = tuple(
            Factor(
                f"factor:{k}",
                rng.normal(0, 0.01, size) if draw(st.booleans()) else 0.02,
                dof=(math.inf, 7.0)[k],
            )
            for k in range(draw(st.integers(0, 2)))
        )
        u = draw(st.sampled_from(choices))
        dof = 9.0 if key else draw(st.sampled_from([math.inf, 4.0]))
        found[name] = Estimate(rng.uniform(0.5, 2.0, size), u, Shape.NORMAL, dof, key, factors)
    weights = {}
    for series in working.series:
        raw = rng.uniform(0.2, 1.0, (trials[series], analysts) if analysts else trials[series])
        raw[1:] *= rng.random(raw[1:].shape) < 0.7
        weights[series] = raw / raw.sum(axis=0)
    return found, weights
