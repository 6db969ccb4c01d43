"""Make-up sheets: for each solution of a class, what to take, in what, in which order, and what comes out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from halfdrop.core.findings import Finding, refuse_if_any
from halfdrop.core.measure.rounding import Reported, report, report_alone
from halfdrop.core.solutions.labelling import LabelElements, label_elements
from halfdrop.core.solutions.makeup import Basis, Batch
from halfdrop.core.solutions.order import Instruction, Job, order_of_work
from halfdrop.core.solutions.reagent import Band, Reagent
from halfdrop.core.solutions.store import Lot, Stock, Wanted
from halfdrop.files.class_file import ClassFile, read_class_file
from halfdrop.usecases.answer import finding_as_data
from halfdrop.usecases.labels import Label, label_for, sample_label
from halfdrop.usecases.planning import Planned, Planner
from halfdrop.usecases.unknowns import Issued, issue

COVERAGE = 2.0


@dataclass(frozen=True)
class Sheet:
    """The make-up sheet of one solution.

    Attributes:
        wanted: what was asked for.
        planned: vessels, batches, heat.
        instructions: of one batch, in order.
        band: hazards of the finished solution; ``elements``: what its label shows for them.
        label: of the bottle.
    """

    wanted: Wanted
    planned: Planned
    instructions: tuple[Instruction, ...]
    band: Band
    elements: LabelElements
    label: Label

    @property
    def batch(self) -> Batch:
        """The largest batch; all are alike but for their size."""
        return self.planned.batches[0]

    @property
    def reagent(self) -> Reagent:
        """What it is made from, or whose cautions hold for the stock."""
        return self.planned.reagent

    @property
    def basis(self) -> Basis:
        """What the concentration rests on."""
        return self.planned.basis

    @property
    def mixed(self) -> tuple[float, float]:
        """The concentration of all batches poured together, and its standard uncertainty, mol/L.

        The uncertainty is that of batches which err alike: purity, balance and glass are the same.
        """
        made = self.planned.batches
        shares = [one.flask.capacity_ml / self.planned.made_ml for one in made]
        value = sum(share * one.value for share, one in zip(shares, made, strict=True))
        return value, sum(share * one.u for share, one in zip(shares, made, strict=True))

    @property
    def expanded(self) -> Reported:
        """The concentration of all batches together with its expanded uncertainty, k = 2."""
        value, u = self.mixed
        return report(value, COVERAGE * u)

    @property
    def claim(self) -> str:
        """What may be said of the concentration before it is standardised."""
        if self.basis is Basis.NOMINAL:
            near = report_alone(self.wanted.mol_l, significant=2).text()
            return f"about {near} mol/L, to be standardised"
        return f"{self.expanded.text()} mol/L (k = 2)"


@dataclass(frozen=True)
class MakeupAnswer:
    """All sheets of a class file.

    Attributes:
        plan: the class file.
        sheets: one for each solution.
        issued: unknowns with their sealed values.
        findings: what was noticed.
    """

    plan: ClassFile
    sheets: tuple[Sheet, ...]
    issued: tuple[Issued, ...]
    findings: tuple[Finding, ...]

    def labels(self) -> tuple[Label, ...]:
        """Return the labels of all bottles, and of all samples."""
        by_name = {one.wanted.name: one for one in self.sheets}
        samples = (
            sample_label(f"{one.unknown.name} {each.label}", self.plan, sheet.planned, band)
            for one in self.issued
            for sheet in (by_name[one.unknown.of],)
            for band in (sheet.reagent.band_at(one.strongest_mol_l),)
            for each in one.samples
        )
        return (*(one.label for one in self.sheets), *samples)

    def to_json(self) -> dict[str, object]:
        """Return the sheets as data; the sealed values of unknowns are not in it."""
        return {
            "class": self.plan.title,
            "digest": self.plan.digest,
            "sheets": [_sheet_as_data(one) for one in self.sheets],
            "unknowns": [
                {
                    "name": one.unknown.name,
                    "of": one.unknown.of,
                    "labels": [each.label for each in one.samples],
                }
                for one in self.issued
            ],
            "findings": [finding_as_data(one) for one in self.findings],
        }


def _sheet_as_data(sheet: Sheet) -> dict[str, object]:
    batch, heat = sheet.batch, sheet.planned.rise
    value, u = sheet.mixed
    return {
        "name": sheet.wanted.name,
        "species": sheet.wanted.species,
        "from": sheet.planned.title,
        "needed_mL": sheet.planned.needed_ml,
        "batches": [_batch_as_data(one) for one in sheet.planned.batches],
        "bottles_mL": list(sheet.planned.bottles_ml),
        "concentration": {
            "value": value, "unit": "mol/L", "standard_uncertainty": u, "text": sheet.claim,
        },
        "basis": sheet.basis.name.lower(),
        "per_unit": {"value": batch.per_unit, "unit": f"mol/L per {batch.measure.unit}"},
        "temperature_rise_K": None if heat is None else heat.whole_k,
        "instructions": [one.says for one in sheet.instructions],
        "hazards": list(sheet.band.codes),
        "signal": sheet.elements.signal,
        "pictograms": [str(one) for one in sheet.elements.pictograms],
        "label": sheet.label.as_data(),
    }  # fmt: skip


def _batch_as_data(one: Batch) -> dict[str, object]:
    return {
        "flask_mL": one.flask.capacity_ml,
        "take": one.amount_text,
        "unit": one.measure.unit,
        "with": one.measure.name,
        "concentration": {
            "value": one.value, "unit": "mol/L", "standard_uncertainty": one.u,
            "text": f"{report(one.value, COVERAGE * one.u).text()} mol/L (k = 2)",
        },
    }  # fmt: skip


def makeup(file: Path) -> MakeupAnswer:
    """Plan the solutions of a class file.

    Raises:
        Refused: when the file cannot be used, or a solution cannot be made from what there is.
    """
    plan, noticed = read_class_file(file)
    return makeup_of(plan, noticed)


def makeup_of(plan: ClassFile, noticed: tuple[Finding, ...]) -> MakeupAnswer:
    """Plan the solutions of a class file that was read already."""
    findings = list(noticed)
    planner = Planner(plan, findings)
    planned = {one.name: planner.planned(one) for one in plan.wanted}
    findings.extend(planner.short())
    refuse_if_any(findings)
    sheets = tuple(
        _sheet(plan, one, found) for one in plan.wanted if (found := planned[one.name]) is not None
    )
    issued = tuple(issue(one, plan, findings) for one in plan.unknowns)
    refuse_if_any(findings)
    return MakeupAnswer(plan, sheets, issued, tuple(findings))


def _sheet(plan: ClassFile, wanted: Wanted, planned: Planned) -> Sheet:
    batch = planned.batches[0]
    job = Job(batch, len(planned.batches), planned.reagent, planned.title, planned.rise, planned.basis)
    band = planned.reagent.band_at(wanted.mol_l)
    elements = label_elements(band.codes, band.signal)
    sheet = Sheet(wanted, planned, order_of_work(job), band, elements, Label())
    label = label_for(wanted.name, sheet.claim, plan, planned, band, elements)
    return Sheet(wanted, planned, sheet.instructions, band, elements, label)


def sources_of(sheet: Sheet) -> Iterator[str]:
    """Yield where the numbers of a sheet come from, each once."""
    reagent = sheet.reagent
    yield from dict.fromkeys(
        text
        for text in (
            *(
                f"{sheet.batch.working.inputs[name].says}: {one.source}"
                for name, one in sheet.batch.estimates.items()
                if one.source
            ),
            f"heat: {reagent.heat.source}" if reagent.heat and sheet.planned.rise else "",
            f"hazards: {reagent.bands_source}",
            f"keeping: {reagent.keeping.source}",
            f"cautions: {reagent.cautions.source}",
            *(
                f"{step.says.split('.')[0]}: {step.source}"
                for step in reagent.steps
                if step.source and step.hours
            ),
        )
        if text
    )


__all__ = ["Lot", "MakeupAnswer", "Sheet", "Stock", "makeup", "makeup_of", "sources_of"]
