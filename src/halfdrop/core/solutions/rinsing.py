"""What is left in a burette after draining, and what it does to the solution that is filled in next.

The sum follows what does not belong there: liquid in the film on the wall and liquid in the tip. Each is a
volume with the fraction of it that is not yet the wanted solution. A rinse exchanges only part of what is
left (the exchange efficiency; 1 is ideal mixing, which is optimistic), a fill takes up the film whole, and
priming and delivery draw the tip through. No publication of measured films or rinses was found, so the
shipped volumes say that they are assumed, and :func:`left_by_weighing` makes a measured one.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from halfdrop.core.measure.estimate import standard_from_limits

ASSUMED = "assumed, no publication found"

# share of the capacity that a clean tube holds back, and its limits: 0.2 to 0.5 mL of 50 mL. Assumed.
_FILM_SHARE, _FILM_SHARE_LIMITS = 0.007, 0.003
# mL that stays in the tip of a burette when the tube has run empty. Assumed.
_TIP_ML, _TIP_LIMITS_ML = 0.10, 0.05

LEAST_EFFICIENCY, BEST_EFFICIENCY = 0.5, 1.0


@dataclass(frozen=True)
class Left:
    """What stays behind after draining.

    Attributes:
        film_ml: on the wall.
        u_film_ml: its standard uncertainty.
        tip_ml: in the tip below the tap.
        u_tip_ml: its standard uncertainty.
        source: where the volumes come from.
    """

    film_ml: float
    u_film_ml: float = 0.0
    tip_ml: float = 0.0
    u_tip_ml: float = 0.0
    source: str = ASSUMED

    def __post_init__(self) -> None:
        numbers = (self.film_ml, self.u_film_ml, self.tip_ml, self.u_tip_ml)
        if not all(math.isfinite(one) and one >= 0 for one in numbers):
            raise ValueError(f"what is left is a volume of zero or more with its uncertainty, not {numbers}")


def assumed_left(capacity_ml: float) -> Left:
    """Return the shipped estimate for a burette, with its uncertainty; it says that it is assumed.

    >>> left = assumed_left(50.0)
    >>> round(left.film_ml, 3), round(left.u_film_ml, 3), left.source
    (0.35, 0.087, 'assumed, no publication found')
    """
    film, limits = _FILM_SHARE * capacity_ml, _FILM_SHARE_LIMITS * capacity_ml
    return Left(film, standard_from_limits(limits), _TIP_ML, standard_from_limits(_TIP_LIMITS_ML))


def left_by_weighing(
    dry_g: Sequence[float], wet_g: Sequence[float], density_g_ml: float, u_balance_g: float = 0.0
) -> Left:
    """Return what a drained burette holds, from its mass dry and drained; the tip is part of it.

    Args:
        dry_g: mass of the dry tube before each draining, or once.
        wet_g: mass after each draining.
        density_g_ml: of the liquid.
        u_balance_g: standard uncertainty of one weighing.

    Returns:
        The volume, all of it counted as film, with the uncertainty of the NEXT draining: its scatter and that
        of the mean, and the balance. With a single draining the scatter is not known and counted as nothing.
    """
    dry = list(dry_g) * len(wet_g) if len(dry_g) == 1 else list(dry_g)
    volumes = [(wet - empty) / density_g_ml for wet, empty in zip(wet_g, dry, strict=True)]
    scatter = statistics.stdev(volumes) if len(volumes) > 1 else 0.0
    u = math.hypot(scatter * math.sqrt(1 + 1 / len(volumes)), math.sqrt(2) * u_balance_g / density_g_ml)
    times = "once" if len(volumes) == 1 else f"{len(volumes)} times"
    return Left(statistics.fmean(volumes), u, source=f"weighed, drained {times}")


@dataclass(frozen=True)
class Habit:
    """How a burette is got ready and used.

    Attributes:
        rinses: how many.
        rinse_ml: volume of each.
        fill_ml: volume in the tube when it is full to the zero line.
        priming_ml: run out through the tip after filling, then made up to the line again.
        delivered_ml: run out in one titration.
        efficiency: part of what is left that a rinse, or what flows through the tip, takes up.
    """

    rinses: int
    rinse_ml: float = 5.0
    fill_ml: float = 50.0
    priming_ml: float = 0.0
    delivered_ml: float = 25.0
    efficiency: float = BEST_EFFICIENCY

    def __post_init__(self) -> None:
        if self.rinses < 0 or self.rinse_ml <= 0 or self.priming_ml < 0:
            raise ValueError("rinses and priming are zero or more, and a rinse has a volume above zero")
        if not 0 < self.delivered_ml + self.priming_ml <= self.fill_ml:
            raise ValueError("priming and delivery together come out of one fill")
        if not 0 < self.efficiency <= 1:
            raise ValueError("the exchange efficiency lies above 0 and is 1 at most")


@dataclass(frozen=True)
class State:
    """Fractions of the liquid that are not the wanted solution: in the film or the tube, and in the tip."""

    tube: float = 1.0
    tip: float = 1.0


def rinsed(state: State, left: Left, habit: Habit) -> State:
    """Return the state after one rinse that runs out through the tip."""
    part = habit.efficiency
    mixed = part * left.film_ml * state.tube / (part * left.film_ml + habit.rinse_ml)
    film = (1 - part) * state.tube + part * mixed
    return State(film, _drawn_through(state.tip, mixed, left.tip_ml, habit.rinse_ml, part))


def filled(state: State, left: Left, habit: Habit) -> State:
    """Return the state when the drained tube has been filled, primed and made up to the line."""
    film = min(left.film_ml, habit.fill_ml)
    tube = state.tube * film / habit.fill_ml
    return _primed(State(tube, state.tip), left, habit)


def topped_up(state: State, left: Left, habit: Habit) -> State:
    """Return the state when one delivery was made up with fresh solution."""
    tube = state.tube * (habit.fill_ml - habit.delivered_ml) / habit.fill_ml
    return State(tube, _after_delivery(state, left, habit))


def drained(state: State, left: Left, habit: Habit) -> State:
    """Return the state when what was left in the tube has run out through the tip."""
    rest = habit.fill_ml - left.film_ml
    return State(state.tube, _drawn_through(state.tip, state.tube, left.tip_ml, rest, habit.efficiency))


def _primed(state: State, left: Left, habit: Habit) -> State:
    tip = _drawn_through(state.tip, state.tube, left.tip_ml, habit.priming_ml, habit.efficiency)
    return State(state.tube * (habit.fill_ml - habit.priming_ml) / habit.fill_ml, tip)


def _after_delivery(state: State, left: Left, habit: Habit) -> float:
    return _drawn_through(state.tip, state.tube, left.tip_ml, habit.delivered_ml, habit.efficiency)


def _drawn_through(tip: float, flow: float, tip_ml: float, volume_ml: float, part: float) -> float:
    """Return what the tip holds when a volume has flowed through it, as through a small stirred vessel."""
    if not tip_ml:
        return flow
    kept = (1 - part) + part * math.exp(-volume_ml / tip_ml)
    return flow + (tip - flow) * kept


def delivered_fraction(state: State, left: Left, habit: Habit) -> float:
    """Return the fraction of one delivery that is not the wanted solution: from the tube and from the tip.

    What leaves tube and tip together is what was there before, less what the tip holds afterwards.
    """
    after = _after_delivery(state, left, habit)
    return state.tube + left.tip_ml * (state.tip - after) / habit.delivered_ml


class Fill(StrEnum):
    """Which fill a titration is made from."""

    FIRST = "first fill"
    TOPPED_UP = "topped up after one titration"
    REFILLED = "drained and refilled"


def errors(left: Left, habit: Habit, strength: float = 0.0) -> dict[Fill, float]:
    """Return the relative error of the concentration that is delivered, for each fill.

    Args:
        left: what stays behind after each draining.
        habit: how the burette is used.
        strength: concentration of what is in the burette before, over the wanted one: 0 for water, negative
            for a solution that uses the wanted one up.

    >>> water = errors(Left(0.5), Habit(0))
    >>> [round(100 * error, 2) for error in water.values()]
    [-1.0, -0.5, -0.01]
    """
    state = State()
    for _ in range(habit.rinses):
        state = rinsed(state, left, habit)
    first = filled(state, left, habit)
    # after draining, the film has the composition of the tube; the tip was drawn through
    again = filled(drained(first, left, habit), left, habit)
    states = {Fill.FIRST: first, Fill.TOPPED_UP: topped_up(first, left, habit), Fill.REFILLED: again}
    return {fill: (strength - 1) * delivered_fraction(one, left, habit) for fill, one in states.items()}


@dataclass(frozen=True)
class Cost:
    """What a number of rinses costs on one fill.

    Attributes:
        rinses: how many.
        fill: which fill.
        ideal: relative error of the concentration with ideal mixing.
        pessimistic: the same with the least exchange efficiency.
        u_pessimistic: its standard uncertainty from what is left.
    """

    rinses: int
    fill: Fill
    ideal: float
    pessimistic: float
    u_pessimistic: float


def cost(
    left: Left, habit: Habit, fill: Fill, least: float = LEAST_EFFICIENCY, strength: float = 0.0
) -> Cost:
    """Return what a habit costs on one fill, for ideal mixing and for the least exchange efficiency."""
    ideal = errors(left, replace(habit, efficiency=BEST_EFFICIENCY), strength)[fill]
    careful = replace(habit, efficiency=least)
    value = errors(left, careful, strength)[fill]
    u = math.hypot(
        _slope(left, "film_ml", left.u_film_ml, careful, fill, strength),
        _slope(left, "tip_ml", left.u_tip_ml, careful, fill, strength),
    )
    return Cost(habit.rinses, fill, ideal, value, u)


def _slope(left: Left, name: str, u: float, habit: Habit, fill: Fill, strength: float) -> float:
    """Return what one standard uncertainty of a volume does to the error, from both sides."""
    if not u:
        return 0.0
    middle = getattr(left, name)
    high, low = replace(left, **{name: middle + u}), replace(left, **{name: max(0.0, middle - u)})
    step = middle + u - max(0.0, middle - u)
    return float((errors(high, habit, strength)[fill] - errors(low, habit, strength)[fill]) * u / step)


def costs(
    left: Left, habit: Habit, most: int = 3, least: float = LEAST_EFFICIENCY, strength: float = 0.0
) -> tuple[Cost, ...]:
    """Return the cost of none to ``most`` rinses on every fill, in that order."""
    return tuple(
        cost(left, replace(habit, rinses=n), fill, least, strength) for n in range(most + 1) for fill in Fill
    )


def rinses_needed(
    left: Left,
    habit: Habit,
    target: float,
    fill: Fill = Fill.FIRST,
    *,
    margin: float = 0.0,
    strength: float = 0.0,
) -> int | None:
    """Return the fewest rinses that bring the error of a fill under a target, or None where none do.

    Args:
        left: what stays behind.
        habit: its rinses do not matter, its efficiency does.
        target: largest relative error allowed, above zero.
        fill: which fill.
        margin: so many standard uncertainties of what is left are added to it first.
        strength: see :func:`errors`.
    """
    if not target > 0:
        raise ValueError(f"a target lies above zero, not {target!r}")
    film, tip = left.film_ml + margin * left.u_film_ml, left.tip_ml + margin * left.u_tip_ml
    most = replace(left, film_ml=film, tip_ml=tip)
    before = math.inf
    rinses = 0
    while True:
        error = abs(errors(most, replace(habit, rinses=rinses), strength)[fill])
        if error <= target:
            return rinses
        if error >= before:  # what is left to gain is below what a float can tell
            return None
        before, rinses = error, rinses + 1
