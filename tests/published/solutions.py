"""Sums of making up and diluting, by the workings of making up, for the sources that print them."""

from __future__ import annotations

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula
from halfdrop.core.measure.estimate import Estimate
from halfdrop.core.measure.evaluation import Evaluator
from halfdrop.core.solutions.workings import Way, making_up

FUNCTION = "halfdrop.core.solutions.workings.making_up"
ABRIDGED = "CIAAW 2021 abridged"

_PLAIN = {"purity": 1.0, "warmth": 0.0, "expansion": 0.0}


def molar_mass(formula: str, weights: str = ABRIDGED) -> float:
    """Return a molar mass in g/mol."""
    return parse_formula(formula).molar_mass(atomic_weights(weights)).value


def _worked(way: Way, given: dict[str, float], *, as_mass: bool = False) -> float:
    working = making_up(way, as_mass=as_mass)
    values = {**_PLAIN, **given}
    done = Evaluator(working).evaluate({name: Estimate(values[name]) for name in working.inputs}, {})
    return float(done.value)


def made_up(grams: float, molar: float, litres: float) -> float:
    """Return the amount concentration, mol/L, of a pure solid in a volume."""
    return _worked(Way.SOLID, {"mass": grams, "molar_mass": molar, "flask": 1000 * litres})


def strength(density: float, percent: float, formula: str, weights: str = ABRIDGED) -> float:
    """Return the amount concentration, mol/L, of an acid or base as bought, from g/mL and % w/w."""
    given = {"density": density, "fraction": percent / 100, "taken": 1.0, "flask": 1.0}
    return _worked(Way.LIQUID, {**given, "molar_mass": molar_mass(formula, weights)})


def mass_in(density: float, percent: float) -> float:
    """Return the mass of pure substance in a litre of a liquid as bought, g."""
    given = {"density": density, "fraction": percent / 100, "taken": 1.0, "flask": 1.0}
    return _worked(Way.LIQUID, given, as_mass=True)


def diluted(stock: float, litres: float, final_litres: float) -> float:
    """Return the amount concentration, mol/L, when so many litres of a stock are made up to a volume."""
    return _worked(Way.STOCK, {"stock": stock, "taken": 1000 * litres, "flask": 1000 * final_litres})


def diluted_litres(stock: float, litres: float, wanted: float) -> float:
    """Return the volume, L, to which so many litres of a stock are diluted."""
    return diluted(stock, litres, 1.0) / wanted
