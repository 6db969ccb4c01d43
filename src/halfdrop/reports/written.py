"""Documents written to files, whole or not at all, whatever they are about."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.reports.documents import PAPERS, paper_problems, path_problems, put_all

Maker = Callable[[str], bytes]  # from the name of a paper, as typst has it, to the document


def write_all(wanted: Mapping[Path, Maker], paper: str = "a4") -> list[Path]:
    """Write documents; none is made unless all can be written.

    Args:
        wanted: what makes the document of each file.
        paper: ``a4`` or ``letter``.

    Returns:
        The files that were written.

    Raises:
        Refused: with every reason why one of them cannot be written.
    """
    problems = [*paper_problems(paper), *(one for path in wanted for one in path_problems(path))]
    if problems:
        raise Refused(problems)
    contents = {path: make(PAPERS[paper.lower()]) for path, make in wanted.items()}
    put_all(contents)
    return list(contents)


def chosen(options: Mapping[str, tuple[Path | None, Maker]]) -> dict[Path, Maker]:
    """Return what is to be written, from options and their makers.

    Raises:
        Refused: when two options name one file.
    """
    found: dict[Path, Maker] = {}
    twice = []
    for option, (path, make) in options.items():
        if path is None:
            continue
        if path in found:
            message = f"{path} is asked for twice. Give {option} a name of its own."
            twice.append(Finding("report-not-writable", Severity.REFUSED, message, Place(str(path))))
        found[path] = make
    if twice:
        raise Refused(twice)
    return found
