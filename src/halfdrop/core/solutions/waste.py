"""Waste and water of a class, in millilitres: what is poured where, and what that rests on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from halfdrop.core.solutions.amounts import Needs

# Streams in which a flask's content ends as soon as one of its parts belongs there, the strictest first.
STRICTEST = (
    "chromium",
    "silver",
    "thiocyanate",
    "bleach",
    "metals",
    "oxidising",
    "iodine",
    "ammonia",
    "organic",
)
NEUTRAL, DRAIN = "neutralise", "drain"

# All common practice, no source.
DILUTION_ML = 50.0  # water in the flask, for each trial
WASHING_ML = 1000.0  # cleaning and rinsing glass before and after, for each analyst
WASH_BOTTLE_ML = 500.0  # one filled for each analyst


@dataclass(frozen=True)
class Used:
    """A solution in a class: the stream of its waste, how it is used, what of it, and how much is made."""

    name: str
    stream: str
    titrated: bool
    needs: Needs | None
    made_ml: float


def flask_stream(streams: Iterable[str]) -> str:
    """Return the stream of what is in the flask when all of these have been in it.

    >>> flask_stream(["neutralise", "silver", "drain"]), flask_stream(["drain", "neutralise"])
    ('silver', 'neutralise')
    """
    found = set(streams)
    return next((one for one in (*STRICTEST, NEUTRAL) if one in found), DRAIN)


def special_streams(streams: Iterable[str]) -> tuple[str, ...]:
    """Return the strict streams among these: more than one in a flask asks for a person's thought."""
    found = set(streams)
    return tuple(one for one in STRICTEST if one in found)


def waste_ml(used: Sequence[Used], sample_ml: float = 0.0) -> dict[str, float]:
    """Return the waste of a class by stream.

    What is titrated ends in the flask, with the water in it; rinses, priming and what is left over end in the
    stream of the solution. What was made to spare is kept and no waste yet.

    Args:
        used: the solutions.
        sample_ml: of all samples titrated.
    """
    flask = flask_stream(one.stream for one in used if one.titrated)
    found: dict[str, float] = {}
    trials = max((one.needs.trials * one.needs.analysts for one in used if one.needs), default=0)
    _add(found, flask, trials * DILUTION_ML + sample_ml)
    for one in used:
        if one.needs is None:
            _add(found, one.stream, one.made_ml)
            continue
        titrated = one.needs.analysts * one.needs.trials * one.needs.per_trial_ml
        whole = one.needs.analysts * one.needs.per_analyst_ml
        _add(found, flask if one.titrated else one.stream, titrated)
        _add(found, one.stream, whole - titrated)
    return {name: volume for name, volume in found.items() if volume > 0}


def _add(found: dict[str, float], stream: str, volume_ml: float) -> None:
    found[stream] = found.get(stream, 0.0) + volume_ml


def water_ml(used: Sequence[Used], analysts: int) -> Mapping[str, float]:
    """Return the pure water that a class needs, by purpose."""
    trials = max((one.needs.trials * one.needs.analysts for one in used if one.needs), default=0)
    return {
        "making up": sum(one.made_ml for one in used),
        "in the flasks": trials * DILUTION_ML,
        "wash bottles": analysts * WASH_BOTTLE_ML,
        "rinsing glass": analysts * WASHING_ML,
    }
