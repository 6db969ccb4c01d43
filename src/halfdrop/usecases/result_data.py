"""A result as data: what ``halfdrop result --json`` prints, and what a later determination can rest on.

The keys ``format``, ``result``, ``contributions``, ``digest``, ``file`` and ``rests_on`` are read back by
:mod:`halfdrop.files.result_json`; change them only with a new format number.
"""

from __future__ import annotations

import math
import posixpath
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from halfdrop import __version__
from halfdrop.core.measure.expression import text_of
from halfdrop.core.measure.outliers import OutlierTest
from halfdrop.core.measure.rounding import report, report_alone
from halfdrop.core.titration.compare import Compared
from halfdrop.core.titration.record import Given, Trial
from halfdrop.core.titration.scatter import Scatter
from halfdrop.core.titration.work import Worked
from halfdrop.usecases.answer import finding_as_data
from halfdrop.usecases.chain import all_determinations
from halfdrop.usecases.result import BudgetRow, ResultAnswer, Stated, TrialRow, budget_rows, state, trial_rows

FORMAT = 1
SIGNIFICANT = 6  # digits of a number that has no uncertainty of its own, enough to go on with


def result_as_data(answer: ResultAnswer) -> dict[str, object]:
    """Return a result as texts, finite numbers, lists and mappings."""
    worked = answer.worked
    record = worked.determination
    data: dict[str, object] = {
        "format": FORMAT,
        "halfdrop": __version__,
        "file": record.file,
        "digest": record.digest,
        "rests_on": [{"file": file, "digest": digest} for file, digest in _pages_below(worked)],
        "method": {
            "name": worked.method.name,
            "title": worked.method.title,
            "analyte": worked.method.analyte,
        },
        "sample": record.sample,
        "analyst": record.analyst,
        "date": record.date,
        "bottle": record.bottle,
        "atomic_weights": f"{record.weights}, {record.interval_value}",
        "result": _result(answer),
        "results": [_stated(one) for one in answer.stated],
        "case": worked.case,
        "others": {
            name: [_stated(state(found, record.coverage)) for found in other.results]
            for name, other in worked.others.items()
        },
        "series": {name: _series(answer, name) for name in worked.compared},
        "working": [
            _determination_lines(worked, prefix, one) for prefix, one in all_determinations(worked).items()
        ],
        "inputs": [_input(worked, name) for name in worked.working.inputs],
        "budget": {
            "inputs": [_budget_row(row) for row in budget_rows(worked)],
            "groups": _groups(worked),
        },
        "contributions": contributions(worked),
        "monte_carlo": _monte_carlo(answer),
        "choices": [
            {"choice": one.choice, **number(one.value, worked.unit, one.u)} for one in answer.alternatives
        ],
        "findings": [finding_as_data(one) for one in answer.findings],
    }
    return data


def _pages_below(worked: Worked, folder: str = "") -> Iterator[tuple[str, str]]:
    """Yield the pages that a determination rests on, seen from its folder, with their digests."""
    for name, child in worked.links.items():
        file = posixpath.normpath(posixpath.join(folder, worked.determination.links[name]))
        yield file, child.determination.digest
        yield from _pages_below(child, posixpath.dirname(file))


def number(value: float, unit: str, u: float | None = None) -> dict[str, object]:
    """Return one number as every door gives it: value, unit, standard uncertainty, the text as reported."""
    shown = report(value, u) if u is not None else report_alone(value, significant=SIGNIFICANT)
    tail = "" if unit == "1" else f" {unit}"
    return {"value": value, "unit": unit, "u": u, "text": f"{shown.text()}{tail}"}


def finite(value: float) -> float | None:
    """Return a number as JSON can hold it: none for infinity and not-a-number."""
    return value if math.isfinite(value) else None


def _result(answer: ResultAnswer) -> dict[str, object]:
    return {
        **_stated(answer.main),
        "rounding": answer.reported.rule,
        "holds_at_degc": _holds_at(answer.worked),
    }


def _stated(one: Stated) -> dict[str, object]:
    found = one.found
    return {
        "symbol": found.symbol,
        "says": found.says,
        "line": found.line,
        **number(found.value, found.unit, found.u),
        "dof": finite(one.dof),
        "expanded": one.expanded_u,
        "k": one.k,
        "coverage": one.coverage,
        "expanded_text": f"{one.expanded.text()}{'' if found.unit == '1' else f' {found.unit}'}",
    }


def _holds_at(worked: Worked) -> float | None:
    room = worked.determination.room
    if room.correct:
        return 20.0
    return room.temperature_degc if room.measured else None


def _series(answer: ResultAnswer, name: str) -> dict[str, object]:
    compared = answer.worked.compared[name]
    grubbs, dixon = answer.outlier_tests(name)
    figures = compared.summary
    return {
        "trials": [_trial(row, compared) for row in trial_rows(answer.worked, name)],
        "compared": "results" if compared.by_results else "titres",
        "unit": compared.unit,
        "rule": compared.selection.rule.name,
        "rule_words": compared.selection.rule.words,
        "limit": compared.limit,
        "concordant": compared.selection.concordant,
        "spread": finite(compared.selection.spread),
        "mean_factor": {"value": compared.selection.factor.value, "source": compared.selection.factor.source},
        "figures": {
            "count": figures.count,
            "mean": finite(figures.mean),
            "standard_deviation": finite(figures.standard_deviation),
            "relative_average_deviation_ppt": finite(figures.relative_average_deviation_ppt),
            "range": finite(figures.value_range),
            "confidence_interval": [finite(figures.lower), finite(figures.upper)],
            "probability": figures.probability,
        },
        "outlier_tests": [_test(grubbs), _test(dixon)],
        "repeatability": {line: _scatter(one) for line, one in compared.scatter.items()},
    }


