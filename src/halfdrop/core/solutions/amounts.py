"""How much of a solution a class needs, and in which flasks it is made."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

_GRAIN_ML = 1e-6  # two volumes closer than this are one


@dataclass(frozen=True)
class Needs:
    """What a class uses of one solution.

    Attributes:
        analysts: how many people (or pairs) work with it.
        trials: titrations of each, the rough one included.
        per_trial_ml: what one trial takes: the largest expected titre, or the aliquot.
        rinses, rinse_ml: of burette or pipette, for each analyst.
        priming_ml: run out through the tip, once for each analyst.
        dead_ml: what is left over in the burette, the beaker and the bottle of each analyst.
        spare: part of the whole that is made beyond it, 0.25 for a quarter.
    """

    analysts: int
    trials: int
    per_trial_ml: float
    rinses: int = 0
    rinse_ml: float = 0.0
    priming_ml: float = 0.0
    dead_ml: float = 0.0
    spare: float = 0.0

    def __post_init__(self) -> None:
        parts = (self.per_trial_ml, self.rinse_ml, self.priming_ml, self.dead_ml, self.spare)
        if self.analysts < 1 or self.trials < 0 or self.rinses < 0:
            raise ValueError("a class has one analyst at least, and trials and rinses of zero or more")
        if not all(math.isfinite(part) and part >= 0 for part in parts):
            raise ValueError("volumes and the spare part are zero or more")

    @property
    def per_analyst_ml(self) -> float:
        """What one analyst uses.

        >>> Needs(1, 4, 25.0, 3, 8.0, 2.0, 5.0).per_analyst_ml
        131.0
        """
        rinsing = self.rinses * self.rinse_ml
        return self.trials * self.per_trial_ml + rinsing + self.priming_ml + self.dead_ml

    @property
    def total_ml(self) -> float:
        """What is made at least: what all analysts use, and the spare part."""
        return self.analysts * self.per_analyst_ml * (1 + self.spare)


def batches(total_ml: float, flasks_ml: Iterable[float], largest_ml: float = math.inf) -> tuple[float, ...]:
    """Return the flasks to fill, one after the other: the fewest, and among those the least volume.

    A flask may be filled more than once. The batches are poured together and mixed before any is given out.

    Args:
        total_ml: what is needed, above zero.
        flasks_ml: capacities at hand.
        largest_ml: no batch may be larger (heat, or what a beaker holds).

    Returns:
        Capacities, largest first; empty when no flask is small enough.

    >>> batches(2300, [1000, 500, 250])
    (1000, 1000, 500)
    """
    if not (math.isfinite(total_ml) and total_ml > 0):
        raise ValueError(f"a volume above zero is needed, not {total_ml!r}")
    sizes = sorted({size for size in flasks_ml if 0 < size <= largest_ml}, reverse=True)
    if not sizes:
        return ()
    count = max(1, math.ceil(total_ml / sizes[0] - _GRAIN_ML))
    reached: dict[int, tuple[float, ...]] = {0: ()}
    for _ in range(count):
        reached = {
            grains + round(size / _GRAIN_ML): (*so_far, size)
            for grains, so_far in reached.items()
            for size in sizes
            if not so_far or size <= so_far[-1]
        }
    enough = min(grains for grains in reached if grains * _GRAIN_ML >= total_ml * (1 - _GRAIN_ML))
    return reached[enough]


def bottles(volume_ml: float, bottles_ml: Iterable[float]) -> tuple[float, ...]:
    """Return the bottles that hold a volume, from those at hand, each used once: the fewest, largest first.

    Returns:
        Capacities; empty when all of them together do not hold it.
    """
    found: list[float] = []
    left = volume_ml
    for size in sorted(bottles_ml, reverse=True):
        if left <= _GRAIN_ML:
            break
        found.append(size)
        left -= size
    if left > _GRAIN_ML:
        return ()
    # the last one may be larger than what is left for it
    rest = volume_ml - sum(found[:-1])
    spare = sorted(bottles_ml)
    for size in found[:-1]:
        spare.remove(size)
    last = next((size for size in spare if size >= rest - _GRAIN_ML), found[-1])
    return (*found[:-1], last)
