"""One measured curve by every method that it allows, side by side."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from halfdrop.core.equilibrium.measured.curve import Curve, Found, Method
from halfdrop.core.equilibrium.measured.derivatives import by_derivatives
from halfdrop.core.equilibrium.measured.faults import careful
from halfdrop.core.equilibrium.measured.fit import Fit, NoFit, fit
from halfdrop.core.equilibrium.measured.gran import Decades, Gran, by_gran
from halfdrop.core.equilibrium.measured.gran import Kind as GranKind
from halfdrop.core.equilibrium.measured.model import Kind, System
from halfdrop.core.equilibrium.measured.notice import u_signal_of
from halfdrop.core.equilibrium.measured.segments import by_lines

_FITTED_MOST = 20_000  # points of a fit; of more, evenly spaced ones are taken, and the report says so
# pKa between which V 10^-pH is straight at a tenth of a mole per litre: beyond them free hydrogen ion or
# hydroxide weighs as much as what is titrated. Tried on curves of acetate, carbonate, phosphate, borate.
_WEAKEST, _STRONGEST = 8.0, 3.5
_MISFIT = 2.0  # times the uncertainty of a reading, from where a fit is doubted
_REACH = 3.0  # standard uncertainties of what was known before, beyond which a fitted number is doubted
_CHANCE = 3.3  # standard deviations of the number of runs, one in a thousand


@dataclass(frozen=True)
class Setting:
    """What is known beside the curve.

    Attributes:
        flask_ml: volume in the flask before the titration; nan when not known.
        system: what is titrated with what; None when that is not known.
        decades: how the signal is read in decades.
        count: how many end points are looked for, 0 for as many as stand out.
        window_ml: first and last volume of the Gran plot before the end point, where these are given.
        slope: the electrode's slope with its standard uncertainty, where it is known.
        free_zero: whether nothing is known of the electrode's zero.
        robust: whether points far off count for less in a fit.
    """

    flask_ml: float = math.nan
    system: System | None = None
    decades: Decades = field(default_factory=Decades)
    count: int = 0
    window_ml: tuple[float, float] | None = None
    slope: tuple[float, float] | None = None
    free_zero: bool = False
    robust: bool = False


@dataclass(frozen=True, eq=False)
class SideBySide:
    """What all methods found.

    Attributes:
        found: by end point, then by method.
        fits: by method, those that came to rest.
        plots: the Gran plots.
        failed: methods that were tried and gave nothing, with the reason.
        fitted: how many points the fits used.
    """

    found: tuple[Found, ...]
    fits: dict[Method, Fit]
    plots: tuple[Gran, ...]
    failed: dict[Method, str]
    fitted: int = 0

    def at(self, number: int) -> tuple[Found, ...]:
        """Return what was found of one end point."""
        return tuple(one for one in self.found if one.number == number)


def side_by_side(curve: Curve, setting: Setting) -> SideBySide:
    """Work a curve out by every method that what is known allows.

    Args:
        curve: the points.
        setting: what is known beside them.
    """
    if not math.isfinite(curve.u_signal) and curve.quantity.logarithmic:
        curve = replace(curve, u_signal=u_signal_of(curve))
    if not curve.quantity.logarithmic:
        lines = by_lines(curve, setting.flask_ml, max(setting.count, 1))
        failed = (
            {}
            if lines
            else {Method.LINES: "no two lines through three points or more each cross within the curve"}
        )
        return SideBySide(tuple(lines), {}, (), failed)
    found = by_derivatives(curve, setting.count)
    failed = {} if found else {Method.SECOND: "no step of the curve stands out from the scatter"}
    seconds = [one.volume_ml for one in found if one.method is Method.SECOND]
    fits: dict[Method, Fit] = {}
    if setting.system is not None and seconds:
        fits, more = _fits(curve, setting, setting.system, seconds)
        failed |= more
    stages = [number for number, _ in enumerate(seconds)]
    for method, one in fits.items():
        stages = _stages_at(one, seconds)
        found += _matched(one, method, stages)
    plots = list(_gran_plots(curve, setting, seconds, stages)) if seconds else []
    found += [one for _, one in plots]
    order = list(Method)
    found.sort(key=lambda one: (one.number, order.index(one.method)))
    fitted = min(len(curve.volumes_ml), _FITTED_MOST) if fits else 0
    return SideBySide(tuple(found), fits, tuple(plot for plot, _ in plots), failed, fitted)


def _gran_plots(
    curve: Curve, setting: Setting, seconds: list[float], stages: list[int]
) -> Iterator[tuple[Gran, Found]]:
    """Yield the plot before the first end point and that after the last, with what the chemistry says.

    Args:
        curve: the points.
        setting: what is known beside them.
        seconds: the end points, roughly.
        stages: which of the protons that react is the last one before each of them.
    """
    system, known = setting.system, math.isfinite(setting.flask_ml)
    kind = _kind_before(system)
    if kind is not None and (known or kind is GranKind.WEAK):
        found = by_gran(
            curve, seconds[0], kind, flask_ml=setting.flask_ml, decades=setting.decades,
            window_ml=setting.window_ml,
        )  # fmt: skip
        if found is not None:
            yield found[0], _with_doubts(found[1], _doubts_before(system, stages[0]))
    if known:
        found = by_gran(
            curve, seconds[-1], GranKind.EXCESS, flask_ml=setting.flask_ml, decades=setting.decades,
            number=len(seconds),
        )  # fmt: skip
        if found is not None:
            yield found[0], _with_doubts(found[1], _doubts_after(system, stages[-1]))


def _with_doubts(found: Found, doubts: Iterator[str]) -> Found:
    return replace(found, doubts=(*found.doubts, *doubts))


def _strength(system: System, stage: int) -> float:
    """Return how weak an acid the titrant meets at a stage, or how weak a base, as pK; -inf when strong."""
    pka = system.stages[stage][1]
    return pka if system.raises_ph else system.pkw - pka


def _kind_before(system: System | None) -> GranKind | None:
    """Return which Gran function is straight before the first end point, None when neither is."""
    if system is None or not system.stages:
        return None
    strength = _strength(system, 0)
    if math.isinf(strength):
        return GranKind.STRONG
    return GranKind.WEAK if _STRONGEST <= strength <= _WEAKEST else None


def _doubts_before(system: System | None, stage: int) -> Iterator[str]:
    if system is None:
        return
    reacted = range(min(stage + 1, len(system.stages)))
    if stage > 0 and not all(math.isinf(_strength(system, k)) for k in reacted):
        yield f"{stage + 1} protons react before this end point, and the line is that of one"


def _doubts_after(system: System | None, stage: int) -> Iterator[str]:
    if system is None:
        return
    if stage >= len(system.stages):
        yield "no proton that is stated can make this step"
    elif len(system.stages) > stage + 1:
        yield "a weaker proton goes on taking titrant after this end point"
    elif _strength(system, stage) > _WEAKEST:
        yield "what is formed gives back titrant to the water"


def _fits(
    curve: Curve, setting: Setting, system: System, seconds: list[float]
) -> tuple[dict[Method, Fit], dict[Method, str]]:
    """Fit the curve with all else as stated, and with what may be at fault allowed for."""
    if len(curve.volumes_ml) > _FITTED_MOST:
        taken = np.linspace(0, len(curve.volumes_ml) - 1, _FITTED_MOST).astype(np.intp)
        curve = replace(curve, volumes_ml=curve.volumes_ml[taken], signal=curve.signal[taken], rows=())
    fits: dict[Method, Fit] = {}
    failed: dict[Method, str] = {}
    for method in (Method.MODEL, Method.CAREFUL):
        tried = []
        for start in _starts(system, seconds):
            held = start
            if method is Method.CAREFUL:
                held = careful(start, slope=setting.slope, flat_offset=setting.free_zero)
            try:
                tried.append(fit(curve, held, robust=setting.robust))
            except NoFit as reason:
                failed[method] = str(reason)
        if tried:
            fits[method] = min(tried, key=lambda one: one.scatter)
            failed.pop(method, None)
    return fits, failed


def _starts(system: System, seconds: list[float]) -> Iterator[System]:
    """Yield the system with concentrations to begin with, from the last step of the curve.

    A step may be that of the first, the second or a later proton: each is tried. Where several concentrations
    are unknown their first guesses are taken.
    """
    rows = [k for k, one in enumerate(system.unknowns) if one.kind is Kind.FLASK]
    if len(rows) != 1:
        yield system
        return
    unknown = system.unknowns[rows[0]]
    per_litre = system.flask_ml / system.burette[0].concentration
    rest = sum(
        system.flask[part].concentration * per_litre for part, _ in system.stages if part != unknown.index
    )
    protons = sum(part == unknown.index for part, _ in system.stages)
    for taken in range(1, protons + 1):
        guess = (seconds[-1] - rest) / (taken * per_litre)
        if guess > 0:
            unknowns = list(system.unknowns)
            unknowns[rows[0]] = replace(unknown, start=guess)
            yield replace(system, unknowns=tuple(unknowns))


def _stages_at(one: Fit, seconds: list[float]) -> list[int]:
    """Return which stage of a fit each step of the curve is: the nearest equivalence volume not yet taken.

    Steps beyond the last proton that can react get the number after it.
    """
    volumes, _ = one.equivalence()
    found: list[int] = []
    for second in seconds[: len(volumes)]:
        open_ = [k for k in range(len(volumes)) if k not in found]
        found.append(min(open_, key=lambda j: abs(volumes[j] - second)))
    return found + [len(volumes)] * (len(seconds) - len(found))


def _matched(one: Fit, method: Method, stages: list[int]) -> Iterator[Found]:
    """Yield the equivalence volumes of a fit that the curve shows as steps, numbered like these."""
    volumes, covariance = one.equivalence()
    doubts = (*_doubts(one), *_too_many_steps(one.system, stages))
    for number, k in enumerate(stages, 1):
        if k >= len(volumes):
            return
        u = math.sqrt(max(float(covariance[k, k]), 0.0))
        parts = {"scatter of the points and what is not known": u}
        yield Found(method, number, float(volumes[k]), u, one.dof, parts, _words(one, method), doubts)


def _too_many_steps(system: System, stages: list[int]) -> Iterator[str]:
    count = len(system.stages)
    if len(stages) > count:
        yield f"the curve shows {len(stages)} steps, and {count} can come from what is stated"


def _words(one: Fit, method: Method) -> str:
    free = ", ".join(unknown.name for unknown in one.system.unknowns)
    far = f"points lie {one.scatter:.2g} times their uncertainty off"
    if method is Method.MODEL:
        return f"all {len(one.residuals)} points; fitted: {free}; {far}"
    return f"all {len(one.residuals)} points; electrode, water and carbon dioxide are fitted as well; {far}"


def _doubts(one: Fit) -> Iterator[str]:
    if one.scatter > _MISFIT:
        yield f"the points lie {one.scatter:.1f} times farther from the fitted curve than their uncertainties"
    if _in_runs(one):
        yield "the points lie above and below the fitted curve in long runs, not by chance"
    for k, unknown in enumerate(one.system.unknowns):
        off = float(one.theta[k]) - unknown.start
        if math.isfinite(unknown.u) and abs(off) > _REACH * unknown.u:
            wanted = f"{unknown.start:.4g} ± {unknown.u:.2g}"
            yield f"it needs {unknown.name} {one.theta[k]:.4g}, far from {wanted}"
        if unknown.kind is Kind.FLASK and one.theta[k] <= 0:
            yield f"it needs a negative {unknown.name}"


def _in_runs(one: Fit) -> bool:
    """Tell whether residuals keep their sign for longer than chance allows (A. Wald, J. Wolfowitz, 1940)."""
    above = one.residuals > 0
    n, p = len(above), int(above.sum())
    if min(p, n - p) < 5:
        return False
    runs = 1 + int((above[1:] != above[:-1]).sum())
    mean = 1 + 2 * p * (n - p) / n
    spread = math.sqrt((mean - 1) * (mean - 2) / (n - 1))
    return runs < mean - _CHANCE * spread
