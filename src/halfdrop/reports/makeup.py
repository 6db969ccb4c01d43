"""Make-up sheets: what to take, in which order, what comes out, what to mind, and who checked it."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop import __version__
from halfdrop.core.chemistry.hazards import statement
from halfdrop.core.measure.rounding import report
from halfdrop.core.solutions.draws import intercept_u_ml
from halfdrop.core.solutions.makeup import Basis, Batch
from halfdrop.files.reagents import shipped_streams
from halfdrop.reports.content import (
    Block,
    Bullets,
    Facts,
    Head,
    Paragraph,
    Quiet,
    Report,
    Section,
    Strong,
    Table,
    TableRow,
    Words,
    paragraphs,
    words,
)
from halfdrop.reports.sums import sum_lines
from halfdrop.reports.units import with_unit
from halfdrop.reports.words import group, percent, sentence, significant
from halfdrop.usecases.makeup import COVERAGE, MakeupAnswer, Sheet, sources_of
from halfdrop.usecases.unknowns import Issued

FIRST = "Local rules and the supplier's safety data sheet come first."
ROOM = "\u00a0" * 25 + "\n\u00a0"  # width and height for a pen
LINE = "______"
RESIDUAL_ML = 0.05  # of a found volume about the class line; common practice, no source


def makeup_report(answer: MakeupAnswer, written_on: str = "") -> Report:
    """Return all sheets as one report, each beginning with what may be said of its concentration."""
    plan = answer.plan
    facts = (
        ("Class", plan.when.strftime("%Y-%m-%d %H:%M") if plan.when else ""),
        ("Made on", plan.made_on),
        ("Analysts", str(plan.analysts)),
        ("Trials of each", str(plan.trials)),
    )
    sections = [part for sheet in answer.sheets for part in sheet_sections(sheet)]
    made = f"Halfdrop {__version__}" + (f", {written_on}" if written_on else "")
    return Report(
        plan.title, "Make-up sheets", tuple(pair for pair in facts if pair[1]), (), tuple(sections),
        f"{plan.title} · make-up · plan {plan.digest[:12]}", made,
    )  # fmt: skip


def sheet_sections(sheet: Sheet) -> Iterator[Section]:
    """Yield the parts of one sheet."""
    yield Section(sheet.wanted.name, tuple(_head(sheet)))
    yield Section("The order of the work", (_steps(sheet),), 3)
    yield Section("Made and checked", (_signatures(),), 3)
    yield Section("Cautions", tuple(_cautions(sheet)), 3)
    yield Section("Where the number comes from", tuple(_sum(sheet)), 3)


def _head(sheet: Sheet) -> Iterator[Block]:
    yield Paragraph((Strong(sheet.claim),), "lead")
    if sheet.basis is Basis.NOMINAL:
        why = sheet.reagent.why_secondary
        text = (
            f"No value to calculate with{f': {why}' if why else ''}. The value found by standardising "
            "goes on the label."
        )
        yield Paragraph(words(text))
    yield _batches(sheet)
    yield Facts(tuple(_facts(sheet)))


def _batches(sheet: Sheet) -> Table:
    heads = (
        Head(words("batch")),
        Head(words("make up in")),
        Head(words("take")),
        Head(words("with")),
        Head(words("gives, mol/L (k = 2)")),
        Head(words("taken")),
    )
    rows = tuple(
        TableRow((
            words(str(k)), words(one.flask.name), (Strong(_take(one)),), words(one.measure.name),
            words(_gives(sheet, one)), words(f"{LINE} {one.measure.unit}"),
        ))
        for k, one in enumerate(sheet.planned.batches, 1)
    )  # fmt: skip
    return Table(words(f"From {sheet.planned.title}"), heads, rows)


def _take(one: Batch) -> str:
    return with_unit(one.amount_text, one.measure.unit)


def _gives(sheet: Sheet, one: Batch) -> str:
    if sheet.basis is Basis.NOMINAL:
        return f"about {significant(one.value)}"
    return report(one.value, COVERAGE * one.u).text().replace(" ", "\u00a0")


def _facts(sheet: Sheet) -> Iterator[tuple[str, Words]]:
    planned, needs, batch = sheet.planned, sheet.wanted.needs, sheet.batch
    if needs is not None:
        text = (
            f"{needs.analysts} × ({needs.trials} × {needs.per_trial_ml:g} + {needs.rinses} × "
            f"{needs.rinse_ml:g} + "
            f"{needs.priming_ml:g} + {needs.dead_ml:g}) mL and {percent(needs.spare)} % spare = "
            f"{needs.total_ml:.0f} mL"
        )
        yield "Needed", words(text, Quiet(" (trials, rinses, priming, left over)"))
    else:
        yield "Needed", words(f"{planned.needed_ml:g} mL")
    factor = f"c = {significant(batch.per_unit, 6)} mol/L × {batch.measure.unit} taken"
    yield "If you took otherwise", words(factor, Quiet(f" (for {batch.flask.capacity_ml:g} mL)"))
    for extra in () if planned.stock else sheet.reagent.extras:
        whole = extra.per_litre * planned.made_ml / 1000
        amount = f"{significant(whole, 3)} {extra.unit.split('/')[0]} for all batches"
        yield f"Also {extra.what}", words(f"{amount}; {extra.why} ", Quiet(f"({extra.source})"))
    if planned.bottles_ml:
        yield "Bottles", words(", ".join(f"{size:g} mL" for size in planned.bottles_ml))
    keeping = sheet.reagent.keeping
    again = (
        f"; standardise again after {keeping.restandardise_days} days" if keeping.restandardise_days else ""
    )
    yield "Keep", words(f"{keeping.how}; {keeping.days} days{again} ", Quiet(f"({keeping.source})"))
    if sheet.reagent.standardise_by and sheet.basis is Basis.NOMINAL:
        yield "Standardise", words(f"method {' or '.join(sheet.reagent.standardise_by)}")
    if planned.rise is not None:
        heat = planned.rise
        text = f"{heat.whole_k:+.1f} K in all of the water, {heat.first_k:+.1f} K in half of it; {heat.care}"
        yield (
            "Heat, estimated",
            words(text.replace("-", "−"), Quiet(" (nothing lost, heat capacity of water)")),
        )
    elif sheet.planned.stock is None:
        yield "Heat, estimated", words("no value at hand: go slowly and feel the vessel")
    limit = sheet.reagent.batch_limit
    if limit is not None and planned.stock is None:
        yield (
            "Batch limit",
            words(f"{limit.amount:g} {limit.unit} of it at once ", Quiet(f"({limit.source})")),
        )


def _steps(sheet: Sheet) -> Table:
    rows = tuple(
        TableRow((
            words(str(k)), words(one.says),
            words(f"{LINE} {one.tick}" if one.tick else f"wait {one.hours:g} h" if one.hours else ""),
        ))
        for k, one in enumerate(sheet.instructions, 1)
    )  # fmt: skip
    return Table(
        words("One batch, from the top"),
        (Head(words("")), Head(words("do")), Head(words("write down"))),
        rows,
    )


def _cautions(sheet: Sheet) -> Iterator[Block]:
    cautions, reagent = sheet.reagent.cautions, sheet.reagent
    yield Paragraph((Strong(FIRST),), "lead")
    stream = shipped_streams()[reagent.waste]
    facts: list[tuple[str, Words]] = [
        ("Who may do it", words(cautions.level)),
        ("Hood", words(cautions.hood)),
        ("Protection", words(cautions.protection)),
        ("Spill", words(cautions.spill)),
        ("Eyes", words(cautions.eyes)),
        ("Never together", words(cautions.never_mix)),
        ("Waste", words(f"{stream.title}: {stream.collects}")),
        ("Instead", words(cautions.substitute)),
        (f"{reagent.title}, as bought", _hazards(reagent.codes)),
        ("The finished solution", _hazards(sheet.band.codes)),
    ]
    yield Facts(tuple(facts))


def _hazards(codes: tuple[str, ...]) -> Words:
    parts: list[str | Strong] = []
    for code in codes:
        parts += [Strong(code), f" {statement(code).text} "]
    return tuple(parts) if parts else words("no hazard statement")


def _sum(sheet: Sheet) -> Iterator[Block]:
    batch = sheet.batch
    yield from sum_lines(batch.working, batch.estimates, batch.evaluation, report(batch.value, batch.u))
    variance = batch.u**2
    rows = [
        TableRow((words(group(name)), words(significant(float(u))), words(percent(float(u) ** 2 / variance))))
        for name, u in batch.evaluation.by_group().items()
        if float(u) > 0
    ]
    rows.append(TableRow((words("together"), words(significant(batch.u)), words("")), "total"))
    heads = (Head(words("cause")), Head(words("standard uncertainty"), "mol/L", numeric=True),
             Head(words("share"), "%", numeric=True))  # fmt: skip
    yield Table(words("What the concentration is uncertain by"), heads, tuple(rows))
    yield Paragraph(words(Quiet("Sources:")), "quiet")
    yield Bullets(tuple(words(Quiet(sentence(text))) for text in sources_of(sheet)))


def _signatures() -> Table:
    heads = tuple(Head(words(text)) for text in ("", "name", "signature", "date and time"))
    rows = tuple(
        TableRow((words(who), words(ROOM), words(ROOM), words(ROOM))) for who in ("made by", "checked by")
    )
    return Table(
        words("A second person checks reagent, lot, mass and vessel before the bottle leaves the bench"),
        heads,
        rows,
    )


# ------------------------------------------------------------------------------------------- the sealed list


def sealed_report(answer: MakeupAnswer, written_on: str = "") -> Report:
    """Return the list of true values, for the instructor alone."""
    made = f"Halfdrop {__version__}" + (f", {written_on}" if written_on else "")
    return Report(
        answer.plan.title, "Sealed list of unknowns: for the instructor only", (), (),
        tuple(_issued(one) for one in answer.issued),
        f"{answer.plan.title} · sealed · plan {answer.plan.digest[:12]}", made,
    )  # fmt: skip


def _issued(one: Issued) -> Section:
    what = one.unknown
    if what.kind == "volumes":
        how = f"Each sample is a volume of {what.of}, run from a burette into the flask or bottle."
    else:
        how = (
            f"Each sample is a volume of {what.of}, run from a burette into a {what.flask_ml:g} mL "
            "flask and made up to the mark."
        )
    later = (
        f"The values hold for {what.of} of exactly {one.strength_mol_l:g} mol/L. When it has been "
        "standardised, multiply "
        f"each by the value found and divide by {one.strength_mol_l:g}."
    )
    heads = (
        Head(words("label")),
        Head(words("taken"), "mL", numeric=True),
        Head(words("holds"), one.unit, numeric=True),
        Head(words("taken, as read")),
    )
    rows = tuple(
        TableRow(
            (
                words(f"{what.name} {each.label}"),
                words(f"{each.taken_ml:.2f}"),
                words(f"{each.true:#.4g}"),
                words(LINE),
            )
        )
        for each in one.samples
    )
    wide = _range_words(one) if what.kind == "volumes" else ""
    table = Table(words(f"{len(rows)} samples, drawn with seed {what.seed}"), heads, rows)
    return Section(what.name, (*paragraphs([how, later, wide]), table))


def _range_words(one: Issued) -> str:
    """Say what constant error the class line can show with these volumes."""
    volumes = [each.taken_ml for each in one.samples]
    if len(volumes) < 3:  # a line through two points has no residual
        return ""
    u = intercept_u_ml(volumes, RESIDUAL_ML)
    return (
        "Found against issued makes a line: its slope is key, titrant and aliquot, its intercept a "
        "constant error such "
        f"as that of the end point. With {RESIDUAL_ML:g} mL about the line its standard error is {u:.3f} "
        "mL, so an "
        f"error below about {2 * u:.2f} mL does not show. The wider the range, the smaller it is."
    )


# --------------------------------------------------------------------------------------------- the terminal


def makeup_lines(answer: MakeupAnswer) -> Iterator[str]:
    """Yield the sheets in short."""
    for sheet in answer.sheets:
        yield sheet.wanted.name
        yield "-" * len(sheet.wanted.name)
        yield f"  {sheet.claim}"
        yield f"  needed {sheet.planned.needed_ml:.0f} mL; from {sheet.planned.title}"
        for one in sheet.planned.batches:
            yield f"  {one.amount_text} {one.measure.unit} ({one.measure.name}) in the {one.flask.name}"
        for k, step in enumerate(sheet.instructions, 1):
            yield from _numbered(k, step.says)
        yield (
            f"  label: {sheet.elements.signal or 'no signal word'}; "
            f"{' '.join(sheet.label.codes) or 'no hazard codes'}"
        )
        yield ""
    for each in answer.issued:
        yield (
            f"{each.unknown.name}: {len(each.samples)} samples; --sealed OUT writes their values for the "
            "instructor"
        )
    yield f"{FIRST} --pdf OUT writes the sheets, --labels OUT the labels."


def _numbered(k: int, text: str) -> list[str]:
    import textwrap

    return textwrap.wrap(
        text, 88, initial_indent=f"  {k:>2}. ", subsequent_indent="      ", break_on_hyphens=False
    )
