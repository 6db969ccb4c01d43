"""Checks a method whole: its chemistry, its names, its cautions, and whether its working can be put together.

A method is tried for every outline that a determination may bring: nothing that is optional, each optional
thing alone, everything; quantities of each trial's own or common to all; burettes refilled. What is wrong is
said once, with the first outline in which it showed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from halfdrop.core.findings import Finding
from halfdrop.core.measure.working import WorkingError
from halfdrop.core.titration.blocks import Block
from halfdrop.core.titration.build import BLANK, Built, MethodError, Outline, build
from halfdrop.core.titration.deliveries import optional_readings
from halfdrop.core.titration.method import Method
from halfdrop.core.titration.method_entries import (
    END_POINT,
    check_cases,
    check_entries,
    check_equations,
    check_hazards,
    check_quantities,
    check_ratios,
    check_series,
    check_symbols,
    one_of,
    refusal,
)
from halfdrop.core.titration.stoichiometry import NoRatio, stoichiometric_ratio

__all__ = ["NoRatio", "check_method", "outlines", "stoichiometric_ratio"]

# kinds of which a trial may have its own although the method does not ask for it
_OF_A_TRIAL = ("mass", "pipette", "volume")
_ENTRY = re.compile(r"^working, entry [0-9]+: ")
# what a faulty entry can make the builder trip over, besides the complaints it words itself
_TRIPS = (LookupError, AttributeError, TypeError, ValueError, RecursionError)


def check_method(method: Method, blocks: Mapping[str, Block]) -> tuple[Finding, ...]:
    """Return everything that is wrong with a method; places name the part of the file in words.

    Args:
        method: as read from its file.
        blocks: the blocks that its working may use.
    """
    parts = [
        *check_equations(method),
        *check_quantities(method),
        *check_series(method),
        *check_cases(method),
        *check_hazards(method),
        *check_symbols(method),
        *check_ratios(method),
    ]
    entries = list(check_entries(method, blocks))
    working = [] if entries or not method.series else list(_working_complaints(method, blocks))
    return (*parts, *entries, *working)


@dataclass(frozen=True)
class Tried:
    """An outline in words, such as ``with a blank``, and the outline itself."""

    words: str
    outline: Outline


def outlines(method: Method, blocks: Mapping[str, Block]) -> tuple[Tried, ...]:
    """Return the outlines that a determination by a method may bring, as far as they are worth trying."""
    base = _base(method, blocks)
    optional = _optional(method, blocks)
    trials = {name: names for name, names in optional.items() if name.endswith(" trials")}
    values = {name: names for name, names in optional.items() if name not in trials}
    by_value = base.union(*values.values())
    by_trials = base.union(*(names for name, names in values.items() if name != BLANK), *trials.values())
    may_differ = [name for name, one in method.quantities.items() if one.per_trial or one.kind in _OF_A_TRIAL]
    series = {name: _series_of(method, blocks, name, by_value) for name in may_differ}
    own = {name: series[name] for name in may_differ if method.quantities[name].per_trial}
    found = [Tried("with nothing optional", Outline(base, own))]
    found += [Tried(f"with {name}", Outline(base | names, own)) for name, names in optional.items()]
    for name, names in _cases(method).items():
        found.append(Tried(f"in the case {name}", Outline(base | names, own)))
        found.append(Tried(f"in the case {name}, with everything optional", Outline(by_value | names, own)))
    found += [Tried("with everything optional", Outline(given, own)) for given in (by_value, by_trials)]
    found.append(Tried("with one value for all trials", Outline(base)))
    for name in may_differ:
        if name not in own:
            outline = Outline(base, {**own, name: series[name]})
            found.append(Tried(f"with {name} of each trial's own", outline))
    refilled = dict.fromkeys(method.series, 2)
    found += [
        Tried("with a burette filled again", Outline(given, own, refilled))
        for given in (base, by_value, by_trials)
    ]
    return tuple(found)


def _base(method: Method, blocks: Mapping[str, Block]) -> frozenset[str]:
    given = {name for name, one in method.quantities.items() if not one.optional}
    for name, series in method.series.items():
        if not series.optional:
            given |= {f"{name} trials", *series.readings} - optional_readings(method, blocks, name)
    return frozenset(given)


def _optional(method: Method, blocks: Mapping[str, Block]) -> dict[str, frozenset[str]]:
    """Return what may be given besides: in words -> the names that an outline then holds."""
    found = {name: frozenset({name}) for name, one in method.quantities.items() if one.optional}
    for name, one in method.quantities.items():
        if one.kind == "mass":
            found[f"{name} by difference"] = frozenset({name, f"{name} by difference"})
    for name, series in method.series.items():
        if series.optional:
            blank = {BLANK} if name == BLANK else set()
            found[f"{name} trials"] = frozenset({f"{name} trials", *series.readings, *blank})
        elif extra := optional_readings(method, blocks, name):
            found[f"{', '.join(sorted(extra))}"] = extra
    found[END_POINT] = frozenset({END_POINT})
    return found


def _cases(method: Method) -> dict[str, frozenset[str]]:
    """Return what the working may ask for in each case of a mixture."""
    cases = method.cases
    return {name: cases.given(name) for name in cases.by_name} if cases else {}


def _series_of(method: Method, blocks: Mapping[str, Block], name: str, given: frozenset[str]) -> str:
    """Return the series whose trials may have their own value of a quantity: the first that works."""
    for series in method.series:
        if _attempt(method, blocks, Outline(given, {name: series}))[0] is not None:
            return series
    return method.main_series.name


def _working_complaints(method: Method, blocks: Mapping[str, Block]) -> Iterator[Finding]:
    """Try every outline; say each complaint once, and then which quantities no outline used."""
    said: set[str] = set()
    used: set[str] = set()
    names: set[str] = set()
    for tried in outlines(method, blocks):
        built, complaints = _attempt(method, blocks, tried.outline)
        if built is not None:
            names |= set(built.names)
            used |= {
                words.split()[1] for words in built.fills.values() if words.split()[0] in ("given", "weighed")
            }
        for complaint in complaints:
            if complaint not in said:
                said.add(complaint)
                entry = _entry_of(method, blocks, tried.outline, complaint)
                message = f"{complaint.rstrip('.')} ({tried.words})."
                yield refusal("working", message, f"working, entry {entry}" if entry else "working")
    if said:
        return
    for name in method.quantities:
        if name not in used:
            message = f"The working never uses {name}. Use it in a line or block, or do not ask for it."
            yield refusal("quantity-unused", message, f"quantity {name}")
    cases = method.cases.looks_at if method.cases else ()
    for field, wanted in [("results", one.name) for one in method.results] + [
        ("cases", name) for name in cases
    ]:
        if wanted not in names:
            message = f"No entry of the working is called '{wanted}'. {one_of(wanted, sorted(names))}"
            yield refusal("result-unknown", message, field, wanted, sorted(names))


def _attempt(
    method: Method, blocks: Mapping[str, Block], outline: Outline
) -> tuple[Built | None, tuple[str, ...]]:
    try:
        return build(method, blocks, outline), ()
    except WorkingError as error:
        return None, error.complaints
    except MethodError as error:
        return None, (_ENTRY.sub("", str(error)),)  # the place says which entry
    except _TRIPS as error:
        return None, (f"the working cannot be put together: {error}",)


def _entry_of(method: Method, blocks: Mapping[str, Block], outline: Outline, complaint: str) -> int:
    """Return the entry at which a complaint first shows, putting the working together entry by entry."""
    for count in range(1, len(method.working) + 1):
        shorter = replace(method, working=method.working[:count])
        if complaint in _attempt(shorter, blocks, outline)[1]:
            return count
    return 0
