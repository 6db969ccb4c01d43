"""A determination worked out: trials compared and chosen, repeatability settled, the working evaluated."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from halfdrop.core.findings import Finding, Place, Severity, refuse_if_any
from halfdrop.core.measure.estimate import Array, Estimate
from halfdrop.core.measure.evaluation import Evaluation, Evaluator
from halfdrop.core.measure.working import Working
from halfdrop.core.titration.blocks import Block
from halfdrop.core.titration.build import BLANK, Built, Outline, build
from halfdrop.core.titration.cases import Seen, tell
from halfdrop.core.titration.chain import joined
from halfdrop.core.titration.compare import Compared, Page, compare, even_weights
from halfdrop.core.titration.fill import complete_trials, fill, refined, series_of, ungiven
from halfdrop.core.titration.method import Cases, Method, Series
from halfdrop.core.titration.record import Determination, State


@dataclass(frozen=True)
class Found:
    """One result of a determination: how it is named, its line in the working, and its budget."""

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
    for name, one in [
        *determination.given.items(),
        *(p for t in determination.trials for p in t.given.items()),
    ]:
        given |= {f"{name} by difference"} if one.gross is not None else set()
    given |= {"end_point"} if determination.end_point else set()
    segments = {name: _most_segments(series, determination) for name, series in method.series.items()}
    return Outline(frozenset(given), per_trial, segments)


def _most_segments(series: Series, determination: Determination) -> int:
    """Return the most deliveries of any trial on the way to its end point, or to the last of several.

    Readings in pairs belong to burettes of their own; an odd one is a second end point of the same run.
    """
    names = series.readings
    spans = (
        list(zip(names[::2], names[1::2], strict=False)) if len(names) % 2 == 0 else [(names[0], names[-1])]
    )
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
    working, estimates, weights = joined(built.working, links)
    estimates |= {**fill(method, built, determination), **saved}
    estimates = refined({k: v for k, v in estimates.items() if k in working.inputs})
    for series in built.working.series:
        weights[series] = even_weights(complete_trials(determination, series))
    _refuse_without_accurate(determination, built.averaged)
    evaluator = Evaluator(working)
    compared = _settled(Page(method, built, determination, evaluator), estimates, weights)
    findings = [finding for one in compared.values() for finding in _noticed(one)]
    evaluation = evaluator.evaluate(estimates, weights)
    results = _results(method, built, working, estimates, weights, evaluation)
    return Worked(
        determination,
        method,
        built,
        working,
        estimates,
        weights,
        evaluation,
        compared,
        links,
        results,
        tuple(findings),
    )


def _settled(page: Page, estimates: dict[str, Estimate], weights: dict[str, Array]) -> dict[str, Compared]:
    """Compare the trials of every series; put the weights and the repeatability that follow into place."""
    built, compared = page.built, {}
    for series in built.averaged:
        compared[series] = compare(page, series, estimates, weights)
        weights[series] = np.array(compared[series].selection.weights)
    for one in compared.values():
        for line, scatter in one.scatter.items():
            whose = f"trials:{page.determination.file}/{line}"
            estimates[_scatter_input(built, line)] = scatter.estimate(one.selection.factor.value, whose)
    return compared


def _noticed(one: Compared) -> list[Finding]:
    chosen = one.selection.findings if one.series != BLANK else ()  # one blank is usual, and small
    return [*chosen, *(finding for scatter in one.scatter.values() for finding in scatter.findings)]


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
    """Refuse what has nothing to average: a rough trial only shows where the end lies."""
    accurate = {t.series for t in determination.trials if t.state is State.ACCURATE}
    refuse_if_any(
        Finding(
            "no-accurate-trial",
            Severity.REFUSED,
            f"There is no accurate trial of {series} to average. Enter at least one, or say of one that it "
            "is not rough.",
            Place(determination.file, 0, "trial"),
        )
        for series in averaged
        if series not in accurate
    )


def _scatter_input(built: Built, line: str) -> str:
    return next(
        name
        for name, words in built.fills.items()
        if words.startswith("scatter ") and words.split()[2] == line
    )
