"""Equivalence points of acids and bases from amounts alone, with the protons they stand for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from halfdrop.core.equilibrium.acids import Acid, Mixture


@dataclass(frozen=True)
class Equivalence:
    """An equivalence point.

    Attributes:
        volume_ml: delivered.
        words: what has then reacted.
    """

    volume_ml: float
    words: str


def acid_base_equivalences(
    acids: Sequence[Acid], flask: Mixture, flask_ml: float, burette: Mixture, *, up: bool
) -> tuple[Equivalence, ...]:
    """Return where amounts of protons put in come to whole steps of the acids, smallest volume first.

    The steps are filled from the weakest acid up; between two steps lies a point at

        V (P_burette - m_burette) = (m_flask - P_flask) V_flask

    with P the protons bound beyond the bare forms and m what fills the steps below. Strong acid alone gives
    the point where it is used up. Whether a point can be seen is another question.

    Args:
        acids: of both solutions.
        flask: what is in the flask.
        flask_ml: its volume.
        burette: what is in the burette.
        up: whether the pH rises, for the words.
    """
    steps = [(acid.pkas[-k - 1], acid, k) for acid in acids for k in range(len(acid.pkas))]
    steps.sort(key=lambda step: -step[0])
    protons = [side.bound_protons(acids) for side in (flask, burette)]
    filled = [0.0, 0.0]
    found: list[Equivalence] = []
    for index in range(len(steps) + 1):
        if index:
            _, acid, _ = steps[index - 1]
            here = [side.totals.get(acid.name, 0.0) for side in (flask, burette)]
            if not any(here):
                continue
            filled = [one + more for one, more in zip(filled, here, strict=True)]
        rate = protons[1] - filled[1]
        if rate == 0:
            continue
        volume = (filled[0] - protons[0]) * flask_ml / rate
        if volume > 1e-9 * flask_ml:
            found.append(Equivalence(volume, _words(steps, index, up=up)))
    return tuple(sorted(found, key=lambda one: one.volume_ml))


def _words(steps: Sequence[tuple[float, Acid, int]], index: int, *, up: bool) -> str:
    """Return what has happened when all steps before ``index`` are filled and none after."""
    if up:  # protons are taken away: the next step up has just been emptied
        if index == len(steps):
            return "strong acid neutralised"
        _, acid, k = steps[index]
        return f"{_form(acid, k + 1)} to {_form(acid, k)}"
    if index == 0:
        return "strong base neutralised"
    _, acid, k = steps[index - 1]
    return f"{_form(acid, k)} to {_form(acid, k + 1)}"


def _form(acid: Acid, protons: int) -> str:
    return acid.forms[protons] if acid.forms else f"{acid.name} with {protons} H"
