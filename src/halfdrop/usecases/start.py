"""A first determination file for a method: everything it asks for, with room to write."""

from __future__ import annotations

import json
from collections.abc import Iterator

from halfdrop.core.titration.method import Method, Quantity, Series

TRIALS = 4  # a rough one and three accurate ones
_SCATTER_ML = (0.60, 0.00, 0.05, -0.03)  # of the example's titres, the rough one first


def starting_file(method: Method, *, example: bool = False, name: str = "") -> str:
    """Return the text of a determination file for a method.

    Args:
        method: the method.
        example: with example numbers, to see what comes out; else with empty places.
        name: what the file calls the method, when not by its own name.
    """
    return "\n".join([*_head(method, name, example=example), *_quantities(method, example=example),
                      *_trials(method, example=example)]) + "\n"  # fmt: skip


def _head(method: Method, name: str, *, example: bool) -> Iterator[str]:
    yield f"# {method.title}"
    yield '# Write down what was read, as it was read: "23.40" and "23.4" are not the same.'
    if example:
        yield "# The numbers below are an example. Replace every one of them."
    yield f"method = {json.dumps(name or method.name)}"
    yield 'sample = "what is titrated, and from which bottle"'
    yield 'analyst = "who"'
    yield "# date = 2026-09-14"
    yield ""
    yield "[burette]"
    yield 'id = "B1"              # what is written on it'
    yield "capacity_mL = 50"
    yield 'division_mL = "0.1"'
    yield 'class = "B"            # or limit_mL = "0.05" as engraved'
    if any(
        len(series.readings) > 1 and "back" in "".join(series.readings) for series in method.series.values()
    ):
        yield ""
        yield "# [second_burette]     # only where an overshoot was taken back"
        yield '# id = "B2"'
        yield "# capacity_mL = 50"
        yield '# division_mL = "0.1"'
        yield '# class = "B"'
    yield ""
    yield "[room]"
    yield _value("temperature_degC", "21.0", example=example)
    yield 'u_degC = "0.5"'
    yield "# correct_to_20 = true   # every volume to 20 degC"
    if any(quantity.kind == "mass" for quantity in method.quantities.values()):
        yield ""
        yield "[balance]"
        yield 'linearity_mg = "0.15"  # from its data sheet; counted for each weighing'


def _quantities(method: Method, *, example: bool) -> Iterator[str]:
    for quantity in method.quantities.values():
        if not quantity.per_trial:
            yield ""
            yield from _quantity(quantity, example=example)


def _quantity(quantity: Quantity, *, example: bool) -> Iterator[str]:
    """One table; what may be missing, or has a value of the method's own, is commented out."""
    skip = "# " if quantity.optional or quantity.value else ""
    yield f"# {quantity.says}{', if there is one' if quantity.optional else ''}"
    if quantity.value:
        yield f"# taken as {quantity.value} ± {quantity.limits} unless given here ({quantity.source})"
    yield f"{skip}[{quantity.name}]"
    typical = quantity.typical or quantity.value
    yield skip + _value("value", typical, example=example or bool(skip))
    yield f"{skip}unit = {json.dumps(quantity.unit)}"
    if quantity.kind == "concentration":
        yield f'{skip}u = "0.0002"           # its standard uncertainty; or, instead of value, unit and u:'
        yield '# file = "titrant.toml"  # the determination that standardised it'
    elif quantity.kind in ("pipette", "flask"):
        yield f'{skip}class = "B"'
    elif quantity.kind not in ("mass", "purity"):
        yield f'{skip}u = "0.01"             # standard uncertainty'


def _trials(method: Method, *, example: bool) -> Iterator[str]:
    for number, series in enumerate(method.series.values()):
        skip = "# " if series.optional else ""
        yield ""
        yield f"# {series.says}"
        for k in range(TRIALS if not series.optional else 1):
            yield f"{skip}[[trial]]"
            if number:
                yield f"{skip}series = {json.dumps(series.name)}"
            if k == 0 and not series.optional:
                yield "rough = true"
            for quantity in method.quantities.values():
                if quantity.per_trial and number == 0:
                    yield skip + _value(quantity.name, _shifted(quantity.typical, k), example=example)
            for reading, value in zip(series.readings, _readings(method, series, k), strict=True):
                aside = "# " if "back" in reading else skip
                yield aside + _value(reading, value, example=example or bool(aside))
            yield ""


def _readings(method: Method, series: Series, k: int) -> list[str]:
    """Return example readings: from near zero in even steps to the titre the method expects."""
    low, high = (float(text) for text in method.titre_ml)
    titre = (low + high) / 2 + _SCATTER_ML[k]
    start = 0.10 * (k + 1)
    steps = len(series.readings) - 1
    return [f"{start + titre * j / steps:.2f}" for j in range(steps + 1)]


def _shifted(typical: str, k: int) -> str:
    """Return the typical mass, a little different in its last digits for each trial."""
    if "." not in typical:
        return typical
    places = len(typical.split(".")[1])
    return f"{float(typical) + (7, -4, 5, -2)[k] * 10.0**-places:.{places}f}"


def _value(key: str, value: str, *, example: bool) -> str:
    return f'{key} = "{value}"' if example else f'{key} = ""              # such as "{value}"'
