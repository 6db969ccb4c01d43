"""The uncertainty budget, the Monte Carlo and what the choices cost."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from halfdrop.core.measure.rounding import report, report_dof
from halfdrop.core.measure.working import Input
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
    symbols_of,
    words,
)
from halfdrop.reports.figures import Part, budget_scale
from halfdrop.reports.units import unit_text, with_unit
from halfdrop.reports.words import (
    beside,
    chemistry,
    group,
    listed,
    minus,
    percent,
    sentence,
    significant,
    with_like_decimals,
)
from halfdrop.usecases.result import BudgetRow, ResultAnswer

MOSTLY = 0.5  # share of the variance from which something makes up most of the uncertainty

Group = tuple[str, float, float]  # name, component, share of the variance


def groups(answer: ResultAnswer) -> list[Group]:
    """Return the headings of the budget, largest first; those that add nothing are left out."""
    worked = answer.worked
    total = worked.u**2
    parts = sorted(worked.evaluation.by_group().items(), key=lambda item: -float(item[1]))
    return [(name, float(u), float(u) ** 2 / total) for name, u in parts if float(u) > 0]


def budget_title(answer: ResultAnswer) -> str:
    """Return what the budget says, in one sentence."""
    parts = groups(answer)
    if not parts:
        return "Nothing that was given has an uncertainty."
    share, names = 0.0, list[str]()
    for name, _, more in parts:
        share, names = share + more, [*names, group(name)]
        if share > MOSTLY:
            break
    if len(names) == 1:
        return sentence(f"most of the uncertainty is {names[0]}")
    return sentence(f"{listed(names)} make up most of the uncertainty")


def budget_sections(answer: ResultAnswer) -> Iterator[Section]:
    """Return the budget: what it says, a chart and a table by group, and a table by input."""
    parts, title = groups(answer), budget_title(answer)
    blocks: list[Block] = [Paragraph((Strong(title),), "lead")]
    if parts:
        drawn = [Part(group(name), share, f"{percent(share)} %") for name, _, share in parts]
        told = "; ".join(f"{part.words} {part.text}" for part in drawn)
        figure = Figure(budget_scale(drawn), "", f"{title} Shares of the variance: {told}.")
        blocks += [Beside(figure, (_group_table(answer, parts),)), _input_table(answer)]
    yield Section("Where the uncertainty comes from", tuple(blocks))


def _group_table(answer: ResultAnswer, parts: list[Group]) -> Table:
    components = with_like_decimals([*(u for _, u, _ in parts), answer.worked.u])
    rows = [
        TableRow((words(group(name)), words(u), words(percent(share))))
        for (name, _, share), u in zip(parts, components, strict=False)
    ]
    rows.append(TableRow((words("together"), words(components[-1]), words("100")), "total"))
    heads = (
        Head(words("from")),
        Head(words("part of u"), unit_text(answer.worked.unit), numeric=True),
        Head(words("share"), "%", numeric=True),
    )
    note = Quiet("Parts add as squares; a share is that of the variance.")
    return Table(words("By heading. ", note), heads, tuple(rows))


def _input_table(answer: ResultAnswer) -> Table:
    heads = (
        Head(words("input")),
        Head(words("symbol")),
        Head(words("standard uncertainty")),
        Head(words("part of u"), unit_text(answer.worked.unit), numeric=True),
        Head(words("share"), "%", numeric=True),
        Head(words("degrees of freedom")),
    )
    found = [row for row in answer.budget() if row.component != 0]
    components = with_like_decimals([row.component for row in found])
    inputs = answer.worked.working.inputs
    rows = tuple(_input_row(row, part, inputs) for row, part in zip(found, components, strict=True))
    return Table(words("By input, largest first."), heads, rows)


def _input_row(row: BudgetRow, part: str, inputs: Mapping[str, Input]) -> TableRow:
    name = words(*chemistry(row.name), Quiet(_whose(row)))
    own = "" if row.u is None else with_unit(significant(row.u), row.unit)
    signs = symbols_of(inputs[one].symbol for one in row.inputs)
    share, dof = percent(row.share), report_dof(row.dof)
    return TableRow((name, signs, words(own), words(part), words(share), words(dof)))


def _whose(row: BudgetRow) -> str:
    """Return the determination an input belongs to, when it is not the last of the chain."""
    prefixes = list(dict.fromkeys(name.rpartition(".")[0] for name in row.inputs))
    return "" if prefixes == [""] else f" ({listed(prefix or 'here' for prefix in prefixes)})"


def monte_carlo_sections(answer: ResultAnswer) -> Iterator[Section]:
    """Return what the Monte Carlo says, if there was one."""
    sampled, comparison, unit = answer.sampled, answer.comparison, answer.worked.unit
    if sampled is None or comparison is None:
        return
    u = sampled.u or (sampled.high - sampled.low) / 4
    spread = "none" if sampled.u is None else with_unit(significant(sampled.u), unit)
    interval = f"{beside(sampled.low, u)} to {with_unit(beside(sampled.high, u), unit)}"
    facts = (
        ("Draws", words(f"{sampled.trials:,}".replace(",", "\u202f"))),
        ("Value", words(with_unit(beside(sampled.value, u), unit))),
        ("Standard uncertainty", words(spread)),
        (f"{100 * sampled.probability:g} % interval", words(interval)),
    )
    blocks: list[Block] = [Paragraph((Strong(sentence(comparison.words)),), "lead"), Facts(facts)]
    if sampled.why:
        blocks.append(Paragraph((sentence(sampled.why),), "quiet"))
    yield Section("Monte Carlo beside it", tuple(blocks))


def choice_sections(answer: ResultAnswer) -> Iterator[Section]:
    """Return the result under other choices, if asked for."""
    if not answer.alternatives:
        return
    worked = answer.worked
    rows = [TableRow((words("as reported"), words(report(worked.value, worked.u).text()), (), ()), "total")]
    for one in answer.alternatives:
        moved = _moved((one.value - worked.value) / worked.u) if worked.u else ""
        times = f"{one.u / worked.u:.2f}" if worked.u else ""
        value = report(one.value, one.u).text()
        rows.append(TableRow((words(one.choice), words(value), words(moved), words(times))))
    heads = (
        Head(words("choice")),
        Head(words("result"), unit_text(worked.unit)),
        Head(words("moved by"), "u", numeric=True),
        Head(words("uncertainty"), "times u", numeric=True),
    )
    note = Quiet("Values with their standard uncertainty; u is that of the result as reported.")
    yield Section(
        "What the choices cost", (Table(words("The same data, other choices. ", note), heads, tuple(rows)),)
    )


def _moved(times_u: float) -> str:
    """Return how far a result moved, with its sign unless it did not."""
    text = f"{times_u:+.2f}"
    return minus(text) if text.strip("+-0.") else "0.00"
