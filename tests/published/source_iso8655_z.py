"""Volume of water per gram weighed in air, ISO 8655-6."""

from __future__ import annotations

from halfdrop.core.glassware.air import air_density_simple_kg_m3, z_factor_ml_g
from halfdrop.core.glassware.water import density_kg_m3
from tests.published.row import Row, Source

PRESSURES_HPA = (800.0, 850.0, 900.0, 950.0, 1000.0, 1013.0, 1050.0)

# temperature in degC, then Z in mL/g at the pressures above (80, 85, 90, 95, 100, 101.3 and 105 kPa)
TABLE = """
15.0 1.0017 1.0018 1.0019 1.0019 1.0020 1.0020 1.0020
15.5 1.0018 1.0019 1.0019 1.0020 1.0020 1.0020 1.0021
16.0 1.0019 1.0020 1.0020 1.0021 1.0021 1.0021 1.0022
16.5 1.0020 1.0020 1.0021 1.0021 1.0022 1.0022 1.0022
17.0 1.0021 1.0021 1.0022 1.0022 1.0023 1.0023 1.0023
17.5 1.0022 1.0022 1.0023 1.0023 1.0024 1.0024 1.0024
18.0 1.0022 1.0023 1.0023 1.0024 1.0025 1.0025 1.0025
18.5 1.0023 1.0024 1.0024 1.0025 1.0025 1.0026 1.0026
19.0 1.0024 1.0025 1.0025 1.0026 1.0026 1.0027 1.0027
19.5 1.0025 1.0026 1.0026 1.0027 1.0027 1.0028 1.0028
20.0 1.0026 1.0027 1.0027 1.0028 1.0028 1.0029 1.0029
20.5 1.0027 1.0028 1.0028 1.0029 1.0029 1.0030 1.0030
21.0 1.0028 1.0029 1.0029 1.0030 1.0031 1.0031 1.0031
21.5 1.0030 1.0030 1.0031 1.0031 1.0032 1.0032 1.0032
22.0 1.0031 1.0031 1.0032 1.0032 1.0033 1.0033 1.0033
22.5 1.0032 1.0032 1.0033 1.0033 1.0034 1.0034 1.0034
23.0 1.0033 1.0033 1.0034 1.0034 1.0035 1.0035 1.0036
23.5 1.0034 1.0035 1.0035 1.0036 1.0036 1.0036 1.0037
24.0 1.0035 1.0036 1.0036 1.0037 1.0037 1.0038 1.0038
24.5 1.0037 1.0037 1.0038 1.0038 1.0039 1.0039 1.0039
25.0 1.0038 1.0038 1.0039 1.0039 1.0040 1.0040 1.0040
25.5 1.0039 1.0040 1.0040 1.0041 1.0041 1.0041 1.0042
26.0 1.0040 1.0041 1.0041 1.0042 1.0042 1.0043 1.0043
26.5 1.0042 1.0042 1.0043 1.0043 1.0044 1.0044 1.0044
27.0 1.0043 1.0044 1.0044 1.0045 1.0045 1.0045 1.0046
27.5 1.0045 1.0045 1.0046 1.0046 1.0047 1.0047 1.0047
28.0 1.0046 1.0046 1.0047 1.0047 1.0048 1.0048 1.0048
28.5 1.0047 1.0048 1.0048 1.0049 1.0049 1.0050 1.0050
"""

ROUNDED_APART = {
    (21.0, 1000.0), (21.5, 800.0), (23.0, 1050.0), (24.0, 1013.0), (27.5, 800.0), (28.5, 1013.0),
}  # fmt: skip


def z(t: float, hpa: float) -> float:
    """Return Z at 50 % humidity, weights of 8000 kg/m3."""
    return float(z_factor_ml_g(density_kg_m3(t), air_density_simple_kg_m3(t, hpa, 50.0)))


def row(t: float, hpa: float, printed: str) -> Row:
    """Return the row of one cell."""
    apart = (t, hpa) in ROUNDED_APART
    return Row(
        place=f"Table A.1, {t} degC, {hpa / 10:g} kPa",
        what="Z, mL/g",
        printed=printed,
        compute=lambda: z(t, hpa),
        function="halfdrop.core.glassware.air.z_factor_ml_g",
        units=1 if apart else 0.5,
        note="within 0.00005 of the rounding limit; older densities of water and air fall on the other side"
        if apart
        else "",
    )


def rows() -> tuple[Row, ...]:
    """Return a row per cell of the table."""
    lines = [line.split() for line in TABLE.strip().splitlines()]
    return tuple(
        row(float(t), hpa, printed)
        for t, *cells in lines
        for hpa, printed in zip(PRESSURES_HPA, cells, strict=True)
    )


SOURCE = Source(
    title="ISO 8655-6:2002, Piston-operated volumetric apparatus, Annex A, Table A.1",
    where="seen second-hand, as a transcribed table; rows 15.0 to 28.5 degC",
    rows=rows(),
)
