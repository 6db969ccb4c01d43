"""``halfdrop rinse``: how clean is clean enough."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson


def command(
    file: Annotated[
        Path | None, typer.Argument(help="The form about your burette; without it, 50 mL and estimates.")
    ] = None,
    form: Annotated[bool, typer.Option("--form", help="Print the form to fill in.")] = False,
    as_json: AsJson = False,
) -> int:
    """Say how many rinses a burette needs, and what fewer cost.

    For the first fill, for a burette that is topped up, and for one that is drained and filled again.
    """
    from halfdrop.reports.rinse import rinse_lines
    from halfdrop.usecases.rinse import RinseForm, rinse

    if form:
        blank = RinseForm()
        return shown.answer(blank, blank.text.splitlines(), as_json=as_json)
    answer = rinse(file)
    return shown.answer(answer, rinse_lines(answer), as_json=as_json)
