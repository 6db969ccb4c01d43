"""``halfdrop demo``: the main job on the demonstration class."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson


def command(
    into: Annotated[
        Path, typer.Option("--into", metavar="FOLDER", help="Where files and reports go.")
    ] = Path("demo-reports"),
    as_json: AsJson = False,
) -> int:
    """Work out the demonstration class and write its reports.

    The class, its people and its samples are invented; their pages are as untidy as real ones.
    """
    from halfdrop.reports.demo import demo_lines
    from halfdrop.reports.documents import write_documents
    from halfdrop.usecases.demo import demonstration

    shown_class = demonstration(into)
    for name, one in shown_class.answers.items():
        write_documents(one, html=into / f"{name}.html", pdf=into / f"{name}.pdf", paper="a4")
    return shown.answer(shown_class, demo_lines(shown_class), as_json=as_json)
