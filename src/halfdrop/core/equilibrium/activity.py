"""Activity coefficients of ions in water: ideal, extended Debye-Hueckel, Davies; constants are always stated.

Sources: C. W. Davies, Ion Association, Butterworths 1962 (the term 0.3 I; 0.2 I stood in his paper of 1938;
from memory); D. L. Parkhurst, C. A. J. Appelo, Description of input and examples for PHREEQC version 3, US
Geological Survey Techniques and Methods 6-A43, 2013 (forms, neutral species 0.1 I, activity of water).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log, sqrt

import numpy as np

from halfdrop.core.equilibrium.roots import Array

LN10 = log(10.0)
A_25 = 0.5100248  # kg^0.5 mol^-0.5, as PHREEQC 3 works it out at 25 degC and 1 atm
B_25 = 0.3286  # kg^0.5 mol^-0.5 per angstrom, at 25 degC


@dataclass(frozen=True)
class Activity:
    """How activity coefficients follow from the ionic strength.

    log10 gamma = -A z^2 (sqrt I / (1 + B a sqrt I) - linear I) + salting I

    With ``size`` 0 the product B a is taken as 1 (Davies); a neutral species has log10 gamma = neutral I.

    Attributes:
        name: as a person writes it.
        a: the constant A; 0 for ideal solutions.
        linear: Davies's constant, 0.3 or 0.2; 0 for Debye-Hueckel.
        b: the constant B for ion sizes in angstrom; 0 where sizes are not used.
        neutral: salting-out of neutral species.
        water: activity of water = 1 - water x (sum of dissolved species).
        says: model and constants in words.
    """

    name: str
    a: float = 0.0
    linear: float = 0.0
    b: float = 0.0
    neutral: float = 0.0
    water: float = 0.0
    says: str = ""

    @property
    def ideal(self) -> bool:
        """Whether concentrations stand for activities."""
        return self.a == 0

    def log_gamma(
        self, charge: Array, strength: Array, size: Array | None = None, salting: Array | None = None
    ) -> Array:
        """Return log10 of the activity coefficients, shape ``(species, n)``.

        Args:
            charge: charges, ``(species,)``.
            strength: ionic strength, mol/kg (or mol/L where the two are taken as equal), ``(n,)``.
            size: ion sizes, angstrom, ``(species,)``; used where the model has a B.
            salting: a term per species times the ionic strength (b of the WATEQ form).
        """
        root = np.sqrt(strength)
        square = np.square(charge)[:, None]
        if self.b and size is not None:
            found = -self.a * square * (root / (1 + self.b * size[:, None] * root) - self.linear * strength)
        else:
            found = -self.a * square * (root / (1 + root) - self.linear * strength)
        if self.neutral:
            found = found + np.where(square == 0, self.neutral, 0.0) * strength
        return found if salting is None else found + salting[:, None] * strength


IDEAL = Activity("ideal", says="ideal: concentrations stand for activities")
DAVIES_03 = Activity("davies-0.3", A_25, 0.3, says="Davies, A = 0.5100, linear term 0.3 I")
DAVIES_02 = Activity("davies-0.2", A_25, 0.2, says="Davies, A = 0.5100, linear term 0.2 I")
DAVIES_PHREEQC = Activity(
    "davies-phreeqc", A_25, 0.3, 0.0, 0.1, 0.017,
    "Davies as PHREEQC 3 has it: A = 0.5100, 0.3 I; neutral species 0.1 I; water 1 - 0.017 sum of m",
)  # fmt: skip
EXTENDED = Activity(
    "debye-hueckel", A_25, 0.0, B_25,
    says="extended Debye-Hueckel, A = 0.5100, B = 0.3286 per angstrom, ion sizes as given or 4.5",
)  # fmt: skip
MODELS = {model.name: model for model in (IDEAL, DAVIES_03, DAVIES_02, DAVIES_PHREEQC, EXTENDED)}


def relative_permittivity(temperature_degC: float) -> float:
    """Return that of water, 0 to 100 degC (Malmberg and Maryott, J. Res. NBS 56 (1956) 1; from memory)."""
    t = temperature_degC
    return 87.740 - 0.40008 * t + 9.398e-4 * t**2 - 1.410e-6 * t**3


def at_temperature(model: Activity, temperature_degC: float) -> Activity:
    """Return the model with A and B scaled from 25 degC by the permittivity of water.

    A goes with (eps T)^-1.5 and B with (eps T)^-0.5; the density of water, within 1 % from 5 to 45 degC and
    entering by its square root, is left as at 25 degC.
    """
    if model.ideal or temperature_degC == 25.0:
        return model
    ratio = (
        relative_permittivity(25.0)
        * 298.15
        / (relative_permittivity(temperature_degC) * (temperature_degC + 273.15))
    )
    words = f"{model.says}; A and B carried to {temperature_degC:g} °C by the permittivity of water"
    return replace(model, a=model.a * ratio**1.5, b=model.b * sqrt(ratio), says=words)
