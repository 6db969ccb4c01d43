"""Density of moist air, worked values for CIPM-2007 and approximate formulas."""

from __future__ import annotations

from halfdrop.core.glassware.air import air_density_kg_m3, air_density_simple_kg_m3
from tests.published.row import Row, Source

MMHG_HPA = 1.33322387
CIPM = "halfdrop.core.glassware.air.air_density_kg_m3"
SIMPLE = "halfdrop.core.glassware.air.air_density_simple_kg_m3"

SOURCE = Source(
    title="masscor, R package for mass measurement, vignette and tests (2021), with values of Gupta, Mass "
    "Metrology (2012)",
    where="CRAN masscor, vignette; tests/testthat/test-airDensities.R, which cites Gupta, appendix, p. 205",
    rows=(
        Row(
            place="vignette, default air",
            what="20 degC, 1013.25 hPa, 50 %, CIPM-2007, g/cm3",
            printed="0.001199314",
            compute=lambda: float(air_density_kg_m3(20.0, 1013.25, 50.0)) / 1000,
            function=CIPM,
        ),
        Row(
            place="Gupta p. 205",
            what="10 degC, 730 mmHg, 40 %, CIPM, kg/m3",
            printed="1.19569",
            compute=lambda: float(air_density_kg_m3(10.0, 730 * MMHG_HPA, 40.0)),
            function=CIPM,
        ),
        Row(
            place="Gupta p. 205",
            what="40 degC, 760 mmHg, 40 %, CIPM, kg/m3",
            printed="1.11497",
            compute=lambda: float(air_density_kg_m3(40.0, 760 * MMHG_HPA, 40.0)),
            function=CIPM,
            units=8,
            note="40 degC is far outside the range of the formula; the source tests it to 1.1150 only",
        ),
        Row(
            place="test file, approximate formula",
            what="25 degC, 760 mmHg, 40 %, kg/m3",
            printed="1.1787",
            compute=lambda: float(air_density_kg_m3(25.0, 760 * MMHG_HPA, 40.0)),
            function=CIPM,
        ),
        Row(
            place="test file, approximate formula",
            what="25 degC, 760 mmHg, 40 %, simplified, kg/m3",
            printed="1.1787",
            compute=lambda: float(air_density_simple_kg_m3(25.0, 760 * MMHG_HPA, 40.0)),
            function=SIMPLE,
        ),
    ),
)
