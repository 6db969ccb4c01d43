"""Which readings of a trial make a titre: what the working of a method says about its burettes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from halfdrop.core.titration.blocks import Block
from halfdrop.core.titration.method import Method

TITRE = "titre"
FIRST, SECOND = "burette", "second_burette"


@dataclass(frozen=True)
class Delivery:
    """One titre that a method works with.

    Attributes:
        series: the series of trials.
        start, end: names of the readings before and after.
        burette: which burette delivers it, ``burette`` or ``second_burette``.
        when: the thing that has to be given for it, or "".
        entry: number of the entry of the working, from 1.
    """

    series: str
    start: str
    end: str
    burette: str
    when: str
    entry: int


def deliveries(method: Method, blocks: Mapping[str, Block]) -> tuple[Delivery, ...]:
    """Return the titres of a method in the order of its working, with the defaults of the titre block."""
    takes = blocks[TITRE].takes if TITRE in blocks else {}
    found = []
    for number, entry in enumerate(method.working, 1):
        if entry.get("block") != TITRE:
            continue
        slots = {**takes, **{name: str(value) for name, value in entry.items()}}
        series, start, end, burette, when = (
            slots.get(name, "") for name in ("series", "from", "to", "burette", "when")
        )
        found.append(Delivery(series, start, end, burette, when, number))
    return tuple(found)


def optional_readings(method: Method, blocks: Mapping[str, Block], series: str) -> frozenset[str]:
    """Return the readings that a trial of a series may lack: those of a burette that is not always needed."""
    readings = method.series[series].readings if series in method.series else ()
    own = [one for one in deliveries(method, blocks) if one.series == series]
    needed = {
        name
        for one in own
        if one.when not in readings and one.burette == FIRST
        for name in (one.start, one.end)
    }
    return frozenset(name for one in own for name in (one.start, one.end)) - needed
