"""The small form about rinsing a burette: what is left in it, how it is used, what error is allowed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from halfdrop.core.findings import Finding, Refused
from halfdrop.core.solutions.rinsing import (
    LEAST_EFFICIENCY,
    Habit,
    Left,
    assumed_left,
    left_by_weighing,
)
from halfdrop.files.fields import ABOVE_ZERO, ANY, NOT_NEGATIVE, Fields, Range, Spot
from halfdrop.files.text_files import refuses
from halfdrop.files.toml_text import read_toml

SHARE = Range("above 0, and 1 at most", lambda value: 0 < value <= 1)
_U_TITRE_ML = 0.04  # typical standard deviation of one titre; common practice, no source
_DENSITY_G_ML = 0.998  # water near 20 degC
_SOURCE = "measured here"


@dataclass(frozen=True)
class RinsePlan:
    """What the form says.

    Attributes:
        capacity_ml: of the burette.
        left: what stays behind.
        habit: how it is rinsed and used; the number of rinses in it does not matter.
        least: least exchange efficiency.
        strength: what is in the burette before, over the wanted concentration: 0 for water.
        titre_ml, u_titre_ml: a titre and its standard uncertainty.
        part: of the relative uncertainty of the titre that rinsing may cost.
    """

    capacity_ml: float
    left: Left
    habit: Habit
    least: float = LEAST_EFFICIENCY
    strength: float = 0.0
    titre_ml: float = 25.0
    u_titre_ml: float = _U_TITRE_ML
    part: float = 0.2

    @property
    def target(self) -> float:
        """The largest relative error that is allowed."""
        return self.part * self.u_titre_ml / self.titre_ml


def default_plan(capacity_ml: float = 50.0) -> RinsePlan:
    """Return the plan of a form that says nothing."""
    titre = capacity_ml / 2
    habit = Habit(0, fill_ml=capacity_ml, priming_ml=2.0 * capacity_ml / 50, delivered_ml=titre)
    return RinsePlan(capacity_ml, assumed_left(capacity_ml), habit, titre_ml=titre)


def read_rinse_plan(path: Path) -> RinsePlan:
    """Read the form.

    Raises:
        Refused: with everything that is wrong in it.
    """
    toml, findings = read_toml(path)
    if toml is None:
        raise Refused(findings)
    found: list[Finding] = list(findings)
    plan = _plan(Fields(toml.data, Spot(toml), found))
    if plan is None or refuses(found):
        raise Refused(found)
    return plan


def _plan(top: Fields) -> RinsePlan | None:
    capacity = _number(top, "capacity_mL", 50.0, ABOVE_ZERO)
    plain = default_plan(capacity)
    rinse = _number(top, "rinse_mL", plain.habit.rinse_ml, ABOVE_ZERO)
    priming = _number(top, "priming_mL", plain.habit.priming_ml, NOT_NEGATIVE)
    titre = _number(top, "titre_mL", plain.titre_ml, ABOVE_ZERO)
    u, part = _number(top, "u_titre_mL", _U_TITRE_ML, ABOVE_ZERO), _number(top, "part", plain.part, SHARE)
    least = _number(top, "efficiency", LEAST_EFFICIENCY, SHARE)
    strength = _number(top, "strength_before", 0.0, ANY)
    left = _left(top, plain.left, capacity)
    top.finish()
    if priming + titre > capacity:
        message = f"{priming:g} mL of priming and a titre of {titre:g} mL do not come out of {capacity:g} mL."
        top.say("rinse-volumes", message, "titre_mL")
        return None
    habit = Habit(0, rinse, capacity, priming, titre)
    return RinsePlan(capacity, left, habit, least, strength, titre, u, part)


def _number(table: Fields, key: str, default: float, allowed: Range) -> float:
    number = table.number(key, allowed)
    return default if number is None else float(number)


def _left(top: Fields, assumed: Left, capacity: float) -> Left:
    weighed = _weighed(top, capacity)
    table = top.sub("left")
    if table is None:
        return weighed or assumed
    if weighed is not None:
        top.say("left-twice", "What is left is given under left and as weighings. Keep one.", "left")
    below = Range(f"of zero or more, below {capacity:g}", lambda value: 0 <= value < capacity)
    film = table.number("film_mL", below, example='"0.30"')
    u_film, tip = table.number("u_film_mL", NOT_NEGATIVE), table.number("tip_mL", below)
    u_tip, source = table.number("u_tip_mL", NOT_NEGATIVE), table.text("source", _SOURCE)
    table.finish()
    values = [0.0 if one is None else float(one) for one in (film, u_film, tip, u_tip)]
    return Left(values[0], values[1], values[2], values[3], source)


def _weighed(top: Fields, capacity: float) -> Left | None:
    rows = [(row, row.number("dry_g", ABOVE_ZERO, '"112.404"'), row.number("wet_g", ABOVE_ZERO, '"112.731"'))
            for row in top.subs("draining")]  # fmt: skip
    density = _number(top, "density_g_mL", _DENSITY_G_ML, ABOVE_ZERO)
    balance = _number(top, "balance_u_mg", 0.0, NOT_NEGATIVE) / 1000
    pairs = []
    for row, dry, wet in rows:
        row.finish()
        if dry is None or wet is None:
            continue
        held = (float(wet) - float(dry)) / density
        if not 0 <= held < capacity:
            message = (
                f"Dry {dry.text} g and drained {wet.text} g make {held:.3f} mL left in a burette of "
                f"{capacity:g} mL. Look at both weighings."
            )
            row.say("draining-weighings", message, "wet_g")
            continue
        pairs.append((float(dry), float(wet)))
    if not pairs:
        return None
    return left_by_weighing([dry for dry, _ in pairs], [wet for _, wet in pairs], density, balance)


FORM = """\
# How clean is clean enough: a form about one burette. Lines that start with # say nothing; fill in and take
# the # away. halfdrop rinse FILE works it out.

capacity_mL = 50
# rinse_mL = 5              # one rinse
# priming_mL = 2            # run out through the tip after filling, then made up to the line
# titre_mL = 25
# u_titre_mL = "0.04"       # standard uncertainty of a titre
# part = "0.2"              # of it that rinsing may cost
# strength_before = 0       # what is in the burette before, over the wanted solution: 0 for water
# efficiency = "0.5"        # least part of what is left that a rinse takes up

# What is left, weighed: the dry burette, then filled with water and drained through the tip as you always do.
# Three times at least.
# density_g_mL = "0.998"
# balance_u_mg = 1
# [[draining]]
# dry_g = "112.404"
# wet_g = "112.731"

# Or, if you know it already:
# [left]
# film_mL = "0.30"
# u_film_mL = "0.05"
# tip_mL = "0.10"
# u_tip_mL = "0.03"
# source = "weighed in May"
"""
