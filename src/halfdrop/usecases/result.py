"""The main job: from a page of readings to a result that can be defended."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from halfdrop.core.findings import Finding
from halfdrop.core.measure.expression import symbols
from halfdrop.core.measure.monte_carlo import Comparison, Sampled, compare, propagate, with_tails
from halfdrop.core.measure.outliers import OutlierTest, dixon, grubbs
from halfdrop.core.measure.rounding import Reported, report
from halfdrop.core.measure.statistics import coverage_factor
from halfdrop.core.titration.compare import Compared
from halfdrop.core.titration.record import Trial
from halfdrop.core.titration.work import Found, Worked
from halfdrop.usecases.alternatives import Alternative, alternatives
from halfdrop.usecases.chain import seen_in, work_file

PROBABILITY = 0.95
SEED = 20_260_914  # of the Monte Carlo, so that the same file gives the same draws


@dataclass(frozen=True)
class Asked:
    """What is wanted besides the result: what the choices cost, a Monte Carlo to 1 or 2 digits (0 = none)."""

    choices: bool = False
    monte_carlo_digits: int = 0
    seed: int = SEED


@dataclass(frozen=True)
class TrialRow:
    """One trial as the table shows it.

    Attributes:
        trial: as written down.
        titre: volume delivered as read, exact text in mL (with several end points the sum); "" for an
            abandoned trial.
        corrected_ml: corrected for scale, temperature and end point; None for an abandoned trial.
        result: result of this trial where each has its own, else None.
        used: whether it is averaged.
        reason: what became of it, in words.
    """

    trial: Trial
    titre: str
    corrected_ml: float | None
    result: float | None
    used: bool
    reason: str


@dataclass(frozen=True)
class BudgetRow:
    """One line of the uncertainty budget.

    Attributes:
        name: what it is, in words.
        inputs: inputs of the working it acts through.
        group: heading.
        value, unit, u: the input, where it is a single one; else None and "".
        component: its part of the standard uncertainty, unit of the result.
        share: its part of the variance, 0 to 1.
        dof: degrees of freedom.
        source: where value and uncertainty come from.
    """

    name: str
    inputs: tuple[str, ...]
    group: str
    value: float | None
    unit: str
    u: float | None
    component: float
    share: float
    dof: float
    source: str


@dataclass(frozen=True)
class Stated:
    """One result as it is stated.

    Attributes:
        found: the result with its budget.
        dof: effective degrees of freedom.
        k: coverage factor, and ``coverage``: what it was chosen by, in words.
        reported: value and standard uncertainty, rounded.
        expanded: value and expanded uncertainty, rounded.
    """

    found: Found
    dof: float
    k: float
    coverage: str
    reported: Reported
    expanded: Reported

    @property
    def expanded_u(self) -> float:
        """Expanded uncertainty, unit of the result."""
        return self.k * self.found.u


@dataclass(frozen=True)
class ResultAnswer:
    """A result with all that defends it.

    Attributes:
        worked: the determination worked out.
        findings: everything noticed, in its file, in those it rests on and in the sums.
        stated: every result; the last is the one the budget is about.
        sampled, comparison: Monte Carlo and how it compares, if asked for.
        alternatives: the result under other choices, if asked for.
    """

    worked: Worked
    findings: tuple[Finding, ...]
    stated: tuple[Stated, ...]
    sampled: Sampled | None = None
    comparison: Comparison | None = None
    alternatives: tuple[Alternative, ...] = ()

    @property
    def main(self) -> Stated:
        """The result that the budget is about."""
        return self.stated[-1]

    @property
    def dof(self) -> float:
        """Effective degrees of freedom of the main result."""
        return self.main.dof

    @property
    def k(self) -> float:
        """Coverage factor of the main result."""
        return self.main.k

    @property
    def coverage(self) -> str:
        """What the coverage factor was chosen by, in words."""
        return self.main.coverage

    @property
    def reported(self) -> Reported:
        """The main result with its standard uncertainty, rounded."""
        return self.main.reported

    @property
    def expanded(self) -> Reported:
        """The main result with its expanded uncertainty, rounded."""
        return self.main.expanded

    @property
    def expanded_u(self) -> float:
        """Expanded uncertainty of the main result."""
        return self.main.expanded_u

    def trial_rows(self, series: str) -> tuple[TrialRow, ...]:
        """Return all trials of a series, in the order of the page."""
        return trial_rows(self.worked, series)

    def budget(self) -> tuple[BudgetRow, ...]:
        """Return the budget by input, largest first."""
        return budget_rows(self.worked)

    def outlier_tests(self, series: str) -> tuple[OutlierTest, OutlierTest]:
        """Return what Grubbs and Dixon say of the accurate trials of a series; neither removes anything."""
        values = self.worked.compared[series].accurate
        return grubbs(values), dixon(values)

    def to_json(self) -> dict[str, object]:
        """Return the answer as data."""
        from halfdrop.usecases.result_data import result_as_data

        return result_as_data(self)


def result(path: Path, asked: Asked | None = None) -> ResultAnswer:
    """Work out the determination in a file.

    Raises:
        Refused: with all findings, when the file or one it rests on cannot be used.
    """
    asked = asked or Asked()
    worked, findings = work_file(path)
    noticed_all = (*findings, *seen_in(worked, path))
    stated = tuple(state(one, worked.determination.coverage) for one in worked.results)
    sampled = comparison = None
    if asked.monte_carlo_digits:
        sampled, comparison = _sampled(worked, stated[-1].dof, asked)
    return ResultAnswer(
        worked, noticed_all, stated, sampled, comparison, alternatives(worked) if asked.choices else ()
    )


def state(found: Found, coverage_asked: str) -> Stated:
    """Return a result as it is stated: coverage factor, expanded uncertainty, rounded."""
    dof = float(found.evaluation.dof())
    k, coverage = _coverage(coverage_asked, dof)
    return Stated(found, dof, k, coverage, report(found.value, found.u), report(found.value, k * found.u))


def _sampled(worked: Worked, dof: float, asked: Asked) -> tuple[Sampled, Comparison]:
    evaluator, rng = worked.evaluator(), np.random.default_rng(asked.seed)
    # to a fifth of the tolerance of the comparison that follows (JCGM 101:2008, 8.2)
    sampled = propagate(
        evaluator, worked.estimates, worked.weights, rng, digits=asked.monte_carlo_digits, fraction=0.2
    )
    k95 = coverage_factor(max(dof, 1.0), PROBABILITY)
    return sampled, compare(
        worked.value, worked.u, k95, sampled,
        digits=asked.monte_carlo_digits, unit=worked.unit, tails=with_tails(worked.evaluation.contributions),
    )  # fmt: skip


def _coverage(asked: str, dof: float) -> tuple[float, str]:
    """Return the coverage factor and its words; ``asked`` is ``95 %`` or ``k = 2``."""
    if "=" in asked:
        return float(asked.split("=")[1].replace(",", ".")), f"{asked}, as asked for"
    probability = float(asked.replace("%", "").replace(",", ".")) / 100
    whole = max(math.floor(dof + 1e-9), 1) if math.isfinite(dof) else math.inf
    k = coverage_factor(whole, probability)
    of = f"{whole:g} degrees of freedom" if math.isfinite(whole) else "unlimited degrees of freedom"
    return k, f"{asked} coverage, t-distribution with {of}"


def trial_rows(worked: Worked, series: str) -> tuple[TrialRow, ...]:
    """Return all trials of a series, in the order of the page, abandoned ones included."""
    compared = worked.compared.get(series)
    places = {trial.label: k for k, trial in enumerate(compared.trials)} if compared else {}
    delivered = _delivered(worked, series)
    rows = []
    for trial in worked.determination.trials:
        if trial.series == series:
            k = places.get(trial.label)
            if compared is None or k is None:
                rows.append(_without(trial))
            else:
                rows.append(_row(worked, compared, delivered, trial, k))
    return tuple(rows)


def _without(trial: Trial) -> TrialRow:
    """Return the row of a trial that has no titre."""
    return TrialRow(trial, "", None, None, used=False, reason=_became(trial.state.value, trial))


def _row(
    worked: Worked, compared: Compared, delivered: Mapping[str, tuple[str, str]], trial: Trial, k: int
) -> TrialRow:
    lines, selection = worked.evaluation.lines, compared.selection
    return TrialRow(
        trial,
        str(sum(s.delivered_ml for pair in delivered.values() for s in trial.segments(*pair))),
        sum(float(lines[_last_titre(worked, titre)][k]) for titre in delivered),
        compared.values[k] if compared.by_results else None,
        selection.weights[k] > 0,
        _became(selection.reasons[k], trial),
    )


def _became(what: str, trial: Trial) -> str:
    return what + (f": {trial.reason.why}" if trial.reason else "")


def _last_titre(worked: Worked, titre: str) -> str:
    """Return the last of the corrections of a titre that still differ by trial."""
    hides: Mapping[str, str] = worked.built.hides
    after = {old: new for new, old in hides.items() if not new.endswith("_rep")}
    while titre in after:
        titre = after[titre]
    return titre


def _delivered(worked: Worked, series: str) -> dict[str, tuple[str, str]]:
    """Return the titres that make up what the main burette delivered, with first and last reading."""
    found, fills = {}, worked.built.fills
    for titre in worked.built.delivered.get(series, ()):
        reading = fills[symbols(worked.built.working.steps[titre].formula)[0]].split()
        scale = fills.get(titre.replace("titre", "scale", 1), "")
        if not scale.endswith(" second_burette"):
            found[titre] = (reading[2], reading[3])
    return found


def budget_rows(worked: Worked) -> tuple[BudgetRow, ...]:
    """Return the budget by input, largest first; causes acting through the same inputs are taken together."""
    total = worked.u**2
    rows: dict[tuple[tuple[str, ...], str], list[Any]] = {}
    for one in worked.evaluation.contributions:
        rows.setdefault((tuple(sorted(set(one.inputs))), one.group), []).append(one)
    found = [_budget_row(worked, inputs, group, ones, total) for (inputs, group), ones in rows.items()]
    return tuple(sorted(found, key=lambda row: -row.component))


def _budget_row(
    worked: Worked, inputs: tuple[str, ...], group: str, ones: list[Any], total: float
) -> BudgetRow:
    component = math.sqrt(sum(float(one.component) ** 2 for one in ones))
    first, estimate = worked.working.inputs[inputs[-1]], worked.estimates[inputs[-1]]
    single = len(inputs) == 1 and np.ndim(estimate.value) == 0
    u = estimate.standard_uncertainty()
    return BudgetRow(
        first.says,
        inputs,
        group,
        float(estimate.value) if single else None,
        first.unit if single else "",
        float(np.max(u)) if single else None,
        component,
        component**2 / total if total else 0.0,
        min(one.dof for one in ones),
        estimate.source,
    )
