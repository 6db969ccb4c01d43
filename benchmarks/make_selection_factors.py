"""Make ``src/halfdrop/core/titration/selection_factors.py``: how uncertain a mean of chosen trials is.

    python -m benchmarks.make_selection_factors          # prints the module
    python -m benchmarks.make_selection_factors --write  # writes it where it is shipped

What is simulated. Titres are independent and normal with standard deviation 1 and true value 0. A rule turns
n of them into one mean T. The factor is the root mean square of T, so that u(T) = factor x SD. Rounding to a
recording step is left out here: ``benchmarks/coverage.py`` shows that titres recorded to 0.01 or 0.05 mL are
served by the same table when half a step is added to the limit.

One exception. When two trials first disagree by more than a wide limit and the third joins one of them, T has
two humps and nothing in between; 1.96 times its root mean square then holds the true value far more often
than in 95 %. Where it would do so more often than in 95.5 %, the factor is the one whose 1.96-fold
does just that.

A rule with a limit is tabulated given what the person sees: how many trials were made, how many of them are
averaged, and that these agreed. All of that depends only on the differences between trials, and for normal
titres the mean of all n trials is independent of every difference. Two things follow. The mean of ALL trials
keeps its 1/sqrt(n) whatever was seen, also when nothing agreed. And with h = T - mean(all), factor^2 = 1/n +
E[h^2 | seen], so that only the second term needs simulating.

A cell that comes up less often than once in a thousand series is left empty: meeting it says that the
standard deviation does not fit the trials, and ``selection.py`` then works from the trials themselves.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

SEED = 20_260_107
SERIES = 2_000_000
CHUNK = 100_000
LARGEST_COUNT = 10
RAREST = 1e-3  # share of series below which a cell is left empty
FEWEST = 1000  # times a cell must have been seen
LIMITS = (0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0)
MEMBERS = (2, 3)  # of the rules that name a number

Array = NDArray[np.float64]
Row = tuple[float | None, ...]
Table = dict[tuple[int, int], float | Row]
HIGHEST_COVERAGE = 0.955
BIN = 0.01  # of |h|, for that coverage
BINS = 1000
TARGET = Path(__file__).parent.parent / "src/halfdrop/core/titration/selection_factors.py"


def windows(ordered: Array, members: int) -> tuple[Array, Array]:
    """Return spread and mean of the closest ``members`` of each row of sorted values."""
    count = ordered.shape[1]
    spreads = ordered[:, members - 1 :] - ordered[:, : count - members + 1]
    start = spreads.argmin(axis=1)[:, np.newaxis]
    sums = np.cumsum(np.pad(ordered, ((0, 0), (1, 0))), axis=1)
    total = np.take_along_axis(sums, start + members, 1) - np.take_along_axis(sums, start, 1)
    return np.take_along_axis(spreads, start, 1)[:, 0], total[:, 0] / members


def chunks(generator: np.random.Generator, count: int, series: int) -> Iterator[Array]:
    """Return sorted rows of ``count`` titres about their own mean, in pieces that fit in memory."""
    for _ in range(max(1, series // CHUNK)):
        rows = generator.standard_normal((min(CHUNK, series), count))
        yield np.sort(rows - rows.mean(axis=1, keepdims=True), axis=1)


@dataclass
class Seen:
    """What was seen of one cell: how often, and the distances h of the chosen mean from the mean of all."""

    times: int = 0
    squares: float = 0.0
    histogram: Array = field(default_factory=lambda: np.zeros(BINS))

    def add(self, h: Array) -> None:
        """Take in more distances."""
        self.times += len(h)
        self.squares += float((h**2).sum())
        bins = np.minimum((np.abs(h) / BIN).astype(np.int64), BINS - 1)
        self.histogram += np.bincount(bins, minlength=BINS)

    def factor(self, count: int) -> float:
        """Return sqrt(1/n + mean h^2), or less where its 1.96-fold would hold the true value too often."""
        root_mean_square = float(np.sqrt(1 / count + self.squares / self.times))
        if self.coverage(root_mean_square, count) <= HIGHEST_COVERAGE:
            return root_mean_square
        low, high = 0.0, root_mean_square
        for _ in range(40):
            middle = (low + high) / 2
            too_often = self.coverage(middle, count) > HIGHEST_COVERAGE
            low, high = (low, middle) if too_often else (middle, high)
        return high

    def coverage(self, factor: float, count: int) -> float:
        """Return how often T lies within 1.96 factors of the true value."""
        h = (np.arange(BINS) + 0.5) * BIN
        root = np.sqrt(count)
        held = ndtr((1.96 * factor - h) * root) - ndtr((-1.96 * factor - h) * root)
        return float((held * self.histogram).sum() / self.times)


Cells = dict[tuple[int, float], Seen]  # (number averaged or made, limit) -> what was seen


def fixed_count(count: int, series: int, seed: int) -> tuple[dict[int, Seen], Cells, Cells]:
    """Simulate the rules that act on ``count`` trials already made.

    Returns:
        What was seen of the closest 2 and 3 without a limit; of the same with one; of the largest group by
        its size.
    """
    free: dict[int, Seen] = defaultdict(Seen)
    limited: Cells = defaultdict(Seen)
    grouped: Cells = defaultdict(Seen)
    for ordered in chunks(np.random.default_rng([seed, 1, count]), count, series):
        found = {m: windows(ordered, m) for m in range(2, count)}
        for members in (m for m in MEMBERS if m < count):
            spread, h = found[members]
            free[members].add(h)
            for limit in LIMITS:
                limited[members, limit].add(h[spread <= limit])
        for limit in LIMITS:
            larger_agrees = ordered[:, -1] - ordered[:, 0] <= limit
            for members in range(count - 1, 1, -1):
                spread, h = found[members]
                agrees = spread <= limit
                grouped[members, limit].add(h[agrees & ~larger_agrees])
                larger_agrees |= agrees
    return free, limited, grouped


def stopping(members: int, limit: float, series: int, seed: int) -> dict[int, Seen]:
    """Simulate "titrate until so many agree": what was seen, by number of trials made."""
    generator = np.random.default_rng([seed, 2, members, round(1000 * limit)])
    seen: dict[int, Seen] = defaultdict(Seen)
    for _ in range(max(1, series // CHUNK)):
        rows = generator.standard_normal((min(CHUNK, series), members - 1))
        for count in range(members, LARGEST_COUNT + 1):
            rows = np.hstack([rows, generator.standard_normal((len(rows), 1))])
            spread, mean = _best_with_newest(rows, members)
            agrees = spread <= limit
            seen[count].add(mean[agrees] - rows[agrees].mean(axis=1))
            rows = rows[~agrees]
    return seen


def _best_with_newest(rows: Array, members: int) -> tuple[Array, Array]:
    """Return spread and mean of the narrowest group of each row that holds its last trial."""
    last = rows.shape[1] - 1
    groups = [rows[:, [*others, last]] for others in combinations(range(last), members - 1)]
    spreads = np.stack([np.ptp(g, axis=1) for g in groups])
    means = np.stack([g.mean(axis=1) for g in groups])
    best = spreads.argmin(axis=0)[np.newaxis]
    return np.take_along_axis(spreads, best, 0)[0], np.take_along_axis(means, best, 0)[0]


def _row(count: int, seen: dict[float, Seen], series: int) -> Row:
    """Return the factors of one table row, None where the cell is too rare to be met by chance."""
    needed = max(FEWEST, RAREST * series)
    return tuple(
        round(seen[limit].factor(count), 4) if seen[limit].times >= needed else None for limit in LIMITS
    )


def tables(series: int = SERIES, largest: int = LARGEST_COUNT, seed: int = SEED) -> dict[str, Table]:
    """Return the four tables, keyed by (trials made, trials averaged)."""
    free: Table = {}
    limited: Table = {}
    grouped: Table = {}
    first: Table = {}
    for count in range(3, largest + 1):
        unlimited, closest_cells, group_cells = fixed_count(count, series, seed)
        for members in sorted(unlimited):
            free[count, members] = round(unlimited[members].factor(count), 4)
            limited[count, members] = _row(
                count, {lim: closest_cells[members, lim] for lim in LIMITS}, series
            )
        for members in range(2, count):
            grouped[count, members] = _row(count, {lim: group_cells[members, lim] for lim in LIMITS}, series)
    for members in MEMBERS:
        by_limit = {limit: stopping(members, limit, series, seed) for limit in LIMITS}
        for count in range(members + 1, largest + 1):
            first[count, members] = _row(count, {lim: by_limit[lim][count] for lim in LIMITS}, series)
    return {"CLOSEST": free, "CLOSEST_WITHIN": limited, "GROUP_WITHIN": grouped, "FIRST_WITHIN": first}


HEADER = '''"""Factors for the standard uncertainty of a mean of chosen trials. Generated; do not edit.

