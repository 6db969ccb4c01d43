"""The chain between determinations: one working out of all of them, each there once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, TypeVar

from halfdrop.core.measure.estimate import Array, Estimate
from halfdrop.core.measure.working import Working, chained, merged, merged_name

if TYPE_CHECKING:
    from halfdrop.core.titration.work import Worked

T = TypeVar("T")


def determinations(links: Mapping[str, Worked], prefix: str = "") -> dict[str, Worked]:
    """Return what links rest on, by prefix, the farthest first; repetitions included."""
    found: dict[str, Worked] = {}
    for name, child in links.items():
        found |= determinations(child.links, f"{prefix}{name}.")
        found[f"{prefix}{name}"] = child
    return found


def repeated(links: Mapping[str, Worked]) -> dict[str, str]:
    """Return, for each prefix that is a determination reached before, the prefix under which it is kept.

    An acid standardised with a hydroxide, and then both used in one back titration, lead twice to the page of
    the hydroxide. It is one determination, and its errors are the same ones. Pages of one digest are one.
    """
    kept: dict[str, str] = {}
    same: dict[str, str] = {}
    for prefix, one in sorted(determinations(links).items(), key=lambda item: item[0].count(".")):
        digest = one.determination.digest
        if digest and digest in kept:
            same[prefix] = kept[digest]
        elif digest:
            kept[digest] = prefix
    return same


def joined(
    working: Working, links: Mapping[str, Worked]
) -> tuple[Working, dict[str, Estimate], dict[str, Array]]:
    """Return a working joined with those it rests on, and their estimates and weights."""
    estimates: dict[str, Estimate] = {}
    weights: dict[str, Array] = {}
    for name, child in links.items():
        working = chained(child.working, name, working, name)
        estimates |= {f"{name}.{k}": v for k, v in child.estimates.items()}
        weights |= {f"{name}.{k}": v for k, v in child.weights.items()}
    same = repeated(links)
    return merged(working, same), _once(estimates, same), _once(weights, same)


def _once(values: Mapping[str, T], same: Mapping[str, str]) -> dict[str, T]:
    found: dict[str, T] = {}
    for name, value in values.items():
        found.setdefault(merged_name(name, same), value)
    return found
