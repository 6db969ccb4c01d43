"""Unknowns: what is in each sample, how it is made, and the sealed list for the instructor."""

from __future__ import annotations

from dataclasses import dataclass

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.solutions.draws import labels, random_volumes
from halfdrop.files.class_file import ClassFile
from halfdrop.files.unknowns import Unknown


@dataclass(frozen=True)
class Sample:
    """One sample.

    Attributes:
        label: what its bottle says.
        taken_ml: of the solution that it is made from.
        true: what it holds: mol/L for a sample made up in a flask, mmol for a random volume.
    """

    label: str
    taken_ml: float
    true: float


@dataclass(frozen=True)
class Issued:
    """Samples with their sealed values.

    Attributes:
        unknown: what was asked for.
        strength_mol_l: of the solution they are made from, as planned.
        unit: of the true values.
        samples: in the order of their labels.
    """

    unknown: Unknown
    strength_mol_l: float
    unit: str
    samples: tuple[Sample, ...]

    @property
    def strongest_mol_l(self) -> float:
        """The strongest that a sample may be."""
        return self.strength_mol_l if self.unknown.kind == "volumes" else self.unknown.high

    @property
    def taken_ml(self) -> float:
        """What all samples take of the solution."""
        return sum(one.taken_ml for one in self.samples)


def issue(unknown: Unknown, plan: ClassFile, findings: list[Finding]) -> Issued:
    """Draw the true values of unknowns; the same seed draws the same."""
    wanted = next((one for one in plan.wanted if one.name == unknown.of), None)
    strength = wanted.mol_l if wanted else 0.0
    low, high = unknown.low, unknown.high
    if unknown.kind == "samples" and strength:
        if unknown.high > strength:
            message = (
                f"A sample of {unknown.high:g} mol/L cannot be diluted from {unknown.of} of {strength:g} "
                "mol/L. Take a "
                "stronger solution or a lower range."
            )
            findings.append(Finding("unknown-too-strong", Severity.REFUSED, message, unknown.place))
        low, high = (value / strength * unknown.flask_ml for value in (unknown.low, unknown.high))
    try:
        volumes = random_volumes(unknown.count, low, high, unknown.seed)
    except ValueError:
        message = (
            f"{unknown.count} samples need different volumes, and {low:.2f} to {high:.2f} mL in steps of "
            "0.05 mL has "
            "fewer. Widen the range or use a larger flask."
        )
        findings.append(Finding("unknown-range", Severity.REFUSED, message, unknown.place))
        volumes = ()
    samples = (
        Sample(label, volume, _true(unknown, strength, volume))
        for label, volume in zip(labels(len(volumes), unknown.seed), volumes, strict=True)
    )
    unit = "mmol" if unknown.kind == "volumes" else "mol/L"
    found = Issued(unknown, strength, unit, tuple(sorted(samples, key=lambda one: one.label)))
    _enough(found, wanted.volume_ml if wanted else 0.0, findings)
    return found


def _true(unknown: Unknown, strength: float, volume_ml: float) -> float:
    """Return mmol in a random volume, or mol/L in a flask."""
    return strength * volume_ml / (unknown.flask_ml or 1.0)


def _enough(found: Issued, planned_ml: float, findings: list[Finding]) -> None:
    if planned_ml and found.taken_ml > planned_ml:
        message = (
            f"The samples take {found.taken_ml:.0f} mL of {found.unknown.of}, and {planned_ml:.0f} mL of "
            "it are asked "
            "for. Write a larger volume_mL."
        )
        findings.append(Finding("unknown-volume", Severity.ATTENTION, message, found.unknown.place))
