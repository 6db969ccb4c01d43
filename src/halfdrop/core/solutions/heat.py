"""How warm it gets when a reagent goes into water: an estimate on the careful side.

Nothing is lost to the vessel or the room, and the solution takes up heat like water. So the real rise is
smaller; what matters is whether a beaker may boil, a flask may crack, or the mark is set on a warm solution.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

WATER_J_G_K = 4.18  # specific heat of water near 25 degC, rounded; from memory
START_SHARE = 0.5  # part of the final volume in which it is dissolved first
COOL_BEFORE_MARK_K = 2.0  # the volume is then off by 0.04 %; worked out from the expansion of water
WARM_DEGC, HOT_DEGC, TOO_HOT_DEGC = 35.0, 50.0, 90.0  # common practice, no source


class Care(StrEnum):
    """What the heat asks for."""

    NONE = "no heat to speak of"
    COLD = "it grows cold; let it come back to room temperature before the mark"
    WARM = "it grows warm; let it cool before the mark"
    PORTIONS = "it grows hot: heat-proof vessel in cold water, in portions, cool before the mark"
    DANGEROUS = "it may boil: heat-proof vessel in ice, small portions, wait between them"
    REFUSED = "too hot to be made in one go"


@dataclass(frozen=True)
class Rise:
    """An estimated rise of temperature.

    Attributes:
        whole_k: when all of the water takes the heat up.
        first_k: when the part that it is dissolved in first takes all of it up.
        hottest_c: temperature reached then.
        care: what that asks for.
    """

    whole_k: float
    first_k: float
    hottest_c: float
    care: Care


def rise(amount_mol: float, kj_mol: float, volume_ml: float, start_c: float = 20.0) -> Rise:
    """Return the rise of temperature when an amount is dissolved or diluted.

    Args:
        amount_mol: of the substance.
        kj_mol: enthalpy of solution or dilution; negative where heat is given off.
        volume_ml: of the finished solution, taken as grams of water.
        start_c: temperature of the water.

    >>> found = rise(1.0, -44.0, 1000.0)
    >>> round(found.whole_k, 1), found.care.name
    (10.5, 'PORTIONS')
    """
    whole = -1000 * kj_mol * amount_mol / (WATER_J_G_K * volume_ml)
    first = whole / START_SHARE
    hottest = start_c + first
    return Rise(whole, first, hottest, _care(whole, start_c + whole, hottest))


def _care(whole_k: float, whole_c: float, hottest_c: float) -> Care:
    if whole_c >= TOO_HOT_DEGC:
        return Care.REFUSED
    if hottest_c >= HOT_DEGC:
        return Care.DANGEROUS
    if hottest_c >= WARM_DEGC:
        return Care.PORTIONS
    if whole_k >= COOL_BEFORE_MARK_K:
        return Care.WARM
    return Care.COLD if whole_k <= -COOL_BEFORE_MARK_K else Care.NONE
