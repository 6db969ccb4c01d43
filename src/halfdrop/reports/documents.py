"""Reports written to files: whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.reports.content import Report
from halfdrop.reports.page import report_on
from halfdrop.usecases.result import ResultAnswer

PAPERS = {"a4": "a4", "letter": "us-letter"}
PAGES = (".toml", ".csv", ".tsv", ".xlsx", ".json")  # what is read, and never written over by a report


def write_documents(
    answer: ResultAnswer, *, html: Path | None, pdf: Path | None, paper: str = "a4", written_on: str = ""
) -> list[Path]:
    """Write the report on a result as HTML, as PDF, or both; nothing is written unless all can be.

    Args:
        answer: the result.
        html: where to write the HTML, or None.
        pdf: where to write the PDF, or None.
        paper: of the PDF, ``a4`` or ``letter``.
        written_on: day of writing, for the foot of the report; left out when not given.

    Returns:
        The files that were written.

    Raises:
        Refused: with every reason why one of them cannot be written.
    """
    return write_reports({(html, pdf): lambda: report_on(answer, written_on)}, paper)


def write_reports(
    reports: Mapping[tuple[Path | None, Path | None], Callable[[], Report]], paper: str = "a4"
) -> list[Path]:
    """Write reports as HTML, as PDF, or both; nothing is written unless all can be.

    Args:
        reports: for each report where it goes, as HTML and as PDF (None for not), and what makes it.
        paper: of the PDF, ``a4`` or ``letter``.

    Returns:
        The files that were written.

    Raises:
        Refused: with every reason why one of them cannot be written.
    """
    problems = list(paper_problems(paper))
    for html, pdf in reports:
        wanted = [path for path in (html, pdf) if path is not None]
        problems += [one for path in wanted for one in (*path_problems(path), *_page_problems(path))]
        problems += _same(html, pdf)
    if problems:
        raise Refused(problems)
    wanted_reports = {to: made() for to, made in reports.items() if to != (None, None)}
    contents = dict(_rendered(wanted_reports, PAPERS[paper.lower()]))
    put_all(contents)
    return list(contents)


def _rendered(
    reports: Mapping[tuple[Path | None, Path | None], Report], paper: str
) -> Iterator[tuple[Path, bytes]]:
    for (html, _), report in reports.items():
        if html is not None:
            from halfdrop.reports.html import html as as_html

            yield html, as_html(report).encode("utf-8")
    on_paper = [(pdf, report) for (_, pdf), report in reports.items() if pdf is not None]
    if on_paper:
        from halfdrop.reports.many_pdfs import pdfs

        made = pdfs([report for _, report in on_paper], paper)
        yield from zip((pdf for pdf, _ in on_paper), made, strict=True)


def paper_problems(paper: str) -> Iterator[Finding]:
    """Find a size of paper that is not known."""
    if paper.lower() not in PAPERS:
        message = f"'{paper}' is not a paper size known here. Known are {' and '.join(PAPERS)}."
        yield Finding("paper-unknown", Severity.REFUSED, message, Place(field="--paper"), {"given": paper})


def path_problems(path: Path) -> Iterator[Finding]:
    """Say why a report cannot be written to a path, before anything is."""
    if path.is_dir():
        yield _no_place(path, f"{path} is a folder. Give the name of a file in it.")
    elif path.exists() and not path.is_file():
        yield _no_place(path, f"{path} is a device or the like, and no file. Name another place.")
    elif not path.parent.is_dir():
        yield _no_place(path, f"There is no folder {path.parent}. Make it first, or name another place.")
    elif not os.access(path.parent, os.W_OK) or (path.exists() and not os.access(path, os.W_OK)):
        yield _no_place(
            path, f"{path} may not be written by you. Name another place, or ask for the permission."
        )


def _page_problems(path: Path) -> Iterator[Finding]:
    """Keep a page of readings from being replaced by the report on it."""
    if path.suffix.lower() in PAGES and path.exists():
        message = (
            f"{path} is there already and looks like a page of readings or data, not like a report. Give the "
            "report a name of its own that ends in .html or .pdf."
        )
        yield _no_place(path, message)


def _same(html: Path | None, pdf: Path | None) -> Iterator[Finding]:
    if html is not None and pdf is not None and _place_of(html) == _place_of(pdf):
        yield _no_place(pdf, f"{pdf} is asked for twice, as HTML and as PDF. Give each a name of its own.")


def _place_of(path: Path) -> str:
    return os.path.realpath(path)


def _no_place(path: Path, message: str) -> Finding:
    return Finding("report-not-writable", Severity.REFUSED, message, Place(str(path)), {"given": str(path)})


def put_all(contents: dict[Path, bytes]) -> None:
    """Write every file beside its place first, and move them there only when all are whole."""
    beside = {path: path.with_name(f".{path.name}.{os.getpid()}.part") for path in contents}
    try:
        for path, data in contents.items():
            beside[path].write_bytes(data)
        for path, written in beside.items():
            written.replace(path)
    finally:
        for written in beside.values():
            with suppress(OSError):
                written.unlink(missing_ok=True)
