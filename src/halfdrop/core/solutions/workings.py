"""The sum of making up, as workings: from a solid, from a liquid as bought, from a stock.

The pattern of EURACHEM/CITAC Guide CG 4, 3rd edition, 2012, example A1: mass, purity and volume, the volume
with its tolerance, its filling and its temperature. One description gives the amount to take (the
concentration is proportional to it), the concentration that comes out with its uncertainty, and the printed
lines.
"""

from __future__ import annotations

from enum import StrEnum
from functools import lru_cache

from halfdrop.core.measure.expression import parse, symbols
from halfdrop.core.measure.working import CLASS, Input, Step, Working


class Way(StrEnum):
    """What a solution is made from."""

    SOLID = "weighed solid"
    LIQUID = "liquid as bought, measured"
    STOCK = "stock solution, measured"

    @property
    def takes(self) -> str:
        """Name of the input that says how much is taken."""
        return "mass" if self is Way.SOLID else "taken"


_INPUTS = {
    one.name: one
    for one in (
        Input("mass", "m", "g", "mass", CLASS, "mass", "mass as the balance shows it"),
        Input("buoyancy", "B", "1", "factor", CLASS, "mass", "what air bears of solid and of weights"),
        Input("purity", "P", "1", "purity", CLASS, "purity", "purity of the solid"),
        Input("molar_mass", "M", "g/mol", "molar mass", CLASS, "molar mass", "molar mass"),
        Input("taken", "V_(a)", "mL", "amount", CLASS, "glassware", "volume taken"),
        Input("density", "rho", "g/mL", "density", CLASS, "density", "density of the liquid as bought"),
        Input("fraction", "w", "1", "purity", CLASS, "purity", "mass fraction of the liquid as bought"),
        Input("stock", "c_(s)", "mol/L", "titrant", CLASS, "titrant", "concentration of the stock"),
        Input("flask", "V", "mL", "dilution", CLASS, "glassware", "volume of the flask"),
        Input("warmth", "Delta t", "K", "temperature", CLASS, "temperature", "temperature above 20 °C"),
        Input("expansion", "alpha", "1/K", "temperature", CLASS, "temperature",
              "expansion of the solution less that of the glass"),
    )
}  # fmt: skip
_STEPS = {
    one.name: one
    for one in (
        Step("true_mass", "m'", "g", parse("mass * buoyancy"), "mass", "mass without the lift of the air"),
        Step("bought", "m", "g", parse("taken * density"), "density", "mass of the liquid taken"),
        Step("pure", "m_(p)", "g", parse("mass * purity"), "purity", "mass of the pure substance"),
        Step("amount", "n", "mol", parse("pure / molar_mass"), "molar mass", "amount of substance"),
        Step("taken_20", "V'_(a)", "mL", parse("taken * (1 - expansion * warmth)"), "temperature",
             "volume taken, at 20 °C"),
        Step("taken_litres", "V'_(a)", "L", parse("convert(taken_20)"), "unit change", "in litres"),
        Step("stock_amount", "n", "mol", parse("stock * taken_litres"), "amount", "amount of substance"),
        Step("flask_20", "V'", "mL", parse("flask * (1 - expansion * warmth)"), "temperature",
             "volume of the solution, at 20 °C"),
        Step("litres", "V'", "L", parse("convert(flask_20)"), "unit change", "in litres"),
        Step("concentration", "c", "mol/L", parse("amount / litres"), "dilution", "amount concentration"),
        Step("mass_concentration", "gamma", "g/L", parse("pure / litres"), "dilution", "mass concentration"),
    )
}  # fmt: skip
_VOLUME = ("flask_20", "litres")


@lru_cache(maxsize=32)
def making_up(way: Way, *, buoyancy: bool = False, as_mass: bool = False) -> Working:
    """Return the working of making up.

    Args:
        way: what it is made from.
        buoyancy: whether the mass is corrected for the lift of the air; for a solid.
        as_mass: whether it ends with a mass concentration (g/L) instead of mol/L; not for a stock.
    """
    steps = _with_names(_steps_of(way, buoyancy=buoyancy), as_mass=as_mass)
    used = [name for step in steps for name in _INPUTS if _uses(step, name)]
    inputs = {name: _INPUTS[name] for name in dict.fromkeys(used)}
    return Working(inputs, {step.name: step for step in steps})


def _steps_of(way: Way, *, buoyancy: bool) -> list[Step]:
    volume = [_STEPS[name] for name in _VOLUME]
    if way is Way.STOCK:
        first = ("taken_20", "taken_litres", "stock_amount")
        last = _changed("concentration", "stock_amount / litres")
        return [*(_STEPS[name] for name in first), *volume, last]
    if way is Way.LIQUID:
        before, pure = [_STEPS["bought"]], _changed("pure", "bought * fraction")
    elif buoyancy:
        before, pure = [_STEPS["true_mass"]], _changed("pure", "true_mass * purity")
    else:
        before, pure = [], _STEPS["pure"]
    return [*before, pure, _STEPS["amount"], *volume, _STEPS["concentration"]]


def _with_names(steps: list[Step], *, as_mass: bool) -> list[Step]:
    if not as_mass:
        return steps
    kept = [step for step in steps if step.name not in ("amount", "concentration")]
    return [*kept, _STEPS["mass_concentration"]]


def _changed(name: str, formula: str) -> Step:
    one = _STEPS[name]
    return Step(one.name, one.symbol, one.unit, parse(formula), one.role, one.says)


def _uses(step: Step, name: str) -> bool:
    return name in symbols(step.formula)
