"""Which document of a make-up goes to which file; nothing heavy is loaded before it is wanted."""

from __future__ import annotations

from pathlib import Path

from halfdrop.reports.written import Maker
from halfdrop.usecases.makeup import MakeupAnswer


def makers(
    answer: MakeupAnswer, *, pdf: Path | None, html: Path | None, labels: Path | None, sealed: Path | None
) -> dict[str, tuple[Path | None, Maker]]:
    """Return the makers of the documents by option."""

    def sheets(paper: str) -> bytes:
        from halfdrop.reports.makeup import makeup_report
        from halfdrop.reports.pdf import pdf as as_pdf

        return as_pdf(makeup_report(answer), paper)

    def page(_: str) -> bytes:
        from halfdrop.reports.html import html as as_html
        from halfdrop.reports.makeup import makeup_report

        return as_html(makeup_report(answer)).encode("utf-8")

    def stickers(paper: str) -> bytes:
        from halfdrop.reports.labels import label_pdf

        return label_pdf(answer.labels(), paper)

    def list_of_values(paper: str) -> bytes:
        from halfdrop.reports.makeup import sealed_report
        from halfdrop.reports.pdf import pdf as as_pdf

        return as_pdf(sealed_report(answer), paper)

    return {
        "--pdf": (pdf, sheets), "--html": (html, page), "--labels": (labels, stickers),
        "--sealed": (sealed, list_of_values),
    }  # fmt: skip
