"""What is noticed once a result is there: choices it leans on, and causes that could move it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import numpy as np

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.measure.rounding import report
from halfdrop.core.titration.back import back_titration_findings
from halfdrop.core.titration.build import BLANK
from halfdrop.core.titration.work import Worked
from halfdrop.files.methods import keeping_time

HALF_DROP_ML = 0.025  # half of the usual drop of 0.05 mL; common practice, no source
WARMER_K = 2.0


def noticed(worked: Worked) -> tuple[Finding, ...]:
    """Return what needs the result: whether it can be; titrant, blank, end point, back titration."""
    return (
        *_impossible(worked),
        *_age(worked),
        *_temperatures(worked),
        *_unseen(worked),
        *back_titration_findings(worked),
    )


def _impossible(worked: Worked) -> Iterator[Finding]:
    """Find results below zero, and parts of more than the whole, by more than their uncertainty explains."""
    for one in worked.results:
        beyond = 2 * one.u
        below = one.value < -beyond
        if not below and not (one.unit == "% w/w" and one.value - 100 > beyond):
            continue
        what = "below zero" if below else "more than 100 % of the sample"
        text = f"{report(one.value, one.u).text()} {one.unit}"
        yield Finding(
            "result-cannot-be",
            Severity.ATTENTION,
            f"The {one.says} comes out at {text}, which is {what}. Look at "
            "the blank, the masses and aliquots, the strength of the titrant, and what else it reacts with.",
            evidence={"value": one.value, "u": one.u},
        )


def _age(worked: Worked) -> Iterator[Finding]:
    """Find a titrant used longer after its standardisation than its kind keeps."""
    record = worked.determination
    made = {name: child.determination.date for name, child in worked.links.items()}
    if record.standardised:
        made["titrant"] = record.standardised
    for name, day in made.items():
        quantity = worked.method.quantities.get(name)
        keeps = keeping_time(quantity.species) if quantity else None
        age = _days(day, record.date)
        if keeps is None or age is None or age <= keeps.days:
            continue
        yield Finding(
            "titrant-old",
            Severity.ATTENTION,
            f"{quantity.species if quantity else name} was standardised {age} days before it was used; a "
            f"solution of its kind is trusted for {keeps.days} days ({keeps.source}). Standardise it again.",
            evidence={"days": age, "keeps_days": keeps.days},
        )


def _days(earlier: str, later: str) -> int | None:
    try:
        return (date.fromisoformat(later) - date.fromisoformat(earlier)).days
    except ValueError:
        return None


def _temperatures(worked: Worked) -> Iterator[Finding]:
    """Find a titrant standardised in another warmth than it was used in, when volumes are not corrected."""
    here = worked.determination.room
    for name, child in worked.links.items():
        there = child.determination.room
        apart = abs(here.temperature_degc - there.temperature_degc)
        if here.measured and there.measured and apart > WARMER_K and not (here.correct and there.correct):
            yield Finding(
                "titrant-other-temperature",
                Severity.ATTENTION,
                f"The {name} was standardised at {there.temperature_degc:g} °C and used at "
                f"{here.temperature_degc:g} °C. Let volumes be corrected to 20 °C in both files "
                "(correct_to_20 = true), or standardise it again.",
                evidence={"standardised_degc": there.temperature_degc, "used_degc": here.temperature_degc},
            )


def _unseen(worked: Worked) -> Iterator[Finding]:
    """Say what a blank or a late end point would do to a result that assumes neither."""
    per_ml = _per_ml_of_titre(worked)
    if per_ml is None or worked.u == 0:
        return
    moved = abs(per_ml * HALF_DROP_ML)
    times = moved / worked.u
    if times <= 1:
        return
    missing = []
    if (
        BLANK in worked.method.quantities
        and BLANK not in worked.determination.given
        and BLANK not in worked.compared
    ):
        missing.append("no blank was given")
    if worked.determination.end_point is None:
        missing.append("no end-point error was given")
    if missing:
        yield Finding(
            "not-allowed-for",
            Severity.NOTE,
            f"{' and '.join(missing).capitalize()}. Half a drop ({HALF_DROP_ML:g} mL) would move the result "
            f"by {times:.1f} times its standard uncertainty.",
            evidence={"per_ml": per_ml, "moved": moved, "times_u": times},
        )


def _per_ml_of_titre(worked: Worked) -> float | None:
    """Return the change of the result when every titre of the main series changes by 1 mL."""
    titres = worked.built.titres.get(worked.method.main_series.name)
    if not titres:
        return None
    return float(sum(np.sum(worked.evaluation.sensitivities[t]) for t in titres))
