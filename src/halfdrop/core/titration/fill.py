"""From what was written down to the estimates of a working: value, uncertainty and key."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.glassware import scale
from halfdrop.core.glassware.calibration import Calibration, calibration_from_tests
from halfdrop.core.glassware.readings import Segment
from halfdrop.core.glassware.thermal import DEFAULT_GLASS, LIQUIDS, alpha_per_c, find_glass
from halfdrop.core.measure.estimate import Array, Estimate, Factor, Shape
from halfdrop.core.titration.build import BLANK, Built
from halfdrop.core.titration.method import Method, Quantity
from halfdrop.core.titration.record import Burette, Determination, Given, State, Trial
from halfdrop.core.titration.stoichiometry import stoichiometric_ratio

REFERENCE_DEGC = 20.0


def complete_trials(determination: Determination, series: str) -> tuple[Trial, ...]:
    """Return the trials of a series that have all their readings, in the order of the page."""
    return tuple(t for t in determination.trials if t.series == series and t.state is not State.ABANDONED)


def fill(method: Method, built: Built, determination: Determination) -> dict[str, Estimate]:
    """Return an estimate for every input of a working, but for those that a linked determination gives.

    Repeatability (``scatter``) is left at zero: it is known only once the trials were compared.
    """
    filler = _Filler(method, determination)
    return {
        name: filler.estimate(fill.split())
        for name, fill in built.fills.items()
        if fill.removeprefix("given ") not in determination.links
    }


def ungiven(
    method: Method, built: Built, determination: Determination, saved: Mapping[str, Estimate]
) -> list[Finding]:
    """Find quantities that the working needs and nobody gave: not at all, or not for every trial."""
    findings = []
    for words in built.fills.values():
        kind, name, *_ = words.split()
        if kind not in ("given", "weighed") or name in (*determination.given, *determination.links, *saved):
            continue
        series = series_of(determination, name)
        missing = (
            [t.label for t in complete_trials(determination, series) if name not in t.given]
            if series
            else [""]
        )
        if missing:
            findings.append(_not_given(method.quantities[name], determination, missing))
    return list({finding.place.field: finding for finding in findings}.values())


def _not_given(quantity: Quantity, determination: Determination, labels: list[str]) -> Finding:
    example = (
        f' Write it as {quantity.name} = "{quantity.typical} {quantity.unit}".' if quantity.typical else ""
    )
    where = f" in trial {', '.join(labels)}" if labels != [""] else ""
    message = f"This needs the {quantity.says}{where}, and it is not given.{example}"
    return Finding("quantity-missing", Severity.REFUSED, message, Place(determination.file, 0, quantity.name))


@dataclass
class _Filler:
    """Fills one input after the other; knows the trials of each series."""

    method: Method
    determination: Determination
    by_kind: dict[str, Callable[..., Estimate]] = field(init=False)

    def __post_init__(self) -> None:
        self.by_kind = {
            "reading": self.reading, "scale": self.scale, "warmth": self.warmth, "expansion": self.expansion,
            "end": self.end_point, "scatter": self.scatter, "ratio": self.ratio, "element": self.element,
            "given": self.given, "weighed": self.weighed,
        }  # fmt: skip

    def estimate(self, words: Sequence[str]) -> Estimate:
        return self.by_kind[words[0]](*words[1:])

    def segments(self, series: str, start: str, end: str) -> list[tuple[Segment, ...]]:
        return [t.segments(start, end) for t in complete_trials(self.determination, series)]

    def reading(self, series: str, start: str, end: str, which: str, number: str) -> Estimate:
        """Return one reading of each trial; without that refill it is the last again, delivering nothing."""
        values, written = [], []
        for deliveries in self.segments(series, start, end):
            k = int(number) - 1
            there = k < len(deliveries)
            segment = deliveries[k] if there else deliveries[-1]
            reading = segment.initial if which == "start" and there else segment.final
            values.append(reading.value_ml)
            written.append(str(reading))
        return Estimate(np.array(values), written=tuple(written), source="read at the bench")

    def scale(self, series: str, start: str, end: str, which: str) -> Estimate:
        """Return the error of the burette's scale in each titre: by calibration, or one limit for each."""
        trials = complete_trials(self.determination, series)
        deliveries = [[_stretch(s) for s in t.segments(start, end)] for t in trials]
        values = np.zeros(len(trials))
        factors: list[Factor] = []
        sources: list[str] = []
        for burette, places in self._by_burette(trials, which).items():
            own = [deliveries[k] for k in places]
            if burette.calibration is None:
                factors += _limit_factors(burette, own, places, len(trials))
                sources.append(f"{burette.id}: ±{burette.limit_ml:g} mL, {burette.limit_source}")
            else:
                calibration = calibration_of(burette)
                for k, stretches in zip(places, own, strict=True):
                    values[k] = _correction(calibration, stretches)
                dofs = burette.calibration.dofs or (math.inf,) * len(calibration.factor_keys)
                factors += _calibration_factors(calibration, dofs, own, places, len(trials))
                sources.append(f"{burette.id}: calibrated, {burette.calibration.source}")
        return Estimate(values, factors=tuple(factors), source="; ".join(sources))

    def _by_burette(self, trials: Sequence[Trial], which: str) -> dict[Burette, list[int]]:
        record = self.determination
        usual = record.second_burette if which == "second_burette" else record.burette
        found: dict[str, list[int]] = {}
        for k, trial in enumerate(trials):
            name = trial.burette if trial.burette and which != "second_burette" else usual
            found.setdefault(name, []).append(k)
        return {record.burettes[name]: places for name, places in found.items()}

    def warmth(self, what: str) -> Estimate:
        """Return how much warmer than 20 degC a liquid is; 0 when volumes are not corrected to that."""
        room, own = self.determination.room, self._own_temperature(what)
        degc = room.temperature_degc if own is None else own
        value = degc - REFERENCE_DEGC if room.correct else 0.0
        key = room.key if own is None else f"{room.key}/{what}"
        if not room.measured:
            source = "temperature not noted"
        else:
            source = f"measured {degc:g} degC" + ("" if room.correct else "; volumes not corrected")
        return Estimate(value, room.u_degc, room.shape, key=key, source=source)

    def _own_temperature(self, what: str) -> float | None:
        if what == "titrant":
            return self.determination.titrant_degc
        given = self.determination.given.get(what)
        return given.temperature_degc if given else None

    def expansion(self, what: str) -> Estimate:
        room = self.determination.room
        liquid, glass = LIQUIDS[room.liquid], find_glass(self._material(what))[0] or DEFAULT_GLASS
        degc = room.temperature_degc if room.correct else REFERENCE_DEGC
        alpha = float(alpha_per_c(degc, liquid, glass))
        return Estimate(
            alpha, alpha * liquid.relative_u, key=f"liquid:{liquid.name}/expansion", source=liquid.source
        )

    def _material(self, what: str) -> str:
        record = self.determination
        if what in ("burette", "second_burette"):
            name = record.burette if what == "burette" else record.second_burette
            return record.burettes[name].material
        given = record.given.get(what)
        return given.material if given else ""

    def end_point(self, _point: str, series: str, reading: str) -> Estimate:
        """Return how late an end point is seen; that of a blank is seen as late as the one it comes off."""
        late = self.determination.end_point
        if late is None:
            raise ValueError(f"no end-point error was given for {series}")
        seen_in = self.method.main_series.name if series == BLANK else series
        key = f"end point:{self.determination.file}/{seen_in}/{reading}"
        return Estimate(late.late_ml, late.u_ml, key=key, source=late.source)

    def scatter(self, _series: str, _line: str) -> Estimate:
        return Estimate(0.0)

    def ratio(self, source: str, target: str, *by: str) -> Estimate:
        fraction = stoichiometric_ratio(self.method, source, target, " ".join(by))
        return Estimate(float(fraction), written=str(fraction), source="from the equation")

    def element(self, symbol: str) -> Estimate:
        record = self.determination
        weights = atomic_weights(
            record.weights, "midpoint" if record.interval_value == "midpoint" else "conventional"
        )
        weight = weights[symbol]
        return Estimate(
            weight.value, weight.standard_uncertainty, Shape.RECTANGULAR, key=f"{weight.key}/{weights.name}",
            source=weights.name, written=weight.printed,
        )  # fmt: skip

    def given(self, name: str) -> Estimate:
        return self._gathered(name, lambda one: (one.value, one.u, one.written))

    def weighed(self, name: str, part: str) -> Estimate:
        def parts(one: Given) -> tuple[float, float, str]:
            value = one.gross if part == "gross" else one.tare
            return (math.nan if value is None else value), one.u_each, one.written

        return self._gathered(name, parts)

    def _gathered(self, name: str, parts: Callable[[Given], tuple[float, float, str]]) -> Estimate:
        """Return one value for all, or one of each trial; trials that used one piece share its error."""
        shared = self.determination.given.get(name)
        series = series_of(self.determination, name)
        if not series:
            if shared is None:
                raise ValueError(f"{name} was not given")
            value, u, text = parts(shared)
            source = _source(shared)
            return Estimate(value, u, shared.shape, shared.dof, shared.key, source=source, written=text)
        own = [t.given.get(name) or shared for t in complete_trials(self.determination, series)]
        each = [one for one in own if one is not None]
        values, us, texts = zip(*(parts(one) for one in each), strict=True)
        keys = [one.key for one in each]
        first = each[0]
        gathered = Estimate(np.array(values), source=_source(first), written=tuple(texts))
        if any(keys):
            return replace(gathered, factors=_piece_factors(keys, np.array(us), first.shape, name))
        return replace(gathered, u=np.array(us), shape=first.shape, dof=first.dof)


