"""Which document of a day goes to which file; nothing heavy is loaded before it is wanted."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.reports.written import Maker
from halfdrop.usecases.day import DayAnswer


def makers(
    answer: DayAnswer,
    *,
    pdf: Path | None,
    html: Path | None,
    waste_labels: Path | None,
    record_sheets: Path | None,
    pre_run: Path | None,
) -> dict[str, tuple[Path | None, Maker]]:
    """Return the makers of the documents by option."""

    def whole(paper: str) -> bytes:
        from halfdrop.reports.day import day_report
        from halfdrop.reports.pdf import pdf as as_pdf

        return as_pdf(day_report(answer), paper)

    def page(_: str) -> bytes:
        from halfdrop.reports.day import day_report
        from halfdrop.reports.html import html as as_html

        return as_html(day_report(answer)).encode("utf-8")

    def containers(paper: str) -> bytes:
        from halfdrop.reports.labels import label_pdf

        return label_pdf(answer.labels(), paper)

    def records(paper: str) -> bytes:
        from halfdrop.reports.record_sheets import record_sheets_pdf

        return record_sheets_pdf(answer, paper)

    return {
        "--pdf": (pdf, whole), "--html": (html, page), "--waste-labels": (waste_labels, containers),
        "--record-sheets": (record_sheets, records), **_pre_runs(answer, pre_run),
    }  # fmt: skip


def _pre_runs(answer: DayAnswer, folder: Path | None) -> dict[str, tuple[Path | None, Maker]]:
    """Return the determinations to begin; one that was begun already is left as it is, and said so."""
    if folder is None:
        return {}
    there = [folder / name for name in answer.pre_runs() if (folder / name).exists()]
    if there:
        message = "There is a file of this name already, and it was left as it is. Name another folder."
        raise Refused([Finding("file-exists", Severity.REFUSED, message, Place(str(path))) for path in there])
    return {
        f"--pre-run {name}": (folder / name, partial(_as_bytes, text))
        for name, text in answer.pre_runs().items()
    }


def _as_bytes(text: str, _: str) -> bytes:
    return text.encode("utf-8")
