"""End points of a measured curve, in words and in a table."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

from halfdrop.core.equilibrium.measured.curve import Found, Method, Quantity
from halfdrop.core.equilibrium.measured.model import Kind
from halfdrop.core.equilibrium.measured.verdict import Verdict, disagree
from halfdrop.core.measure.rounding import report
from halfdrop.reports.words import listed, minus, significant
from halfdrop.usecases.endpoint import EndPointAnswer, step_of

_WIDTH = 100


def end_point_lines(answer: EndPointAnswer) -> Iterator[str]:
    """Yield the answer: the volume to use first, then all methods side by side."""
    for one in answer.verdicts:
        yield from _end_point(answer, one)
    yield "* the one to use; ! disagrees with it" if _any_apart(answer) else "* the one to use"
    yield ""
    yield from _fitted(answer)
    yield from _next(answer)


def _end_point(answer: EndPointAnswer, one: Verdict) -> Iterator[str]:
    several = len(answer.verdicts) > 1
    head = f"End point {one.number}" if several else "End point"
    found = one.trusted
    yield f"{head}: {_volume(found)} mL (standard uncertainty), by: {found.method}"
    if math.isfinite(found.expanded_ml):
        low, high = found.volume_ml - found.expanded_ml, found.volume_ml + found.expanded_ml
        yield f"  95 % interval: {low:.3f} to {high:.3f} mL"
    for sentence in (*one.why, *one.warnings):
        yield from textwrap.wrap(sentence, _WIDTH, initial_indent="  ", subsequent_indent="  ")
    yield ""
    yield f"  {'method':<34}{'mL':>16}   rests on"
    for row in answer.methods.at(one.number):
        yield from _row(row, one)
    yield ""


def _volume(found: Found) -> str:
    if not (math.isfinite(found.u_ml) and math.isfinite(found.volume_ml)):
        return f"{found.volume_ml:.2f} (uncertainty not known)"
    return minus(report(found.volume_ml, found.u_ml).text())


def _row(row: Found, one: Verdict) -> Iterator[str]:
    sign = "*" if row is one.trusted else " " if not disagree(one.trusted, row) else "!"
    first, *rest = textwrap.wrap(row.says, _WIDTH - 55) or [""]
    yield f"{sign} {row.method:<34}{_volume(row):>16}   {first}".rstrip()
    for more in (
        *rest,
        *(line for doubt in row.doubts for line in textwrap.wrap(f"but {doubt}", _WIDTH - 55)),
    ):
        yield f"{'':55}{more}"


def _fitted(answer: EndPointAnswer) -> Iterator[str]:
    """Yield what the fit found beside the volume."""
    fit = answer.methods.fits.get(Method.CAREFUL) or answer.methods.fits.get(Method.MODEL)
    if fit is None:
        return
    yield "Fitted with it"
    for k, unknown in enumerate(fit.system.unknowns):
        u = math.sqrt(max(float(fit.covariance[k, k]), 0.0))
        text = minus(report(float(fit.theta[k]), u).text()) if u > 0 else significant(float(fit.theta[k]), 4)
        unit = " mol/L" if unknown.kind in (Kind.FLASK, Kind.BURETTE) else ""
        yield f"  {unknown.name:<38}{text}{unit}"
    yield ""


def _any_apart(answer: EndPointAnswer) -> bool:
    return any(one.apart for one in answer.verdicts)


def _next(answer: EndPointAnswer) -> Iterator[str]:
    if answer.additions:
        places = listed(
            f"{one.volume_ml:.2f}" for one in sorted(answer.additions, key=lambda one: one.volume_ml)
        )
        u = answer.additions[-1].u_ml
        yield f"Next time: {len(answer.additions)} more readings, at {places} mL, would tell most"
        yield f"(standard uncertainty {significant(u)} mL with them)."
        return
    if answer.measured.curve.quantity not in (Quantity.PH, Quantity.POTENTIAL):
        return
    for one in answer.verdicts:
        step = step_of(answer, one)
        if step is not None and step[1] - step[0] > 0.05:
            yield f"Next time: drops of 0.05 mL from {step[0]:.2f} to {step[1]:.2f} mL would tell most."
