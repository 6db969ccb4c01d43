"""Reagents as data: what a solution is made from, what it asks for, what must be known of it beforehand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class State(StrEnum):
    """Whether a reagent is weighed as a solid or measured as a liquid."""

    SOLID = "solid"
    LIQUID = "liquid"


PRIMARY, SECONDARY = "primary", "secondary"


@dataclass(frozen=True)
class Assay:
    """A number with limits (rectangular) and its source: purity, mass fraction, density."""

    value: float
    limits: float
    source: str
    written: str = ""


@dataclass(frozen=True)
class Heat:
    """Heat that a mole of the substance gives off (negative) or takes up when it goes into much water."""

    kj_mol: float
    source: str


@dataclass(frozen=True)
class Band:
    """The hazard codes of a solution from a strength upwards; ``signal`` where the codes leave it open."""

    from_mol_l: float
    codes: tuple[str, ...]
    signal: str = ""


@dataclass(frozen=True)
class Extra:
    """Something else that goes into the solution.

    Attributes:
        what: the substance.
        per_litre: how much.
        unit: ``g/L`` or ``mL/L``.
        why, source: what it is for, and who says so.
    """

    what: str
    per_litre: float
    unit: str
    why: str
    source: str


class When(StrEnum):
    """Where a step has its place in the work."""

    BEFORE = "before"
    DISSOLVE = "dissolve"
    AFTER = "after"


@dataclass(frozen=True)
class Step:
    """One special step.

    Attributes:
        when: before weighing, while dissolving, or after making up.
        says: what to do.
        hours: how long it keeps the solution waiting, 0 for not at all.
        why: what must have happened by then, in a few words.
        source: who says so.
    """

    when: When
    says: str
    hours: float = 0.0
    why: str = ""
    source: str = ""


@dataclass(frozen=True)
class Cautions:
    """What must be known before a reagent is touched; a reagent without it is refused."""

    level: str
    hood: str
    substitute: str
    protection: str
    spill: str
    eyes: str
    never_mix: str
    source: str


@dataclass(frozen=True)
class Keeping:
    """How long and how a solution is kept; ``restandardise_days`` is 0 where nothing is standardised."""

    days: int
    how: str
    source: str
    restandardise_days: int = 0


@dataclass(frozen=True)
class BatchLimit:
    """The most of a reagent that goes into one batch, in grams or millilitres, and who says so."""

    amount: float
    unit: str
    source: str


@dataclass(frozen=True)
class Reagent:
    """One reagent.

    Attributes:
        name: what a file calls it.
        title: as printed.
        formula: of the substance that is weighed, water of crystallisation included.
        gives: species that a method may ask for and that this reagent makes, one for each formula unit.
        state: see :class:`State`.
        standard: ``primary`` or ``secondary``.
        why_secondary: why its mass is no basis for a concentration.
        purity: of a solid, mass fraction; None for a liquid.
        mass_fraction: of a liquid; None for a solid.
        density_g_ml: of a liquid; of a solid for the lift of the air, None where it is not at hand.
        hygroscopic: whether it draws water.
        heat: None where no value is at hand.
        codes: of the substance as bought; ``bands``: of its solutions, weakest first.
        bands_source: who says so.
        cautions, keeping, extras, steps: see there.
        waste: name of the stream.
        standardise_by: methods that standardise its solution.
        batch_limit: None where nothing limits it.
    """

    name: str
    title: str
    formula: str
    gives: tuple[str, ...]
    state: State
    standard: str
    why_secondary: str
    purity: Assay | None
    mass_fraction: Assay | None
    density_g_ml: Assay | None
    hygroscopic: bool
    heat: Heat | None
    codes: tuple[str, ...]
    bands: tuple[Band, ...]
    bands_source: str
    cautions: Cautions
    keeping: Keeping
    extras: tuple[Extra, ...]
    steps: tuple[Step, ...]
    waste: str
    standardise_by: tuple[str, ...] = ()
    batch_limit: BatchLimit | None = None

    @property
    def is_primary(self) -> bool:
        """Whether its mass may carry a concentration."""
        return self.standard == PRIMARY

    def band_at(self, mol_l: float) -> Band:
        """Return the hazard codes of a solution; where a limit is met exactly, those above it."""
        found = [band for band in self.bands if band.from_mol_l <= mol_l]
        return max(found, key=lambda band: band.from_mol_l)

    def hours(self, when: Iterable[When]) -> float:
        """Return how long the steps of a part of the work keep it waiting."""
        wanted = set(when)
        return sum(step.hours for step in self.steps if step.when in wanted)


@dataclass(frozen=True)
class Stream:
    """A stream of waste.

    Attributes:
        name, title: what it is called in files and in print.
        label: what its container says.
        collects: what goes in.
        never: names of streams that must not meet it.
        codes: hazard codes of its container.
        signal: where the codes leave it open.
        source: who says so.
    """

    name: str
    title: str
    label: str
    collects: str
    never: tuple[str, ...]
    codes: tuple[str, ...]
    source: str
    signal: str = ""


def kept_apart(streams: Iterable[Stream]) -> dict[str, tuple[str, ...]]:
    """Return for each stream the names of those here that must not meet it, whichever of the two says so."""
    here = {one.name: one for one in streams}
    return {
        name: tuple(
            other for other in here if other != name and (other in one.never or name in here[other].never)
        )
        for name, one in here.items()
    }
