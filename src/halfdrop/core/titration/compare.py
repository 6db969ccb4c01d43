"""Trials of one series compared: which agree, which are averaged, and how much a single one scatters."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import numpy as np

from halfdrop.core.measure.estimate import Array, Estimate
from halfdrop.core.measure.evaluation import Evaluator, total_weights
from halfdrop.core.measure.statistics import Summary, summarise
from halfdrop.core.titration.build import Built
from halfdrop.core.titration.fill import complete_trials
from halfdrop.core.titration.method import Method
from halfdrop.core.titration.record import Determination, State, Trial
from halfdrop.core.titration.scatter import Scatter, Trials, scatter_of
from halfdrop.core.titration.selection import RULES, Selection, own_scatter_counts, select
from halfdrop.core.titration.selection_rules import SelectionRule

ENOUGH_READINGS = 6  # so many that all end in 0 or 5 by chance: once in 15 000 pages


@dataclass(frozen=True)
class Page:
    """What trials are compared with: the method, its working, the working made ready."""

    method: Method
    built: Built
    determination: Determination
    evaluator: Evaluator

    @property
    def rule(self) -> SelectionRule:
        """The rule by which trials are chosen: the determination's, or else the method's."""
        return RULES[self.determination.choice.rule or self.method.agreement.rule]

    @property
    def limit_ml(self) -> float:
        """How far apart titres may lie and still agree."""
        own = self.determination.choice.limit_ml
        return float(self.method.agreement.limit_ml) if own is None else own


@dataclass(frozen=True)
class Compared:
    """One series after its trials were compared and chosen.

    Attributes:
        series: its name.
        trials: its complete trials, in the order of the page.
        lines: names of the lines that are averaged.
        unit: their unit.
        values: what was compared, one per trial: titres, or results where each trial has its own mass.
        by_results: whether results were compared rather than titres.
        limit: concordance limit in that unit, or None.
        selection: which trials are averaged, and the factor for their mean.
        scatter: repeatability of one trial, for each averaged line.
        summary: figures of the accurate trials.
    """

    series: str
    trials: tuple[Trial, ...]
    lines: tuple[str, ...]
    unit: str
    values: tuple[float, ...]
    by_results: bool
    limit: float | None
    selection: Selection
    scatter: Mapping[str, Scatter]
    summary: Summary

    @property
    def accurate(self) -> tuple[float, ...]:
        """Values of the accurate trials."""
        return tuple(self.values[k] for k in self.selection.accurate)


def even_weights(trials: Sequence[Trial]) -> Array:
    """Return equal weights over the accurate trials, or over all if none is."""
    accurate = np.array([t.state is State.ACCURATE for t in trials])
    return total_weights(accurate if accurate.any() else ~accurate)


def compare(
    page: Page, series: str, estimates: Mapping[str, Estimate], weights: Mapping[str, Array]
) -> Compared:
    """Compare the trials of one series, choose those to be averaged, and settle their repeatability."""
    trials, lines = complete_trials(page.determination, series), page.built.averaged[series]
    evaluator = page.evaluator
    values = evaluator.tape.forward({name: one.value for name, one in estimates.items()}, weights)
    each = {line: np.broadcast_to(values[evaluator.places[line]], (len(trials),)) for line in lines}
    per_ml = {line: _per_ml(page, line, series, values, weights) for line in lines}
    units = [page.built.working.steps[line].unit for line in lines]
    by_results = any(unit != "mL" for unit in units)
    # several results are compared by the last of them; titres by what was delivered in all
    judged = lines[-1:] if by_results else _whole_titres(lines, page.built.delivered[series])
    limit = page.limit_ml * (per_ml[lines[-1]] if by_results else 1.0)
    accurate = [k for k, t in enumerate(trials) if t.state is State.ACCURATE]
    scatter = {line: _scatter(page, each[line][accurate], per_ml[line], trials) for line in lines}
    total = np.sum([each[line] for line in judged], axis=0)
    selection = select(
        [float(value) for value in total],
        page.rule,
        limit=limit,
        sd=math.hypot(*(scatter[line].sd for line in judged)),
        step=recording_step_ml(trials) * max(per_ml[line] for line in judged),
        set_aside={k: t.state.value for k, t in enumerate(trials) if t.state is not State.ACCURATE},
        marked=[k for k, t in enumerate(trials) if t.label in page.determination.choice.used],
        labels=[t.label for t in trials],
        unit=units[-1],
    )
    summary = summarise(total[accurate])
    together = tuple(float(value) for value in total)
    return Compared(
        series, trials, lines, units[-1], together, by_results, limit, selection, scatter, summary
    )


def _whole_titres(lines: Sequence[str], delivered: Sequence[str]) -> Sequence[str]:
    """Return the averaged lines of the titres that together make up what was delivered."""
    whole = [line for line in lines if any(line == t or line.startswith(f"{t}_") for t in delivered)]
    return whole or lines


def _scatter(page: Page, values: Array, per_ml: float, trials: Sequence[Trial]) -> Scatter:
    known = Trials(
        own_sd=float(np.std(values, ddof=1)) if len(values) > 1 else math.nan,
        count=len(values),
        per_ml=per_ml,
        mean=float(np.mean(values)),
        step=recording_step_ml(trials),
        readings=2 + 2 * max(len(t.refills) for t in trials),
        counts=own_scatter_counts(page.rule, len(values)),
        honest=not page.rule.stops,
    )
    method = page.method
    typical_ml = float(method.repeatability_ml)
    return scatter_of(known, page.determination.repeatability, typical_ml, method.repeatability_source)


def recording_step_ml(trials: Sequence[Trial]) -> float:
    """Return the step to which readings were written, mL.

    That of the coarsest accurate reading, or the multiple of it that all of them keep to.
    """
    used = [t for t in trials if t.state is State.ACCURATE] or list(trials)
    readings = [r for t in used for r in t.readings.values()]
    step = Decimal(1).scaleb(-min(r.decimals for r in readings))
    for coarser in (step * 5, step * 2):
        if len(readings) >= ENOUGH_READINGS and all(r.decimal % coarser == 0 for r in readings):
            return float(coarser)
    return float(step)


def _per_ml(page: Page, line: str, series: str, values: Sequence[Any], weights: Mapping[str, Array]) -> float:
    """Return the change of a line per mL of titre, root mean square over the trials."""
    places = page.evaluator.places
    back = page.evaluator.tape.backward(places[line], values, weights)
    each = [back[places[titre]] for titre in page.built.titres[series]]
    return float(np.sqrt(np.mean(sum(np.square(one) for one in each if one is not None))))
