"""The trials as written down, and whether they agree."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from halfdrop.core.measure.rounding import report_alone
from halfdrop.core.titration.record import State, Trial
from halfdrop.core.titration.work import Compared, Worked
from halfdrop.reports.content import (
    Beside, Block, Facts, Figure, Head, Paragraph, Quiet, Section, Strong, Table, TableRow, Words, words,
)  # fmt: skip
from halfdrop.reports.figures import Mark, trial_scale
from halfdrop.reports.symbols import symbol
from halfdrop.reports.units import unit_text, with_unit
from halfdrop.reports.words import beside, chemistry, minus, sentence, significant, trials
from halfdrop.usecases.result import TrialRow, trial_rows
from halfdrop.core.measure.outliers import dixon, grubbs

MARKS = {"used": "averaged", "accurate": "not averaged"}


def trial_sections(worked: Worked, level: int = 2) -> Iterator[Section]:
    """Return the trials of a determination, a section for each series: table, agreement, statistics."""
    several = len(worked.method.series) > 1
    for name, series in worked.method.series.items():
        rows = trial_rows(worked, name)
        if not rows:
            continue
        title = f"Trials: {name}" if several else "Trials"
        blocks: list[Block] = [trial_table(worked, name, rows, series.says)]
        if name in worked.compared:
            blocks += agreement(worked.compared[name], worked)
        yield Section(title, tuple(blocks), level)


def trial_table(worked: Worked, name: str, rows: Sequence[TrialRow], says: str) -> Table:
    """Return a table of trials: readings as written, titre, corrected titre, what became of each and who read it."""
    readings = worked.method.series[name].readings
    own = list(dict.fromkeys(q for row in rows for q in row.trial.given))
    corrected = [r for r in rows if r.corrected_ml is not None]
    changed = any(
        f"{r.corrected_ml:.6f}" != f"{float(r.titre):.6f}" for r in corrected if r.corrected_ml is not None
    )
    by_results = any(row.result is not None for row in rows)
    heads = [
        Head(words("trial")),
        *(_given_head(worked, q) for q in own),
        *(Head(words(r), "mL", numeric=True) for r in readings),
    ]
    heads.append(Head(words("titre"), "mL", numeric=True))
    if changed:
        heads.append(Head(words("corrected"), "mL", numeric=True))
    if by_results:
        heads.append(Head(words("result"), unit_text(worked.compared[name].unit), numeric=True))
    heads.append(Head(words("what became of it")))
    digits = _result_digits(worked.compared.get(name))
    body = []
    for row in rows:
        cells: list[Words] = [words(row.trial.label), *(words(_given_text(row.trial, q)) for q in own)]
        cells += [words(_reading(row.trial, r)) for r in readings]
        cells.append(words(minus(row.titre)))
        if changed:
            cells.append(words("" if row.corrected_ml is None else minus(f"{row.corrected_ml:.3f}")))
        if by_results:
            cells.append(words("" if row.result is None else minus(f"{row.result:.{digits}f}")))
        cells.append(_fate(row))
        body.append(TableRow(tuple(cells), "plain" if row.used else "aside"))
    caption = words(
        sentence(says) if says else "Trials as written down.",
        " ",
        Quiet("Readings as they were written down."),
    )
    return Table(caption, tuple(heads), tuple(body))


def _result_digits(compared: Compared | None) -> int:
    if compared is None or not compared.by_results:
        return 0
    spread = min(
        (one.sd for one in compared.scatter.values() if one.sd > 0), default=abs(compared.summary.mean) * 1e-4
    )
    return max(0, 2 - math.floor(math.log10(spread))) if spread > 0 else 4


def _given_head(worked: Worked, name: str) -> Head:
    quantity = worked.method.quantities[name]
    return Head((symbol(quantity.symbol),), unit_text(quantity.unit), numeric=True)


def _given_text(trial: Trial, name: str) -> str:
    given = trial.given.get(name)
    if given is None:
        return ""
    if given.gross is not None and given.tare is not None:
        return f"{given.value:.{_decimals(given.written)}f}"
    return given.written.replace(",", ".").split(" ")[0] or f"{given.value:g}"


def _decimals(written: str) -> int:
    parts = written.replace(",", ".").split(".")
    return len(parts[1].split(" ")[0]) if len(parts) > 1 else 4


def _reading(trial: Trial, name: str) -> str:
    return str(trial.readings[name]) if name in trial.readings else ""


def _fate(row: TrialRow) -> Words:
    """Say what became of a trial, where it was refilled, who read it, and what was remarked."""
    trial = row.trial
    state = row.reason if row.used or trial.state is not State.ABANDONED else f"abandoned: {row.reason}"
    if trial.reason and trial.reason.who:
        state += f" ({', '.join(part for part in (trial.reason.who, trial.reason.when) if part)})"
    more = [f"refilled at {r.before}, on from {r.after}" for r in trial.refills]
    more += [f"burette {trial.burette}"] if trial.burette else []
    more += [f"read by {trial.read_by}"] if trial.read_by else []
    more += [f"tap: {trial.tap_by}"] if trial.tap_by else []
    more += [trial.time] if trial.time else []
    more += [f"{trial.temperature_degc:g} °C"] if trial.temperature_degc is not None else []
    more += [trial.note] if trial.note else []
    first = Strong(state) if row.used else state
    return words(first, Quiet(f"; {'; '.join(more)}") if more else "")


# -------------------------------------------------------------------------------------------------- agreement


def agreement(compared: Compared, worked: Worked) -> list[Block]:
    """Say whether the trials agree, by the rule and by the statistics, and draw them on their scale."""
    figure = Figure(_picture(compared), "", _figure_alt(compared))
    return [
        Paragraph((Strong(verdict(compared)),), "lead"),
        Beside(figure, (Facts(tuple(_rule_facts(compared, worked))),)),
        Facts(tuple(_statistics(compared))),
    ]


def _labels(compared: Compared, positions: Sequence[int]) -> list[str]:
    return [compared.trials[p].label for p in positions]


def verdict(compared: Compared) -> str:
    """Return in one sentence whether the trials agree."""
    selection, unit = compared.selection, compared.unit
    if not selection.used:
        return "There is no accurate trial to average."
    used = trials(_labels(compared, selection.used))
    used = used[0].upper() + used[1:]
    if len(selection.used) == 1:
        return f"{used} stands alone: agreement cannot be judged."
    span = with_unit(_size(selection.spread), unit)
    if selection.concordant is None or compared.limit is None:
        return f"{used} are averaged; they span {span}."
    limit = with_unit(_size(compared.limit), unit)
    if selection.concordant:
        return f"{used} agree: they span {span}, and {limit} is allowed."
    return (
        f"The trials do not agree within {limit}: {used[0].lower()}{used[1:]} are averaged and span {span}."
    )


def _size(value: float) -> str:
    """Return a small difference as it is said: two or three digits, no more than readings have."""
    return minus(report_alone(value, significant=2).text()) if value else "0"


def _rule_facts(compared: Compared, worked: Worked) -> Iterator[tuple[str, Words]]:
    selection, agreed = compared.selection, worked.method.agreement
    yield "Rule", words(f"average {selection.rule.words}.")
    if compared.limit is not None:
        own = worked.determination.choice.limit_ml
        asked = f"{own:g} mL, as asked for" if own is not None else f"{agreed.limit_ml} mL ({agreed.source})"
        text = (
            f"{asked}; as results, {with_unit(_size(compared.limit), compared.unit)}"
            if compared.by_results
            else asked
        )
        yield "Limit", words(f"{text}.")
    spread = compared.summary.standard_deviation
    mean = sum(w * v for w, v in zip(selection.weights, compared.values, strict=True))
    yield (
        "Mean used",
        words(
            Strong(with_unit(beside(mean, spread), compared.unit)),
            f", of {trials(_labels(compared, selection.used))}.",
        ),
    )
    yield (
        "Factor",
        words(
            f"u(mean) = {selection.factor.value:.3f} × standard deviation; ",
            Quiet(f"{selection.factor.source}."),
        ),
    )
    for line, one in compared.scatter.items():
        of = f" of {worked.built.working.steps[line].says}" if len(compared.scatter) > 1 else ""
        dof = f"{one.dof:g} degrees of freedom" if math.isfinite(one.dof) else "taken as exactly known"
        yield (
            f"Repeatability{of}",
            words(
                Strong(with_unit(significant(one.sd), compared.unit)),
                f" for one trial, {dof}: ",
                Quiet(sentence(one.words)),
            ),
        )


def _statistics(compared: Compared) -> Iterator[tuple[str, Words]]:
    """The figures of the accurate trials, whatever the rule averages."""
    one, unit = compared.summary, compared.unit
    if one.count > 1:
        spread = one.standard_deviation
        names = trials(_labels(compared, compared.selection.accurate))
        yield (
            "All accurate trials",
            words(
                f"{names}: mean {with_unit(beside(one.mean, spread), unit)}, standard deviation "
                f"{with_unit(significant(spread), unit)}, relative average deviation {significant(one.relative_average_deviation_ppt)} ppt, "
                f"span {with_unit(_size(one.value_range), unit)}."
            ),
        )
        yield (
            f"{100 * one.probability:g} % interval",
            words(
                f"{beside(one.lower, spread)} to {with_unit(beside(one.upper, spread), unit)} for their mean, from their own scatter (Student's t)."
            ),
        )
    for test in (grubbs(compared.accurate), dixon(compared.accurate)):
        yield (
            test.test,
            words(f"{test.words} ", Quiet(f"Convention: {test.convention}; level {test.level:g}.")),
        )


def _picture(compared: Compared) -> object:
    spread = compared.summary.standard_deviation
    selection = compared.selection
    mean = sum(w * v for w, v in zip(selection.weights, compared.values, strict=True))
    limit = None if compared.limit is None else f"limit\n{_size(compared.limit)}"
    return trial_scale(
        _marks(compared),
        mean,
        compared.limit,
        f"mean {beside(mean, spread)}",
        limit or "",
        tube=compared.unit == "mL",
    )


def _marks(compared: Compared) -> list[Mark]:
    selection = compared.selection
    digits = _result_digits(compared) if compared.by_results else _titre_decimals(compared)
    marks = []
    for k, (trial, value) in enumerate(zip(compared.trials, compared.values, strict=True)):
        kind = "used" if k in selection.used else "accurate" if k in selection.accurate else "aside"
        fate = MARKS.get(kind) or trial.state.value
        marks.append(Mark(value, f"{trial.label}: {minus(f'{value:.{digits}f}')}  {fate}", kind))
    return marks


def _titre_decimals(compared: Compared) -> int:
    written = max((r.decimals for t in compared.trials for r in t.readings.values()), default=2)
    exact = all(abs(v - round(v, written)) < 1e-9 for v in compared.values)
    return written if exact else written + 1


def _figure_alt(compared: Compared) -> str:
    marks = "; ".join(f"trial {m.text.replace('  ', ', ')}" for m in _marks(compared))
    return f"The trials on a scale in {compared.unit}. {marks}. {verdict(compared)}"


def short_agreement(compared: Compared) -> Words:
    """Return the verdict with the mean, for a determination that another rests on."""
    return words(Strong(verdict(compared)), *chemistry(""))
