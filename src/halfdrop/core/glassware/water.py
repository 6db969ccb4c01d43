"""The density of water."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

# Tanaka, Girard, Davis, Peuto, Bignell, "Recommended table for the density of water between 0 degC and 40
# degC based on recent experimental reports", Metrologia 38 (2001) 301-309; 101.325 kPa, air-free water.
_A1, _A2, _A3, _A4 = -3.983035, 301.797, 522528.9, 69.34881

STANDARD_OCEAN_WATER_KG_M3 = 999.974950
"""Density at its maximum of Vienna standard mean ocean water, a5 of Tanaka et al. 2001."""

TAP_WATER_KG_M3 = 999.972
"""The same of ordinary purified tap water, the variant of a5 used for it (seen in public programs that quote
Tanaka et al. 2001; the paper itself was not seen)."""

COLDEST_C, HOTTEST_C = 0.0, 40.0
"""Range of the equation."""

REFERENCE_C = 20.0
"""Reference temperature of volumetric glassware (ASTM E287-02, 3.1; ISO 384)."""


def density_kg_m3(temperature_c: npt.ArrayLike, maximum_kg_m3: float = STANDARD_OCEAN_WATER_KG_M3) -> Floats:
    """Return the density of air-free water at 101.325 kPa.

    rho = a5 [1 - (t + a1)^2 (t + a2) / (a3 (t + a4))], Tanaka et al., Metrologia 38 (2001) 301.

    Args:
        temperature_c: temperature in degrees Celsius, any shape.
        maximum_kg_m3: a5, the density at the maximum.

    Raises:
        ValueError: outside 0 to 40 degrees Celsius.

    >>> round(float(density_kg_m3(20.0)), 4)
    998.2067
    """
    t = _within(temperature_c)
    return maximum_kg_m3 * (1 - (t + _A1) ** 2 * (t + _A2) / (_A3 * (t + _A4)))


def density_change_per_c(temperature_c: npt.ArrayLike, reference_c: float = REFERENCE_C) -> Floats:
    """Return (rho(t) / rho(ref) - 1) / (t - ref), which at t = ref is the derivative.

    The division is carried out in the polynomial, so nothing cancels near the reference temperature. The
    result does not depend on the density at the maximum.

    Args:
        temperature_c: temperature in degrees Celsius, any shape.
        reference_c: reference temperature in degrees Celsius.

    Raises:
        ValueError: outside 0 to 40 degrees Celsius.
    """
    t, ref = _within(temperature_c), float(_within(reference_c))
    # N(t) = (t + a1)^2 (t + a2) = t^3 + square t^2 + linear t + constant
    # quotient = (N(t) - N(ref)) / (t - ref)
    square, linear = 2 * _A1 + _A2, _A1**2 + 2 * _A1 * _A2
    quotient = t**2 + t * ref + ref**2 + square * (t + ref) + linear
    above = (ref + _A1) ** 2 * (ref + _A2)
    below = ref + _A4
    return -(below * quotient - above) / (_A3 * (t + _A4) * below - (t + _A4) * above)


def _within(temperature_c: npt.ArrayLike) -> Floats:
    t = np.asarray(temperature_c, dtype=np.float64)
    if not ((t >= COLDEST_C) & (t <= HOTTEST_C)).all():
        raise ValueError(
            f"the density of water is known from {COLDEST_C:g} to {HOTTEST_C:g} degC here, not at {t}"
        )
    return t