def series_of(determination: Determination, name: str) -> str:
    """Return the series whose trials have their own value of a quantity, or ""."""
    return next((t.series for t in determination.trials if name in t.given), "")


def _source(given: Given) -> str:
    return "; ".join(part for part in (given.source, given.why_u) if part)


def _stretch(segment: Segment) -> tuple[float, float]:
    return float(segment.initial.decimal), float(segment.final.decimal)


def _limit_factors(
    burette: Burette, deliveries: list[list[tuple[float, float]]], places: list[int], count: int
) -> list[Factor]:
    u = scale.standard_uncertainty_ml(burette.limit_ml, burette.shape.value)  # type: ignore[arg-type]
    found = scale.delivery_factors(deliveries, u, burette.id)
    shape = burette.shape if len(found.keys) == 1 else Shape.NORMAL
    return [
        Factor(key, _spread(row, places, count), shape)
        for key, row in zip(found.keys, found.loadings_ml, strict=True)
    ]  # fmt: skip


def _spread(row: Array, places: list[int], count: int) -> Array:
    whole = np.zeros(count)
    whole[places] = row
    return whole


def calibration_of(burette: Burette) -> Calibration:
    """Return the calibration of a burette as factors: one for each mark, one common to all."""
    found = burette.calibration
    if found is None:
        raise ValueError(f"burette {burette.id} is not calibrated")
    if found.whole is not None:
        return found.whole
    common = {
        f"burette:{burette.id}/common": tuple(
            found.common_u_ml * m / found.marks_ml[-1] for m in found.marks_ml
        )
    }
    return calibration_from_tests(
        burette.id, found.marks_ml, found.corrections_ml, found.u_ml, "from zero",
        common if found.common_u_ml else None,
    )  # fmt: skip


