"""The value of a quantity as a person gives it: with its unit, its uncertainty, and which object it is.

Three forms: a number or text in the method's unit (``mass = "0.5105"``), a text with a unit
(``aliquot = "25.00 mL"``), or a table with value, unit, u or limits and so on. A mass may be two weighings.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from halfdrop.core.findings import Finding
from halfdrop.core.glassware.thermal import check_temperature, find_glass
from halfdrop.core.measure.estimate import Shape, standard_from_limits
from halfdrop.core.measure.units import Unit, UnitError, unit
from halfdrop.core.titration.method import Quantity
from halfdrop.core.titration.record import Given
from halfdrop.files.fields import ABOVE_ZERO, ANY, NOT_NEGATIVE, Fields
from halfdrop.files.numbers import Written, read_number, shown, with_unit
from halfdrop.files.text_files import attention, note, refusal
from halfdrop.files.uncertainties import WAYS, Around, Spread, spread_of, weighing

LINKABLE = "concentration"
LINK_ENDINGS = (".toml", ".json")
_KEY_WORDS = {"concentration": "solution"}
_HIGHEST_PURITY = 1.1  # above this a purity was meant in per cent
_NOT_WITH_FILE = ("value", "unit", "dof", "source", "shape", *WAYS)


@dataclass(frozen=True)
class Answer:
    """What was read for a quantity.

    Attributes:
        given: its value, or None when it cannot be used or a file gives it.
        link: the file that gives it, or "".
        standardised: the day on which it was standardised, or "".
        id: what is written on the object.
        temperature_degc: of the solution, when it was noted.
    """

    given: Given | None = None
    link: str = ""
    standardised: str = ""
    id: str = ""
    temperature_degc: float | None = None


def read_quantity(quantity: Quantity, holder: Fields, around: Around) -> Answer:
    """Read what a file gives for a quantity, under its name.

    Args:
        quantity: as the method asks for it.
        holder: the whole file, or a trial.
        around: what all values have in common; its findings are those of the holder.
    """
    value, of_trial = holder.raw(quantity.name), bool(holder.spot.words)
    if isinstance(value, dict):
        table = holder.sub(quantity.name)
        return _Reader(quantity, table, around, of_trial=of_trial).answer() if table else Answer()
    spot = holder.spot.at(quantity.name)
    text, unit_text = with_unit(value) if isinstance(value, str) else ("", "")
    short: dict[str, object] = {"value": text, "unit": unit_text} if unit_text else {"value": value}
    if not unit_text and not of_trial and quantity.unit != "1":
        holder.findings.append(_unit_assumed(quantity, Fields(short, spot, [])))
    return _Reader(quantity, Fields(short, spot, holder.findings), around, short=True).answer()


def methods_value(quantity: Quantity) -> Given:
    """Return the value that a method takes when a person gives none."""
    limits = float(quantity.limits) if quantity.limits else 0.0
    return Given(
        quantity.name, float(quantity.value), quantity.unit, standard_from_limits(limits), Shape.RECTANGULAR,
        written=quantity.value, source=quantity.source, why_u=f"limits ±{quantity.limits}" if limits else "",
    )  # fmt: skip


@dataclass
class _Reader:
    """Reads the value of one quantity from one table; in the short form places are those of the quantity."""

    quantity: Quantity
    table: Fields
    around: Around
    short: bool = False
    of_trial: bool = False

    def answer(self) -> Answer:
        table = self.table
        name, day = table.text("id"), table.date("standardised")
        temperature = table.number("temperature_degC")
        warm = None if temperature is None else float(temperature)
        if warm is not None:
            table.findings.extend(check_temperature(warm, table.place("temperature_degC")))
        if table.has("file"):
            return Answer(None, self.link(), day, name, warm)
        given = self.weighings(name) if table.has("gross", "tare") else self.single(name, warm)
        if not self.short:
            table.finish()
        return Answer(given, "", day, name, warm)

    def say(self, code: str, message: str, key: str, accepted: object = None) -> None:
        """Refuse a key; in the short form, the quantity itself."""
        if not self.short:
            self.table.say(code, message, key, accepted)
            return
        given = self.table.table.get("value")
        self.table.findings.append(refusal(code, message, self.table.place(), str(given), accepted))

    def link(self) -> str:
        """Return the file that gives the quantity."""
        table, text = self.table, self.table.text("file")
        if self.quantity.kind != LINKABLE:
            message = "Only a concentration can come from another determination. Write value, unit and u."
            table.say("not-linkable", message, "file")
        elif not text.endswith(LINK_ENDINGS):
            message = (
                f"{shown(text)} is neither a determination (.toml) nor a saved result (.json). "
                "Name one of these files."
            )
            table.say("link-ending", message, "file", list(LINK_ENDINGS))
        if both := [key for key in _NOT_WITH_FILE if table.has(key)]:
            message = (
                f"A file gives the concentration, and {', '.join(both)} say something of it as well. "
                "Keep the file or keep these."
            )
            table.say("value-and-file", message, both[0])
        table.finish()
        return text

    def factor(self) -> Fraction | None:
        """Return what turns a value in the unit that is written into the unit of the quantity."""
        wanted, text = self.quantity.unit, self.table.text("unit")
        if not text:
            if not self.short and not self.of_trial and wanted != "1":
                self.table.findings.append(_unit_assumed(self.quantity, self.table))
            return Fraction(1)
        try:
            found = unit(text)
        except UnitError as error:
            self.say("unit-unknown", f"{error}. Wanted is {wanted}.", "unit", wanted)
            return None
        if not _fit(found, wanted):
            message = (
                f"{_first_large(self.quantity.says)} is wanted in {wanted} or a unit of its kind, not {text}."
            )
            self.say("unit-wrong", message, "unit", wanted)
            return None
        return found.factor_to(unit(wanted))

    def value(self) -> Written | None:
        """Return the number, checked for what such a quantity can be."""
        table = self.table
        number = self.quantity.typical or self.quantity.value or "1.000"
        if not table.has("value"):
            table.missing("value", f'"{number}"')
            return None
        allowed = ANY if self.quantity.kind == "blank" else ABOVE_ZERO
        if not self.short:
            return table.number("value", allowed)
        found, why = read_number(table.raw("value"))
        wanted = f"a number {allowed.words}".strip()
        unit_text = "" if self.quantity.unit == "1" else f" {self.quantity.unit}"
        example = f'{self.quantity.name} = "{number}{unit_text}"'
        if found is None:
            self.say("not-a-number", f"{why} Write {wanted}: {example}.", "", wanted)
        elif not allowed.holds(float(found)):
            self.say("number-out-of-range", f"{found.text} is given. Write {wanted}: {example}.", "", wanted)
            return None
        return found

    def single(self, name: str, warm: float | None) -> Given | None:
        """Return a quantity given by one number."""
        quantity, table = self.quantity, self.table
        number, factor = self.value(), self.factor()
        dof, source, material = table.number("dof", ABOVE_ZERO), table.text("source"), self.material()
        if number is None or factor is None:
            table.has(*WAYS, "shape", "class", "standard")
            return None
        spread = spread_of(quantity, table, number, float(factor), self.around)
        if spread is None:
            return None
        value = float(Fraction(number.value) * factor)
        self.check(value, spread, number)
        return Given(
            quantity.name, value, quantity.unit, spread.u, spread.shape, float(dof) if dof else math.inf,
            self.key(name), _as_written(number, table.text("unit"), quantity.unit), u_each=spread.u_each,
            source=source, why_u=spread.words, material=material, temperature_degc=warm, place=table.place(),
        )  # fmt: skip

    def check(self, value: float, spread: Spread, number: Written) -> None:
        """Find a value that was likely meant in another unit, or with another decimal point."""
        if self.quantity.kind == "purity" and value > _HIGHEST_PURITY:
            message = f"A purity of {number.text} is more than the whole. Write 0.999, or 99.9 %."
            self.say("purity-above-one", message, "value")
        if spread.u > abs(value) / 2 and self.quantity.kind != "blank":
            message = (
                "The uncertainty is more than half of the value. Look at its decimal point and its unit."
            )
            self.table.findings.append(
                attention("uncertainty-large", message, self.table.place(), spread.words)
            )

    def key(self, name: str) -> str:
        """Return the key of the object that the value is about; "" when it is nobody else's."""
        if not name and self.quantity.name == "titrant":
            name = self.around.bottle
        return f"{_KEY_WORDS.get(self.quantity.kind, self.quantity.kind)}:{name}" if name else ""

    def material(self) -> str:
        text = self.table.text("material")
        if text:
            self.table.findings.extend(find_glass(text, self.table.place("material"))[1])
        return text

    def weighings(self, name: str) -> Given | None:
        """Return a mass that is the difference of two weighings."""
        quantity, table = self.quantity, self.table
        if quantity.kind != "mass":
            table.say("not-weighed", f"{quantity.name} is not a mass, so it has no gross and tare.", "gross")
        if table.has("value"):
            message = "A mass is given as value, or as gross and tare. Keep one of the two."
            table.say("mass-twice", message, "value")
        gross = table.number("gross", NOT_NEGATIVE, '"12.3456"')
        tare = table.number("tare", NOT_NEGATIVE, '"11.8351"')
        factor, u, source = self.factor(), table.number("u", NOT_NEGATIVE), table.text("source")
        if gross is None or tare is None or factor is None or quantity.kind != "mass":
            return None
        if gross.value <= tare.value:
            message = f"The gross mass, {gross.text}, is not above the tare, {tare.text}. Look at both again."
            table.say("gross-below-tare", message, "gross")
            return None
        coarser = max(gross, tare, key=lambda one: one.half_last_digit)
        each = weighing(quantity, coarser, float(factor), self.around)
        if u is not None:
            size = float(u) * float(factor) / math.sqrt(2)
            each = Spread(size, Shape.NORMAL, "standard uncertainty of the difference as given", size)
        return Given(
            quantity.name, float(Fraction(gross.value - tare.value) * factor), quantity.unit,
            each.u * math.sqrt(2), each.shape, key=self.key(name), written=f"{gross.text} - {tare.text}",
            gross=float(Fraction(gross.value) * factor), tare=float(Fraction(tare.value) * factor),
            u_each=each.u, source=source, why_u=each.words, place=table.place(),
        )  # fmt: skip


def _fit(found: Unit, wanted: str) -> bool:
    """Tell whether a unit measures the same as the one wanted, expressed as the same substance."""
    return found.same_kind(unit(wanted)) and _expressed_as(found.text) == _expressed_as(wanted)


def _expressed_as(text: str) -> str:
    """Return what a unit is expressed as: ``CaCO3`` of ``mg/L as CaCO3``."""
    return " ".join(text.partition(" as ")[2].split())


def _unit_assumed(quantity: Quantity, table: Fields) -> Finding:
    message = f"No unit is written for {quantity.name}; the number is taken in {quantity.unit}."
    return note("unit-assumed", message, table.place())


def _first_large(words: str) -> str:
    return words[:1].upper() + words[1:]


def _as_written(number: Written, unit_text: str, wanted: str) -> str:
    return number.text if unit_text in ("", wanted) else f"{number.text} {unit_text}"
