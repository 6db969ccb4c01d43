"""Options that several commands share, so that they mean the same everywhere."""

from __future__ import annotations

from typing import Annotated

import typer

AsJson = Annotated[bool, typer.Option("--json", help="Print the answer as data (JSON).")]


def group(sentence: str) -> typer.Typer:
    """Return a command that has commands of its own, as ``halfdrop method list`` would.

    Args:
        sentence: its help; the first line is the same as in the list of commands.
    """
    return typer.Typer(help=sentence, add_completion=False, rich_markup_mode=None)
