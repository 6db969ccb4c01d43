"""Unknowns: true values drawn by a seed, and how each sample is made.

Samples of different strength are drawn from a fixed ladder of volumes, so that each can be measured from one
burette; random volumes of one stock let a class line tell a constant from a proportional error (found against
issued amount), for which a wide range is best.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

# Every volume is a whole number of these: what a burette can be set to without guessing.
STEP_ML = 0.05


def random_volumes(count: int, low_ml: float, high_ml: float, seed: int) -> tuple[float, ...]:
    """Return volumes spread over a range: one at random in each of ``count`` equal parts, in random order.

    Spreading them keeps the range wide however the draw falls. They are whole multiples of 0.05 mL, and no
    two are the same.

    Raises:
        ValueError: when the range holds fewer different volumes than samples.

    >>> random_volumes(3, 10.0, 40.0, 7) == random_volumes(3, 10.0, 40.0, 7)
    True
    """
    low, high = round(low_ml / STEP_ML), round(high_ml / STEP_ML)
    if high - low + 1 < count:
        raise ValueError(f"{low_ml:g} to {high_ml:g} mL has no {count} different volumes 0.05 mL apart")
    chance = np.random.default_rng(seed)
    edges = np.linspace(low, high + 1, count + 1).astype(int)
    steps = [int(chance.integers(a, b)) for a, b in pairwise(edges)]
    return tuple(round(steps[k] * STEP_ML, 2) for k in chance.permutation(count))


def intercept_u_ml(volumes_ml: Sequence[float], residual_ml: float) -> float:
    """Return the standard error of the intercept of the class line, found against issued.

    It is the smallest constant error, as of an end point, that a class can show; it falls with the range.

    Args:
        volumes_ml: issued, three different ones at least.
        residual_ml: standard deviation of a found volume about the line.

    >>> round(intercept_u_ml([20 + 10 * k / 23 for k in range(24)], 0.05), 3)
    0.085
    """
    x = np.asarray(volumes_ml)
    spread = float(np.sum((x - x.mean()) ** 2))
    return residual_ml * float(np.sqrt(1 / len(x) + x.mean() ** 2 / spread))


def labels(count: int, seed: int) -> tuple[str, ...]:
    """Return labels that say nothing of the order: a letter and two digits, each once.

    >>> len(set(labels(2000, 1)))
    2000
    """
    letters = "ABCDEFGHJKLMNPRSTUVWXYZ"  # no I, O, Q: they look like digits
    chance = np.random.default_rng(seed + 1)
    picked = chance.permutation(len(letters) * 100)[:count]
    return tuple(f"{letters[k // 100]}{k % 100:02d}" for k in picked)
