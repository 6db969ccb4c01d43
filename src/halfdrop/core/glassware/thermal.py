"""Delivered and contained volumes brought to 20 degrees Celsius.

Glassware is right at 20 degrees. At t the glass has grown and the liquid in it is thinner, so a volume V read
off or filled to the mark is, as volume of the same liquid at 20 degrees,

    V20 = V (1 + gamma (t - 20)) rho(t) / rho(20) = V (1 - alpha (t - 20)).

The second form is exact: alpha is the effective coefficient at t, continuous through 20. A working takes
alpha and t as inputs. The correction belongs on every volume of a working or on none: on the titre alone,
where the aliquot is as warm, it makes the error it is meant to remove.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.glassware import water

Floats = npt.NDArray[np.float64]
NOWHERE = Place()


@dataclass(frozen=True)
class Glass:
    """A material of glassware.

    Attributes:
        name: as people call it.
        gamma_per_c: cubic expansion coefficient per degree Celsius.
        source: where the value comes from.
    """

    name: str
    gamma_per_c: float
    source: str


GLASSES = {
    glass.name: glass
    for glass in (
        Glass(
            "borosilicate 3.3",
            9.9e-6,
            "three times the linear 3.3e-6 /degC of a borosilicate pycnometer (chapter 30 of a CRC Press "
            "handbook, "
            "doi 10.1201/9781420038453); ISO 4787 has the same, from memory",
        ),
        Glass("borosilicate 5.0", 15e-6, "ISO 4787, from memory"),
        Glass(
            "soda-lime",
            27e-6,
            "ISO 4787, from memory; three times the linear 9.1e-6 /degC of a maker's comparison is 27.3e-6",
        ),
    )
}
"""Materials by name."""

DEFAULT_GLASS = GLASSES["borosilicate 3.3"]


@dataclass(frozen=True)
class Liquid:
    """How a liquid expands.

    Attributes:
        name: as the person names it.
        basis: ``water``: as water does; ``constant``: by one coefficient that already is the whole effect.
        alpha_per_c: the coefficient, for ``constant`` only.
        highest_mol_l: amount concentration up to which it holds.
        relative_u: relative standard uncertainty of alpha.
        source: where this comes from.
    """

    name: str
    basis: Literal["water", "constant"]
    source: str
    alpha_per_c: float = 0.0
    highest_mol_l: float = 0.1
    relative_u: float = 0.05


DILUTE = (
    "taken as water up to 0.1 mol/L; stronger solutions expand more (about a third more at 1 mol/L, from "
    "memory). Relative uncertainty of 5 % assumed, no publication found"
)

DILUTE_SOLUTIONS = (
    "water",
    "hydrochloric acid",
    "sulfuric acid",
    "nitric acid",
    "acetic acid",
    "oxalic acid",
    "sodium hydroxide",
    "potassium hydroxide",
    "sodium carbonate",
    "sodium hydrogencarbonate",
    "potassium hydrogen phthalate",
    "potassium permanganate",
    "potassium dichromate",
    "potassium iodate",
    "potassium bromate",
    "iodine in potassium iodide",
    "sodium thiosulfate",
    "sodium oxalate",
    "ammonium iron(II) sulfate",
    "cerium(IV) sulfate",
    "silver nitrate",
    "potassium thiocyanate",
    "ammonium thiocyanate",
    "sodium chloride",
    "disodium EDTA",
    "calcium chloride",
    "magnesium sulfate",
    "zinc sulfate",
)
"""Aqueous solutions for which water is a fair stand-in up to 0.1 mol/L."""

EURACHEM_WATER = Liquid(
    "water, Eurachem's coefficient",
    "constant",
    "Eurachem/CITAC, Quantifying Uncertainty in Analytical Measurement, 3rd ed. 2012, examples A1 to A3: "
    "2.1e-4 /degC for water, the glass left out",
    alpha_per_c=2.1e-4,
    relative_u=0.0,
)

LIQUIDS = {
    **{name: Liquid(name, "water", DILUTE) for name in DILUTE_SOLUTIONS},
    EURACHEM_WATER.name: EURACHEM_WATER,
}
"""Liquids by name."""


def alpha_per_c(
    temperature_c: npt.ArrayLike, liquid: Liquid = LIQUIDS["water"], glass: Glass = DEFAULT_GLASS
) -> Floats:
    """Return the effective coefficient alpha(t) with V20 = V (1 - alpha (t - 20)), exactly.

    Args:
        temperature_c: temperature of the liquid and its glass in degrees Celsius, any shape.
        liquid: what is measured.
        glass: what it is measured in; without effect for a liquid whose coefficient is the whole effect.

    Raises:
        ValueError: outside 0 to 40 degrees Celsius; :func:`check_temperature` finds that beforehand.

    >>> round(float(alpha_per_c(25.0)) * 1e4, 3)
    2.225
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    change = water.density_change_per_c(t)
    if liquid.basis == "constant":
        return np.full_like(t, liquid.alpha_per_c)
    return -(glass.gamma_per_c + (1 + glass.gamma_per_c * (t - water.REFERENCE_C)) * change)


