"""Which trials are averaged, why, and how uncertain their mean is.

A rule that looks at the values before it averages them makes a mean that is not as good as 1/sqrt(n) of its
trials says: the closest two of three have a standard deviation of 0.80 of a single trial, not 0.71, and the
mean of all three 0.58. The selection therefore carries a factor: u(mean) = factor x SD, where SD is that of a
single accurate trial, from ALL accurate trials or pooled with earlier work, never from the chosen ones alone.

Nothing is deleted. Trials are positions in the order made; what the rule does not average keeps its place,
with a reason in words.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from halfdrop.core.findings import Finding
from halfdrop.core.measure.statistics import standard_deviation
from halfdrop.core.titration import selection_factors as table
from halfdrop.core.titration.selection_rules import (
    RULES,
    Choice,
    Kind,
    SelectionRule,
    choose,
    slack,
    spread_of,
)
from halfdrop.core.titration.selection_words import Outcome, findings_of, own_scatter_misleads, reasons_of

__all__ = [
    "RULES",
    "Factor",
    "Selection",
    "SelectionRule",
    "configuration_factor",
    "own_scatter_counts",
    "own_scatter_finding",
    "select",
    "tabulated_factor",
]

FEWEST_FOR_OWN_SCATTER = 4
_Z95 = 1.959964  # normal, two-sided 95 %
_Z955 = 1.695398  # normal, one-sided 95.5 %


@dataclass(frozen=True)
class Factor:
    """The standard uncertainty of a mean over the standard deviation of a single accurate trial.

    Attributes:
        value: the factor; nan without a trial.
        source: where it came from, in words for the report.
        fits: False when what was seen is so rare for the standard deviation given (less than one series in a
            thousand) that one of the two is in doubt.
    """

    value: float
    source: str
    fits: bool = True


@dataclass(frozen=True)
class Selection:
    """Which trials are averaged.

    Attributes:
        rule: the rule followed.
        weights: one per trial, summing to 1; 0 for a trial that is not averaged.
        used: positions of the averaged trials, in the order made.
        accurate: positions of all accurate trials (those not set aside).
        reasons: one per trial, in words.
        concordant: whether the rule's agreement was reached; None where no limit was given.
        spread: largest less smallest of the averaged trials; nan without one.
        made: number of accurate trials the factor is for (a rule that stops looks at no later ones).
        factor: see :class:`Factor`.
        own_scatter_is_honest: whether the scatter of these trials may serve as their repeatability, alone or
            pooled with earlier work. False for rules that stop when trials agree: there the values decide how
            many are made, an early agreement makes the scatter too small and a late one too large (see
            ``benchmarks/coverage.py``). False also for a single trial.
        findings: what a person should know.
    """

    rule: SelectionRule
    weights: tuple[float, ...]
    used: tuple[int, ...]
    accurate: tuple[int, ...]
    reasons: tuple[str, ...]
    concordant: bool | None
    spread: float
    made: int
    factor: Factor
    own_scatter_is_honest: bool
    findings: tuple[Finding, ...]


def select(
    values: Sequence[float],
    rule: SelectionRule,
    *,
    limit: float | None = None,
    sd: float | None = None,
    step: float = 0.0,
    set_aside: Mapping[int, str] | None = None,
    marked: Collection[int] = (),
    labels: Sequence[str] = (),
    unit: str = "",
) -> Selection:
    """Choose the trials to be averaged by a rule.

    When the rule's agreement is not reached, all accurate trials are averaged and a finding says so.

    Args:
        values: titres, or results per trial where each has its own mass or aliquot, in the order made. A
            trial that is set aside may be nan.
        rule: one of :data:`RULES`.
        limit: concordance limit, in the unit of the values.
        sd: standard deviation of a single accurate trial that the factor will multiply (pooled, or of all
            accurate trials); without it that of the accurate trials given is taken.
        step: step to which the values are recorded, same unit; half of it is added to the limit for the
            factor, because recorded values that differ by the limit may truly differ by half a step more.
        set_aside: position -> reason ("rough", "left out by A.B.: tap leaked") of trials that are not
            accurate.
        marked: positions the person marked, for the rule "as-marked".
        labels: what the trials are called, for the words; running numbers from 1 when not given.
        unit: of the values, for the words.

    Raises:
        ValueError: when a rule that needs a limit has none, an accurate value is not finite, ``sd`` is
            negative or nan, or a position does not exist. These are mistakes of the caller; what is wrong
            with a person's trials comes back as findings.

    >>> chosen = select([21.45, 21.60, 21.50], RULES["closest-pair"], limit=0.10, sd=0.05)
    >>> chosen.used, round(chosen.factor.value, 2)
    ((0, 2), 0.8)
    """
    aside = dict(set_aside or {})
    _check(values, rule, limit, sd, aside, marked)
    accurate = tuple(p for p in range(len(values)) if p not in aside)
    chosen_by_hand = frozenset(marked)
    series = [float(values[p]) for p in accurate]
    wanted = choose(series, rule, limit, [i for i, p in enumerate(accurate) if p in chosen_by_hand])
    agreed = _agreement(series, wanted, limit)
    everything = Choice(tuple(range(len(series))), len(series), spread_of(series, range(len(series))))
    taken = wanted if wanted.chosen and (agreed is not False or rule.averages_regardless) else everything
    factor = _factor(series, taken, rule, agreed, (limit, step, sd))
    used = tuple(accurate[i] for i in taken.chosen)
    among = frozenset(used)
    outcome = Outcome(
        rule, tuple(values), limit, aside, accurate, used, agreed, taken.looked_at, chosen_by_hand,
        tuple(labels), unit,
    )  # fmt: skip
    return Selection(
        rule=rule,
        weights=tuple(1 / len(used) if p in among else 0.0 for p in range(len(values))),
        used=used,
        accurate=accurate,
        reasons=reasons_of(outcome),
        concordant=agreed,
        spread=taken.spread,
        made=taken.looked_at,
        factor=factor,
        own_scatter_is_honest=len(series) > 1 and not rule.stops,
        findings=findings_of(outcome, fits=factor.fits, stops=rule.stops),
    )


def own_scatter_counts(rule: SelectionRule, accurate: int) -> bool:
    """Return whether, by default, the trials' own scatter is pooled with repeatability from earlier work.

    From four accurate trials on, and never for a rule that stops when trials agree.
    """
    return accurate >= FEWEST_FOR_OWN_SCATTER and not rule.stops


def own_scatter_finding(selection: Selection) -> Finding | None:
    """Return what to say when these trials' own scatter is taken as their repeatability; None if it may."""
    if selection.own_scatter_is_honest:
        return None
    return own_scatter_misleads(len(selection.accurate), selection.rule)


