"""What a class file says of unknowns: samples with different true values, or one stock in random volumes."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from halfdrop.core.findings import Place
from halfdrop.files.fields import ABOVE_ZERO, Fields, known

MOST_SAMPLES = 2000


@dataclass(frozen=True)
class Unknown:
    """Samples to be handed out.

    Attributes:
        name: on their labels, before the number.
        of: the solution they are made from.
        kind: ``samples`` (different strengths, each diluted to a flask) or ``volumes`` (one stock, random
            volumes).
        count: how many.
        low, high: range of the true value: mol/L for samples, mL for volumes.
        flask_ml: in which a sample is made up; 0 for volumes.
        seed: of the draw.
        place: where it stands.
    """

    name: str
    of: str
    kind: str
    count: int
    low: float
    high: float
    flask_ml: float
    seed: int
    place: Place


def read_unknowns(top: Fields, solutions: Collection[str]) -> tuple[Unknown, ...]:
    """Read ``[[unknown]]``."""
    return tuple(one for row in top.subs("unknown") if (one := _unknown(row, solutions)) is not None)


def _unknown(row: Fields, solutions: Collection[str]) -> Unknown | None:
    name, of = row.text("name", "sample"), row.text("of", example='"HCl 0.2 mol/L"')
    volumes = row.has("low_mL", "high_mL")
    count, seed = row.whole("count", 1), row.whole("seed")
    unit, example = ("mL", '"10"') if volumes else ("mol_L", '"0.08"')
    low = row.number(f"low_{unit}", ABOVE_ZERO, example)
    high = row.number(f"high_{unit}", ABOVE_ZERO, '"40"' if volumes else '"0.12"')
    flask = None if volumes else row.number("flask_mL", ABOVE_ZERO, '"100"')
    row.finish()
    if of and of not in solutions:
        row.say("solution-unknown", f"No solution here is called '{of}'. {known(of, solutions)}", "of")
    for key, number, example in (("count", count, "12"), ("seed", seed, "20260917")):
        if number is None and not row.has(key):
            row.missing(key, example)
    if count is not None and count > MOST_SAMPLES:
        row.say("number-out-of-range", f"{count} is given. Write {MOST_SAMPLES} at most.", "count")
        return None
    if low is not None and high is not None and not float(low) < float(high):
        row.say(
            "range", f"{low.text} to {high.text} is no range: write the smaller number first.", f"low_{unit}"
        )
        return None
    if count is None or seed is None or low is None or high is None or (flask is None and not volumes):
        return None
    return Unknown(
        name, of, "volumes" if volumes else "samples", count, float(low), float(high),
        0.0 if flask is None else float(flask), seed, row.place(),
    )  # fmt: skip