def _correction(calibration: Calibration, stretches: list[tuple[float, float]]) -> float:
    starts, ends = zip(*stretches, strict=True)
    return float(calibration.titre_corrections(starts, ends)[0].sum())


def _calibration_factors(
    calibration: Calibration,
    dofs: Sequence[float],
    deliveries: list[list[tuple[float, float]]],
    places: list[int],
    count: int,
) -> list[Factor]:
    rows = np.zeros((len(calibration.factor_keys), count))
    for k, stretches in zip(places, deliveries, strict=True):
        starts, ends = zip(*stretches, strict=True)
        rows[:, k] = calibration.titre_corrections(starts, ends)[1].sum(axis=1)
    each = zip(calibration.factor_keys, rows, dofs, strict=True)
    return [Factor(key, row, dof=dof) for key, row, dof in each if np.any(row)]


def _piece_factors(keys: list[str], us: Array, shape: Shape, name: str) -> tuple[Factor, ...]:
    found: dict[str, list[int]] = {}
    for k, key in enumerate(keys):
        found.setdefault(key or f"{name}/{k + 1}", []).append(k)
    return tuple(Factor(key, _spread(us[places], places, len(keys)), shape) for key, places in found.items())


def refined(estimates: Mapping[str, Estimate]) -> dict[str, Estimate]:
    """Return the estimates with all stretches of one burette's scale cut at the same points.

    Determinations of a chain that used one burette cut its scale each at its own readings; only when both are
    cut at the points of both are equal stretches recognised as the same.
    """
    parts = scale.shared_parts(factor.key for one in estimates.values() for factor in one.factors)
    return {name: _recut(one, parts) for name, one in estimates.items()}


def _recut(estimate: Estimate, parts: Mapping[str, tuple[tuple[str, float], ...]]) -> Estimate:
    factors: list[Factor] = []
    for factor in estimate.factors:
        pieces = parts[factor.key]
        shape = factor.shape if len(pieces) == 1 else Shape.NORMAL
        factors += [replace(factor, key=key, loading=factor.loading * w, shape=shape) for key, w in pieces]
    return replace(estimate, factors=tuple(factors))
