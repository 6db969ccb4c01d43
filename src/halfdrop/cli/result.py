"""``halfdrop result``: from a page of readings to a result that can be defended."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson

if TYPE_CHECKING:
    from halfdrop.usecases.result import ResultAnswer


def command(
    file: Annotated[
        Path, typer.Argument(help="The determination: a TOML file. `halfdrop start` writes a first one.")
    ],
    choices: Annotated[
        bool,
        typer.Option("--choices", help="Add what the choices cost: other rules, temperature, shared inputs."),
    ] = False,
    monte_carlo: Annotated[
        int,
        typer.Option(
            "--monte-carlo",
            metavar="DIGITS",
            min=0,
            max=2,
            help="Add a Monte Carlo, to 1 or 2 digits of the uncertainty.",
        ),
    ] = 0,
    html: Annotated[
        Path | None, typer.Option("--html", metavar="OUT", help="Write a report to open in a browser.")
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="OUT", help="Write a report to file or print.")
    ] = None,
    paper: Annotated[
        str, typer.Option("--paper", metavar="SIZE", help="Paper of the PDF: a4 or letter.")
    ] = "a4",
    as_json: AsJson = False,
) -> int:
    """Work out a result from a page of readings.

    With its uncertainty, the working line by line, the budget, and what was noticed on the way.
    """
    from halfdrop.usecases.result import Asked, result

    answer = result(file, Asked(choices, monte_carlo))
    written: tuple[Path, ...] = ()
    if html or pdf:
        from halfdrop.reports.documents import write_documents

        written = tuple(write_documents(answer, html=html, pdf=pdf, paper=paper))
    return shown.answer(answer, _lines(answer, written, as_json=as_json), as_json=as_json)


def _lines(answer: ResultAnswer, written: tuple[Path, ...], *, as_json: bool) -> Iterator[str]:
    """Yield the answer in words; nothing of it is put together where data is asked for."""
    if as_json:
        return
    from halfdrop.reports.terminal import result_lines

    yield from result_lines(answer)
    yield from (f"written: {path}" for path in written)
