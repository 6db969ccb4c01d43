"""Maximum permissible errors of glassware, looked up in tables that are data.

A table file names its standards, what each does for a capacity it does not list, and one row per limit; every
row names its source. Files are read elsewhere: here parsed content comes in, and frozen objects and findings
come out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from halfdrop.core.findings import Finding, Place, Severity

NOWHERE = Place()


class Unlisted(StrEnum):
    """What a standard does for a capacity between those it lists."""

    REFUSE = "refuse"
    NEXT_SMALLER = "next smaller"
    NEAREST = "nearest"


@dataclass(frozen=True)
class Tolerance:
    """One maximum permissible error.

    Attributes:
        kind: ``burette``, ``pipette`` or ``flask``.
        standard: short name of the standard.
        glass_class: class, such as ``A``, ``AS`` or ``B``.
        capacity_ml: nominal capacity.
        division_ml: volume between two lines, or None where the standard does not depend on it.
        mpe_ml: maximum permissible error, plus or minus.
        source: title, table and how it was seen; says ``from memory`` where it was not seen.
    """

    kind: str
    standard: str
    glass_class: str
    capacity_ml: float
    division_ml: float | None
    mpe_ml: float
    source: str

    @property
    def from_memory(self) -> bool:
        """Whether the value was not checked against print."""
        return "from memory" in self.source


@dataclass(frozen=True)
class Standard:
    """A standard and its rule for capacities it does not list."""

    name: str
    title: str
    unlisted: Unlisted


@dataclass(frozen=True)
class ToleranceTable:
    """The limits of one kind of glassware.

    Attributes:
        kind: ``burette``, ``pipette`` or ``flask``.
        default: name of the standard taken when none is named.
        standards: the standards.
        rows: the limits, classes derived from others included.
    """

    kind: str
    default: str
    standards: tuple[Standard, ...]
    rows: tuple[Tolerance, ...]

    def find(
        self,
        capacity_ml: float,
        division_ml: float | None = None,
        glass_class: str = "A",
        standard: str = "",
        place: Place = NOWHERE,
    ) -> tuple[Tolerance | None, tuple[Finding, ...]]:
        """Look up the limit of one piece of glassware.

        Args:
            capacity_ml: its nominal capacity.
            division_ml: the volume between two lines, if it has a scale and the person gave it.
            glass_class: its class; case does not matter.
            standard: the standard it was made to, or "" for the default.
            place: where the glassware is described.

        Returns:
            The limit, or None where there is none, and what is to be said: why not, that another capacity's
            limit was taken, that the value is from memory.
        """
        chosen = next((s for s in self.standards if _same(s.name, standard or self.default)), None)
        if chosen is None:
            names = [s.name for s in self.standards]
            return None, (_unlisted("standard", standard, names, self.kind, place),)
        rows = [row for row in self.rows if row.standard == chosen.name]
        of_class = [row for row in rows if _same(row.glass_class, glass_class)]
        if not of_class:
            classes = list(dict.fromkeys(row.glass_class for row in rows))
            return None, (_unlisted("class", glass_class, classes, f"{self.kind} of {chosen.name}", place),)
        near = _at_capacity(of_class, capacity_ml, chosen.unlisted)
        if not near:
            listed = [f"{size:g} mL" for size in sorted({row.capacity_ml for row in of_class})]
            what = f"{self.kind} of {chosen.name}, class {of_class[0].glass_class}"
            return None, (_unlisted("capacity", f"{capacity_ml:g} mL", listed, what, place),)
        return _at_division(near, capacity_ml, division_ml, place)


def _same(one: str, other: str) -> bool:
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def _at_capacity(rows: Sequence[Tolerance], capacity_ml: float, rule: Unlisted) -> list[Tolerance]:
    """Return the rows that hold for a capacity under a standard's rule, or none."""
    exact = [row for row in rows if math.isclose(row.capacity_ml, capacity_ml, rel_tol=1e-9)]
    if exact or rule is Unlisted.REFUSE or not 0 < capacity_ml < math.inf:
        return exact
    if rule is Unlisted.NEXT_SMALLER:
        smaller = [row.capacity_ml for row in rows if row.capacity_ml < capacity_ml]
        size = max(smaller, default=None)
    else:
        # midway between two listed capacities the larger, with its wider limit, is the careful choice
        size = min((row.capacity_ml for row in rows), key=lambda c: (abs(c - capacity_ml), -c), default=None)
    return [row for row in rows if row.capacity_ml == size]


