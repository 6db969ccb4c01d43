"""Where the equivalence point lies in a measured curve: all methods side by side, and which to trust."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from halfdrop.core.equilibrium.measured.curve import Found, Method, Quantity
from halfdrop.core.equilibrium.measured.fit import ASSUMED_U_PH
from halfdrop.core.equilibrium.measured.methods import SideBySide, side_by_side
from halfdrop.core.equilibrium.measured.model import Kind
from halfdrop.core.equilibrium.measured.next_points import Addition, next_additions
from halfdrop.core.equilibrium.measured.notice import read_twice, slope_off, step_at, too_far_apart, wrong_way
from halfdrop.core.equilibrium.measured.verdict import (
    FAULTS_ACID,
    FAULTS_ALKALI,
    FAULTS_POTENTIAL,
    Fault,
    Verdict,
    disagree,
    verdict,
)
from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.core.measure.rounding import report
from halfdrop.files.measured_curves import Measured, read_measured
from halfdrop.usecases.answer import finding_as_data

FORMAT = 1
_SURE = 3.0  # standard uncertainties from zero, from where something is told as seen
_FAR_OFF = 5.0  # times the scatter, from where a point is named
_MOST_NAMED = 5


@dataclass(frozen=True, eq=False)
class EndPointAnswer:
    """End points of one measured curve.

    Attributes:
        measured: what was read.
        methods: what all methods found.
        verdicts: one for each end point.
        additions: where readings should go next time, best first; none without a fit.
        findings: what was noticed.
    """

    measured: Measured
    methods: SideBySide
    verdicts: tuple[Verdict, ...]
    additions: tuple[Addition, ...]
    findings: tuple[Finding, ...]

    def to_json(self) -> dict[str, object]:
        """Return the answer as data."""
        return {
            "format": FORMAT,
            "kind": "end points",
            "file": self.measured.file,
            "digest": self.measured.digest,
            "end_points": [self._end_point(one) for one in self.verdicts],
            "next_additions": [
                {"volume": _quantity(one.volume_ml, math.nan, "mL"), "u_mL_then": one.u_ml}
                for one in self.additions
            ],
            "fitted": {str(method): _fit_as_data(self.methods, method) for method in self.methods.fits},
            "not_worked_out": {str(method): reason for method, reason in self.methods.failed.items()},
            "findings": [finding_as_data(one) for one in self.findings],
        }

    def _end_point(self, one: Verdict) -> dict[str, object]:
        return {
            "number": one.number,
            "volume": _volume(one.trusted),
            # What a determination needs to take this for a titre: a key that says which object it is.
            "key": f"curve:{self.measured.digest[:16]}/{one.number}",
            "method": str(one.trusted.method),
            "why": list(one.why),
            "warnings": list(one.warnings),
            "side_by_side": [
                {
                    "method": str(found.method),
                    "volume": _volume(found),
                    "parts_mL": dict(found.parts_ml),
                    "says": found.says,
                    "doubts": list(found.doubts),
                    "agrees": not disagree(one.trusted, found),
                }
                for found in self.methods.at(one.number)
            ],
        }


def _volume(found: Found) -> dict[str, object]:
    dof = found.dof if math.isfinite(found.dof) else None
    return {
        **_quantity(found.volume_ml, found.u_ml, "mL"),
        "dof": dof,
        "expanded_95": _finite(found.expanded_ml),
    }


def _quantity(value: float, u: float, unit: str) -> dict[str, object]:
    text = report(value, u).text() if math.isfinite(u) else f"{value:.2f}"
    return {"value": _finite(value), "unit": unit, "standard_uncertainty": _finite(u), "text": text}


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _fit_as_data(methods: SideBySide, method: Method) -> dict[str, object]:
    fit = methods.fits[method]
    return {
        "points": len(fit.residuals),
        "degrees_of_freedom": fit.dof,
        "scatter_over_stated": fit.scatter,
        "robust": fit.robust,
        "unknowns": [
            {
                "name": unknown.name,
                "kind": str(unknown.kind),
                **_quantity(float(value), math.sqrt(float(fit.covariance[k, k])), _unit(unknown.kind)),
                "known_before": None if math.isinf(unknown.u) else {"value": unknown.start, "u": unknown.u},
            }
            for k, (unknown, value) in enumerate(zip(fit.system.unknowns, fit.theta, strict=True))
        ],
        "covariance": fit.covariance.tolist(),
    }


def _unit(kind: Kind) -> str:
    return "mol/L" if kind in (Kind.FLASK, Kind.BURETTE) else "1"


def find_end_points(path: Path) -> EndPointAnswer:
    """Find the equivalence volumes of a measured curve.

    Args:
        path: a page about it (TOML), or the table itself.

    Raises:
        Refused: when the page or the table cannot be used, or no method finds an end point.
    """
    measured = read_measured(path)
    curve = measured.curve
    methods = side_by_side(curve, measured.setting)
    numbers = sorted({one.number for one in methods.found})
    if not numbers:
        raise Refused([*measured.findings, _nothing_found(measured, methods)])
    verdicts = tuple(verdict(methods.at(number), _faults(measured)) for number in numbers)
    findings = [*measured.findings, *_noticed(measured, methods, verdicts)]
    return EndPointAnswer(measured, methods, verdicts, tuple(_additions(measured, methods)), tuple(findings))


def _faults(measured: Measured) -> tuple[Fault, ...]:
    curve = measured.curve
    if curve.quantity is Quantity.PH:
        return FAULTS_ALKALI if curve.signal[-1] >= curve.signal[0] else FAULTS_ACID
    return FAULTS_POTENTIAL


def _nothing_found(measured: Measured, methods: SideBySide) -> Finding:
    reasons = "; ".join(methods.failed.values()) or "no method applies"
    message = (
        f"No end point is found in {len(measured.curve.volumes_ml)} points: {reasons}. Titrate past the end "
        "point, with four points or more around it."
    )
    return Finding("no-end-point", Severity.REFUSED, message, Place(measured.table))


def _noticed(measured: Measured, methods: SideBySide, verdicts: tuple[Verdict, ...]) -> Iterator[Finding]:
    curve, place = measured.curve, measured.place
    yield from read_twice(curve, place)
    yield from wrong_way(curve, place)
    for one in verdicts:
        yield from too_far_apart(curve, one.trusted, place)
        yield from _of_verdict(measured, one)
    yield from _of_fit(measured, methods)
    for method, reason in methods.failed.items():
        message = f"{str(method).capitalize()} gave nothing: {reason}."
        yield Finding("method-failed", Severity.NOTE, message, Place(measured.file))
    if methods.fitted and methods.fitted < len(curve.volumes_ml):
        message = f"Of {len(curve.volumes_ml)} points {methods.fitted}, evenly spread, were fitted."
        yield Finding("points-thinned", Severity.NOTE, message, Place(measured.table))
    if not measured.paged:
        message = (
            "The table was read alone. A page that says what is in flask and burette lets the whole curve be "
            "fitted, which tells more than derivatives."
        )
        yield Finding("no-page", Severity.NOTE, message, Place(measured.file))
    if curve.quantity is Quantity.PH and math.isnan(curve.u_signal):
        message = (
            f"The readings are taken to be good to {ASSUMED_U_PH} pH. Write u_signal if you know better."
        )
        yield Finding("u-signal-assumed", Severity.NOTE, message, Place(measured.file))


def _of_verdict(measured: Measured, one: Verdict) -> Iterator[Finding]:
    place = Place(measured.file, 0, f"end point {one.number}")
    if one.doubted:
        message = f"No method is free of doubt. {' '.join(one.why)}"
        yield Finding("end-point-doubted", Severity.ATTENTION, message, place)
    for other in one.apart:
        away = other.volume_ml - one.trusted.volume_ml
        message = (
            f"{str(other.method).capitalize()} gives {other.volume_ml:.3f} mL, {away:+.3f} mL from "
            f"{one.trusted.method}: more than both uncertainties allow. Something is at fault that one of "
            "them does not see."
        )
        severity = Severity.NOTE if other.doubts or other.method is Method.MODEL else Severity.ATTENTION
        yield Finding("methods-disagree", severity, message, place)


def _of_fit(measured: Measured, methods: SideBySide) -> Iterator[Finding]:
    """Tell what the careful fit saw of electrode and titrant, and which points lie far off."""
    fit = methods.fits.get(Method.CAREFUL) or methods.fits.get(Method.MODEL)
    if fit is None:
        return
    place = Place(measured.file)
    if (slope := fit.of(Kind.SLOPE)) is not None and measured.electrode.slope is None:
        yield from slope_off(*slope, place, "by the fit")
    gas, lag = fit.of(Kind.BURETTE), fit.of(Kind.LAG)
    if gas is not None and gas[0] > _SURE * gas[1]:
        share = 100 * gas[0] / fit.system.burette[0].concentration
        message = (
            f"The curve shows carbon dioxide: {share:.1f} % of the titrant's concentration. The volume found "
            "allows for it; a colour change would not. Make up fresh alkali with boiled water."
        )
        yield Finding("carbon-dioxide", Severity.ATTENTION, message, place, {"percent": share})
    if lag is not None and lag[0] > _SURE * lag[1]:
        message = (
            f"Readings lag by {100 * lag[0]:.0f} % of each change. The volume found allows for it. Wait "
            "until the reading stands, most of all near the end."
        )
        yield Finding("electrode-lag", Severity.ATTENTION, message, place, {"lag": lag[0]})
    if fit.u_volume_ml > 1.5 * max(measured.curve.u_volume_ml, 1e-3):
        message = (
            f"On the steep part the volumes scatter by {fit.u_volume_ml:.3f} mL, more than "
            f"{measured.curve.u_volume_ml:g} mL. The uncertainty was raised to match."
        )
        yield Finding("volumes-scatter", Severity.NOTE, message, place)
    yield from _far_off(measured, methods)


def _far_off(measured: Measured, methods: SideBySide) -> Iterator[Finding]:
    fit = methods.fits.get(Method.CAREFUL) or methods.fits[Method.MODEL]
    if len(fit.residuals) != len(measured.curve.volumes_ml):
        return
    limit = _FAR_OFF * max(fit.scatter, 1e-9)
    order = sorted(range(len(fit.residuals)), key=lambda k: -abs(fit.residuals[k]))
    for k in order[:_MOST_NAMED]:
        if abs(fit.residuals[k]) <= limit:
            return
        message = (
            f"This point lies {abs(fit.residuals[k]) / fit.scatter:.0f} times the scatter of all from the "
            "fitted curve. Look at it; robust = true lets such points count for less."
        )
        yield Finding("point-far-off", Severity.ATTENTION, message, measured.place(k, "signal"))


def _additions(measured: Measured, methods: SideBySide) -> list[Addition]:
    """Return where to read next time."""
    curve = measured.curve
    fit = methods.fits.get(Method.CAREFUL) or methods.fits.get(Method.MODEL)
    if fit is None:
        return []
    u_ph = curve.u_signal if math.isfinite(curve.u_signal) else ASSUMED_U_PH
    volumes, _ = fit.equivalence()
    second = next((one for one in methods.found if one.method is Method.CAREFUL), None)
    target = second.volume_ml if second is not None else float(volumes[0])
    number = 1 + min(range(len(volumes)), key=lambda k: abs(volumes[k] - target))
    fit = replace(fit, scatter=max(fit.scatter, 1e-9))
    return next_additions(fit, float(curve.volumes_ml[-1]), number, u_ph, max(fit.u_volume_ml, 1e-3))


def step_of(answer: EndPointAnswer, one: Verdict) -> tuple[float, float] | None:
    """Return the step of the burette around an end point, None when it lies outside the curve."""
    step = step_at(answer.measured.curve, one.trusted.volume_ml)
    return None if step is None else (step.low_ml, step.high_ml)
