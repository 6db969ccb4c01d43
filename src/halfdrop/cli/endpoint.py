"""``halfdrop endpoint``: the equivalence point in a table of pH, potential, conductance or absorbance."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson


def command(
    file: Annotated[
        Path, typer.Argument(help="A page about the curve (TOML), or the table alone (CSV or XLSX).")
    ],
    as_json: AsJson = False,
) -> int:
    """Find the end point in a table of pH or another signal.

    By derivatives, Gran plots, straight lines and a fit of the whole curve, side by side, with their
    uncertainties and which to trust.
    """
    from halfdrop.reports.end_points import end_point_lines
    from halfdrop.usecases.endpoint import find_end_points

    answer = find_end_points(file)
    return shown.answer(answer, end_point_lines(answer), as_json=as_json)
