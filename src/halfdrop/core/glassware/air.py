"""The density of air, and the volume of weighed water."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from halfdrop.core.glassware import water

Floats = npt.NDArray[np.float64]

# Picard, Davis, Glaser, Fujii, "Revised formula for the density of moist air (CIPM-2007)", Metrologia 45
# (2008) 149-155, equations of its appendix.
_SATURATION = (1.2378847e-5, -1.9121316e-2, 33.93711047, -6343.1645)  # 1/K2, 1/K, 1, K
_ENHANCEMENT = (1.00062, 3.14e-8, 5.6e-7)  # 1, 1/Pa, 1/degC2
_Z_A = (1.58123e-6, -2.9331e-8, 1.1043e-10)  # K/Pa, 1/Pa, 1/(K Pa)
_Z_B = (5.707e-6, -2.051e-8)  # K/Pa, 1/Pa
_Z_C = (1.9898e-4, -2.376e-6)  # K/Pa, 1/Pa
_Z_D, _Z_E = 1.83e-11, -0.765e-8  # K2/Pa2, K2/Pa2
_GAS_CONSTANT = 8.314472  # J/(mol K), as in the formula, not the value of 2019
_MOLAR_MASS_WATER = 18.01528e-3  # kg/mol
_MOLAR_MASS_AIR = 28.96546e-3  # kg/mol, dry, at 400 umol CO2 per mol
_CO2, _CO2_MASS = 4.0e-4, 12.011e-3  # mol/mol; kg/mol more per mol of CO2 for O2
_KELVIN = 273.15

WEIGHTS_KG_M3 = 8000.0
"""Density of weights by convention, OIML D 28."""


def air_density_kg_m3(
    temperature_c: npt.ArrayLike,
    pressure_hpa: npt.ArrayLike = 1013.25,
    humidity_percent: npt.ArrayLike = 50.0,
    co2_mol_mol: float = _CO2,
) -> Floats:
    """Return the density of moist air by CIPM-2007.

    Picard et al., Metrologia 45 (2008) 149-155. Meant for 600 to 1100 hPa and 15 to 27 degrees Celsius; its
    relative uncertainty there is 2.2e-5 (from memory).

    Args:
        temperature_c: temperature in degrees Celsius.
        pressure_hpa: pressure in hPa.
        humidity_percent: relative humidity in percent.
        co2_mol_mol: mole fraction of carbon dioxide.

    Raises:
        ValueError: for pressure or humidity that air cannot have.

    >>> round(float(air_density_kg_m3(20.0, 1013.25, 50.0)), 6)
    1.199314
    """
    t, hpa, percent = _possible(temperature_c, pressure_hpa, humidity_percent)
    p, kelvin = hpa * 100, t + _KELVIN
    vapour = _vapour_fraction(t, p, percent / 100)
    mass = _MOLAR_MASS_AIR + _CO2_MASS * (co2_mol_mol - _CO2)
    moist = 1 - vapour * (1 - _MOLAR_MASS_WATER / mass)
    return p * mass / (_compressibility(t, p, vapour) * _GAS_CONSTANT * kelvin) * moist


def _vapour_fraction(t: Floats, p: Floats, humidity: Floats) -> Floats:
    """Return the mole fraction of water vapour; t in degC, p in Pa, humidity as a fraction."""
    kelvin = t + _KELVIN
    square, linear, constant, inverse = _SATURATION
    saturation = np.exp(square * kelvin**2 + linear * kelvin + constant + inverse / kelvin)
    enhancement = _ENHANCEMENT[0] + _ENHANCEMENT[1] * p + _ENHANCEMENT[2] * t**2
    return np.asarray(humidity * enhancement * saturation / p)


def _compressibility(t: Floats, p: Floats, vapour: Floats) -> Floats:
    ratio = p / (t + _KELVIN)
    first = _Z_A[0] + _Z_A[1] * t + _Z_A[2] * t**2
    first = first + (_Z_B[0] + _Z_B[1] * t) * vapour + (_Z_C[0] + _Z_C[1] * t) * vapour**2
    return np.asarray(1 - ratio * first + ratio**2 * (_Z_D + _Z_E * vapour**2))


def air_density_simple_kg_m3(
    temperature_c: npt.ArrayLike,
    pressure_hpa: npt.ArrayLike = 1013.25,
    humidity_percent: npt.ArrayLike = 50.0,
) -> Floats:
    """Return the density of moist air by the simplified formula.

    rho = (0.34848 p - 0.009 h exp(0.061 t)) / (t + 273.15), OIML R 111-1:2004, E.3, which ISO 8655-6:2022
    also uses (coefficients seen second-hand). Within 3e-4 of CIPM-2007 between 900 and 1100 hPa, 10 and 30
    degrees Celsius, below 80 % humidity.

    Args:
        temperature_c: temperature in degrees Celsius.
        pressure_hpa: pressure in hPa.
        humidity_percent: relative humidity in percent.

    Raises:
        ValueError: for pressure or humidity that air cannot have.
    """
    t, hpa, percent = _possible(temperature_c, pressure_hpa, humidity_percent)
    return (0.34848 * hpa - 0.009 * percent * np.exp(0.061 * t)) / (t + _KELVIN)


def _possible(t: npt.ArrayLike, hpa: npt.ArrayLike, percent: npt.ArrayLike) -> tuple[Floats, Floats, Floats]:
    arrays = tuple(np.asarray(part, dtype=np.float64) for part in (t, hpa, percent))
    if not ((arrays[1] > 0).all() and (arrays[2] >= 0).all() and (arrays[2] <= 100).all()):
        raise ValueError("pressure must be above zero and humidity between 0 and 100 percent")
    return arrays[0], arrays[1], arrays[2]


def z_factor_ml_g(
    water_kg_m3: npt.ArrayLike, air_kg_m3: npt.ArrayLike, weights_kg_m3: float = WEIGHTS_KG_M3
) -> Floats:
    """Return the volume of water per gram read on a balance in air.

    Z = (1 - rho_air / rho_weights) / (rho_water - rho_air), ISO 8655-6 and ISO 4787.

    Args:
        water_kg_m3: density of the water.
        air_kg_m3: density of the air.
        weights_kg_m3: density of the weights the balance was adjusted with.
    """
    liquid, air = np.asarray(water_kg_m3, dtype=np.float64), np.asarray(air_kg_m3, dtype=np.float64)
    return 1000 * (1 - air / weights_kg_m3) / (liquid - air)


def volume_20_ml(
    balance_g: npt.ArrayLike,
    temperature_c: npt.ArrayLike,
    air_kg_m3: npt.ArrayLike,
    gamma_per_c: float,
    weights_kg_m3: float = WEIGHTS_KG_M3,
) -> Floats:
    """Return what glassware holds or delivers at 20 degrees Celsius, from weighed water.

    V20 = m Z (1 - gamma (t - 20)), ISO 4787: the volume at the temperature of the test, less what the glass
    has grown.

    Args:
        balance_g: difference of the balance readings in grams.
        temperature_c: temperature of the water in degrees Celsius.
        air_kg_m3: density of the air.
        gamma_per_c: cubic expansion coefficient of the glass.
        weights_kg_m3: density of the weights.
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    z = z_factor_ml_g(water.density_kg_m3(t), air_kg_m3, weights_kg_m3)
    return np.asarray(balance_g, dtype=np.float64) * z * (1 - gamma_per_c * (t - water.REFERENCE_C))
