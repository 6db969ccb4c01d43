"""Labels as PDF: two across, to cut out, with pictograms and a square code."""

from __future__ import annotations

import io
from collections.abc import Iterable
from importlib import resources
from typing import Any

from halfdrop.reports.pictograms import pictogram_svg
from halfdrop.usecases.labels import Label

BLANK = "________"


def label_pdf(labels: Iterable[Label], paper: str = "a4", mark: str = "") -> bytes:
    """Return labels as a PDF, as many of each as there are bottles.

    Args:
        labels: what they say.
        paper: name of a size as typst has it.
        mark: what the foot of each page says.
    """
    files: dict[str, bytes] = {}
    rows = [row for label in labels for row in _rows(label, files)]
    foot = mark or "Local rules and the supplier's safety data sheet come first."
    data = {"paper": paper, "title": "Labels", "mark": foot, "labels": rows}
    return set_pages("labels", data, files)


def set_pages(name: str, data: dict[str, Any], files: dict[str, bytes]) -> bytes:
    """Set pages with a template of this room, which reads its data from ``report.json``.

    Args:
        name: of the template, without its ending.
        data: what the template reads.
        files: pictures by the name under which the template finds them.
    """
    from halfdrop.reports.pdf import pages_set  # here, because the compiler takes time to load

    room = resources.files("halfdrop.reports")
    main = (room / "templates" / f"{name}.typ").read_bytes()
    with resources.as_file(room / "fonts") as fonts:
        return pages_set({"main": main, **files}, data, str(fonts))


def _rows(label: Label, files: dict[str, bytes]) -> Iterable[dict[str, Any]]:
    key = label.identity.rsplit(" ", 1)[-1]
    files[f"qr-{key}.svg"] = square_code(label.identity)
    for one in label.pictograms:
        files[f"{one}.svg"] = pictogram_svg(one).encode("utf-8")
    hazards = " ".join(f"{code} {text}" for code, text in zip(label.codes, label.statements, strict=True))
    for count in range(1, label.bottles + 1):
        yield {
            "name": label.name, "strength": label.strength, "notes": list(label.notes), "key": key,
            "dated": label.dated, "made": label.made_on or BLANK, "use-by": label.use_by or BLANK,
            "keep": label.keep,
            "signal": label.signal, "hazards": hazards, "identity": label.identity,
            "count": f"bottle {count} of {label.bottles}" if label.bottles > 1 else "",
            "pictograms": [{"file": f"{one}.svg", "words": one.words} for one in label.pictograms],
        }  # fmt: skip


def square_code(text: str) -> bytes:
    """Return a text as a square code (QR, ISO/IEC 18004), SVG; a quarter of it may be spoilt."""
    import segno

    out = io.BytesIO()
    segno.make(text, error="q", micro=False).save(out, kind="svg", xmldecl=False, border=2, scale=4)
    return out.getvalue()
