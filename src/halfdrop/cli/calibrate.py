"""``halfdrop calibrate``: from weighings of water to the corrections of a burette, pipette or flask."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson


def command(
    file: Annotated[
        Path | None, typer.Argument(help="The weighings: a TOML file; --form prints a first one.")
    ] = None,
    form: Annotated[bool, typer.Option("--form", help="Print a first file to write over.")] = False,
    html: Annotated[
        Path | None,
        typer.Option("--html", metavar="OUT", help="Write a report; of several pieces, to a folder."),
    ] = None,
    pdf: Annotated[
        Path | None,
        typer.Option("--pdf", metavar="OUT", help="Write a report; of several pieces, to a folder."),
    ] = None,
    paper: Annotated[
        str, typer.Option("--paper", metavar="SIZE", help="Paper of the PDF: a4 or letter.")
    ] = "a4",
    as_json: AsJson = False,
) -> int:
    """Work out a calibration from weighings of water.

    Corrections at each mark with their uncertainty, and whether the limit is kept. Saved with --json, a
    determination can use it: [burette] calibration = "b07.json".
    """
    from halfdrop.reports.calibration import calibration_lines
    from halfdrop.reports.certificates import write_certificates
    from halfdrop.usecases.calibrate import calibrate_file, calibration_form

    if form:
        blank = calibration_form()
        return shown.answer(blank, blank.text.splitlines(), as_json=as_json)
    if file is None:
        raise typer.BadParameter("name the file, or ask for --form", param_hint="FILE")
    answer = calibrate_file(file)
    written = write_certificates(answer, html=html, pdf=pdf, paper=paper)
    lines = [*calibration_lines(answer), *(f"written: {path}" for path in written)]
    return shown.answer(answer, lines, as_json=as_json)