def _trial(row: TrialRow, compared: Compared) -> dict[str, object]:
    trial = row.trial
    return {
        "no": trial.label,
        "state": str(trial.state),
        "used": row.used,
        "reason": row.reason,
        "readings": {name: str(reading) for name, reading in trial.readings.items()},
        "refills": [
            {"before": str(r.before), "after": str(r.after), "towards": r.towards} for r in trial.refills
        ],
        "titre": {"text": row.titre, "unit": "mL"},
        "corrected": None if row.corrected_ml is None else number(row.corrected_ml, "mL"),
        "result": None if row.result is None else number(row.result, compared.unit),
        "given": {name: _given(one) for name, one in trial.given.items()},
        **_circumstances(trial),
    }


def _circumstances(trial: Trial) -> dict[str, object]:
    reason = trial.reason
    known: dict[str, object] = {
        "burette": trial.burette, "read_by": trial.read_by, "tap_by": trial.tap_by, "time": trial.time,
        "temperature_degc": trial.temperature_degc, "note": trial.note,
        "set_aside": {"why": reason.why, "who": reason.who, "when": reason.when} if reason else None,
    }  # fmt: skip
    return {name: value for name, value in known.items() if value not in ("", None)}


def _given(one: Given) -> dict[str, object]:
    return {"value": one.value, "unit": one.unit, "u": one.u, "text": f"{one.written} {one.unit}".strip()}


def _test(test: OutlierTest) -> dict[str, object]:
    return {
        "test": test.test, "convention": test.convention, "statistic": finite(test.statistic),
        "limit": finite(test.limit), "verdict": str(test.verdict), "words": test.words,
    }  # fmt: skip


def _scatter(one: Scatter) -> dict[str, object]:
    return {
        "source": str(one.source), "words": one.words, "standard_deviation": one.sd, "dof": finite(one.dof),
        "own_standard_deviation": finite(one.own_sd), "own_dof": one.own_dof,
    }  # fmt: skip


def _determination_lines(worked: Worked, prefix: str, one: Worked) -> dict[str, object]:
    """Return the lines of one determination of the chain, with their values in the whole working."""
    start = f"{prefix}." if prefix else ""
    return {
        "of": prefix,
        "title": one.method.title,
        "lines": [
            {
                "name": f"{start}{step.name}",
                "symbol": step.symbol,
                "says": step.says,
                "role": step.role,
                "unit": step.unit,
                "formula": text_of(worked.working.steps[f"{start}{step.name}"].formula),
                "value": _plain(worked.evaluation.lines[f"{start}{step.name}"]),
            }
            for step in one.built.working.steps.values()
        ],
    }


def _plain(value: Any) -> object:  # noqa: ANN401 - a number or an array of them
    return [float(v) for v in value] if np.ndim(value) else float(value)


def _input(worked: Worked, name: str) -> dict[str, object]:
    one, estimate = worked.working.inputs[name], worked.estimates[name]
    return {
        "name": name, "symbol": one.symbol, "says": one.says, "role": one.role, "scope": one.scope,
        "unit": one.unit, "value": _plain(estimate.value), "u": _plain(estimate.standard_uncertainty()),
        "shape": str(estimate.shape), "dof": finite(estimate.dof), "key": estimate.key,
        "source": estimate.source, "written": estimate.written, "group": one.group or one.role,
    }  # fmt: skip


def _budget_row(row: BudgetRow) -> dict[str, object]:
    return {
        "name": row.name, "inputs": list(row.inputs), "group": row.group, "value": row.value,
        "unit": row.unit, "u": row.u, "component": row.component, "share": row.share, "dof": finite(row.dof),
        "source": row.source,
    }  # fmt: skip


def _groups(worked: Worked) -> list[dict[str, object]]:
    total = worked.u**2
    groups = sorted(worked.evaluation.by_group().items(), key=lambda item: -float(item[1]))
    return [
        {"group": name, "component": float(u), "share": float(u) ** 2 / total if total else 0.0}
        for name, u in groups
    ]


def contributions(worked: Worked) -> list[dict[str, object]]:
    """Return every independent cause with its part of the uncertainty, for later determinations."""
    causes = worked.evaluator().causes(worked.estimates)
    pages = {prefix: one.determination.digest for prefix, one in all_determinations(worked).items()}
    return [
        {
            "key": _kept_key(one.key, pages), "component": float(one.component), "dof": finite(one.dof),
            "shape": str(causes[one.key].shape), "group": one.group,
        }
        for one in worked.evaluation.contributions
        if float(one.component) != 0
    ]  # fmt: skip


def _kept_key(key: str, pages: Mapping[str, str]) -> str:
    """Return a key that means the same wherever the result is used.

    An input of nobody else's has a name within its working only; with the page it stands on, two results that
    rest on one page are known to share it.
    """
    if ":" in key:
        return key
    prefix = max((p for p in pages if key.startswith(f"{p}.") or p == ""), key=len)
    name = key.removeprefix(f"{prefix}.") if prefix else key
    return f"page:{pages[prefix]}/{name}" if pages[prefix] else key


def _monte_carlo(answer: ResultAnswer) -> dict[str, object] | None:
    sampled, comparison = answer.sampled, answer.comparison
    if sampled is None or comparison is None:
        return None
    return {
        "value": sampled.value, "u": sampled.u, "interval": [sampled.low, sampled.high],
        "probability": sampled.probability, "trials": sampled.trials, "settled": sampled.settled,
        "why": sampled.why, "comparison": comparison.words,
    }  # fmt: skip
