"""Whether a determination brings what its working needs, and one value for one object."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.measure.working import WorkingError
from halfdrop.core.titration.blocks import Block
from halfdrop.core.titration.build import BLANK, MethodError, build
from halfdrop.core.titration.deliveries import Delivery, deliveries
from halfdrop.core.titration.fill import complete_trials
from halfdrop.core.titration.method import Method, Quantity
from halfdrop.core.titration.record import Determination, Given
from halfdrop.core.titration.work import outline_of
from halfdrop.files.fields import Fields
from halfdrop.files.quantities import LINKABLE
from halfdrop.files.text_files import refusal


def check_complete(
    method: Method, blocks: Mapping[str, Block], determination: Determination, top: Fields
) -> list[Finding]:
    """Find what is missing, given twice, or given in a way that the working cannot take.

    Args:
        method: the method.
        blocks: the blocks of its working.
        determination: as read, what cannot be used left out.
        top: the whole file; what was said of it already is not said again.
    """
    wrong = _refused_fields(top.findings)
    findings = [
        *_two_values(determination),
        *_two_series(method, determination),
        *_two_blanks(determination, top),
    ]
    try:
        built = build(method, blocks, outline_of(method, _sound(determination, deliveries(method, blocks))))
    except (MethodError, WorkingError) as error:
        message = f"The working of {method.name} cannot be put together from what is given: {error}."
        return [*findings, refusal("working", message, top.place())]
    needed = [words.split()[1] for words in built.fills.values() if words.split()[0] in ("given", "weighed")]
    for name in dict.fromkeys(needed):
        if name not in wrong and name not in determination.links:
            findings += _missing(method.quantities[name], determination, top)
    return findings


def _sound(determination: Determination, titres: Sequence[Delivery]) -> Determination:
    """Return a determination without the trials that have one reading of a titre and not the other."""
    pairs: dict[str, list[tuple[str, str]]] = {}
    for one in titres:
        pairs.setdefault(one.series, []).append((one.start, one.end))
    trials = tuple(
        trial
        for trial in determination.trials
        if all((a in trial.readings) == (b in trial.readings) for a, b in pairs.get(trial.series, ()))
    )
    return replace(determination, trials=trials)


def _refused_fields(findings: Sequence[Finding]) -> set[str]:
    """Return the fields about which something was refused already."""
    fields = (f.place.field for f in findings if f.severity is Severity.REFUSED)
    return {part for words in fields for part in words.split(", ")}


def _missing(quantity: Quantity, determination: Determination, top: Fields) -> Iterator[Finding]:
    """Say that a quantity is needed, for all trials or in some of them, and how to write it."""
    name = quantity.name
    if name in determination.given:
        return
    series = next((trial.series for trial in determination.trials if name in trial.given), "")
    lacking = [trial for trial in complete_trials(determination, series) if name not in trial.given]
    number, unit = quantity.typical or quantity.value or "1.000", quantity.unit
    written = f'"{number}"' if unit == "1" else f'"{number} {unit}"'
    if series and lacking:
        labels = ", ".join(trial.label for trial in lacking[:8]) + (", ..." if len(lacking) > 8 else "")
        message = f"{name} ({quantity.says}) is missing in trial {labels}. Write it: {name} = {written}."
        place = Place(lacking[0].place.file, lacking[0].place.line, f"{lacking[0].place.field}, {name}")
        yield refusal("quantity-missing", message, place, [trial.label for trial in lacking])
    elif not series:
        yield refusal("quantity-missing", _how(quantity, number, written), top.place(name))


def _how(quantity: Quantity, number: str, written: str) -> str:
    name = quantity.name
    start = f"{name} ({quantity.says}) is missing."
    if quantity.per_trial:
        return f"{start} Write it in each [[trial]]: {name} = {written}."
    if quantity.kind == LINKABLE:
        return (
            f'{start} Write [{name}] with value = "{number}", unit = "{quantity.unit}" and u; or with '
            "file =, the determination that standardised it."
        )
    return f"{start} Write {name} = {written}, or [{name}] with value, unit, and u or limits or class."


def _two_series(method: Method, determination: Determination) -> Iterator[Finding]:
    """Find a quantity that trials of more than one series have of their own: a working takes it from one."""
    for name in method.quantities:
        own = [trial for trial in determination.trials if name in trial.given]
        series = list(dict.fromkeys(trial.series for trial in own))
        if len(series) > 1:
            other = next(trial for trial in own if trial.series != series[0])
            message = (
                f"{name} is given in trials of {' and '.join(series)}; it belongs to one of these. Move it."
            )
            yield refusal("quantity-two-series", message, other.place, name)


def _two_blanks(determination: Determination, top: Fields) -> Iterator[Finding]:
    """Find a blank that is given as a value and as trials."""
    trials = [trial for trial in determination.trials if trial.series == BLANK]
    if BLANK in determination.given and trials:
        message = "The blank is given as a value and as trials. Keep the trials or the value."
        yield refusal("blank-twice", message, top.place(BLANK))


def _two_values(determination: Determination) -> Iterator[Finding]:
    """Find one object, by its key, with two values."""
    first: dict[str, Given] = {}
    every = [
        *determination.given.values(),
        *(g for trial in determination.trials for g in trial.given.values()),
    ]
    for one in every:
        if not one.key or one.key.startswith("mass:"):
            continue
        earlier = first.setdefault(one.key, one)
        if (earlier.value, earlier.unit, earlier.u) != (one.value, one.unit, one.u):
            kind, _, name = one.key.partition(":")
            message = (
                f"The {kind} {name} is given as {earlier.written} and as {one.written} (value or uncertainty "
                "differ). One object has one value; give different objects different ids."
            )
            yield refusal("two-values", message, one.place, one.written)
