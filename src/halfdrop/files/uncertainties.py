"""How far a value may be wrong: as a person wrote it, by class of glass, by balance, or by the last digit."""

from __future__ import annotations

import math
from dataclasses import dataclass

from halfdrop.core.findings import Finding
from halfdrop.core.measure.estimate import Shape, standard_from_limits
from halfdrop.core.measure.units import unit
from halfdrop.core.titration.method import Quantity
from halfdrop.files.burettes import SHAPES
from halfdrop.files.fields import NOT_NEGATIVE, Fields
from halfdrop.files.glass_tables import ASSUMED_CLASS, tolerance_table
from halfdrop.files.numbers import Written
from halfdrop.files.settings import Balance
from halfdrop.files.text_files import attention, note

WAYS = ("u", "limits", "relative_u")
_BY_CLASS = ("pipette", "flask")
_WEIGHTY = ("concentration", "volume")  # without an uncertainty of these a result looks far too good


@dataclass
class Around:
    """What the values of a determination have in common.

    Attributes:
        findings: where findings go.
        balance: the balance, if it was described.
        bottle: the titrant bottle, for a titrant that does not say its own.
        weighed_without: whether a mass was met for which no balance was described.
    """

    findings: list[Finding]
    balance: Balance | None = None
    bottle: str = ""
    weighed_without: bool = False

    def say_if_weighed_without(self, top: Fields) -> None:
        """Say once that there are masses and no balance."""
        if self.weighed_without:
            message = (
                "Masses are given and no balance. Each weighing is taken to be right to half a unit of its "
                "last digit. Write [balance] with linearity_mg from its data sheet."
            )
            self.findings.append(note("balance-not-given", message, top.place()))


@dataclass(frozen=True)
class Spread:
    """A standard uncertainty in the unit of the quantity, its distribution, where it comes from in words.

    ``u_each`` is that of one weighing, for a mass.
    """

    u: float
    shape: Shape
    words: str
    u_each: float = 0.0


def spread_of(
    quantity: Quantity, table: Fields, number: Written, scale: float, around: Around
) -> Spread | None:
    """Return the uncertainty of a value.

    Args:
        quantity: whose value it is.
        table: the table it stands in.
        number: the value as written.
        scale: what turns the unit written into the unit of the quantity.
        around: what all values have in common.

    Returns:
        The uncertainty, or None when what is written for it cannot be used.
    """
    found = [key for key in WAYS if table.has(key)]
    shape = Shape(table.choice("shape", SHAPES, Shape.RECTANGULAR.value))
    written = _as_written(table, number, scale, shape)
    grade, standard = table.text("class"), table.text("standard")
    if (grade or standard) and quantity.kind not in _BY_CLASS:
        message = (
            f"No table of limits holds for {quantity.name}, a {quantity.kind}. Write u or limits instead."
        )
        table.say("class-without-table", message, "class" if grade else "standard")
    if len(found) > 1:
        message = f"{' and '.join(found)} say the same thing twice. Keep one of them."
        table.say("uncertainty-twice", message, found[1])
    if found:
        return written
    if quantity.kind in _BY_CLASS:
        return _by_class(quantity.kind, table, float(number) * scale, shape)
    if quantity.kind == "mass":
        return _net(weighing(quantity, number, scale, around))
    return _by_last_digit(quantity, table, number, scale)


def _as_written(table: Fields, number: Written, scale: float, shape: Shape) -> Spread | None:
    u, limits, relative = (table.number(key, NOT_NEGATIVE) for key in WAYS)
    # a standard uncertainty says nothing of a distribution unless one is named
    of_u = shape if table.has("shape") else Shape.NORMAL
    if u is not None:
        return Spread(float(u) * scale, of_u, "standard uncertainty as given")
    if limits is not None:
        half = float(limits) * scale
        return Spread(standard_from_limits(half, shape), shape, f"limits ±{limits.text}, {shape}")
    if relative is not None:
        size = float(relative) * abs(float(number)) * scale
        return Spread(size, of_u, f"relative standard uncertainty {relative.text}, as given")
    return None


def _by_class(kind: str, table: Fields, capacity: float, shape: Shape) -> Spread | None:
    """Return the uncertainty that the class of a pipette or flask sets."""
    place, grade, standard = table.place(), table.text("class"), table.text("standard")
    if not grade:
        message = (
            f"No class is written for this {kind}. It is taken as class {ASSUMED_CLASS}, which has the wider "
            "limit. Look on the glass and write class, or limits."
        )
        table.findings.append(note("class-assumed", message, place))
    found, findings = tolerance_table(kind).find(capacity, None, grade or ASSUMED_CLASS, standard, place)
    table.findings.extend(findings)
    if found is None:
        return None
    words = f"limits ±{found.mpe_ml:g} mL, {shape}: {found.standard}, class {found.glass_class}"
    return Spread(standard_from_limits(found.mpe_ml, shape), shape, words)


def weighing(quantity: Quantity, number: Written, scale: float, around: Around) -> Spread:
    """Return the uncertainty of one weighing, unit of the quantity."""
    balance = around.balance
    if balance is not None:
        u = balance.u_mg * float(unit("mg").factor_to(unit(quantity.unit)))
        return Spread(u, balance.shape, balance.words, u)
    around.weighed_without = True
    u = standard_from_limits(number.half_last_digit * scale)
    words = "half a unit of the last digit, rectangular, counted for each weighing"
    return Spread(u, Shape.RECTANGULAR, words, u)


def _net(each: Spread) -> Spread:
    """Return the uncertainty of a mass given as one number: two weighings, of the vessel without and with."""
    # two equal rectangles make a triangle
    shape = Shape.TRIANGULAR if each.shape is Shape.RECTANGULAR else Shape.NORMAL
    return Spread(each.u * math.sqrt(2), shape, f"two weighings; {each.words}", each.u)


def _by_last_digit(quantity: Quantity, table: Fields, number: Written, scale: float) -> Spread:
    """Return the least that can be said of a number without an uncertainty, and say so."""
    if quantity.kind == "number":
        return Spread(0.0, Shape.NORMAL, "taken as exact")
    message = (
        f"No uncertainty is given for {quantity.name} ({quantity.says}). It is taken to be right to half a "
        "unit of its last digit, which is often too good. Write u or limits."
    )
    say = attention if quantity.kind in _WEIGHTY else note
    table.findings.append(say("no-uncertainty", message, table.place(), number.text))
    u = standard_from_limits(number.half_last_digit * scale)
    return Spread(u, Shape.RECTANGULAR, "half a unit of the last digit, rectangular")