def volume_factor(
    temperature_c: npt.ArrayLike, liquid: Liquid = LIQUIDS["water"], glass: Glass = DEFAULT_GLASS
) -> Floats:
    """Return V20 / V, what a volume read or filled at a temperature is at 20 degrees Celsius per mL.

    Args:
        temperature_c: as for :func:`alpha_per_c`.
        liquid: as for :func:`alpha_per_c`.
        glass: as for :func:`alpha_per_c`.
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    return 1 - alpha_per_c(t, liquid, glass) * (t - water.REFERENCE_C)


def find_liquid(
    name: str, concentration_mol_l: float | None = None, place: Place = NOWHERE
) -> tuple[Liquid | None, tuple[Finding, ...]]:
    """Look up a liquid by name.

    Args:
        name: what the person wrote; case does not matter.
        concentration_mol_l: its amount concentration, if known.
        place: where it was written.

    Returns:
        The liquid or None, and what is to be said about it.
    """
    known = {each.casefold(): liquid for each, liquid in LIQUIDS.items()}
    liquid = known.get(name.strip().casefold())
    if liquid is None:
        message = (
            f"The expansion of {name!r} is not known here. Known are {', '.join(LIQUIDS)}. For another "
            "solution give its coefficient per degree, glass included."
        )
        evidence: dict[str, object] = {"given": name, "accepted": list(LIQUIDS)}
        return None, (Finding("liquid-unknown", Severity.REFUSED, message, place, evidence),)
    if concentration_mol_l is None or concentration_mol_l <= liquid.highest_mol_l:
        return liquid, ()
    message = (
        f"{liquid.name} of {concentration_mol_l:g} mol/L expands more than water does, which stands in for "
        f"it up to {liquid.highest_mol_l:g} mol/L. Give its own coefficient, or work close to 20 degC."
    )
    evidence = {"concentration_mol_l": concentration_mol_l, "highest_mol_l": liquid.highest_mol_l}
    return liquid, (Finding("liquid-not-dilute", Severity.ATTENTION, message, place, evidence),)


def find_glass(name: str, place: Place = NOWHERE) -> tuple[Glass | None, tuple[Finding, ...]]:
    """Look up a glass by name; case does not matter."""
    glass = {each.casefold(): glass for each, glass in GLASSES.items()}.get(name.strip().casefold())
    if glass is not None:
        return glass, ()
    message = f"The glass {name!r} is not known here. Known are {', '.join(GLASSES)}."
    evidence: dict[str, object] = {"given": name, "accepted": list(GLASSES)}
    return None, (Finding("glass-unknown", Severity.REFUSED, message, place, evidence),)


def check_temperature(temperature_c: float, place: Place = NOWHERE) -> list[Finding]:
    """Find a temperature at which a volume cannot be corrected, or that no bench is likely to have had."""
    evidence: dict[str, object] = {"temperature_c": temperature_c}
    if not water.COLDEST_C <= temperature_c <= water.HOTTEST_C:
        message = (
            f"{temperature_c:g} degC is outside {water.COLDEST_C:g} to {water.HOTTEST_C:g} degC, where the "
            "density of water is known here. Write the temperature of the solution in degrees Celsius."
        )
        return [Finding("temperature-out-of-range", Severity.REFUSED, message, place, evidence)]
    if not 10 <= temperature_c <= 35:
        message = (
            f"{temperature_c:g} degC is unusual for a bench. Check that it is the temperature of the "
            "solution, in degrees Celsius."
        )
        return [Finding("temperature-unusual", Severity.ATTENTION, message, place, evidence)]
    return []
