"""The uncertainty budget, the Monte Carlo and what the choices cost."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop.core.measure.rounding import report, report_dof
from halfdrop.reports.content import (
    Beside,
    Block,
    Facts,
    Figure,
    Head,
    Paragraph,
    Quiet,
    Section,
    Strong,
    Table,
    TableRow,
    words,
)
from halfdrop.reports.figures import Part, budget_scale
from halfdrop.reports.units import unit_text, with_unit
from halfdrop.reports.words import chemistry, group, listed, minus, percent, sentence, significant
from halfdrop.usecases.result import BudgetRow, ResultAnswer

MOSTLY = 0.5


def groups(answer: ResultAnswer) -> list[tuple[str, float, float]]:
    """Return the headings of the budget, largest first: name, component, share of the variance."""
    worked = answer.worked
    total = worked.u**2
    parts = sorted(worked.evaluation.by_group().items(), key=lambda item: -float(item[1]))
    return [(name, float(u), float(u) ** 2 / total if total else 0.0) for name, u in parts if float(u) > 0]


def budget_title(answer: ResultAnswer) -> str:
    """Return what the budget says, in one sentence."""
    parts = groups(answer)
    if not parts:
        return "Nothing that was given has an uncertainty."
    first, *rest = parts
    if first[2] > MOSTLY:
        return sentence(f"most of the uncertainty is {group(first[0])}")
    share, names = first[2], [first[0]]
    for name, _, more in rest:
        share, names = share + more, [*names, name]
        if share > MOSTLY:
            break
    return sentence(f"{listed(group(name) for name in names)} make up most of the uncertainty")


def budget_sections(answer: ResultAnswer) -> Iterator[Section]:
    """Return the budget: what it says, a chart and a table by group, and a table by input."""
    parts = groups(answer)
    title = budget_title(answer)
    blocks: list[Block] = [Paragraph((Strong(title),), "lead")]
    if parts:
        drawn = [Part(group(name), share, f"{percent(share)} %") for name, _, share in parts]
        told = "; ".join(f"{part.words} {part.text}" for part in drawn)
        figure = Figure(budget_scale(drawn), "", f"{title} Shares of the variance: {told}.")
        blocks += [Beside(figure, (_group_table(answer, parts),)), _input_table(answer)]
    yield Section("Where the uncertainty comes from", tuple(blocks))


def _group_table(answer: ResultAnswer, parts: list[tuple[str, float, float]]) -> Table:
    unit = unit_text(answer.worked.unit)
    rows = [
        TableRow((words(group(name)), words(significant(u)), words(percent(share))))
        for name, u, share in parts
    ]
    rows.append(TableRow((words("together"), words(significant(answer.worked.u)), words("100")), "total"))
    heads = (
        Head(words("from")),
        Head(words("part of u"), unit, numeric=True),
        Head(words("share"), "%", numeric=True),
    )
    return Table(
        words("By heading. ", Quiet("Parts add as squares; a share is that of the variance.")),
        heads,
        tuple(rows),
    )


def _input_table(answer: ResultAnswer) -> Table:
    heads = (
        Head(words("input")), Head(words("standard uncertainty"), numeric=False),
        Head(words("part of u"), unit_text(answer.worked.unit), numeric=True), Head(words("share"), "%", numeric=True),
        Head(words("degrees of freedom")),
    )  # fmt: skip
    rows = tuple(_input_row(row) for row in answer.budget() if row.component != 0)
    return Table(words("By input, largest first."), heads, rows)


def _input_row(row: BudgetRow) -> TableRow:
    own = "" if row.u is None else with_unit(significant(row.u), row.unit)
    return TableRow(
        (
            words(*chemistry(row.name), Quiet(_whose(row))), words(own), words(significant(row.component)),
            words(percent(row.share)), words(report_dof(row.dof)),
        )
    )  # fmt: skip


def _whose(row: BudgetRow) -> str:
    """Return the determination an input belongs to, when it is not the last of the chain."""
    prefixes = list(dict.fromkeys(name.rpartition(".")[0] for name in row.inputs))
    if prefixes == [""]:
        return ""
    return f" ({listed(prefix or 'here' for prefix in prefixes)})"


def monte_carlo_sections(answer: ResultAnswer) -> Iterator[Section]:
    """Return what the Monte Carlo says, if there was one."""
    sampled, comparison = answer.sampled, answer.comparison
    if sampled is None or comparison is None:
        return
    unit = answer.worked.unit
    u = sampled.u or (sampled.high - sampled.low) / 4
    facts = [
        ("Draws", words(f"{sampled.trials:,}".replace(",", "\u202f"))),
        ("Value", words(with_unit(minus(report(sampled.value, u).text().split(" ±")[0].lstrip("(")), unit) if not report(sampled.value, u).exponent
                        else with_unit(report(sampled.value, u).text(), unit))),
        ("Standard uncertainty", words(with_unit(significant(sampled.u), unit) if sampled.u is not None else "none")),
        (f"{100 * sampled.probability:g} % interval", words(f"{_end(sampled.low, u)} to {with_unit(_end(sampled.high, u), unit)}")),
    ]  # fmt: skip
    blocks: list[Block] = [Paragraph((Strong(sentence(comparison.words)),), "lead"), Facts(tuple(facts))]
    if sampled.why:
        blocks.append(Paragraph((sentence(sampled.why),), "quiet"))
    yield Section("Monte Carlo beside it", tuple(blocks))


def _end(value: float, u: float) -> str:
    shown = report(value, u)
    return minus(shown.value) if not shown.exponent else f"{minus(shown.value)} × 10^{shown.exponent}"


def choice_sections(answer: ResultAnswer) -> Iterator[Section]:
    """Return the result under other choices, if asked for."""
    if not answer.alternatives:
        return
    worked = answer.worked
    rows = [
        TableRow((words("as reported"), words(*_row(worked.value, worked.u)), words(""), words("")), "total")
    ]
    for one in answer.alternatives:
        moved = one.value - worked.value
        by = "0" if worked.u == 0 else minus(f"{moved / worked.u:+.2f}")
        ratio = f"{one.u / worked.u:.2f}" if worked.u else ""
        rows.append(TableRow((words(one.choice), words(*_row(one.value, one.u)), words(by), words(ratio))))
    heads = (
        Head(words("choice")), Head(words("result"), unit_text(worked.unit)),
        Head(words("moved by, in u"), numeric=True), Head(words("u, times"), numeric=True),
    )  # fmt: skip
    caption = words("The same data, other choices. ", Quiet("Values with their standard uncertainty."))
    yield Section("What the choices cost", (Table(caption, heads, tuple(rows)),))


def _row(value: float, u: float) -> tuple[str]:
    return (report(value, u).text(),)
