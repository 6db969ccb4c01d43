"""How clean is clean enough: what none, one, two, three rinses cost, and how many a target needs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.measure.rounding import report
from halfdrop.core.solutions.rinsing import ASSUMED, Cost, Fill, Left, costs, rinses_needed
from halfdrop.files.rinsing import FORM, RinsePlan, default_plan, read_rinse_plan
from halfdrop.usecases.answer import finding_as_data

MARGIN = 2.0  # standard uncertainties of what is left, added before rinses are counted


@dataclass(frozen=True)
class Needed:
    """The rinses that bring the error of one fill under the target; None where no number does.

    Attributes:
        fill: which fill.
        ideal: with ideal mixing.
        pessimistic: with the least exchange efficiency, and two standard uncertainties more of what is left.
    """

    fill: Fill
    ideal: int | None
    pessimistic: int | None


@dataclass(frozen=True)
class RinseAnswer:
    """What rinsing costs.

    Attributes:
        plan: what was asked.
        table: none to three rinses, every fill.
        needed: for each fill.
        findings: what was noticed.
    """

    plan: RinsePlan
    table: tuple[Cost, ...]
    needed: tuple[Needed, ...]
    findings: tuple[Finding, ...] = ()

    def to_json(self) -> dict[str, object]:
        """Return the answer as data."""
        left = self.plan.left
        return {
            "capacity_mL": self.plan.capacity_ml,
            "left": {
                "film": _quantity(left.film_ml, left.u_film_ml, "mL"),
                "tip": _quantity(left.tip_ml, left.u_tip_ml, "mL"),
                "source": left.source,
            },
            "target_relative_error": self.plan.target,
            "costs": [_cost_as_data(one) for one in self.table],
            "rinses_needed": [
                {"fill": str(one.fill), "ideal": one.ideal, "pessimistic": one.pessimistic}
                for one in self.needed
            ],
            "findings": [finding_as_data(one) for one in self.findings],
        }


def _quantity(value: float, u: float, unit: str) -> dict[str, object]:
    return {"value": value, "unit": unit, "standard_uncertainty": u, "text": report(value, u).text()}


def _cost_as_data(one: Cost) -> dict[str, object]:
    return {
        "rinses": one.rinses,
        "fill": str(one.fill),
        "relative_error_ideal": {
            "value": one.ideal, "unit": "1", "standard_uncertainty": None, "text": f"{one.ideal:.2g}",
        },
        "relative_error_pessimistic": _quantity(one.pessimistic, one.u_pessimistic, "1"),
    }  # fmt: skip


@dataclass(frozen=True)
class RinseForm:
    """The form to fill in."""

    text: str = FORM
    findings: tuple[Finding, ...] = ()

    def to_json(self) -> dict[str, object]:
        """Return the form as data."""
        return {"text": self.text, "findings": []}


def rinse(file: Path | None = None) -> RinseAnswer:
    """Work out what rinsing costs.

    Args:
        file: the form; without one, a burette of 50 mL and the shipped estimates.

    Raises:
        Refused: when the form cannot be used.
    """
    plan = read_rinse_plan(file) if file else default_plan()
    table = costs(plan.left, plan.habit, 3, plan.least, plan.strength)
    return RinseAnswer(plan, table, tuple(_needed(plan, fill) for fill in Fill), tuple(_findings(plan, file)))


def _needed(plan: RinsePlan, fill: Fill) -> Needed:
    careful = replace(plan.habit, efficiency=plan.least)
    return Needed(
        fill,
        rinses_needed(plan.left, plan.habit, plan.target, fill, strength=plan.strength),
        rinses_needed(plan.left, careful, plan.target, fill, margin=MARGIN, strength=plan.strength),
    )


def _findings(plan: RinsePlan, file: Path | None) -> list[Finding]:
    if plan.left.source != ASSUMED:
        return []
    left: Left = plan.left
    message = (
        f"What is left after draining is assumed: a film of {left.film_ml:.2f} mL, {left.tip_ml:.2f} mL in "
        "the tip. No publication of it was found. halfdrop rinse --form prints a form for weighing your own."
    )
    return [Finding("film-assumed", Severity.NOTE, message, Place(str(file) if file else ""))]