def _at_division(
    rows: Sequence[Tolerance], capacity_ml: float, division_ml: float | None, place: Place
) -> tuple[Tolerance | None, tuple[Finding, ...]]:
    """Choose among rows of one capacity by division, and say what the choice rests on."""
    exact = math.isclose(rows[0].capacity_ml, capacity_ml, rel_tol=1e-9)
    fitting = [
        row
        for row in rows
        if division_ml is None
        or row.division_ml is None
        or not exact
        or math.isclose(row.division_ml, division_ml, rel_tol=1e-9)
    ]
    limits = {row.mpe_ml for row in fitting}
    if len(limits) != 1:
        return None, (_division_open(rows, division_ml, place),)
    row = fitting[0]
    notes = []
    if not exact:
        message = (
            f"{row.standard} does not list {capacity_ml:g} mL; by its rule the limit of {row.capacity_ml:g} "
            f"mL holds, {row.mpe_ml:g} mL."
        )
        notes.append(_note("limit-of-another-capacity", message, row, place))
    if row.from_memory:
        message = (
            f"The limit {row.mpe_ml:g} mL of {row.standard}, class {row.glass_class}, was not checked "
            "against the printed standard. If you have it, check, or give the limit yourself."
        )
        notes.append(_note("limit-from-memory", message, row, place))
    return row, tuple(notes)


def _note(code: str, message: str, row: Tolerance, place: Place) -> Finding:
    return Finding(code, Severity.NOTE, message, place, {"mpe_ml": row.mpe_ml, "source": row.source})


def _division_open(rows: Sequence[Tolerance], division_ml: float | None, place: Place) -> Finding:
    row = rows[0]
    listed = sorted({each.division_ml for each in rows if each.division_ml is not None})
    accepted = " or ".join(f"{division:g}" for division in listed)
    given = (
        "no division is given" if division_ml is None else f"a division of {division_ml:g} mL is not listed"
    )
    message = (
        f"{row.standard} lists a {row.kind} of {row.capacity_ml:g} mL with divisions of {accepted} mL, and "
        f"{given}. Write the division, or give the limit yourself."
    )
    evidence: dict[str, object] = {"given": division_ml, "accepted": listed}
    return Finding("division-not-listed", Severity.REFUSED, message, place, evidence)


def _unlisted(what: str, given: str, accepted: Sequence[str], where: str, place: Place) -> Finding:
    message = (
        f"The {what} {given} is not in the table for a {where}. Listed are {', '.join(accepted)}. Choose one "
        "of these, or give the limit yourself."
    )
    evidence: dict[str, object] = {"given": given, "accepted": list(accepted)}
    return Finding(f"{what}-not-listed", Severity.REFUSED, message, place, evidence)


def derived_rows(
    rows: Sequence[Tolerance], standard: str, glass_class: str, base: str, factor: float, source: str
) -> list[Tolerance]:
    """Return the rows of a class that a standard defines by another: class B as twice class A.

    Args:
        rows: the rows listed.
        standard: short name of the standard.
        glass_class: the class to make.
        base: the class it rests on.
        factor: its limit over the other's.
        source: where the rule is stated; added to the source of each row.
    """
    return [
        replace(
            row,
            glass_class=glass_class,
            mpe_ml=float(f"{row.mpe_ml * factor:.12g}"),
            source=f"{row.source}; class {glass_class}: {source}",
        )
        for row in rows
        if row.standard == standard and row.glass_class == base
    ]
