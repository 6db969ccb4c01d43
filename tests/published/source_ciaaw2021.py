"""Standard atomic weights 2021: the elements of volumetric work, full and abridged.

Typed from the printed table, apart from the data the product carries.
"""

from __future__ import annotations

from decimal import Decimal

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from tests.published.row import Row, Source

# Symbol, full entry (an interval or value and bound), abridged value and bound.
PRINTED = """
H  1.00784..1.00811     1.0080 0.0002
C  12.0096..12.0116     12.011 0.002
N  14.00643..14.00728   14.007 0.001
O  15.99903..15.99977   15.999 0.001
F  18.998403162±0.000000005  18.998 0.001
Na 22.98976928±0.00000002    22.990 0.001
Mg 24.304..24.307       24.305 0.002
Al 26.9815384±0.0000003 26.982 0.001
Si 28.084..28.086       28.085 0.001
P  30.973761998±0.000000005  30.974 0.001
S  32.059..32.076       32.06  0.02
Cl 35.446..35.457       35.45  0.01
K  39.0983±0.0001       39.098 0.001
Ca 40.078±0.004         40.078 0.004
Cr 51.9961±0.0006       51.996 0.001
Mn 54.938043±0.000002   54.938 0.001
Fe 55.845±0.002         55.845 0.002
Co 58.933194±0.000003   58.933 0.001
Ni 58.6934±0.0004       58.693 0.001
Cu 63.546±0.003         63.546 0.003
Zn 65.38±0.02           65.38  0.02
As 74.921595±0.000006   74.922 0.001
Br 79.901..79.907       79.904 0.003
Sr 87.62±0.01           87.62  0.01
Ag 107.8682±0.0002      107.87 0.01
Cd 112.414±0.004        112.41 0.01
Sn 118.710±0.007        118.71 0.01
Sb 121.760±0.001        121.76 0.01
I  126.90447±0.00003    126.90 0.01
Ba 137.327±0.007        137.33 0.01
Ce 140.116±0.001        140.12 0.01
Hg 200.592±0.003        200.59 0.01
Pb 206.14..207.94       207.2  1.1
Bi 208.98040±0.00001    208.98 0.01
"""


def _row(table: str, symbol: str, what: str, printed: str, value: float) -> Row:
    return Row(
        place=f"{table}, {symbol}",
        what=what,
        printed=printed,
        compute=lambda: value,
        function="halfdrop.core.chemistry.atomic_weights.atomic_weights",
    )


def _rows_of(line: str) -> list[Row]:
    symbol, full, abridged, bound = line.split()
    weight = atomic_weights("CIAAW 2021")[symbol]
    short = atomic_weights("CIAAW 2021 abridged")[symbol]
    if ".." in full:
        low, high = full.split("..")
        entries = [
            ("lower end", low, weight.value - weight.half_width),
            ("upper end", high, weight.value + weight.half_width),
        ]
    else:
        value, uncertainty = full.split("±")
        entries = [("value", value, weight.value), ("bound", uncertainty, weight.half_width)]
    return [
        *(_row("Standard atomic weights", symbol, *entry) for entry in entries),
        _row("Abridged to five digits", symbol, "value", abridged, short.value),
        _row("Abridged to five digits", symbol, "bound", format(Decimal(bound), "f"), short.half_width),
    ]


SOURCE = Source(
    title="CIAAW, Standard Atomic Weights 2021 (Prohaska et al., Pure Appl. Chem. 94 (2022) 573)",
    where="https://www.ciaaw.org/atomic-weights.htm; https://doi.org/10.1515/pac-2019-0603",
    rows=tuple(row for line in PRINTED.strip().splitlines() for row in _rows_of(line)),
)
