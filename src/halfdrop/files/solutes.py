"""Substances of a system file as acids and bases see them: totals of acids, ions that take no part."""

from __future__ import annotations

from collections.abc import Mapping

from halfdrop.core.chemistry.formula import parse_formula
from halfdrop.core.chemistry.reaction import Reaction, ReactionError, parse_reaction
from halfdrop.core.equilibrium.acids import Mixture
from halfdrop.core.equilibrium.constants import ConstantSet
from halfdrop.core.findings import Finding, Severity
from halfdrop.files.equilibria import constant_set, set_names, shipped_substances
from halfdrop.files.fields import Fields, known


class Solutes:
    """Knows what substances give in water, under one set of constants."""

    def __init__(self, fields: Fields, constants: ConstantSet) -> None:
        self.fields, self.constants = fields, constants
        self.equations = (*self._dissolves(), *shipped_substances()[0])

    def _dissolves(self) -> tuple[Reaction, ...]:
        found = []
        for written in self.fields.texts("dissolves"):
            try:
                found.append(parse_reaction(written))
            except ReactionError as error:
                self.fields.say(
                    "equation-not-usable", f"{written}: {' '.join(error.problems) or error}", "dissolves"
                )
        return tuple(found)

    def mixture(self, key: str, amounts: Mapping[str, float]) -> Mixture:
        """Return what a table of substances, mol/L, comes to."""
        totals: dict[str, float] = {}
        charges: dict[int, float] = {}
        for name, mol_L in amounts.items():
            for ion, count, charge in self._ions(key, name):
                owner = self.constants.acid_of(ion)
                if owner is not None:
                    totals[owner[0].name] = totals.get(owner[0].name, 0.0) + count * mol_L
                elif charge and ion not in ("H^+", "OH^-"):
                    charges[charge] = charges.get(charge, 0.0) + count * mol_L
        return Mixture(totals, charges)

    def _ions(self, key: str, name: str) -> list[tuple[str, float, int]]:
        """Return ions of a substance with their numbers and charges."""
        formula = parse_formula(name)
        if self.constants.acid_of(formula.notation) is not None and formula.charge == 0:
            return [(formula.notation, 1.0, 0)]
        equation = next((one for one in self.equations if -one.net.get(formula, 0) == 1), None)
        if equation is None:
            self._unknown(key, name)
            return []
        ions = [(ion.notation, float(count), ion.charge) for ion, count in equation.net.items() if count > 0]
        spectators = shipped_substances()[1]
        for ion, _, charge in ions:
            if (
                charge
                and ion not in spectators
                and ion not in ("H^+", "OH^-")
                and self.constants.acid_of(ion) is None
            ):
                self._lacking(key, ion)
        return ions

    def _unknown(self, key: str, name: str) -> None:
        neutral = [form for acid in self.constants.acids.values() for form in acid.forms if "^" not in form]
        names = [*(str(next(iter(one.reactants))) for one in shipped_substances()[0]), *neutral]
        message = (
            f"{name} is not among the substances known. {known(name, names)} Or say what it gives in water: "
            f'dissolves = ["{name} -> ..."], with [[acid]] for what is not known.'
        )
        self.fields.findings.append(
            Finding(
                "substance-unknown",
                Severity.REFUSED,
                message,
                self.fields.spot.at(key, name).place(),
                {"given": name, "accepted": names},
            )
        )

    def _lacking(self, key: str, ion: str) -> None:
        others = [name for name in set_names() if constant_set(name).acid_of(ion)]
        where = (
            f"These sets have them: {', '.join(others)}."
            if others
            else "Give them: [[acid]] with name, forms and pka."
        )
        message = f"The set {self.constants.name} has no constants for {ion}. {where}"
        self.fields.findings.append(
            Finding(
                "constants-missing",
                Severity.REFUSED,
                message,
                self.fields.place(key),
                {"given": ion, "accepted": others},
            )
        )