def _check(
    values: Sequence[float],
    rule: SelectionRule,
    limit: float | None,
    sd: float | None,
    aside: Mapping[int, str],
    marked: Collection[int],
) -> None:
    """Raise ValueError for what only a mistake of the caller can cause."""
    if rule.needs_limit and limit is None:
        raise ValueError(f"the rule {rule.name!r} needs a concordance limit")
    if limit is not None and not limit >= 0:
        raise ValueError(f"a concordance limit is not negative, not {limit!r}")
    if sd is not None and not sd >= 0:
        raise ValueError(f"a standard deviation is not negative, not {sd!r}")
    if not all(0 <= p < len(values) for p in (*aside, *marked)):
        raise ValueError("a trial that does not exist is marked or set aside")
    if not all(math.isfinite(v) for p, v in enumerate(values) if p not in aside):
        raise ValueError("an accurate trial has no finite value; set it aside with a reason")


def _agreement(series: Sequence[float], wanted: Choice, limit: float | None) -> bool | None:
    """Return whether the wanted trials agree; None where there is nothing to hold them against."""
    if limit is None:
        return None if wanted.chosen else False
    return len(wanted.chosen) > 1 and wanted.spread <= limit + slack(series)


# ----------------------------------------------------------------------------------------------- the factor


def _factor(
    series: Sequence[float],
    taken: Choice,
    rule: SelectionRule,
    agreed: bool | None,
    scale: tuple[float | None, float, float | None],
) -> Factor:
    """Return the factor of the mean of ``taken``; ``scale`` is limit, recording step, standard deviation."""
    made, averaged = taken.looked_at, len(taken.chosen)
    if averaged == 0:
        return Factor(math.nan, "no accurate trial")
    if averaged == made:
        return Factor(
            1 / math.sqrt(made), f"mean of all {made} accurate trials: 1/√{made}" if made > 1 else "one trial"
        )
    limit, step, given = scale
    sd = float(standard_deviation(series)) if given is None else given
    note = "; standard deviation of these trials taken" if given is None else ""
    in_sd = None if limit is None or not agreed else (limit + step / 2) / sd if sd > 0 else math.inf
    found = None if rule.kind is Kind.MARKED else tabulated_factor(rule, made, averaged, in_sd)
    if found is not None and not math.isnan(found.value):
        return replace(found, source=found.source + note)
    own = configuration_factor(series[:made], taken.chosen, sd)
    words = (
        f"worked from the positions of these {made} trials ({found.source if found else 'chosen by hand'})"
    )
    return Factor(own, words + note, found is None or found.fits)