Made by ``python -m benchmarks.make_selection_factors --write`` (seed {seed}, {series} simulated series for
each number of trials). u(mean) = factor x standard deviation of a single accurate trial. Keys are (trials
made, trials averaged). In the tables called ``..._WITHIN`` one row holds a factor for each entry of
``LIMITS_IN_SD``, the concordance limit (half a recording step added) divided by the standard deviation, given
that the averaged trials agreed within it; None marks what happens in fewer than one of a thousand series,
where the standard deviation and the trials do not fit together.
"""

from __future__ import annotations

# fmt: off

SEED = {seed}
SERIES = {series}
LARGEST_COUNT = {largest}
LIMITS_IN_SD: tuple[float, ...] = {limits}

'''
COMMENTS = {
    "CLOSEST": "The closest so many of n trials, whatever their spread.",
    "CLOSEST_WITHIN": "The closest so many of n trials, given that they lie within the limit.",
    "GROUP_WITHIN": "The largest group within the limit, given its size.",
    "FIRST_WITHIN": "Titrated until so many agreed, given that the last of n trials made them agree.",
}


def module(series: int = SERIES, largest: int = LARGEST_COUNT, seed: int = SEED) -> str:
    """Return the text of the module."""
    text = HEADER.format(seed=seed, series=series, largest=largest, limits=LIMITS)
    for name, table in tables(series, largest, seed).items():
        kind = "float" if name == "CLOSEST" else "tuple[float | None, ...]"
        text += f"# {COMMENTS[name]}\n{name}: dict[tuple[int, int], {kind}] = {{\n"
        text += "".join(f"    {key}: {_literal(value)},\n" for key, value in sorted(table.items()))
        text += "}\n\n"
    return text.rstrip() + "\n# fmt: on\n"


def _literal(value: float | Row) -> str:
    """Return a factor, or a row of factors on two lines."""
    if not isinstance(value, tuple):
        return f"{value:.4f}"
    cells = [f"{v:.4f}" if isinstance(v, float) else "None" for v in value]
    half = (len(cells) + 1) // 2
    return f"(\n        {', '.join(cells[:half])},\n        {', '.join(cells[half:])},\n    )"


if __name__ == "__main__":
    if "--write" in sys.argv:
        TARGET.write_text(module(), encoding="utf-8")
    else:
        sys.stdout.write(module())
