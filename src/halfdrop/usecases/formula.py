"""What is in a formula: its atoms, and its molar mass with the uncertainty of the atomic weights."""

from __future__ import annotations

from dataclasses import dataclass

from halfdrop.core.chemistry.atomic_weights import (
    DEFAULT_SET,
    SET_NAMES,
    AtomicWeights,
    NoAtomicWeight,
    atomic_weights,
)
from halfdrop.core.chemistry.formula import Formula, FormulaError, parse_formula
from halfdrop.core.chemistry.molar_mass import MolarMass
from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.core.measure.rounding import report
from halfdrop.usecases.answer import finding_as_data

UNIT = "g/mol"


@dataclass(frozen=True)
class FormulaSeen:
    """A formula that was read, and what one mole of it weighs.

    Attributes:
        formula: the formula.
        mass: its molar mass, g/mol.
        weights: the set of atomic weights used.
        findings: what was noticed.
    """

    formula: Formula
    mass: MolarMass
    weights: AtomicWeights
    findings: tuple[Finding, ...] = ()

    @property
    def mass_text(self) -> str:
        """The molar mass with its standard uncertainty, as reported, without the unit."""
        return report(self.mass.value, self.mass.standard_uncertainty).text()

    def to_json(self) -> dict[str, object]:
        """Return the answer as data."""
        return {
            "given": self.formula.text,
            "formula": self.formula.notation,
            "charge": self.formula.charge,
            "molar_mass": {
                "value": self.mass.value,
                "unit": UNIT,
                "standard_uncertainty": self.mass.standard_uncertainty,
                "text": f"{self.mass_text} {UNIT}",
            },
            "elements": [
                {
                    "element": weight.element,
                    "atoms": atoms,
                    "atomic_weight": {
                        "value": weight.value,
                        "unit": UNIT,
                        "standard_uncertainty": weight.standard_uncertainty,
                        "text": weight.printed,
                    },
                }
                for atoms, weight in self.mass.terms
            ],
            "atomic_weights": {"name": self.weights.name, "source": self.weights.source},
            "findings": [finding_as_data(finding) for finding in self.findings],
        }


def look_at_formula(text: str, set_name: str = DEFAULT_SET) -> FormulaSeen:
    """Read a formula and weigh it.

    Args:
        text: the formula as a person writes it, such as ``Na2S2O3.5H2O`` or ``SO4^2-``.
        set_name: which set of atomic weights to use.

    Raises:
        Refused: when the formula or the name of the set cannot be read, or the set lacks an element.
    """
    formula, weights = _read(text), _find(set_name)
    problems = tuple(found for found in (formula, weights) if isinstance(found, Finding))
    if isinstance(formula, Finding) or isinstance(weights, Finding):
        raise Refused(problems)
    if formula.is_electron:
        raise Refused([_refusal("no-atoms", "The electron has no molar mass in these tables.", "formula")])
    try:
        mass = formula.molar_mass(weights)
    except NoAtomicWeight as lacking:
        others = ", ".join(name for name in SET_NAMES if name != set_name)
        message = f"{lacking} Choose another set of atomic weights: {others}."
        raise Refused([_refusal("no-atomic-weight", message, "atomic weights")]) from None
    return FormulaSeen(formula, mass, weights)


def _read(text: str) -> Formula | Finding:
    try:
        return parse_formula(text)
    except FormulaError as unread:
        message = f"{unread} A formula is written like Na2S2O3.5H2O, Ca(OH)2 or SO4^2-."
        return _refusal("formula-not-read", message, "formula")


def _find(set_name: str) -> AtomicWeights | Finding:
    if set_name in SET_NAMES:
        return atomic_weights(set_name)
    message = f"No set of atomic weights is called {set_name!r}. There are: {', '.join(SET_NAMES)}."
    return _refusal("no-such-weights", message, "atomic weights")


def _refusal(code: str, message: str, field: str) -> Finding:
    return Finding(code, Severity.REFUSED, message, Place(field=field))
