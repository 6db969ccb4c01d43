"""The conditions of weighing: temperatures, air, balance, evaporation, glass, each an estimate with its key.

Densities of water and air come out as estimates too, with one factor for each thing measured (the thermometer
that also says how far the glass has grown stays one thing) and one for the formula itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.glassware import water
from halfdrop.core.glassware.air import WEIGHTS_KG_M3, air_density_kg_m3, air_density_simple_kg_m3
from halfdrop.core.glassware.thermal import Glass, check_temperature
from halfdrop.core.measure.estimate import Estimate, Factor, Numbers

Floats = npt.NDArray[np.float64]
NOWHERE = Place()

WATER_TEMPERATURE = "water temperature"
WATER_DENSITY = "density of water"
AIR = "air"
KG_M3 = 1e-3  # g/mL


@dataclass(frozen=True)
class WaterFormula:
    """A formula for the density of water.

    Attributes:
        name: as it is named in files and reports.
        maximum_kg_m3: density at the maximum that goes into it.
        relative_u: its relative standard uncertainty for ordinary pure water, air in it or not.
        source: where it stands.
    """

    name: str
    maximum_kg_m3: float
    relative_u: float
    source: str


_TANAKA = "Tanaka et al., Metrologia 38 (2001) 301-309"
_ORDINARY = "relative standard uncertainty 1e-5 for ordinary pure water as quoted by CENAM, 2004"
WATER_FORMULAS = {
    one.name: one
    for one in (
        WaterFormula("Tanaka 2001", water.STANDARD_OCEAN_WATER_KG_M3, 1e-5, f"{_TANAKA}; {_ORDINARY}"),
        WaterFormula(
            "Tanaka 2001, tap water",
            water.TAP_WATER_KG_M3,
            1e-5,
            f"{_TANAKA}, with 999.972 kg/m3 at the maximum; {_ORDINARY}",
        ),
    )
}
"""Formulas for the density of water by name."""


@dataclass(frozen=True)
class AirFormula:
    """A formula for the density of air.

    Attributes:
        name: as it is named in files and reports.
        density: kg/m3 from degrees Celsius, hPa and per cent.
        relative_u: its own relative standard uncertainty.
        pressures_hpa, temperatures_c, highest_percent: where it is meant to hold.
        source: where it stands.
    """

    name: str
    density: Callable[[npt.ArrayLike, npt.ArrayLike, npt.ArrayLike], Floats]
    relative_u: float
    pressures_hpa: tuple[float, float]
    temperatures_c: tuple[float, float]
    highest_percent: float
    source: str


AIR_FORMULAS = {
    one.name: one
    for one in (
        AirFormula(
            "CIPM-2007", air_density_kg_m3, 2.2e-5, (600, 1100), (15, 27), 100,
            "Picard et al., Metrologia 45 (2008) 149-155; relative uncertainty 2.2e-5 from memory",
        ),
        AirFormula(
            "simplified", air_density_simple_kg_m3, 2e-4, (900, 1100), (10, 30), 80,
            "OIML R 111-1:2004, E.3, as ISO 8655-6:2022 uses it (coefficients seen second-hand); relative "
            "uncertainty 2e-4 from memory",
        ),
    )
}  # fmt: skip
"""Formulas for the density of air by name."""


@dataclass(frozen=True)
class Air:
    """The air at the balance.

    Attributes:
        formula: name of one of :data:`AIR_FORMULAS`.
        temperature_c, pressure_hpa, humidity_percent: measured.
        given_kg_m3: the density itself where a person gives it; then nothing else counts.
    """

    formula: str
    temperature_c: Estimate
    pressure_hpa: Estimate
    humidity_percent: Estimate
    given_kg_m3: Estimate | None = None


CONVENTIONAL = Estimate(WEIGHTS_KG_M3, source="by convention, OIML D 28")
"""Density of weights, kg/m3."""


@dataclass(frozen=True)
class Balance:
    """A balance.

    Attributes:
        id: what is written on it.
        linearity_g: how far one reading may be wrong, plus or minus; counted for each weighing.
        sensitivity: relative standard uncertainty of its adjustment.
        repeatability_g: standard deviation of one reading.
        step_g: step of the display.
        weights_kg_m3: density of the weights it was adjusted with, and its uncertainty.
    """

    id: str = ""
    linearity_g: float = 0.0
    sensitivity: float = 0.0
    repeatability_g: float = 0.0
    step_g: float = 0.0
    weights_kg_m3: Estimate = CONVENTIONAL

    def random_g(self) -> float:
        """Return the standard deviation of a difference of two readings: repeatability and rounding."""
        return math.sqrt(2 * (self.repeatability_g**2 + self.step_g**2 / 12))


@dataclass(frozen=True)
class Conditions:
    """Everything around the weighings of one session.

    Attributes:
        session: name of the session, for the keys of what is shared by its weighings alone.
        water_c: temperature of the water, for all deliveries or for each, ``(n,)``.
        water_formula: name of one of :data:`WATER_FORMULAS`.
        air: see :class:`Air`.
        balance: see :class:`Balance`.
        lost_g: water evaporated between delivery and weighing, for each delivery.
        gamma_per_c: cubic expansion of the glass.
    """

    session: str
    water_c: Estimate
    air: Air
    balance: Balance
    lost_g: Estimate
    gamma_per_c: Estimate
    water_formula: str = "Tanaka 2001"


def expansion_of(glass: Glass, relative_u: float = 0.05) -> Estimate:
    """Return the expansion of a kind of glass; the relative standard uncertainty is assumed, no source."""
    gamma = glass.gamma_per_c
    return Estimate(gamma, gamma * relative_u, key=f"glass:{glass.name}/expansion", source=glass.source)


def water_density(conditions: Conditions) -> Estimate:
    """Return the density of the water, g/mL, with factors for the thermometer and for the formula."""
    formula, t = WATER_FORMULAS[conditions.water_formula], conditions.water_c
    values = np.asarray(t.value, dtype=np.float64)
    rho = water.density_kg_m3(values, formula.maximum_kg_m3) * KG_M3
    # the change with temperature, exact, is the relative change per degree about the temperature itself
    slope = rho * _slopes(values)
    factors = (
        Factor(t.key, _plain(slope * t.u), t.shape, t.dof, WATER_TEMPERATURE),
        Factor(f"water density:{formula.name}", _plain(rho * formula.relative_u), group=WATER_DENSITY),
    )
    return Estimate(_plain(rho), factors=factors, source=formula.source)


def _slopes(temperatures_c: Floats) -> Floats:
    flat = [float(water.density_change_per_c(t, t)) for t in np.unique(temperatures_c)]
    return np.interp(temperatures_c, np.unique(temperatures_c), flat)


def air_density(air: Air) -> Estimate:
    """Return the density of the air, g/mL, with a factor for each thing measured and one for the formula."""
    if air.given_kg_m3 is not None:
        given = air.given_kg_m3
        own = (Factor(given.key, given.u * KG_M3, given.shape, given.dof, AIR),)
        return Estimate(given.value * KG_M3, factors=own, source=given.source)
    formula = AIR_FORMULAS[air.formula]
    measured = (air.temperature_c, air.pressure_hpa, air.humidity_percent)
    at = tuple(float(one.value) for one in measured)
    rho = float(formula.density(*at))
    factors = [
        Factor(one.key, _slope(formula, at, place) * one.u * KG_M3, one.shape, one.dof, AIR)
        for place, one in enumerate(measured)
        if np.any(one.u)
    ]
    factors.append(Factor(f"air density:{formula.name}", rho * formula.relative_u * KG_M3, group=AIR))
    return Estimate(rho * KG_M3, factors=tuple(factors), source=formula.source)


def _slope(formula: AirFormula, at: tuple[float, ...], place: int) -> float:
    """Return the change of the density per unit of one argument, by a central difference of a thousandth.

    The formulas are smooth: the difference is right to better than a millionth of itself (a test holds the
    two formulas against each other and against exact derivatives of the simple one).
    """
    step = 1e-3
    ends = [tuple(value + sign * step * (k == place) for k, value in enumerate(at)) for sign in (1, -1)]
    if place == 2:  # humidity stays between 0 and 100
        ends = [(*end[:2], min(max(end[2], 0.0), 100.0)) for end in ends]
    width = ends[0][place] - ends[1][place]
    return float(formula.density(*ends[0]) - formula.density(*ends[1])) / width


def _plain(values: Floats) -> Numbers:
    return float(values) if values.ndim == 0 else values


def check_air(air: Air, places: dict[str, Place] | None = None) -> list[Finding]:
    """Find air that no laboratory has, and air outside the range of its formula.

    Args:
        air: as measured.
        places: where ``temperature``, ``pressure`` and ``humidity`` were written.
    """
    where = places or {}
    if air.given_kg_m3 is not None:
        return _check_given(float(air.given_kg_m3.value), where.get("density", NOWHERE))
    t, p, h = (float(one.value) for one in (air.temperature_c, air.pressure_hpa, air.humidity_percent))
    findings = [
        *_within("pressure", p, "hPa", (500, 1100), where.get("pressure", NOWHERE)),
        *_within("humidity", h, "%", (0, 100), where.get("humidity", NOWHERE)),
        *check_temperature(t, where.get("temperature", NOWHERE)),
    ]
    if findings:
        return findings
    formula = AIR_FORMULAS[air.formula]
    low, high = formula.pressures_hpa
    cold, warm = formula.temperatures_c
    if low <= p <= high and cold <= t <= warm and h <= formula.highest_percent:
        return []
    message = (
        f"The formula {formula.name} is meant for {low:g} to {high:g} hPa, {cold:g} to {warm:g} degC and up "
        f"to {formula.highest_percent:g} % humidity; the air was at {p:g} hPa, {t:g} degC and {h:g} %. The "
        "density of air moves a volume by a thousandth in all, so little is lost; the other formula may fit."
    )
    evidence: dict[str, object] = {"pressure_hpa": p, "temperature_c": t, "humidity_percent": h}
    return [Finding("air-formula-range", Severity.NOTE, message, where.get("density", NOWHERE), evidence)]


def _within(what: str, value: float, unit: str, limits: tuple[float, float], place: Place) -> list[Finding]:
    low, high = limits
    if low <= value <= high:
        return []
    message = (
        f"A {what} of {value:g} {unit} is not that of the air in a laboratory. Write the {what} at the "
        f"balance in {unit}, between {low:g} and {high:g}."
    )
    evidence: dict[str, object] = {"given": value, "accepted": list(limits)}
    return [Finding(f"{what}-impossible", Severity.REFUSED, message, place, evidence)]


def _check_given(density: float, place: Place) -> list[Finding]:
    if 0.5 <= density <= 1.5:
        return []
    message = (
        f"A density of air of {density:g} kg/m3 is not that of a laboratory. Write it in kg/m3, about 1.2."
    )
    return [Finding("air-density-impossible", Severity.REFUSED, message, place, {"given": density})]
