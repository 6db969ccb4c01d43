"""What a careful fit allows for beside the analyte: the electrode, the constants, carbon dioxide.

Each is an unknown about which something is known before. How much is common practice, no source, unless said
otherwise; ``benchmarks/end_point_coverage.py`` shows what it buys.
"""

from __future__ import annotations

from dataclasses import replace

from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.measured.model import Kind, Part, System, Unknown

CARBONATE = Acid("carbonate", (6.352, 10.329), -2)  # minteq.v4.dat of PHREEQC 3, 25 degC
U_PKA, U_PKW = 0.3, 0.1
U_OFFSET = 0.05  # pH
SLOPE, U_SLOPE = 0.985, 0.0145  # a slope of 95 to 100 %, and a little more
U_LAG = 0.1  # of a change, that has not been followed when the reading is taken
U_CARBON_DIOXIDE = 0.005  # of the titrant's concentration


def careful(system: System, *, slope: tuple[float, float] | None = None, flat_offset: bool = False) -> System:
    """Return a system with what may be at fault as further unknowns.

    Args:
        system: with the unknowns of the analyte.
        slope: the electrode's slope with its standard uncertainty, where buffers told it.
        flat_offset: whether nothing is known of the electrode's zero.
    """
    value, u = slope or (SLOPE, U_SLOPE)
    unknowns = [
        *(one for one in system.unknowns if one.kind is not Kind.SLOPE),
        Unknown(Kind.PKW, "pKw", system.pkw, U_PKW),
        Unknown(Kind.OFFSET, "offset of the electrode", 0.0, 1.0 if flat_offset else U_OFFSET),
        Unknown(Kind.SLOPE, "slope of the electrode", value, u),
        Unknown(Kind.LAG, "lag of the electrode", 0.0, U_LAG),
    ]
    if not system.raises_ph or any(acid.name == CARBONATE.name for acid in system.acids):
        return replace(system, unknowns=tuple(unknowns))
    gas = Part("carbon dioxide", 0.0, len(system.acids), 2)
    u_gas = U_CARBON_DIOXIDE * system.burette[0].concentration
    unknowns.append(Unknown(Kind.BURETTE, "carbon dioxide in the titrant", 0.0, u_gas, len(system.burette)))
    return replace(
        system,
        acids=(*system.acids, CARBONATE),
        burette=(*system.burette, gas),
        unknowns=tuple(unknowns),
    )
