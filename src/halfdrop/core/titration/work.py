"""A determination worked out: trials compared and chosen, repeatability settled, the working evaluated."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import partial
from typing import Any

import numpy as np

from halfdrop.core.findings import Finding, Place, Severity, refuse_if_any
from halfdrop.core.measure.estimate import Array, Estimate
from halfdrop.core.measure.evaluation import Evaluation, Evaluator
from halfdrop.core.measure.expression import symbols
from halfdrop.core.measure.statistics import Summary, summarise
from halfdrop.core.measure.working import Working, chained
from halfdrop.core.titration.blocks import Block
from halfdrop.core.titration.build import BLANK, Built, Outline, build
from halfdrop.core.titration.cases import Seen, tell
from halfdrop.core.titration.fill import complete_trials, fill, refined, series_of, ungiven
from halfdrop.core.titration.method import Cases, Method, Series
from halfdrop.core.titration.record import Determination, State, Trial
from halfdrop.core.titration.scatter import Scatter, Trials, scatter_of
from halfdrop.core.titration.selection import RULES, Selection, select


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


@dataclass(frozen=True)
class Found:
    """One result of a determination that has several: how it is named, its line in the working, and its budget."""

    symbol: str
    says: str
    line: str
    unit: str
    evaluation: Evaluation

    @property
    def value(self) -> float:
        """The result, in :attr:`unit`."""
        return float(self.evaluation.value)

    @property
    def u(self) -> float:
        """Its combined standard uncertainty."""
        return float(self.evaluation.u)


@dataclass(frozen=True)
class Worked:
    """A determination worked out, with everything a report or another determination may want of it.

    Attributes:
        determination, method: what was worked out, and how.
        built: its own part of the working.
        working: the whole working, with those of linked determinations under their prefix.
        estimates, weights: the whole input.
        evaluation: result and budget.
        compared: by series.
        links: quantity -> the determination worked out for it.
        results: all results; the last is the one that ``value`` and ``evaluation`` are about.
        case: what a mixture was taken to hold; "" for other methods.
        others: what else it may hold, each worked out as well, when the end points do not tell.
        findings: what was noticed while working it out (not those of linked determinations).
    """

    determination: Determination
    method: Method
    built: Built
    working: Working
    estimates: Mapping[str, Estimate]
    weights: Mapping[str, Array]
    evaluation: Evaluation
    compared: Mapping[str, Compared]
    links: Mapping[str, Worked]
    results: tuple[Found, ...]
    findings: tuple[Finding, ...]
    case: str = ""
    others: Mapping[str, Worked] = field(default_factory=dict)

    @property
    def value(self) -> float:
        """The (last) result, in :attr:`unit`."""
        return self.results[-1].value

    @property
    def u(self) -> float:
        """Its combined standard uncertainty."""
        return self.results[-1].u

    @property
    def unit(self) -> str:
        """The unit of the result."""
        return self.results[-1].unit

    def evaluator(self) -> Evaluator:
        """Return the whole working made ready, for Monte Carlo or for what-if questions."""
        return Evaluator(self.working)


def outline_of(method: Method, determination: Determination) -> Outline:
    """Return what a determination brings, as far as it shapes the working."""
    given = {*determination.given, *determination.links}
    per_trial = {}
    for name in method.quantities:
        if series := series_of(determination, name):
            given.add(name)
            per_trial[name] = series
    for trial in determination.trials:
        given |= {f"{trial.series} trials", *(name for name in trial.readings)}
        given |= {BLANK} if trial.series == BLANK else set()
    for name, one in [*determination.given.items(), *(p for t in determination.trials for p in t.given.items())]:
        given |= {f"{name} by difference"} if one.gross is not None else set()
    given |= {"end_point"} if determination.end_point else set()
    segments = {name: _most_segments(series, determination) for name, series in method.series.items()}
    return Outline(frozenset(given), per_trial, segments)


def _most_segments(series: Series, determination: Determination) -> int:
    """Return the most deliveries of any trial on the way to its end point, or to the last of several.

    Readings in pairs belong to burettes of their own; an odd one is a second end point reached from the same start.
    """
    names = series.readings
    spans = list(zip(names[::2], names[1::2], strict=False)) if len(names) % 2 == 0 else [(names[0], names[-1])]
    trials = complete_trials(determination, series.name)
    return max((len(t.segments(a, b)) for t in trials for a, b in spans), default=1)


def work_out(
    method: Method,
    blocks: Mapping[str, Block],
    determination: Determination,
    links: Mapping[str, Worked] | None = None,
    saved: Mapping[str, Estimate] | None = None,
) -> Worked:
    """Work a determination out.

    Args:
        method: how.
        blocks: the blocks methods are made of.
        determination: what was written down; checked by whoever read it.
        links: quantity -> determination already worked out that gives it.
        saved: quantity -> estimate from a saved result that gives it.
    """
    worked = partial(_worked, method, blocks, determination, links or {}, saved or {})
    return worked() if method.cases is None else _told(method.cases, worked)


def _told(cases: Cases, worked: Callable[..., Worked]) -> Worked:
    """Tell what a mixture holds, and work it out as that; as everything it may be when it cannot be told."""
    undivided = worked()
    seen = [_seen(undivided, undivided.built.names[name]) for name in cases.looks_at]
    told = tell(cases.rule, seen)
    if not told.readings:
        return replace(undivided, findings=(*undivided.findings, *told.findings()))
    first, *others = (replace(worked(cases.given(name)), case=name) for name in told.readings)
    return replace(
        first, findings=(*first.findings, *told.findings()), others={one.case: one for one in others}
    )


def _seen(worked: Worked, line: str) -> Seen:
    part = Evaluator(worked.working.up_to(line)).evaluate(worked.estimates, worked.weights)
    return Seen(float(part.value), float(part.u))


def _worked(
    method: Method,
    blocks: Mapping[str, Block],
    determination: Determination,
    links: Mapping[str, Worked],
    saved: Mapping[str, Estimate],
    known: frozenset[str] = frozenset(),
) -> Worked:
    """Work a determination out, with what is known of it besides (the case of a mixture)."""
    outline = outline_of(method, determination)
    built = build(method, blocks, replace(outline, given=outline.given | known))
    refuse_if_any(ungiven(method, built, determination, saved))
    working, estimates = built.working, fill(method, built, determination)
    weights: dict[str, Array] = {}
    estimates |= saved
    for name, child in links.items():
        working = chained(child.working, name, working, name)
        estimates |= {f"{name}.{k}": v for k, v in child.estimates.items()}
        weights |= {f"{name}.{k}": v for k, v in child.weights.items()}
    estimates = refined({k: v for k, v in estimates.items() if k in working.inputs})
    for series in built.working.series:
        weights[series] = _even(complete_trials(determination, series))
    _refuse_without_accurate(determination, built.averaged)
    evaluator = Evaluator(working)
    compared, findings = {}, []
    for series in built.averaged:
        one = _compare(method, built, determination, series, evaluator, estimates, weights)
        compared[series] = one
        findings += [*one.selection.findings, *(f for s in one.scatter.values() for f in s.findings)]
        weights[series] = np.array(one.selection.weights)
    for one in compared.values():
        for line, scatter in one.scatter.items():
            name = _scatter_input(built, line)
            estimates[name] = scatter.estimate(one.selection.factor.value, f"trials:{determination.file}/{line}")
    evaluation = evaluator.evaluate(estimates, weights)
    results = _results(method, built, working, estimates, weights, evaluation)
    return Worked(
        determination, method, built, working, estimates, weights, evaluation, compared, links, results, tuple(findings)
    )


def _results(
    method: Method,
    built: Built,
    working: Working,
    estimates: Mapping[str, Estimate],
    weights: Mapping[str, Array],
    evaluation: Evaluation,
) -> tuple[Found, ...]:
    """Return every result the method names whose line is there, and the last line where it names none."""
    last = working.result
    found = []
    for one in method.results:
        line = built.names.get(one.name)
        if line is not None and line != last.name:
            part = Evaluator(working.up_to(line)).evaluate(estimates, weights)
            found.append(Found(one.symbol, one.says, line, working.steps[line].unit, part))
    named = next((one for one in method.results if built.names.get(one.name) == last.name), None)
    symbol, says = (named.symbol, named.says) if named else (method.result_symbol, method.result_says)
    return (*found, Found(symbol, says, last.name, last.unit, evaluation))


def _refuse_without_accurate(determination: Determination, averaged: Iterable[str]) -> None:
    """Refuse what has nothing to average: a rough trial shows where the end lies, and is no more than that."""
    accurate = {t.series for t in determination.trials if t.state is State.ACCURATE}
    refuse_if_any(
        Finding(
            "no-accurate-trial",
            Severity.REFUSED,
            f"There is no accurate trial of {series} to average. Enter at least one, or say of one that it is not rough.",
            Place(determination.file, 0, "trial"),
        )
        for series in averaged
        if series not in accurate
    )


def _scatter_input(built: Built, line: str) -> str:
    return next(name for name, words in built.fills.items() if words.startswith("scatter ") and words.split()[2] == line)


def _even(trials: Sequence[Trial]) -> Array:
    """Equal weights over the accurate trials, or over all if none is."""
    accurate = np.array([t.state is State.ACCURATE for t in trials], dtype=float)
    if not accurate.any():
        accurate = np.ones(len(trials))
    return np.asarray(accurate / accurate.sum())


def _compare(
    method: Method,
    built: Built,
    determination: Determination,
    series: str,
    evaluator: Evaluator,
    estimates: Mapping[str, Estimate],
    weights: Mapping[str, Array],
) -> Compared:
    """Compare the trials of one series, choose those to be averaged, and settle their repeatability."""
    trials, lines = complete_trials(determination, series), built.averaged[series]
    values = evaluator.tape.forward({name: one.value for name, one in estimates.items()}, weights)
    each = {line: np.broadcast_to(values[evaluator.places[line]], (len(trials),)) for line in lines}
    per_ml = {line: _per_ml(evaluator, line, built.titres[series], values, weights) for line in lines}
    by_results = not all(built.working.steps[line].unit == "mL" for line in lines)
    # several results are compared by the last of them; titres by what was delivered in all
    judged = lines[-1:] if by_results else _whole_titres(lines, built.delivered[series])
    total = np.sum([each[line] for line in judged], axis=0)
    aside = {k: t.state.value for k, t in enumerate(trials) if t.state is not State.ACCURATE}
    accurate = [k for k in range(len(trials)) if k not in aside]
    rule = RULES[determination.choice.rule or method.agreement.rule]
    limit_ml = determination.choice.limit_ml
    limit = float(method.agreement.limit_ml) if limit_ml is None else limit_ml
    limit *= per_ml[lines[-1]] if by_results else 1.0
    scatter = {
        line: _scatter(method, determination, each[line][accurate], per_ml[line], trials, honest=not rule.stops)
        for line in lines
    }
    selection = select(
        [float(v) for v in total], rule, limit=limit, sd=_sd_of(scatter, judged), step=_step_ml(trials) * max(per_ml[line] for line in judged),
        set_aside=aside,
        marked=[k for k, t in enumerate(trials) if t.label in determination.choice.used],
    )  # fmt: skip
    return Compared(
        series, trials, lines, built.working.steps[lines[-1]].unit, tuple(float(v) for v in total), by_results,
        limit, selection, scatter, summarise(total[accurate]),
    )  # fmt: skip


def _whole_titres(lines: Sequence[str], delivered: Sequence[str]) -> Sequence[str]:
    """Return the averaged lines of the titres that together make up what was delivered."""
    whole = [line for line in lines if any(line == t or line.startswith(f"{t}_") for t in delivered)]
    return whole or lines


def _sd_of(scatter: Mapping[str, Scatter], lines: Sequence[str]) -> float:
    return math.sqrt(sum(scatter[line].sd ** 2 for line in lines))


def _scatter(
    method: Method, determination: Determination, values: Array, per_ml: float, trials: Sequence[Trial], *, honest: bool
) -> Scatter:
    own = float(np.std(values, ddof=1)) if len(values) > 1 else math.nan
    known = Trials(
        own, len(values), per_ml, float(np.mean(values)), _step_ml(trials), 2 + 2 * max(len(t.refills) for t in trials),
        honest,
    )  # fmt: skip
    return scatter_of(known, determination.repeatability, float(method.repeatability_ml), method.repeatability_source)


def _step_ml(trials: Sequence[Trial]) -> float:
    """The step to which readings were written: that of the coarsest accurate reading, or a multiple all keep to."""
    used = [t for t in trials if t.state is State.ACCURATE] or list(trials)
    readings = [r for t in used for r in t.readings.values()]
    step = Decimal(1).scaleb(-min(r.decimals for r in readings))
    for coarser in (step * 5, step * 2):
        # six readings that all end in 0 or 5 by chance: once in 15 000 pages
        if len(readings) >= 6 and all(r.decimal % coarser == 0 for r in readings):
            return float(coarser)
    return float(step)


def _per_ml(
    evaluator: Evaluator, line: str, titres: Sequence[str], values: Sequence[Any], weights: Mapping[str, Array]
) -> float:
    """Return the change of a line per mL of titre, root mean square over the trials."""
    back = evaluator.tape.backward(evaluator.places[line], values, weights)
    each = [back[evaluator.places[t]] for t in titres]
    return float(np.sqrt(np.mean(sum(np.square(one) for one in each if one is not None))))


def amplification(worked: Worked) -> list[tuple[str, float]]:
    """Return, for each line that subtracts one amount from another, how much larger the first is than what is left."""
    found = []
    for step in worked.built.working.steps.values():
        if step.role == "difference" and step.unit == "mol":
            whole = worked.evaluation.lines[symbols(step.formula)[0]]
            left = worked.evaluation.lines[step.name]
            found.append((step.name, float(np.mean(np.abs(whole / left)))))
    return found


def back_titration_findings(worked: Worked) -> list[Finding]:
    """Say so when a back titration leaves too little of the excess to the sample (rules of thumb, no source)."""
    return [
        Finding(
            "back-titration-amplifies",
            Severity.ATTENTION,
            f"The back titre takes most of the excess: the sample used up only 1/{factor:.1f} of it, so an error of "
            "either solution counts that many times. Use less of the excess or more of the sample.",
            evidence={"line": line, "amplification": factor},
        )
        for line, factor in amplification(worked)
        if factor > 5
    ]
