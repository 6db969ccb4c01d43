"""Making up one batch: how much to take, what concentration comes out, and what may be said of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from enum import StrEnum

from halfdrop.core.chemistry.molar_mass import MolarMass
from halfdrop.core.measure.estimate import Estimate, Factor, Shape, standard_from_limits
from halfdrop.core.measure.evaluation import Evaluation, Evaluator
from halfdrop.core.measure.working import Working
from halfdrop.core.solutions.reagent import Assay, Reagent
from halfdrop.core.solutions.workings import Way, making_up

# Filling to the mark: 0.02 mL for 100 mL in EURACHEM/CITAC Guide CG 4, 3rd edition, 2012, example A1; in
# proportion for other flasks.
FILLING = 2e-4
FILLING_SOURCE = "filling to the mark, 0.02 mL for 100 mL as in EURACHEM/CITAC Guide CG 4, 2012, example A1"
WEIGHTS_G_ML = 8.0  # density of weights by convention, OIML D 28


@dataclass(frozen=True)
class Measure:
    """How an amount is measured: on a balance (g) or in a vessel (mL).

    Attributes:
        name: what it is called.
        unit: ``g`` or ``mL``.
        step: the least step that can be told apart, same unit; amounts are rounded to it.
        u: standard uncertainty of one amount.
        shape: its distribution.
        exact: whether it may carry a concentration (an analytical balance, a pipette) or only get near one.
        source: where ``u`` comes from.
    """

    name: str
    unit: str
    step: float
    u: float
    shape: Shape
    exact: bool
    source: str


@dataclass(frozen=True)
class Flask:
    """What a batch is made up in.

    Attributes:
        name: what it is called.
        capacity_ml: its volume.
        mpe_ml: maximum permissible error, plus or minus.
        volumetric: whether it has one mark and a tolerance; a beaker or a bottle has neither.
        source: where the limit comes from.
        shape: distribution within the limits.
    """

    name: str
    capacity_ml: float
    mpe_ml: float
    volumetric: bool
    source: str
    shape: Shape = Shape.RECTANGULAR


class Basis(StrEnum):
    """What the concentration of a finished solution rests on."""

    WEIGHED = "a weighed primary standard"
    DILUTED = "a diluted solution of known concentration"
    NOMINAL = "its making up only: it is standardised before it is used"


@dataclass(frozen=True)
class Batch:
    """One batch as planned.

    Attributes:
        way: what it is made from.
        exact_amount: what would give the wanted concentration, in the unit of ``measure``.
        amount: the same, rounded to the step of ``measure``.
        measure, flask: with what.
        wanted_mol_l: what was asked for.
        working, estimates, evaluation: the sum, with the rounded amount.
    """

    way: Way
    exact_amount: float
    amount: float
    measure: Measure
    flask: Flask
    wanted_mol_l: float
    working: Working
    estimates: Mapping[str, Estimate]
    evaluation: Evaluation

    @property
    def value(self) -> float:
        """The concentration that comes out, mol/L."""
        return float(self.evaluation.value)

    @property
    def u(self) -> float:
        """Its standard uncertainty, mol/L."""
        return float(self.evaluation.u)

    @property
    def per_unit(self) -> float:
        """The concentration for each unit of what is taken: mol/L per gram or millilitre."""
        return self.value / self.amount

    @property
    def amount_text(self) -> str:
        """The amount with the decimals of its step."""
        return f"{_rounded(self.amount, self.measure.step):f}"


def plan_batch(
    way: Way, wanted_mol_l: float, given: Mapping[str, Estimate], measure: Measure, flask: Flask
) -> Batch:
    """Plan one batch.

    Args:
        way: what it is made from.
        wanted_mol_l: above zero.
        given: every input of :func:`making_up` but the amount and the flask.
        measure: for the amount.
        flask: what it is made up in.

    Raises:
        ValueError: when the amount is below half a step of what measures it, or nothing is wanted.
    """
    if not (math.isfinite(wanted_mol_l) and wanted_mol_l > 0):
        raise ValueError(f"a concentration above zero is wanted, not {wanted_mol_l!r}")
    working = making_up(way, buoyancy="buoyancy" in given)
    evaluator = Evaluator(working)
    fixed = {**given, "flask": flask_estimate(flask)}
    one = float(evaluator.evaluate({**fixed, way.takes: Estimate(1.0)}, {}).value)
    exact = wanted_mol_l / one  # the concentration is proportional to the amount
    amount = float(_rounded(exact, measure.step))
    if amount <= 0:
        raise ValueError(f"{exact:g} {measure.unit} is less than {measure.name} can tell")
    taken = Estimate(amount, measure.u, measure.shape, key=f"measure:{measure.name}", source=measure.source)
    estimates = {**fixed, way.takes: taken}
    evaluation = evaluator.evaluate(estimates, {})
    return Batch(way, exact, amount, measure, flask, wanted_mol_l, working, estimates, evaluation)


def _rounded(amount: float, step: float) -> Decimal:
    """Return an amount as a whole number of steps, with the decimals of the step."""
    size = Decimal(repr(step))
    steps = (Decimal(repr(amount)) / size).to_integral_value(rounding=ROUND_HALF_EVEN)
    return steps * size


def basis_of(reagent: Reagent | None, measure: Measure, flask: Flask, *, stock_known: bool = False) -> Basis:
    """Return what may be said of a solution: only a weighed primary standard or a known stock carry a claim.

    Args:
        reagent: what it is made from; None for a stock.
        measure: of the amount.
        flask: what it is made up in.
        stock_known: whether the stock's concentration was standardised or rests on a primary standard.
    """
    if not (measure.exact and flask.volumetric):
        return Basis.NOMINAL
    if reagent is None:
        return Basis.DILUTED if stock_known else Basis.NOMINAL
    return Basis.WEIGHED if reagent.is_primary else Basis.NOMINAL


def flask_estimate(flask: Flask) -> Estimate:
    """Return the volume of a flask: its tolerance, and how well it is filled."""
    u = standard_from_limits(flask.mpe_ml, flask.shape)
    filling = Factor(f"filling:{flask.name}", FILLING * flask.capacity_ml)
    return Estimate(
        flask.capacity_ml, u, flask.shape, key=f"flask:{flask.name}", factors=(filling,),
        source=f"{flask.source}; {FILLING_SOURCE}",
    )  # fmt: skip


def assay_estimate(assay: Assay) -> Estimate:
    """Return a purity, a mass fraction or a density with its limits."""
    return Estimate(
        assay.value, standard_from_limits(assay.limits), Shape.RECTANGULAR, source=assay.source,
        written=assay.written,
    )  # fmt: skip


def molar_mass_estimate(mass: MolarMass, source: str) -> Estimate:
    """Return a molar mass; what its elements are uncertain by is shared with whatever else holds them."""
    factors = tuple(
        Factor(weight.key, atoms * weight.standard_uncertainty, Shape(weight.shape))
        for atoms, weight in mass.terms
    )
    return Estimate(mass.value, factors=factors, source=source)


def buoyancy_estimate(solid_g_ml: Assay, air_g_ml: float, u_air_g_ml: float) -> Estimate:
    """Return the factor from what a balance shows to mass: (1 - air/weights) / (1 - air/solid).

    Args:
        solid_g_ml: density of the solid.
        air_g_ml: density of the air.
        u_air_g_ml: its standard uncertainty.
    """
    solid = solid_g_ml.value
    factor = (1 - air_g_ml / WEIGHTS_G_ML) / (1 - air_g_ml / solid)
    by_air = u_air_g_ml * (1 / solid - 1 / WEIGHTS_G_ML)
    by_solid = standard_from_limits(solid_g_ml.limits) * air_g_ml / solid**2
    source = (
        f"air {air_g_ml:.5f} g/mL, weights 8.0 g/mL (OIML D 28), solid {solid:g} g/mL ({solid_g_ml.source})"
    )
    return Estimate(factor, math.hypot(by_air, by_solid), source=source)
