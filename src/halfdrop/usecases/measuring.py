"""With what an amount is measured, and what the rest of the sum is worth: purity, air, temperature."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula
from halfdrop.core.findings import Finding, Severity
from halfdrop.core.glassware.air import air_density_kg_m3
from halfdrop.core.glassware.thermal import LIQUIDS, alpha_per_c
from halfdrop.core.measure.estimate import Estimate, Shape, standard_from_limits
from halfdrop.core.solutions.makeup import (
    Measure,
    assay_estimate,
    buoyancy_estimate,
    molar_mass_estimate,
)
from halfdrop.core.solutions.reagent import Reagent
from halfdrop.core.solutions.store import Kind, Stock, Vessel, Wanted
from halfdrop.core.solutions.workings import Way
from halfdrop.files.class_file import ClassFile

DILUTE_MOL_L = 0.1  # up to here water stands in for a solution
STRONG_RELATIVE_U = 0.2  # of the expansion of a stronger one; a third more at 1 mol/L, from memory
ALIKE = 5e-4  # an amount is a pipette's own volume within this
U_AIR = 0.02  # relative, where pressure and humidity are not measured; common practice, no source


def exact_measure(way: Way) -> Measure:
    """Return a measure that rounds nothing, to find out how much is wanted."""
    return Measure("amount", "g" if way is Way.SOLID else "mL", 1e-12, 0.0, Shape.NORMAL, True, "")


@dataclass
class Measuring:
    """Chooses measures and gathers inputs for one class file."""

    plan: ClassFile
    findings: list[Finding]

    def given(self, reagent: Reagent, stock: Stock | None, wanted: Wanted) -> dict[str, Estimate]:
        """Return every input of the working but the amount and the flask."""
        common = self._temperature(wanted)
        if stock is not None:
            return {"stock": Estimate(stock.mol_l, stock.u_mol_l, source=stock.source), **common}
        weights = atomic_weights()
        mass = parse_formula(reagent.formula).molar_mass(weights)
        common["molar_mass"] = molar_mass_estimate(mass, f"{weights.name} ({weights.source})")
        if reagent.purity is not None:
            return {"purity": assay_estimate(reagent.purity), **common, **self._buoyancy(reagent, wanted)}
        parts = {"fraction": reagent.mass_fraction, "density": reagent.density_g_ml}
        return {**common, **{name: assay_estimate(one) for name, one in parts.items() if one is not None}}

    def _temperature(self, wanted: Wanted) -> dict[str, Estimate]:
        room, water = self.plan.room, LIQUIDS["water"]
        alpha = float(alpha_per_c(room.temperature_c))
        relative = water.relative_u if wanted.mol_l <= DILUTE_MOL_L else STRONG_RELATIVE_U
        words = "measured" if room.measured else "assumed"
        return {
            "warmth": Estimate(
                room.temperature_c - 20.0, standard_from_limits(room.limits_c), Shape.RECTANGULAR,
                key=f"room:{self.plan.file}",
                source=f"room at {room.temperature_c:g} °C, right to {room.limits_c:g} K, {words}",
            ),
            "expansion": Estimate(alpha, abs(alpha) * relative, source=water.source),
        }  # fmt: skip

    def _buoyancy(self, reagent: Reagent, wanted: Wanted) -> dict[str, Estimate]:
        if not self.plan.buoyancy:
            return {}
        if reagent.density_g_ml is None:
            message = (
                f"The density of {reagent.title} is not at hand, so its mass is not corrected for the "
                "lift of the "
                "air."
            )
            self.findings.append(Finding("density-missing", Severity.NOTE, message, wanted.place))
            return {}
        room = self.plan.room
        air = float(air_density_kg_m3(room.temperature_c, room.pressure_hpa, room.humidity_percent)) / 1000
        return {"buoyancy": buoyancy_estimate(reagent.density_g_ml, air, U_AIR * air)}

    def measure(self, wanted: Wanted, way: Way, amount: float, *, near: bool) -> Measure | None:
        """Return what an amount is measured with, or None and a finding.

        Args:
            wanted: for the finding.
            way: what it is taken of.
            amount: how much of it.
            near: whether three figures of a mass are enough, because the solution is standardised anyway.
        """
        if way is Way.SOLID:
            one = self.plan.balance
            if near:
                step = max(one.division_g, 10.0 ** (math.floor(math.log10(amount)) - 2))
                one = replace(one, division_g=step)
            shape = Shape.RECTANGULAR if one.rectangular else Shape.NORMAL
            return Measure(
                one.name, "g", one.division_g, one.u_g, shape, self.plan.balance.analytical, one.source
            )
        vessel = (
            self._pipette(amount)
            or self._smallest(Kind.CYLINDER, amount)
            or self._smallest(Kind.BURETTE, amount)
        )
        if vessel is None:
            message = (
                f"Nothing is listed to measure {amount:.3g} mL with. Write [[vessel]] with kind = "
                '"cylinder", capacity_mL and division_mL.'
            )
            self.findings.append(Finding("no-measure", Severity.REFUSED, message, wanted.place))
            return None
        times = math.ceil(amount / vessel.capacity_ml - ALIKE)
        exact = vessel.kind is not Kind.CYLINDER
        step = vessel.capacity_ml if vessel.kind is Kind.PIPETTE else vessel.division_ml / 2
        # one vessel filled again errs the same way each time
        u = standard_from_limits(vessel.mpe_ml) * times
        name = vessel.name if times == 1 else f"{vessel.name}, {times} times"
        return Measure(name, "mL", step, u, Shape.RECTANGULAR, exact, vessel.source)

    def _pipette(self, amount: float) -> Vessel | None:
        """Return a pipette of this volume, or one that is filled a few times for it; the fewest fillings."""
        fits = [
            (round(amount / one.capacity_ml), one)
            for one in self.plan.vessels
            if one.kind is Kind.PIPETTE and 1 <= round(amount / one.capacity_ml) <= 4
        ]
        right = [(times, one) for times, one in fits if abs(times * one.capacity_ml / amount - 1) <= ALIKE]
        return min(right, key=lambda found: found[0])[1] if right else None

    def _smallest(self, kind: Kind, amount: float) -> Vessel | None:
        """Return the smallest vessel that holds an amount, or the largest there is."""
        able = sorted(
            (one for one in self.plan.vessels if one.kind is kind and one.division_ml),
            key=lambda one: one.capacity_ml,
        )
        return next((one for one in able if one.capacity_ml >= amount), able[-1] if able else None)
