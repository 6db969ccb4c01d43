"""The independent causes of uncertainty behind the inputs of a working, and the arrays they come in."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from halfdrop.core.measure.estimate import Array, Estimate, Estimates, Numbers, Shape, Weights
from halfdrop.core.measure.working import SHARED, Working


@dataclass(frozen=True)
class Cause:
    """One independent cause of uncertainty and where it acts.

    Attributes:
        acts: for each input it acts through: name, node on the tape, loading, whether the input has trials.
        group: heading in the budget.
        shape: its distribution.
        dof: degrees of freedom of its size.
        by_trial: one independent cause for every trial, instead of one in all; they share their size, and so
            its degrees of freedom.
    """

    acts: tuple[tuple[str, int, Numbers, bool], ...]
    group: str
    shape: Shape
    dof: float
    by_trial: bool


def causes_of(working: Working, places: Mapping[str, int], estimates: Estimates) -> dict[str, Cause]:
    """Return the independent causes by key, each gathered over all inputs that share it.

    Args:
        working: whose inputs are meant.
        places: where the inputs that are used stand on the tape.
        estimates: one for every input.
    """
    found: dict[str, Cause] = {}
    for name, one in working.inputs.items():
        if name not in places:
            continue
        estimate, at, trials = estimates[name], places[name], one.scope not in SHARED
        group = one.group or one.role
        if np.ndim(estimate.u) or estimate.u:
            own = ((name, at, estimate.u, trials),)
            alone = trials and not estimate.key
            _gather(found, estimate.key or name, Cause(own, group, estimate.shape, estimate.dof, alone))
        for part in estimate.factors:
            act = ((name, at, part.loading, trials),)
            _gather(found, part.key, Cause(act, part.group or group, part.shape, part.dof, by_trial=False))
    return found


def _gather(found: dict[str, Cause], key: str, new: Cause) -> None:
    """Join causes with one key: they are the same thing, wherever it acts. The later group is kept."""
    old = found.get(key)
    if old is not None:
        if old.by_trial or new.by_trial:
            raise ValueError(
                f"'{key}' is both the key of something shared and the name of an input of its own"
            )
        new = replace(new, acts=old.acts + new.acts, dof=min(old.dof, new.dof))
    found[key] = new


def laid_out(working: Working, estimates: Estimates, weights: Weights) -> tuple[Estimates, Weights, int]:
    """Return estimates and weights with an analyst axis throughout, if any has one.

    A series of trials that is the same for all analysts, ``(t,)``, becomes ``(t, 1)``.

    Returns:
        estimates, weights, and the number of analysts: 0 when nothing has an analyst axis.

    Raises:
        ValueError: when an input or a series is missing, or arrays do not belong to one number of analysts.
    """
    missing = [name for name in working.inputs if name not in estimates]
    missing += [name for name in working.series if name not in weights]
    if missing:
        raise ValueError(f"nothing is given for {', '.join(missing)}")
    sizes = {size: name for name, size in _sizes(working, estimates, weights)}
    if not sizes:
        return estimates, weights, 0
    several = [size for size in sizes if size != 1]
    if len(several) > 1:
        raise ValueError(f"not one number of analysts: {', '.join(f'{n} in {sizes[n]}' for n in several)}")
    scopes = {name: working.scopes[name] not in SHARED for name in working.inputs}
    spread = {
        name: _spread(estimates[name]) if trials else estimates[name] for name, trials in scopes.items()
    }
    return spread, {name: _column(one) for name, one in weights.items()}, several[0] if several else 1


def _sizes(working: Working, estimates: Estimates, weights: Weights) -> Iterator[tuple[str, int]]:
    for name, one in working.inputs.items():
        dimensions = 1 if one.scope in SHARED else 2
        estimate = estimates[name]
        for array in (estimate.value, estimate.u, *(part.loading for part in estimate.factors)):
            if isinstance(array, float):
                continue
            if np.ndim(array) == dimensions:
                yield name, np.shape(array)[-1]
            elif np.ndim(array) > dimensions:
                raise ValueError(
                    f"{name}: an array of shape {np.shape(array)} does not fit its scope, {one.scope}"
                )
    for name, weight in weights.items():
        if np.ndim(weight) == 2:
            yield f"weights of {name}", np.shape(weight)[-1]


def _column(array: Array) -> Array:
    return array[:, np.newaxis] if np.ndim(array) == 1 else array


def _spread(estimate: Estimate) -> Estimate:
    """Give a series that has no analyst axis one."""
    return changed(estimate, lambda one: one if isinstance(one, float) or np.ndim(one) != 1 else _column(one))


def changed(estimate: Estimate, change: Callable[[Numbers], Numbers]) -> Estimate:
    """Return an estimate with all its numbers changed in one way."""
    return replace(
        estimate,
        value=change(estimate.value),
        u=change(estimate.u),
        factors=tuple(replace(part, loading=change(part.loading)) for part in estimate.factors),
    )
