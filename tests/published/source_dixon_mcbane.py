"""Exact critical values of Dixon's ratios, computed by McBane with programs of his own."""

from __future__ import annotations

from functools import partial

from halfdrop.core.measure.outliers import dixon_limit
from tests.published.row import Row, Source

LEVELS = ("0.005", "0.01", "0.02", "0.05")  # one-sided
TABLES = {
    (1, 0): """
3 0.994 0.988 0.976 0.941
4 0.921 0.889 0.847 0.766
5 0.823 0.781 0.729 0.642
6 0.743 0.698 0.646 0.562
7 0.681 0.637 0.587 0.507
8 0.634 0.591 0.543 0.467
9 0.596 0.555 0.509 0.436
10 0.566 0.526 0.481 0.412
12 0.520 0.483 0.440 0.375
15 0.474 0.438 0.399 0.339
20 0.425 0.392 0.356 0.300
25 0.394 0.363 0.329 0.276
30 0.372 0.342 0.309 0.259
""",
    (1, 1): """
4 0.995 0.991 0.982 0.955
5 0.938 0.912 0.877 0.807
8 0.722 0.681 0.632 0.554
9 0.675 0.634 0.587 0.511
10 0.637 0.597 0.551 0.478
""",
    (2, 1): """
5 0.998 0.995 0.990 0.976
11 0.708 0.674 0.636 0.575
12 0.676 0.643 0.606 0.546
13 0.650 0.617 0.580 0.521
""",
    (2, 2): """
6 0.998 0.996 0.992 0.979
14 0.672 0.641 0.604 0.546
15 0.649 0.618 0.581 0.524
16 0.629 0.598 0.562 0.505
17 0.611 0.580 0.545 0.489
18 0.595 0.564 0.530 0.475
20 0.568 0.538 0.504 0.450
22 0.545 0.516 0.482 0.430
25 0.518 0.489 0.457 0.406
28 0.496 0.468 0.436 0.387
30 0.483 0.456 0.424 0.376
""",
}

WRONG = {
    (2, 2, "30", "0.005"): (
        "0.484",
        "the integral converges to 0.48369; of 16 million simulated series 0.512 +- 0.002 % exceed 0.483",
    )
}


def rows() -> tuple[Row, ...]:
    """Return one row per cell."""
    found = []
    for (j, i), text in TABLES.items():
        for line in text.strip().split("\n"):
            count, *cells = line.split()
            for level, printed in zip(LEVELS, cells, strict=True):
                right, note = WRONG.get((j, i, count, level), ("", ""))
                found.append(
                    Row(
                        f"r{j}{i}, n = {count}",
                        f"one-sided {level}",
                        printed,
                        partial(dixon_limit, int(count), float(level), (j, i), two_sided=False),
                        "halfdrop.core.measure.outliers.dixon_limit",
                        right=right,
                        note=note,
                    )
                )
    return tuple(found)


SOURCE = Source(
    title="McBane, J. Stat. Softw. 16 (2006) 3: exact critical values of extreme value ratios",
    where="reference output test4, shipped with the CRAN package dixonTest (a choice of its rows)",
    rows=rows(),
)
