"""``halfdrop start``: a first determination file for a method."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from halfdrop.cli import shown
from halfdrop.cli.options import AsJson


def command(
    method: Annotated[
        str, typer.Argument(help="Name of a method (`halfdrop method list`), or your own method file.")
    ],
    into: Annotated[
        Path | None, typer.Argument(help="File to write; without one the text is printed.")
    ] = None,
    example: Annotated[bool, typer.Option("--example", help="With example numbers in every place.")] = False,
    as_json: AsJson = False,
) -> int:
    """Write a first determination file for a method.

    Everything the method asks for is there, with room to write what was read.
    """
    from halfdrop.usecases.methods import start

    started = start(method, into, example=example)
    lines = (
        [f"written: {into}", f"Fill it in, then: halfdrop result {into}"]
        if into
        else started.text.splitlines()
    )
    return shown.answer(started, lines, as_json=as_json)
