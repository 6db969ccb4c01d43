"""A first determination file for a method: everything it asks for, with room to write."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from halfdrop.core.titration.deliveries import Delivery, deliveries
from halfdrop.core.titration.method import Method, Quantity, Series
from halfdrop.files.methods import shipped_blocks

TRIALS = 4  # a rough one and three accurate ones
# Of the example: what the titres differ by (the rough one first); a second series takes less than the first;
# a first end point comes after more than half of the way, so that a mixture can be told.
_SCATTER_ML = (Decimal("0.60"), Decimal("0.00"), Decimal("0.05"), Decimal("-0.03"))
_LATER_SERIES = Decimal("0.6")
_FIRST_END_POINT = Decimal("0.8")
_WORTH_READING_ML = Decimal("16.50")  # a third of a burette of 50 mL
_SMALL_ML = 20  # methods that never take more are done with a burette of 25 mL
_OVERSHOOT_ML, _BACK_TITRE_ML = Decimal("1.20"), Decimal("10.20")
# An example of a quantity for which the method gives none.
_TYPICAL = {
    "concentration": "0.1000", "pipette": "25.00", "flask": "250", "volume": "100.0", "mass": "1.0215",
    "purity": "0.9990", "density": "1.005", "molar mass": "100.09", "number": "1", "blank": "0.05",
}  # fmt: skip
_RELATIVE_U = {"concentration": Decimal("0.002"), "volume": Decimal("0.002"), "density": Decimal("0.001")}


def starting_file(method: Method, *, example: bool = False, name: str = "") -> str:
    """Return the text of a determination file for a method.

    Args:
        method: the method.
        example: with example numbers, to see what comes out; else with empty places.
        name: what the file calls the method, when not by its own name.
    """
    page = _Page(method, name or method.name, example)
    return "\n".join([*page.head(), *page.quantities(), *page.trials()]).rstrip() + "\n"


@dataclass(frozen=True)
class _Page:
    """Writes the parts of the file, line by line."""

    method: Method
    name: str
    example: bool

    def head(self) -> Iterator[str]:
        yield f"# {self.method.title}"
        yield '# Write down what was read, as it was read: "23.40" and "23.4" are not the same.'
        if self.example:
            yield "# The numbers below are an example. Replace every one of them."
        yield f"method = {json.dumps(self.name)}"
        yield 'sample = "what is titrated, and from which bottle"'
        yield 'analyst = "who"'
        yield "# date = 2026-09-14"
        yield ""
        yield from self.burette("burette", "B1")
        if seconds := [one for one in self.deliveries() if one.burette == "second_burette"]:
            yield ""
            skip = "# " if seconds[0].when else ""
            if skip:
                yield "# only where an overshoot was taken back"
            yield from (skip + line for line in self.burette("second_burette", "B2"))
        yield ""
        yield "[room]"
        yield self.place("temperature_degC", "21.0")
        yield 'u_degC = "0.5"'
        yield "# correct_to_20 = true   # every volume to 20 degC"
        if any(quantity.kind == "mass" for quantity in self.method.quantities.values()):
            yield ""
            yield "[balance]"
            yield 'linearity_mg = "0.15"  # from its data sheet; counted for each weighing'

    def burette(self, key: str, name: str) -> Iterator[str]:
        yield f"[{key}]"
        yield f'id = "{name}"              # what is written on it'
        small = Decimal(self.method.titre_ml[1]) <= _SMALL_ML
        yield f"capacity_mL = {25 if small else 50}"
        yield f'division_mL = "{"0.05" if small else "0.1"}"'
        yield 'class = "B"            # or limit_mL = "0.05" as engraved'

    def deliveries(self) -> tuple[Delivery, ...]:
        return deliveries(self.method, shipped_blocks())

    def spare(self, series: str) -> set[str]:
        """Return the readings that are made only now and then."""
        return {name for one in self.deliveries() if one.series == series and one.when in (one.start, one.end)
                for name in (one.start, one.end)}  # fmt: skip

    def place(self, key: str, value: str, *, skip: str = "") -> str:
        """Return a line to be filled in: with the example in it, or beside it."""
        if self.example or skip:
            return f'{skip}{key} = "{value}"'
        return f'{key} = ""              # such as "{value}"'

    def quantities(self) -> Iterator[str]:
        for quantity in self.method.quantities.values():
            if not quantity.per_trial:
                yield ""
                yield from self.quantity(quantity)

    def quantity(self, quantity: Quantity) -> Iterator[str]:
        """One table; what may be missing, or has a value of the method's own, is commented out."""
        usual = self.usual(quantity)
        skip = "# " if (quantity.optional and not usual) or quantity.value else ""
        spare = " (take this table out if there was none)" if usual else " (may be left out)"
        yield f"# {quantity.says}{spare if quantity.optional else ''}"
        if quantity.value:
            limits = f" ± {quantity.limits}" if quantity.limits else ""
            yield f"# taken as {quantity.value}{limits} unless given here ({quantity.source})"
        yield f"{skip}[{quantity.name}]"
        yield self.place("value", _typical(quantity), skip=skip)
        yield f"{skip}unit = {json.dumps(quantity.unit)}"
        yield from (skip + line for line in _uncertainty(quantity))

    def usual(self, quantity: Quantity) -> bool:
        """Tell whether glass that may be left out is usually there: nothing is weighed for each trial."""
        weighed = any(one.kind == "mass" and one.per_trial for one in self.method.quantities.values())
        glass = quantity.kind in ("flask", "pipette") and bool(quantity.typical)
        return quantity.optional and glass and not weighed

    def trials(self) -> Iterator[str]:
        for number, series in enumerate(self.method.series.values()):
            yield ""
            yield f"# {series.says}"
            for k in range(1 if series.optional else TRIALS):
                yield from self.trial(series, number, k)
                yield ""

    def trial(self, series: Series, number: int, k: int) -> Iterator[str]:
        skip = "# " if series.optional else ""
        yield f"{skip}[[trial]]"
        if number:
            yield f"{skip}series = {json.dumps(series.name)}"
        if k == 0 and not series.optional:
            yield "rough = true"
        for quantity in self.method.quantities.values() if number == 0 else ():
            if quantity.per_trial:
                yield self.place(quantity.name, _shifted(_typical(quantity), k), skip=skip)
        readings, spare = self.readings(series, number, k), self.spare(series.name)
        for name in series.readings:
            aside = "# " if name in spare else skip
            yield self.place(name, f"{readings[name]:.2f}", skip=aside)

    def readings(self, series: Series, number: int, k: int) -> dict[str, Decimal]:
        """Return example readings: from near zero to the titre that the method expects."""
        low, high = (Decimal(text) for text in self.method.titre_ml)
        usual = max((low + high) / 2, min(high * _FIRST_END_POINT, _WORTH_READING_ML))
        titre = usual * (_LATER_SERIES if number else 1) + _SCATTER_ML[k]
        if series.optional:
            titre = self.blank()
        start = Decimal("0.10") * (k + 1)
        found = {series.readings[0]: start, series.readings[-1]: start + titre}
        for one in self.deliveries():
            if one.series == series.name and one.burette == "second_burette":
                back = _OVERSHOOT_ML if one.when else _BACK_TITRE_ML
                found |= {one.start: start, one.end: start + back}
                found |= {series.readings[1]: start + titre}
        first = start + titre * _FIRST_END_POINT
        return {name: found.get(name, first) for name in series.readings}

    def blank(self) -> Decimal:
        """Return an example titre of a blank: small, or most of the excess in a back titration."""
        blanks = [one for one in self.method.quantities.values() if one.kind == "blank"]
        return Decimal(_typical(blanks[0]) if blanks else _TYPICAL["blank"])


