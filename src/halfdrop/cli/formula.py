"""``halfdrop formula``: what is in a formula and what it weighs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson

if TYPE_CHECKING:
    from halfdrop.usecases.formula import FormulaSeen


def command(
    formula: Annotated[str, typer.Argument(help='A formula, in quotes: "Na2S2O3.5H2O", "SO4^2-".')],
    weights: Annotated[
        str, typer.Option("--weights", metavar="NAME", help="The set of atomic weights to use.")
    ] = "CIAAW 2021",
    as_json: AsJson = False,
) -> int:
    """Count the atoms of a formula and weigh it.

    The molar mass comes with the standard uncertainty that the atomic weights give it.
    """
    from halfdrop.usecases.formula import look_at_formula

    seen = look_at_formula(formula, weights)
    return shown.answer(seen, _lines(seen), as_json=as_json)


def _lines(seen: FormulaSeen) -> Iterator[str]:
    yield seen.formula.unicode
    yield ""
    yield f"{'element':<8}{'atoms':>7}   {'atomic weight':<22}{'g/mol':>14}"
    for atoms, weight in seen.mass.terms:
        yield f"{weight.element:<8}{atoms:>7}   {weight.printed:<22}{atoms * weight.value:>14.6f}"
    yield ""
    yield f"molar mass      {seen.mass_text} g/mol (value ± standard uncertainty)"
    yield f"atomic weights  {seen.weights.name}: {seen.weights.source}"
