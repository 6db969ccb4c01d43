"""``halfdrop curve``: what happens in the flask, which indicator fits, what half a drop does."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson


def command(
    name: Annotated[
        str, typer.Argument(metavar="FILE|METHOD", help="A system file (TOML), or the name of a method.")
    ],
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="OUT", help="Write the table of the curve.")
    ] = None,
    as_json: AsJson = False,
) -> int:
    """Draw up a titration curve and judge its indicators.

    Equivalence points, how sharp they are, the error of every indicator, and the steps of half a drop.
    """
    from halfdrop.reports.curves import curve_csv, curve_lines
    from halfdrop.usecases.curve import curve

    answer = curve(name)
    lines = [] if as_json else list(curve_lines(answer))
    if csv is not None:
        csv.write_text(curve_csv(answer), encoding="utf-8")
        lines += [] if as_json else [f"written: {csv}"]
    return shown.answer(answer, lines, as_json=as_json)
