"""The usual printed Q table, held against the exact distribution.

The table is older than the exact computation: many cells are one to three units of the third decimal off.
Such a cell keeps its print, and the exact value of McBane (2006) stands beside it where he gives one.
"""

from __future__ import annotations

from functools import partial

from halfdrop.core.measure.outliers import dixon_limit, printed_dixon_limit
from tests.published.row import Row, Source, agrees

LEVELS = ("0.10", "0.05", "0.04", "0.02", "0.01")
TABLE = """
3 0.941 0.970 0.976 0.988 0.994
4 0.765 0.829 0.846 0.889 0.926
5 0.642 0.710 0.729 0.780 0.821
6 0.560 0.625 0.644 0.698 0.740
7 0.507 0.568 0.586 0.637 0.680
8 0.468 0.526 0.543 0.590 0.634
9 0.437 0.493 0.510 0.555 0.598
10 0.412 0.466 0.483 0.527 0.568
"""
# The same cells by McBane (2006); he does not tabulate 0.05 two-sided (0.025 one-sided).
EXACT = """
3 0.941 - 0.976 0.988 0.994
4 0.766 - 0.847 0.889 0.921
5 0.642 - 0.729 0.781 0.823
6 0.562 - 0.646 0.698 0.743
7 0.507 - 0.587 0.637 0.681
8 0.467 - 0.543 0.591 0.634
9 0.436 - 0.509 0.555 0.596
10 0.412 - 0.481 0.526 0.566
"""
MODULE = "halfdrop.core.measure.outliers"


def _printed(count: int, level: float) -> float:
    found = printed_dixon_limit(count, level)
    assert found is not None
    return found


def _rows_of(count: int, level: str, printed: str, exact: str) -> tuple[Row, Row]:
    place, what = f"Appendix 06, n = {count}", f"Q at {level}, two-sided"
    kept = Row(
        place,
        f"{what}, as shipped",
        printed,
        partial(_printed, count, float(level)),
        f"{MODULE}.printed_dixon_limit",
    )
    compute = partial(dixon_limit, count, float(level))
    differs = exact not in ("-", printed) and not agrees(printed, compute())
    return kept, Row(
        place,
        f"{what}, exact",
        printed,
        compute,
        f"{MODULE}.dixon_limit",
        units=3.0 if exact == "-" else 0.5,
        right=exact if differs else "",
        note=_note(exact, differs),
    )


def _note(exact: str, differs: bool) -> str:
    if differs:
        return f"older approximation; McBane (2006) has {exact}"
    return "interpolated by Rorabacher between tabulated levels; good to three units" if exact == "-" else ""


def rows() -> tuple[Row, ...]:
    """Return two rows per cell: the print as it is shipped, and the exact value."""
    found: list[Row] = []
    for printed_line, exact_line in zip(TABLE.split("\n"), EXACT.split("\n"), strict=True):
        count, *cells = printed_line.split() or [""]
        for level, printed, exact in zip(LEVELS, cells, exact_line.split()[1:], strict=False):
            found.extend(_rows_of(int(count), level, printed, exact))
    return tuple(found)


SOURCE = Source(
    title="Chemistry LibreTexts, Appendix 06, after Rorabacher, Anal. Chem. 63 (1991) 139",
    where="chem.libretexts.org, Ancillary Materials, Reference Tables, Analytic References",
    rows=rows(),
)
