"""``halfdrop method``: what methods there are, what one says, and whether one can be used."""

from __future__ import annotations

from typing import Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson, group

command = group("List methods, show one, or check one of your own.")

Name = Annotated[str, typer.Argument(help="Name of a shipped method, or a method file of your own.")]


@command.command("list")
def list_(as_json: AsJson = False) -> int:
    """List the shipped methods."""
    from halfdrop.reports.methods import list_lines
    from halfdrop.usecases.methods import list_methods

    answer = list_methods()
    return shown.answer(answer, list_lines(answer), as_json=as_json)


@command.command()
def show(name: Name, as_json: AsJson = False) -> int:
    """Show what a method says: chemistry, what to give, the working, the cautions, the sources."""
    from halfdrop.reports.methods import method_lines
    from halfdrop.usecases.methods import see_method

    answer = see_method(name)
    return shown.answer(answer, method_lines(answer), as_json=as_json)


@command.command()
def check(name: Name, as_json: AsJson = False) -> int:
    """Check a method: equations, units, lines, cautions; all complaints at once."""
    from halfdrop.usecases.methods import see_method

    answer = see_method(name)
    whole = [] if answer.findings else [f"{answer.method.name}: nothing to complain of"]
    return shown.answer(answer, whole, as_json=as_json)
