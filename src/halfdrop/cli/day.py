"""``halfdrop day``: the technician's day, planned backwards from the class."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson

if TYPE_CHECKING:
    from halfdrop.usecases.day import DayAnswer


def command(
    file: Annotated[Path, typer.Argument(help="The class file, as for makeup; when = is needed (TOML).")],
    pdf: Annotated[Path | None, typer.Option("--pdf", metavar="OUT", help="Write the day to print.")] = None,
    html: Annotated[
        Path | None, typer.Option("--html", metavar="OUT", help="Write the day to open in a browser.")
    ] = None,
    waste_labels: Annotated[
        Path | None, typer.Option("--waste-labels", metavar="OUT", help="Write labels for the waste (PDF).")
    ] = None,
    record_sheets: Annotated[
        Path | None,
        typer.Option(
            "--record-sheets", metavar="OUT", help="Write a paper record sheet for each analyst (PDF)."
        ),
    ] = None,
    pre_run: Annotated[
        Path | None,
        typer.Option("--pre-run", metavar="FOLDER", help="Begin the instructor's own determinations there."),
    ] = None,
    paper: Annotated[str, typer.Option("--paper", metavar="SIZE", help="Paper: a4 or letter.")] = "a4",
    as_json: AsJson = False,
) -> int:
    """Plan the day of a class: what stands, what is set out.

    With stock that is short, counting back in, waste by stream, water, and the instructor's own run.
    """
    from halfdrop.reports import day_files
    from halfdrop.reports.written import chosen, write_all
    from halfdrop.usecases.day import day

    answer = day(file)
    makers = day_files.makers(
        answer, pdf=pdf, html=html, waste_labels=waste_labels, record_sheets=record_sheets, pre_run=pre_run
    )
    written = tuple(write_all(chosen(makers), paper))
    return shown.answer(answer, _lines(answer, written, as_json=as_json), as_json=as_json)


def _lines(answer: DayAnswer, written: tuple[Path, ...], *, as_json: bool) -> Iterator[str]:
    if as_json:
        return
    from halfdrop.reports.day import day_lines

    yield from day_lines(answer)
    yield from (f"written: {path}" for path in written)
