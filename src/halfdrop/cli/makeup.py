"""``halfdrop makeup``: make-up sheets, labels and sealed lists."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson

if TYPE_CHECKING:
    from halfdrop.usecases.makeup import MakeupAnswer


def command(
    file: Annotated[Path, typer.Argument(help="The class file: people, solutions, store room (TOML).")],
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="OUT", help="Write the sheets to print.")
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", metavar="OUT", help="Write the sheets to open in a browser.")
    ] = None,
    labels: Annotated[
        Path | None, typer.Option("--labels", metavar="OUT", help="Write the labels (PDF).")
    ] = None,
    sealed: Annotated[
        Path | None,
        typer.Option(
            "--sealed", metavar="OUT", help="Write the values of unknowns, for the instructor (PDF)."
        ),
    ] = None,
    paper: Annotated[str, typer.Option("--paper", metavar="SIZE", help="Paper: a4 or letter.")] = "a4",
    as_json: AsJson = False,
) -> int:
    """Plan the solutions of a class: what to take, in what, how.

    With what concentration comes out and how surely, heat, cautions, what is short, and labels.
    """
    from halfdrop.reports.written import chosen, write_all
    from halfdrop.usecases.makeup import makeup

    answer = makeup(file)
    from halfdrop.reports import makeup_files

    makers = makeup_files.makers(answer, pdf=pdf, html=html, labels=labels, sealed=sealed)
    written = tuple(write_all(chosen(makers), paper))
    return shown.answer(answer, _lines(answer, written, as_json=as_json), as_json=as_json)


def _lines(answer: MakeupAnswer, written: tuple[Path, ...], *, as_json: bool) -> Iterator[str]:
    if as_json:
        return
    from halfdrop.reports.makeup import makeup_lines

    yield from makeup_lines(answer)
    yield from (f"written: {path}" for path in written)
