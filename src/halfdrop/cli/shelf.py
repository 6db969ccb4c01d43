"""``halfdrop shelf``: which pieces are fit for use, and why."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson


def command(
    file: Annotated[
        Path | None, typer.Argument(help="The register: a TOML file, or a folder of them.")
    ] = None,
    pieces: Annotated[
        list[str] | None, typer.Option("--piece", metavar="ID", help="Only this piece; may be repeated.")
    ] = None,
    wanted_for: Annotated[
        str, typer.Option("--for", metavar="SOLUTION", help="The solution they are wanted for.")
    ] = "",
    on: Annotated[
        dt.datetime | None,
        typer.Option("--on", formats=["%Y-%m-%d"], metavar="DAY", help="The day of use; today if not given."),
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", metavar="OUT", help="Write the verdicts to open in a browser.")
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="OUT", help="Write the verdicts to file or print.")
    ] = None,
    paper: Annotated[
        str, typer.Option("--paper", metavar="SIZE", help="Paper of the PDF: a4 or letter.")
    ] = "a4",
    form: Annotated[bool, typer.Option("--form", help="Print a first register to write over.")] = False,
    guide: Annotated[
        bool, typer.Option("--guide", help="Print the guide: clean, fill, read, test, put away.")
    ] = False,
    as_json: AsJson = False,
) -> int:
    """Say which glassware is fit for use, and why.

    Burettes, pipettes, flasks and balances: fit, fit with a limit, or not fit, with every reason and what to
    do next.
    """
    from halfdrop.reports.shelf import shelf_lines
    from halfdrop.reports.shelf_page import write_shelf
    from halfdrop.usecases.shelf import look_at_shelf, shelf_form, shelf_guide

    if form or guide:
        blank = shelf_form() if form else shelf_guide()
        return shown.answer(blank, blank.text.splitlines(), as_json=as_json)
    if file is None:
        raise typer.BadParameter("name the register, or ask for --form", param_hint="FILE")
    today = on.date() if on is not None else dt.datetime.now(tz=dt.UTC).astimezone().date()
    answer = look_at_shelf(file, today, wanted_for, tuple(pieces or ()))
    written = write_shelf(answer, html=html, pdf=pdf, paper=paper)
    lines = [*shelf_lines(answer), *(f"written: {path}" for path in written)]
    return shown.answer(answer, lines, as_json=as_json)
