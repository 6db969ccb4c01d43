"""End points of silver titrations that the eye sees: chromate, adsorption, iron(III) and thiocyanate.

Each is a value of pAg at which a person sees the change, put as an indicator on that scale.
"""

from __future__ import annotations

from math import log10

from halfdrop.core.equilibrium.end_point import Indicator
from halfdrop.core.equilibrium.precipitation import Salt

CHROMATE_MOL_L = 0.005  # 1 mL of 5 % potassium chromate in 50 mL: common practice, no source
VISIBLE_FESCN_MOL_L = 6.4e-6  # the faintest red that is seen: from memory
FESCN_K = 1.05e3  # Fe3+ + SCN- = FeSCN2+, L/mol: from memory
IRON_MOL_L = 0.01  # iron(III) in the flask: common practice, no source
_WIDTH = 0.01  # these changes are sudden: a solid or a colour appears


def chromate(p_ksp: float, mol_L: float = CHROMATE_MOL_L) -> Indicator:
    """Return chromate as an indicator: red silver chromate begins to fall.

    Args:
        p_ksp: of silver chromate.
        mol_L: chromate in the flask at the end.
    """
    called = (p_ksp + log10(mol_L)) / 2
    name = f"potassium chromate, {mol_L:g} mol/L in the flask"
    source = "the solubility product of silver chromate; how much solid is needed to be seen is in the blank"
    eyes = "yellow to brownish: hard for many eyes; a flask without silver beside it helps"
    return Indicator(
        name, called, called + _WIDTH, "brownish red", "yellow", None, called, eyes, source, "pAg"
    )


def adsorption(salt: Salt) -> Indicator:
    """Return an adsorption indicator, such as dichlorofluorescein: the solid changes the sign of its charge.

    Args:
        salt: the last that precipitates, one silver for one anion.
    """
    called = salt.p_ksp / 2
    eyes = "yellow-green to pink: hard for red-green colour blindness"
    source = "taken to change where silver and anion are equal; common practice, no source"
    name = "dichlorofluorescein (adsorption)"
    colours = "pink", "yellow-green"
    return Indicator(name, called - 0.01, called + _WIDTH, *colours, None, called - 0.01, eyes, source, "pAg")


def iron_thiocyanate(salt: Salt, iron_mol_L: float = IRON_MOL_L) -> Indicator:
    """Return iron(III) as an indicator of thiocyanate: the red complex is seen.

    Args:
        salt: silver thiocyanate.
        iron_mol_L: iron(III) in the flask.
    """
    thiocyanate = VISIBLE_FESCN_MOL_L / (FESCN_K * iron_mol_L)
    called = salt.p_ksp + log10(thiocyanate)
    name = f"iron(III), {iron_mol_L:g} mol/L in the flask"
    eyes = "colourless to orange-red: a difference in lightness as well"
    source = "constant and faintest visible red from memory"
    return Indicator(
        name, called - _WIDTH, called, "colourless", "orange-red", called, None, eyes, source, "pAg"
    )
