"""How glassware is looked after: the shipped rules, and what a laboratory writes over them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from importlib import resources

from halfdrop.core.findings import Finding, Refused, refuse_if_any
from halfdrop.core.glassware.care import Care, Harm, Interval
from halfdrop.core.glassware.conformity import Rule
from halfdrop.core.glassware.leak import LeakLimit, Trial
from halfdrop.core.glassware.outflow import TimeRange
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Range, Spot
from halfdrop.files.numbers import Written
from halfdrop.files.toml_text import parse_toml

RULES = tuple(rule.value for rule in Rule)
KINDS_WITH_TIMES = ("burette", "pipette")
_DAYS = Range("of days, above zero and at most 36500", lambda value: 0 < value <= 36500)
_SHARE = Range("above zero and at most 1", lambda value: 0 < value <= 1)
_OWN = "as the laboratory has it"
_EMPTY = Care(LeakLimit(1, 20, ""), 0.1, "", {}, {})


@lru_cache(maxsize=1)
def shipped_care() -> Care:
    """Return the rules that come with the program."""
    findings, top = _shipped("care.toml")
    care = read_care(top, replace(_EMPTY, times=shipped_times()))
    refuse_if_any(findings)
    return care


@lru_cache(maxsize=1)
def shipped_times() -> tuple[TimeRange, ...]:
    """Return the delivery times of standards."""
    findings, top = _shipped("delivery_times.toml")
    sources = top.sub("sources")
    named = {key: sources.text(key) for key in sources.table} if sources else {}
    ranges = tuple(_time_range(row, named) for row in top.subs("range"))
    top.finish()
    refuse_if_any(findings)
    return ranges


def _shipped(name: str) -> tuple[list[Finding], Fields]:
    """Return a shipped file; one that cannot be read would have failed the project's tests."""
    file = resources.files("halfdrop") / "data" / "glassware" / name
    toml, findings = parse_toml(file.read_bytes(), name)
    if toml is None:
        raise Refused(findings)
    return findings, Fields(toml.data, Spot(toml), findings)


def read_care(table: Fields, base: Care) -> Care:
    """Read rules written over others.

    Args:
        table: ``[care]`` of a shelf, or the shipped file.
        base: the rules that hold where nothing is written.
    """
    care = replace(
        base,
        leak=_leak(table, base.leak),
        tests=_intervals(table, "tests", base.tests),
        calibration=_intervals(table, "calibration", base.calibration),
        decision=Rule(table.choice("decision", RULES, base.decision.value)),
        trial=_trial(table, base.trial),
        solutions={**base.solutions, **_solutions(table)},
    )
    reading = table.sub("reading")
    if reading is not None:
        share = _float(reading.number("share", _SHARE), base.reading_share)
        care = replace(care, reading_share=share, reading_source=reading.text("source", _OWN))
        reading.finish()
    table.finish()
    return care


def _float(number: Written | None, default: float) -> float:
    return default if number is None else float(number)


def _leak(table: Fields, base: LeakLimit) -> LeakLimit:
    part = table.sub("leak")
    if part is None:
        return base
    divisions, minutes = part.number("divisions", ABOVE_ZERO), part.number("minutes", ABOVE_ZERO)
    source = part.text("source", _OWN)
    part.finish()
    return LeakLimit(_float(divisions, base.divisions), _float(minutes, base.minutes), source)


def _trial(table: Fields, base: Trial) -> Trial:
    part = table.sub("trial")
    if part is None:
        return base
    minutes, titre = part.number("minutes", ABOVE_ZERO), part.number("titre_mL", ABOVE_ZERO)
    part.text("source")
    part.finish()
    return Trial(_float(minutes, base.minutes), _float(titre, base.titre_ml))


def _intervals(table: Fields, key: str, base: Mapping[str, Interval]) -> dict[str, Interval]:
    part = table.sub(key)
    found = dict(base)
    for name in part.table if part is not None else ():
        row = part.sub(str(name)) if part is not None else None
        if row is not None:
            days = row.number("days", _DAYS, "365")
            source = row.text("source", _OWN)
            row.finish()
            if days is not None:
                found[str(name)] = Interval(int(days.value), source)
    return found


def _solutions(table: Fields) -> dict[str, Harm]:
    found: dict[str, Harm] = {}
    for row in table.subs("solution"):
        names = row.texts("names")
        if not names:
            row.missing("names", '["sodium hydroxide", "NaOH"]')
        harm = Harm(
            names[0] if names else "",
            row.flag("alkaline"),
            row.flag("crystallises"),
            row.text("source", _OWN),
        )
        row.finish()
        found |= dict.fromkeys(names, harm)
    return found


def _time_range(row: Fields, sources: Mapping[str, str]) -> TimeRange:
    kind = row.choice("kind", KINDS_WITH_TIMES, "burette")
    standard, grade, source = row.text("standard", example='"ISO 385"'), row.text("class"), row.text("source")
    capacity, length = row.numbers("capacity_mL", NOT_NEGATIVE), row.numbers("length_cm", NOT_NEGATIVE)
    least, most = row.number("least_s", NOT_NEGATIVE, "35"), row.number("most_s", ABOVE_ZERO)
    waiting = row.number("waiting_s", NOT_NEGATIVE)
    for key, pair in (("capacity_mL", capacity), ("length_cm", length)):
        if row.has(key) and len(pair) != 2:
            row.say("range-of-two", f"{key} is a pair, above and up to: [25, 50].", key)
    if source not in sources:
        row.say("source-unknown", "The source is not among those listed under [sources].", "source")
    row.finish()
    return TimeRange(
        kind, standard, grade, _pair(capacity) or (0.0, math.inf), _pair(length), _float(least, 0.0),
        _float(most, math.inf), _float(waiting, 0.0), sources.get(source, ""),
    )  # fmt: skip


def _pair(numbers: tuple[Written, ...]) -> tuple[float, float] | None:
    return (float(numbers[0]), float(numbers[1])) if len(numbers) == 2 else None
