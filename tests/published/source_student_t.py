"""NIST Technical Note 1297, Table B.1: values of t for intervals of the t-distribution."""

from __future__ import annotations

import math
from functools import partial

from halfdrop.core.measure.statistics import coverage_factor
from tests.published.row import Row, Source

# Footnote (a): 68.27, 95.45 and 99.73 % stand for 1, 2 and 3 standard deviations of a normal quantity.
FRACTIONS = {
    "68.27": math.erf(1 / math.sqrt(2)),
    "90": 0.90,
    "95": 0.95,
    "95.45": math.erf(2 / math.sqrt(2)),
    "99": 0.99,
    "99.73": math.erf(3 / math.sqrt(2)),
}
# (degrees of freedom, percent) -> right value, where the print is off by one in its last digit
MISPRINTS = {("35", "90"): "1.69"}
TABLE = """
1 1.84 6.31 12.71 13.97 63.66 235.80
2 1.32 2.92 4.30 4.53 9.92 19.21
3 1.20 2.35 3.18 3.31 5.84 9.22
4 1.14 2.13 2.78 2.87 4.60 6.62
5 1.11 2.02 2.57 2.65 4.03 5.51
6 1.09 1.94 2.45 2.52 3.71 4.90
7 1.08 1.89 2.36 2.43 3.50 4.53
8 1.07 1.86 2.31 2.37 3.36 4.28
9 1.06 1.83 2.26 2.32 3.25 4.09
10 1.05 1.81 2.23 2.28 3.17 3.96
11 1.05 1.80 2.20 2.25 3.11 3.85
12 1.04 1.78 2.18 2.23 3.05 3.76
13 1.04 1.77 2.16 2.21 3.01 3.69
14 1.04 1.76 2.14 2.20 2.98 3.64
15 1.03 1.75 2.13 2.18 2.95 3.59
16 1.03 1.75 2.12 2.17 2.92 3.54
17 1.03 1.74 2.11 2.16 2.90 3.51
18 1.03 1.73 2.10 2.15 2.88 3.48
19 1.03 1.73 2.09 2.14 2.86 3.45
20 1.03 1.72 2.09 2.13 2.85 3.42
25 1.02 1.71 2.06 2.11 2.79 3.33
30 1.02 1.70 2.04 2.09 2.75 3.27
35 1.01 1.70 2.03 2.07 2.72 3.23
40 1.01 1.68 2.02 2.06 2.70 3.20
45 1.01 1.68 2.01 2.06 2.69 3.18
50 1.01 1.68 2.01 2.05 2.68 3.16
100 1.005 1.660 1.984 2.025 2.626 3.077
inf 1.000 1.645 1.960 2.000 2.576 3.000
"""


def rows() -> tuple[Row, ...]:
    """Return one row per cell."""
    found = []
    for line in TABLE.split("\n"):
        if not line:
            continue
        dof, *cells = line.split()
        for percent, printed in zip(FRACTIONS, cells, strict=True):
            found.append(
                Row(
                    f"Table B.1, {dof} degrees of freedom",
                    f"t for {percent} %",
                    printed,
                    partial(coverage_factor, math.inf if dof == "inf" else float(dof), FRACTIONS[percent]),
                    "halfdrop.core.measure.statistics.coverage_factor",
                    right=MISPRINTS.get((dof, percent), ""),
                    note="1.6896 to four decimals: rounds to 1.69" if (dof, percent) in MISPRINTS else "",
                )
            )
    return tuple(found)


SOURCE = Source(
    title="Taylor and Kuyatt, NIST Technical Note 1297 (1994), Appendix B, Table B.1",
    where="nist.gov, NIST TN 1297: Guidelines - Appendix B, Table B.1",
    rows=rows(),
)
