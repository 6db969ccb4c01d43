"""Sums of making up and diluting, as workings, for the sources that print them."""

from __future__ import annotations

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula
from halfdrop.core.measure.estimate import Estimate
from halfdrop.core.measure.evaluation import Evaluator
from halfdrop.core.measure.expression import parse
from halfdrop.core.measure.working import Input, Step, Working

FUNCTION = "halfdrop.core.measure.evaluation.Evaluator.evaluate"
ABRIDGED = "CIAAW 2021 abridged"

# name -> unit and role of what may be given
_GIVEN = {
    "percent": ("% w/w", "fraction"), "density": ("g/mL", "density"), "mass": ("g", "mass"),
    "molar_mass": ("g/mol", "molar mass"), "litres": ("L", "titre"), "stock": ("mol/L", "titrant"),
    "wanted": ("mol/L", "concentration"), "final_litres": ("L", "dilution"),
}  # fmt: skip
# name -> unit, formula and role of what can be worked out
_LINES = {
    "part": ("1", "convert(percent)", "unit change"),
    "density_litre": ("g/L", "convert(density)", "unit change"),
    "gamma": ("g/L", "part * density_litre", "density"),
    "strength": ("mol/L", "gamma / molar_mass", "molar mass"),
    "mass_in": ("g", "gamma * litres", "amount"),
    "litres_for": ("L", "mass / gamma", "amount"),
    "amount": ("mol", "mass / molar_mass", "molar mass"),
    "made_up": ("mol/L", "amount / litres", "concentration"),
    "taken": ("mol", "stock * litres", "amount"),
    "diluted": ("mol/L", "taken / final_litres", "dilution"),
    "diluted_litres": ("L", "taken / wanted", "concentration"),
}


def molar_mass(formula: str, weights: str = ABRIDGED) -> float:
    """Return a molar mass in g/mol."""
    return parse_formula(formula).molar_mass(atomic_weights(weights)).value


def evaluated(line: str, **given: float) -> float:
    """Work out one of the lines from what is given, each in the unit that its name stands for here."""
    inputs = {name: Input(name, name, *_GIVEN[name]) for name in given}
    steps: dict[str, Step] = {}
    for name, (unit, formula, role) in _LINES.items():
        tree = parse(formula)
        one = Step(name, name, unit, tree, role)
        if all(part in inputs or part in steps for part in _parts(formula)):
            steps[name] = one
    whole = Working(inputs, steps).up_to(line)
    return float(Evaluator(whole).evaluate({name: Estimate(given[name]) for name in whole.inputs}, {}).value)


def _parts(formula: str) -> list[str]:
    return [word for word in formula.replace("convert(", "").replace(")", "").split() if word.isidentifier()]


def strength(density: float, percent: float, formula: str, weights: str = ABRIDGED) -> float:
    """Return the amount concentration, mol/L, of an acid or base as bought, from g/mL and % w/w."""
    return evaluated("strength", density=density, percent=percent, molar_mass=molar_mass(formula, weights))
