"""The scale of a burette that was never calibrated: how much of a titre's error other titres share.

The standards limit the error of a delivery between any two lines by one maximum permissible error, so a titre
carries it once, not once per reading. Two titres delivered from the same stretch of one scale share its
error; from different stretches they do not. With L1 and L2 the lengths of the two stretches the correlation
used here is overlap / sqrt(L1 L2): 1 for the same stretch, 0 for disjoint ones.

That correlation is had exactly from independent factors. The scale is cut at every reading into elementary
intervals of length l_k, each with its own unit factor; a titre over a stretch of length L that contains
interval k has the loading u sqrt(l_k / L) on it, where u is the standard uncertainty that one permissible
error stands for. A factor can be split later, z = sum of sqrt(l_j / l) z_j over the parts j of its interval,
so determinations that were worked out apart still share what they share (:func:`share_intervals`).

A titre with a refill is two deliveries, each with its own permissible error: the loadings of its segments
add, so a stretch that was used twice counts twice in full (the glass errs the same way both times) and
disjoint stretches add as squares.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Shape = Literal["rectangular", "triangular"]
Stretch = tuple[float, float]

_PLACES = 6  # of end points, in mL: a nanolitre, finer than any reading
_KEY = re.compile(
    r"(?P<burette>.+/scale:)(?P<start>[0-9]+(?:\.[0-9]+)?)-(?P<stop>[0-9]+(?:\.[0-9]+)?)", re.DOTALL
)


def standard_uncertainty_ml(mpe_ml: float, shape: Shape = "rectangular") -> float:
    """Return the standard uncertainty that one maximum permissible error stands for.

    Args:
        mpe_ml: the limit, plus or minus.
        shape: ``rectangular`` (nothing but the limit is known) or ``triangular`` (values near nominal are
            likelier, as Eurachem takes it for glassware).

    Returns:
        mpe / sqrt(3) or mpe / sqrt(6), JCGM 100:2008, 4.3.7 and 4.3.9.

    Raises:
        ValueError: for a limit below zero or another shape.
    """
    divisors = {"rectangular": math.sqrt(3), "triangular": math.sqrt(6)}
    if shape not in divisors:
        raise ValueError(f"a permissible error is rectangular or triangular, not {shape}")
    if not (mpe_ml >= 0 and math.isfinite(mpe_ml)):
        raise ValueError(f"a permissible error is zero or more, not {mpe_ml}")
    return mpe_ml / divisors[shape]


def scale_key(burette: str, start_ml: float, stop_ml: float) -> str:
    """Return the key of the factor of one interval, such as ``burette:B07/scale:0.05-24.4``."""
    return f"burette:{burette}/scale:{_number(start_ml)}-{_number(stop_ml)}"


def stretch_of(key: str) -> tuple[str, float, float] | None:
    """Return burette, start and stop of the interval that a key names, or None for any other key.

    >>> stretch_of("burette:B07/scale:0.05-24.4")
    ('B07', 0.05, 24.4)
    """
    found = _KEY.fullmatch(key)
    if found is None or not float(found["start"]) < float(found["stop"]):
        return None
    burette = found["burette"].removeprefix("burette:").removesuffix("/scale:")
    return burette, float(found["start"]), float(found["stop"])


def _number(volume_ml: float) -> str:
    text = f"{volume_ml:.{_PLACES}f}"
    return text.rstrip("0").rstrip(".")


@dataclass(frozen=True, eq=False)
class ScaleFactors:
    """Independent unit factors of a burette's scale, and what each titre takes of them.

    Attributes:
        keys: one key per factor, ``(k,)``; equal keys are the same factor.
        edges_ml: start and stop of each interval, ``(k, 2)``.
        loadings_ml: change of each titre for one standard deviation of each factor, ``(k, titres)``.
    """

    keys: tuple[str, ...]
    edges_ml: Floats
    loadings_ml: Floats

    @property
    def covariance_ml2(self) -> Floats:
        """Covariance of the titres from the scale alone, ``(titres, titres)``."""
        return np.asarray(self.loadings_ml.T @ self.loadings_ml)


def delivery_factors(
    titres: Sequence[Sequence[Stretch]], u_ml: float, burette: str, points_ml: Sequence[float] = ()
) -> ScaleFactors:
    """Return the factors of a scale and their loadings in each titre.

    The array has one row per interval and one column per titre; for thousands of titres whose mean is all
    that matters use :func:`mean_factors`.

    Args:
        titres: per titre its deliveries as (initial, final) in mL, several where the burette was refilled.
        u_ml: standard uncertainty of one delivery, see :func:`standard_uncertainty_ml`.
        burette: name of the burette; titres of another burette need another call.
        points_ml: further points at which to cut.

    Raises:
        ValueError: for a delivery that runs the wrong way, or a number that is not finite.
    """
    edges, spans = _cut(titres, points_ml)
    lengths = np.diff(edges)
    loadings = np.zeros((len(lengths), len(titres)))
    used = np.zeros(len(lengths), dtype=bool)
    for column, segments in enumerate(spans):
        for first, last in segments:
            part = lengths[first:last]
            loadings[first:last, column] += u_ml * np.sqrt(part / part.sum())
            used[first:last] = True
    return _factors(burette, edges, loadings, used)


def mean_factors(
    titres: Sequence[Sequence[Stretch]], weights: npt.ArrayLike, u_ml: float, burette: str
) -> ScaleFactors:
    """Return the factors of a weighted sum of titres, as one column, without the array of all titres.

    The same as ``delivery_factors(...).loadings_ml @ weights`` in time that grows with the number of titres
    only.

    Args:
        titres: as for :func:`delivery_factors`.
        weights: weight of each titre in the sum, ``(titres,)``.
        u_ml: standard uncertainty of one delivery.
        burette: name of the burette.
    """
    edges, spans = _cut(titres, ())
    lengths = np.diff(edges)
    steps, covered = np.zeros(len(edges)), np.zeros(len(edges), dtype=np.int64)
    for weight, segments in zip(np.asarray(weights, dtype=float), spans, strict=True):
        for first, last in segments:
            share = weight / math.sqrt(edges[last] - edges[first])
            steps[first] += share
            steps[last] -= share
            covered[first] += 1
            covered[last] -= 1
    loadings = u_ml * np.sqrt(lengths) * np.cumsum(steps)[:-1]
    return _factors(burette, edges, loadings[:, np.newaxis], np.cumsum(covered)[:-1] > 0)


def _factors(burette: str, edges: Floats, loadings: Floats, used: npt.NDArray[np.bool_]) -> ScaleFactors:
    pairs = np.column_stack([edges[:-1], edges[1:]])[used]
    keys = tuple(scale_key(burette, start, stop) for start, stop in pairs)
    return ScaleFactors(keys, pairs, loadings[used])


def _cut(
    titres: Sequence[Sequence[Stretch]], points_ml: Sequence[float]
) -> tuple[Floats, list[list[tuple[int, int]]]]:
    """Return all end points in order, and each delivery as a range of the intervals between them.

    Deliveries of nothing have no interval and are left out.
    """
    ends = [[_stretch(start, stop) for start, stop in titre] for titre in titres]
    flat = [end for titre in ends for stretch in titre for end in stretch]
    edges = np.unique(np.round(np.array([*flat, *points_ml], dtype=float), _PLACES))
    if not np.isfinite(edges).all():
        raise ValueError("an end point of a delivery is not a finite number")
    found = [np.searchsorted(edges, np.round(np.array(titre, dtype=float), _PLACES)) for titre in ends]
    spans = [[(int(a), int(b)) for a, b in np.reshape(titre, (-1, 2)) if a < b] for titre in found]
    return edges, spans


def _stretch(start_ml: float, stop_ml: float) -> Stretch:
    if not stop_ml >= start_ml >= 0:
        raise ValueError(
            f"a delivery runs down the scale from zero or more, not from {start_ml} to {stop_ml}"
        )
    return start_ml, stop_ml


def split_interval(start_ml: float, stop_ml: float, points_ml: Sequence[float]) -> tuple[Floats, Floats]:
    """Cut the factor of one interval into factors of its parts.

    Args:
        start_ml: where the interval starts.
        stop_ml: where it stops.
        points_ml: where to cut; points outside the interval or on its ends change nothing.

    Returns:
        Start and stop of each part, ``(j, 2)``, and its weight, ``(j,)``: the factor of the whole is the sum
        of weight times the factor of the part, the weights being sqrt(part / whole).
    """
    start, stop = round(start_ml, _PLACES), round(stop_ml, _PLACES)
    if not stop > start:
        raise ValueError(f"an interval has a length: {start_ml} to {stop_ml} has none")
    inside = np.round(np.asarray(points_ml, dtype=float), _PLACES)
    edges = np.unique(np.concatenate([[start, stop], inside[(inside > start) & (inside < stop)]]))
    return np.column_stack([edges[:-1], edges[1:]]), np.sqrt(np.diff(edges) / (stop - start))


def refine(factors: ScaleFactors, points_ml: Sequence[float]) -> ScaleFactors:
    """Return the same titres over factors also cut at the points given; no covariance changes."""
    keys: list[str] = []
    edges: list[Floats] = []
    rows: list[Floats] = []
    for key, (start, stop), loading in zip(factors.keys, factors.edges_ml, factors.loadings_ml, strict=True):
        parts, weights = split_interval(start, stop, points_ml)
        prefix = key[: key.rindex(":") + 1]
        keys += [f"{prefix}{_number(a)}-{_number(b)}" for a, b in parts]
        edges.append(parts)
        rows.append(weights[:, np.newaxis] * loading)
    if not keys:
        return factors
    return ScaleFactors(tuple(keys), np.concatenate(edges), np.concatenate(rows))


def share_intervals(results: Sequence[Mapping[str, float]]) -> list[dict[str, float]]:
    """Re-express the contributions of several results so that equal keys are equal factors.

    Factors of one burette's scale whose intervals overlap without being equal are cut at each other's ends.
    Other keys pass unchanged, and so does the variance of every result.

    Args:
        results: per result its contributions (standard uncertainty times sensitivity) by input key.
    """
    parts = shared_parts(key for result in results for key in result)
    return [_shared(result, parts) for result in results]


def shared_parts(keys: Iterable[str]) -> dict[str, tuple[tuple[str, float], ...]]:
    """Return what each key is made of once all intervals of one burette are cut at each other's ends.

    Returns:
        Per key its parts with their weights (see :func:`split_interval`); the key of anything but an interval
        is its own only part.
    """
    found = {key: stretch_of(key) for key in keys}
    points: dict[str, set[float]] = {}
    for stretch in found.values():
        if stretch is not None:
            points.setdefault(stretch[0], set()).update(stretch[1:])
    cuts = {burette: sorted(ends) for burette, ends in points.items()}
    return {key: ((key, 1.0),) if s is None else _parts(*s, cuts[s[0]]) for key, s in found.items()}


def _parts(
    burette: str, start_ml: float, stop_ml: float, points_ml: Sequence[float]
) -> tuple[tuple[str, float], ...]:
    ends, weights = split_interval(start_ml, stop_ml, points_ml)
    keys = (scale_key(burette, float(start), float(stop)) for start, stop in ends)
    return tuple(zip(keys, map(float, weights), strict=True))


def _shared(
    result: Mapping[str, float], parts: Mapping[str, tuple[tuple[str, float], ...]]
) -> dict[str, float]:
    split: dict[str, float] = {}
    for key, contribution in result.items():
        for part, weight in parts[key]:
            split[part] = split.get(part, 0.0) + contribution * weight
    return split