def configuration_factor(series: Sequence[float], chosen: Collection[int], sd: float) -> float:
    """Return the factor of a mean of chosen trials from where the trials lie, without a table.

    For normal trials the mean of all n is independent of the differences between them. Any choice that looks
    only at these differences, for whatever motive, gives mean(all) + h with h known once the trials are: the
    mean square error of the chosen mean is SD^2/n + h^2. (A choice that looks at a target value is not
    covered by anything.) When h is about SD/sqrt(n) or larger it counts as an offset not corrected for,
    and the factor is held to what makes the 95 % interval hold 95.5 % (compare JCGM 100:2008, F.2.4.5).

    Args:
        series: all accurate trials that the choice could look at.
        chosen: positions of those averaged.
        sd: standard deviation of a single trial, same unit.
    """
    shift = abs(math.fsum(series[i] for i in chosen) / len(chosen) - math.fsum(series) / len(series))
    in_sd = shift / sd if sd > 0 else math.inf if shift > slack(series) else 0.0
    of_mean = 1 / math.sqrt(len(series))
    root_mean_square = math.hypot(of_mean, in_sd)
    if in_sd <= 0.6 * of_mean:  # below this the root mean square does not hold more than 95.5 %
        return root_mean_square
    return min(root_mean_square, (in_sd + _Z955 * of_mean) / _Z95)


def tabulated_factor(
    rule: SelectionRule, made: int, averaged: int, limit_in_sd: float | None
) -> Factor | None:
    """Return the factor from the shipped table, between its limits by straight lines.

    Args:
        rule: the rule.
        made: accurate trials made.
        averaged: how many of them are averaged; fewer than ``made``.
        limit_in_sd: concordance limit over standard deviation of a single trial, given that the trials
            agreed; None where there is no limit.

    Returns:
        A factor; one whose value is nan, with the reason in ``source``, outside the table; None for rules
        that have no table.
    """
    key = (made, averaged)
    name = f"table for “{rule.words}”, {averaged} of {made} trials"
    if made > table.LARGEST_COUNT:
        return Factor(math.nan, f"the table ends at {table.LARGEST_COUNT} trials")
    if rule.kind is Kind.CLOSEST and (limit_in_sd is None or limit_in_sd > table.LIMITS_IN_SD[-1]):
        return Factor(table.CLOSEST[key], name)
    rows = {
        Kind.CLOSEST: table.CLOSEST_WITHIN,
        Kind.GROUP: table.GROUP_WITHIN,
        Kind.FIRST: table.FIRST_WITHIN,
    }.get(rule.kind)
    if rows is None or limit_in_sd is None:
        return None
    return _between(rows[key], limit_in_sd, name)


def _between(row: Sequence[float | None], limit_in_sd: float, name: str) -> Factor:
    """Return the factor at a limit between two entries of a row."""
    grid = table.LIMITS_IN_SD
    if limit_in_sd < grid[0]:
        return Factor(math.nan, f"the table begins at a limit of {grid[0]:g} standard deviations")
    upper = bisect_left(grid, limit_in_sd)
    cells = row[max(upper - 1, 0) : upper + 1] if upper < len(grid) else ()
    left, right = (cells[0], cells[-1]) if cells else (None, None)
    if left is None or right is None:
        rare = f"seen in fewer than 1 of 1000 series when the limit is {limit_in_sd:.2g} standard deviations"
        return Factor(math.nan, rare, fits=False)
    share = 0.0 if upper == 0 else (limit_in_sd - grid[upper - 1]) / (grid[upper] - grid[upper - 1])
    return Factor(left + share * (right - left), f"{name}, limit {limit_in_sd:.2g} standard deviations")
