"""How often the 95 % intervals of chosen trials hold the true value.

    python -m benchmarks.coverage [SERIES]

Titres are drawn, recorded (initial and final reading each rounded to the step), chosen by every shipped rule,
and given the interval that a result would carry: mean plus and minus t x factor x SD. The table says how
often the true titre lies inside. Wanted: 93 to 98 % for every rule and 2 to 6 trials, with the repeatability
that is the default for it:

- fewer than four accurate trials: the pooled standard deviation of earlier work, with its degrees of freedom;
- four and more: these trials pooled with it;
- a rule that stops when trials agree: the pooled standard deviation alone, whatever the number of trials.

Below it the same with the scatter of the trials alone, and what else is claimed about small numbers of
titres.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from halfdrop.core.measure.statistics import coverage_factors, pooled_standard_deviation
from halfdrop.core.titration import selection_factors as table
from halfdrop.core.titration.selection import own_scatter_counts
from halfdrop.core.titration.selection_rules import RULES, Kind, SelectionRule

Array = NDArray[np.float64]
SEED = 1_404
LOWEST, HIGHEST = 0.93, 0.98
FEWEST = 2000  # series below which a percentage is not printed
NOISE = 1e-9


@dataclass(frozen=True)
class Bench:
    """How titres come about.

    Attributes:
        sd_ml: standard deviation of a titre before it is recorded.
        limit_ml: concordance limit.
        step_ml: recording step of a reading; 0 for none.
        pool_dof: degrees of freedom of the pooled standard deviation; infinite when it is exactly known.
    """

    sd_ml: float = 0.04
    limit_ml: float = 0.10
    step_ml: float = 0.01
    pool_dof: float = 30.0

    @property
    def recorded_sd_ml(self) -> float:
        """Return the standard deviation of recorded titres: two readings, each spread over a step."""
        return float(np.hypot(self.sd_ml, self.step_ml * np.sqrt(2 / 12)))


@dataclass(frozen=True)
class Mean:
    """Means of chosen trials, one per series.

    Attributes:
        value: the mean, true value 0.
        averaged: number of trials in it.
        agreed: whether they agreed within the limit (True throughout where there is none).
        made: whether the rule is still being followed at this number of trials (False where it stopped
            before).
    """

    value: Array
    averaged: NDArray[np.int64]
    agreed: NDArray[np.bool_]
    made: NDArray[np.bool_]


def titres(bench: Bench, count: int, series: int, generator: np.random.Generator) -> Array:
    """Return recorded titres less the true one, shape (series, count)."""
    true = 20.0 + generator.random((series, 1))
    drawn = true + bench.sd_ml * generator.standard_normal((series, count))
    if bench.step_ml:
        start = 2 * generator.random((series, count))
        step = bench.step_ml
        drawn = (np.round((start + drawn) / step) - np.round(start / step)) * step
    return np.asarray(drawn - true)


def groups(count: int, members: int) -> list[tuple[int, ...]]:
    """Return all groups of so many of ``count`` trials, the one that is complete first at the head."""
    return sorted(combinations(range(count), members), key=lambda g: g[::-1])


def narrowest(rows: Array, candidates: list[tuple[int, ...]]) -> tuple[Array, Array]:
    """Return spread and mean of the narrowest group of each row, the first of equals."""
    spreads = np.stack([np.round(np.ptp(rows[:, g], axis=1), 9) for g in candidates])
    means = np.stack([rows[:, g].mean(axis=1) for g in candidates])
    best = spreads.argmin(axis=0)[np.newaxis]
    return np.take_along_axis(spreads, best, 0)[0], np.take_along_axis(means, best, 0)[0]


def average(rows: Array, rule: SelectionRule, limit: float) -> Mean:
    """Return the means that a rule makes of rows of trials; "as-marked" here: the two highest are marked."""
    series, count = rows.shape
    everything = Mean(
        rows.mean(axis=1), np.full(series, count), np.zeros(series, np.bool_), np.ones(series, np.bool_)
    )
    if rule.kind is Kind.CLOSEST:
        return _closest(rows, rule.members, limit, everything)
    if rule.kind is Kind.GROUP:
        return _group(rows, limit, everything)
    if rule.kind is Kind.FIRST:
        return _first(rows, rule.members, limit, everything)
    agreed = np.ones(series, np.bool_)
    if rule.kind is Kind.MARKED and count > 2:
        return Mean(np.sort(rows, axis=1)[:, -2:].mean(axis=1), np.full(series, 2), agreed, everything.made)
    return replace(everything, agreed=agreed)


def _taken(everything: Mean, agrees: NDArray[np.bool_], value: Array, members: int) -> Mean:
    return Mean(
        np.where(agrees, value, everything.value),
        np.where(agrees, members, everything.averaged),
        agrees | everything.agreed,
        everything.made,
    )


def _closest(rows: Array, members: int, limit: float, everything: Mean) -> Mean:
    if rows.shape[1] < members:
        return everything
    spread, value = narrowest(rows, groups(rows.shape[1], members))
    return _taken(everything, spread <= limit + NOISE, value, members)


def _group(rows: Array, limit: float, everything: Mean) -> Mean:
    found = everything
    for members in range(rows.shape[1], 1, -1):
        spread, value = narrowest(rows, groups(rows.shape[1], members))
        agrees = (spread <= limit + NOISE) & ~found.agreed
        found = _taken(found, agrees, value, members)
    return found


def _first(rows: Array, members: int, limit: float, everything: Mean) -> Mean:
    series, count = rows.shape
    before = np.zeros(series, np.bool_)
    for earlier in range(members, count):
        before |= narrowest(rows[:, :earlier], groups(earlier, members))[0] <= limit + NOISE
    if count < members:
        return everything
    spread, value = narrowest(rows, [g for g in groups(count, members) if g[-1] == count - 1])
    return replace(_taken(everything, spread <= limit + NOISE, value, members), made=~before)


def factors(rows: Array, mean: Mean, rule: SelectionRule, limit_in_sd: Array, sd: Array) -> Array:
    """Return the factor of each series, as ``selection.py`` finds it (a test holds the two together)."""
    count = rows.shape[1]
    out = np.full(len(rows), 1 / np.sqrt(count))
    shift = np.abs(mean.value - rows.mean(axis=1))
    offset, of_mean = shift / sd, 1 / np.sqrt(count)
    from_positions = np.hypot(of_mean, offset)
    held = np.minimum(from_positions, (offset + 1.695398 * of_mean) / 1.959964)
    from_positions = np.where(offset > 0.6 * of_mean, held, from_positions)
    tables = {
        Kind.CLOSEST: table.CLOSEST_WITHIN,
        Kind.GROUP: table.GROUP_WITHIN,
        Kind.FIRST: table.FIRST_WITHIN,
    }
    for averaged in np.unique(mean.averaged[mean.averaged < count]):
        here = mean.averaged == averaged
        if rule.kind not in tables:
            out[here] = from_positions[here]
            continue
        row = np.array(tables[rule.kind][count, int(averaged)], dtype=np.float64)
        tabulated = _between(row, limit_in_sd[here])
        if rule.kind is Kind.CLOSEST:
            beyond = limit_in_sd[here] > table.LIMITS_IN_SD[-1]
            tabulated = np.where(beyond, table.CLOSEST[count, int(averaged)], tabulated)
        out[here] = np.where(np.isnan(tabulated), from_positions[here], tabulated)
    return out


def _between(row: Array, limit_in_sd: Array) -> Array:
    """Return the row between its entries by straight lines, nan outside and beside an empty cell."""
    grid = np.array(table.LIMITS_IN_SD)
    upper = np.clip(np.searchsorted(grid, limit_in_sd), 1, len(grid) - 1)
    share = (limit_in_sd - grid[upper - 1]) / (grid[upper] - grid[upper - 1])
    inside = (limit_in_sd >= grid[0]) & (limit_in_sd <= grid[-1])
    return np.where(inside, row[upper - 1] + share * (row[upper] - row[upper - 1]), np.nan)


def repeatability(
    rows: Array, source: str, bench: Bench, generator: np.random.Generator
) -> tuple[Array, Array]:
    """Return the standard deviation of a single trial and its degrees of freedom, per series.

    ``source`` is "own", "pool" or "both".
    """
    series, count = rows.shape
    own = rows.std(axis=1, ddof=1)
    floor = bench.step_ml * np.sqrt(2 / 12)
    if source == "own":
        return np.maximum(own, floor), np.full(series, float(count - 1))
    known = np.isinf(bench.pool_dof)
    chi2 = np.ones(series) if known else generator.chisquare(bench.pool_dof, series) / bench.pool_dof
    pool = bench.recorded_sd_ml * np.sqrt(chi2)
    dof = np.full(series, bench.pool_dof)
    if source == "both":
        pool, dof = pooled_standard_deviation([pool, own], [dof, np.full(series, float(count - 1))])
    return np.maximum(pool, floor), dof


def default_source(rule: SelectionRule, count: int) -> str:
    """Return where the repeatability comes from unless the person says otherwise."""
    return "both" if own_scatter_counts(rule, count) else "pool"


def inside(
    rule: SelectionRule, count: int, bench: Bench, source: str, series: int, seed: int
) -> tuple[int, int]:
    """Return how many of how many series have the true value inside their 95 % interval."""
    generator = np.random.default_rng([seed, count, *rule.name.encode()])
    rows = titres(bench, count, series, generator)
    mean = average(rows, rule, bench.limit_ml)
    sd, dof = repeatability(rows, source, bench, generator)
    factor = factors(rows, mean, rule, (bench.limit_ml + bench.step_ml / 2) / sd, sd)
    held = np.abs(mean.value) <= coverage_factors(dof) * factor * sd
    counted = mean.made & (mean.agreed if rule.stops else True)
    return int((held & counted).sum()), int(counted.sum())


BENCHES = tuple(
    Bench(sd, 0.10, step, dof)
    for sd in (0.03, 0.04, 0.05, 0.08, 0.12, 0.25)
    for step in (0.01, 0.05)
    for dof in (10.0, 30.0, np.inf)
)


@dataclass(frozen=True)
class Covered:
    """One cell: the share of intervals that hold the true value, nan where it comes up too rarely."""

    rule: str
    count: int
    bench: Bench
    share: float


def cells(
    series: int, source: str = "default", benches: tuple[Bench, ...] = BENCHES, seed: int = SEED
) -> Iterator[Covered]:
    """Return the coverage of every rule, number of trials and bench."""
    for rule in RULES.values():
        for count in range(2, 7):
            if count < rule.members:
                continue
            chosen = default_source(rule, count) if source == "default" else source
            for bench in benches:
                held, seen = inside(rule, count, bench, chosen, series, seed)
                yield Covered(rule.name, count, bench, held / seen if seen >= FEWEST else np.nan)


def print_table(title: str, found: list[Covered]) -> None:
    """Print the extremes over the benches, one line per rule and number of trials."""
    print(
        f"\n{title}\n  {'rule':16}{'trials':>7}{'lowest':>9}{'highest':>9}   (over the benches; - too rare)"
    )
    for rule in RULES:
        for count in range(2, 7):
            shares = [c.share for c in found if c.rule == rule and c.count == count and not np.isnan(c.share)]
            if any(c.rule == rule and c.count == count for c in found):
                ends = f"{min(shares):9.1%}{max(shares):9.1%}" if shares else f"{'-':>9}{'-':>9}"
                flag = (
                    ""
                    if not shares or (min(shares) >= LOWEST and max(shares) <= HIGHEST)
                    else "   outside 93-98 %"
                )
                print(f"  {rule:16}{count:7}{ends}{flag}")


def small_number_claims(series: int = 1_000_000, seed: int = SEED) -> dict[str, float]:
    """Return what is claimed elsewhere about few titres, rebuilt."""
    rows = np.random.default_rng(seed).standard_normal((series, 3))
    sd = rows.std(axis=1, ddof=1)
    pair = narrowest(rows, groups(3, 2))
    return {
        "k = 2 on a mean of three, own scatter: coverage": float(
            (np.abs(rows.mean(axis=1)) <= 2 * sd / np.sqrt(3)).mean()
        ),
        "closest two of three: variance of their mean, in SD^2": float(pair[1].var()),
        "closest two of three: factor": float(pair[1].std()),
        "mean of three: variance, in SD^2": float(rows.mean(axis=1).var()),
        "closest two of three, third made because two disagreed by 2.5 SD, factor 0.80: coverage": _misnamed(
            rows
        ),
        "closest two of three: their own SD, in true SD (root mean square)": float(
            np.sqrt((pair[0] ** 2 / 2).mean())
        ),
    }


def _misnamed(rows: Array) -> float:
    """Return the coverage when a rule that stops is reported as "closest pair": 1.96 times 0.80, SD known."""
    went_on = rows[np.abs(rows[:, 0] - rows[:, 1]) > 2.5]
    spread, value = narrowest(went_on, groups(3, 2))
    return float((np.abs(value[spread <= 2.5]) <= 1.96 * table.CLOSEST[3, 2]).mean())


def main(series: int) -> None:
    """Print everything."""
    print_table(f"Default repeatability, {series} series a cell", list(cells(series)))
    print_table("These trials pooled with earlier work, whatever the rule", list(cells(series, "both")))
    print_table("These trials alone", list(cells(series, "own")))
    print("\nRebuilt")
    for what, value in small_number_claims().items():
        print(f"  {what}: {value:.4f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