def _typical(quantity: Quantity) -> str:
    return quantity.typical or quantity.value or _TYPICAL[quantity.kind]


def _uncertainty(quantity: Quantity) -> Iterator[str]:
    """Say how far the value may be wrong, in the way that is usual for such a quantity."""
    if quantity.kind in ("pipette", "flask"):
        yield 'class = "B"'
        yield '# id = ""              # what is written on it'
    elif quantity.kind in _RELATIVE_U:
        u = Decimal(_typical(quantity)) * _RELATIVE_U[quantity.kind]
        rounded = f"{u.quantize(Decimal(1).scaleb(u.adjusted())):f}"
        yield f'u = "{rounded}"{"":<{max(1, 16 - len(rounded))}} # standard uncertainty'
        if quantity.kind == "concentration":
            yield '# id = ""              # what is written on the bottle'
            yield '# file = "titrant.toml"  # or, instead of value, unit and u: the page that standardised it'
    elif quantity.kind == "blank":
        yield 'u = "0.02"             # standard uncertainty'


def _shifted(typical: str, k: int) -> str:
    """Return the typical mass, a little different in its last digits for each trial."""
    if "." not in typical:
        return typical
    places = len(typical.split(".")[1])
    return f"{Decimal(typical) + Decimal((3, -2, 2, -1)[k]).scaleb(-places):f}"
