"""How much a back titration amplifies: the excess over what the sample used of it."""

from __future__ import annotations

import numpy as np

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.measure.expression import symbols
from halfdrop.core.titration.work import Worked

TOO_MUCH = 5.0  # the sample uses less than a fifth of the excess


def amplification(worked: Worked) -> list[tuple[str, float]]:
    """Return how many times an excess is what was used of it, for each such difference."""
    found = []
    for step in worked.built.working.steps.values():
        if step.role == "difference" and step.unit == "mol":
            whole = worked.evaluation.lines[symbols(step.formula)[0]]
            left = worked.evaluation.lines[step.name]
            found.append((step.name, float(np.mean(np.abs(whole / left)))))
    return found


def back_titration_findings(worked: Worked) -> list[Finding]:
    """Say so when too little of the excess is left to the sample (common practice, no source)."""
    return [
        Finding(
            "back-titration-amplifies",
            Severity.ATTENTION,
            f"The back titre takes most of the excess: the sample used up only 1/{factor:.1f} of it, so an "
            "error of either solution counts that many times. Use less of the excess or more of the sample.",
            evidence={"line": line, "amplification": factor},
        )
        for line, factor in amplification(worked)
        if factor > TOO_MUCH
    ]
