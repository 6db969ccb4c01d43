"""PHREEQC as an oracle: titration curves by its own solver, from a small database of our constants."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from phreeqpython import PhreeqPython

from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.roots import Array

_WATER = """
SOLUTION_MASTER_SPECIES
H H+ -1 H 1.008
H(0) H2 0 H
H(1) H+ -1 0
E e- 0 0 0
O H2O 0 O 16
O(0) O2 0 O
O(-2) H2O 0 0
Na Na+ 0 Na 23
Cl Cl- 0 Cl 35.5
{masters}
SOLUTION_SPECIES
H+ = H+
{gamma}
e- = e-
H2O = H2O
Na+ = Na+
{gamma}
Cl- = Cl-
{gamma}
H2O = OH- + H+
log_k {log_kw}
{gamma}
2H2O = O2 + 4H+ + 4e-
log_k -86.08
2H+ + 2e- = H2
log_k -3.15
{species}
END
"""
_IDEAL = "-gamma 1e9 0"  # an ion as wide as that has log gamma = 0


def _charge(z: int) -> str:
    return "" if z == 0 else f"{'+' if z > 0 else '-'}{abs(z) if abs(z) > 1 else ''}"


def _element(k: int) -> str:
    return f"X{'abcdef'[k]}"


def database(acids: Sequence[Acid], pkw: float, *, ideal: bool = False) -> str:
    """Return a database with these acids and nothing else; Davies's equation where it is not ideal."""
    gamma = _IDEAL if ideal else ""
    masters, species = [], []
    for k, acid in enumerate(acids):
        bare = f"{_element(k)}{_charge(acid.charge)}"
        masters.append(f"{_element(k)} {bare} 0 100 100")
        species.append(f"{bare} = {bare}\n{gamma}")
        for j, log_beta in enumerate(acid.log_betas[1:], 1):
            name = f"H{j if j > 1 else ''}{_element(k)}{_charge(acid.charge + j)}"
            species.append(f"{bare} + {j}H+ = {name}\nlog_k {log_beta}\n{gamma}")
    return _WATER.format(masters="\n".join(masters), species="\n".join(species), log_kw=-pkw, gamma=gamma)


class Phreeqc:
    """PHREEQC with one database, and solutions titrated with sodium hydroxide in it."""

    def __init__(self, acids: Sequence[Acid], pkw: float, *, ideal: bool = False) -> None:
        self.acids = tuple(acids)
        self._engine = PhreeqPython(database="phreeqc.dat").ip
        self._engine.load_database_string(database(acids, pkw, ideal=ideal))

    def input(
        self, totals: Mapping[str, float], chloride: float, sodium: float, added: float, steps: int
    ) -> str:
        """Return the input for a kilogram of water to which hydroxide is added in equal steps, mol."""
        contents = [f"{_element(k)} {totals[acid.name]}" for k, acid in enumerate(self.acids)]
        contents += [f"Cl {chloride}"] * (chloride > 0) + [f"Na {sodium}"] * (sodium > 0)
        listed = "\n".join(contents)
        return f"""
SELECTED_OUTPUT
-reset false
-ph true
-ionic_strength true
-high_precision true
KNOBS
-convergence_tolerance 1e-12
SOLUTION 1
units mol/kgw
pH 3 charge
{listed}
END
USE SOLUTION 1
REACTION 1
NaOH 1
{added} in {steps} steps
INCREMENTAL_REACTIONS true
END
"""

    def run(self, text: str) -> tuple[Array, Array]:
        """Return pH and ionic strength, at the start and after each step."""
        self._engine.run_string(text)
        rows = np.array(self._engine.get_selected_output_array()[1:], dtype=np.float64)
        return rows[:, 0], rows[:, 1]
