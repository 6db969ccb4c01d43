"""Calibrations in words, for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from halfdrop.reports.calibration_words import (
    OWN_CHECK,
    between,
    causes,
    corrections,
    coverage,
    scatter,
    title,
    use,
    verdict,
    where,
)
from halfdrop.reports.numerals import in_line
from halfdrop.reports.words import with_like_decimals
from halfdrop.usecases.calibrate import CalibrationAnswer, PieceCalibrated

WIDTH = 88
MOST = 4  # pieces that are told in full; of more only the verdicts, and the documents have the rest


def calibration_lines(answer: CalibrationAnswer) -> Iterator[str]:
    """Yield the verdict on each piece, and what it rests on."""
    read = answer.read
    who = ", ".join(part for part in (read.date, read.by, read.way) if part)
    yield f"Gravimetric calibration, {who}"
    yield ""
    if len(answer.pieces) > MOST:
        for one in answer.pieces:
            yield from _wrapped(f"{title(one)}: {_short(one)}")
        yield ""
        yield "--pdf FOLDER writes a report on each."
    else:
        for one in answer.pieces:
            yield from _piece(one, answer)
    yield from _wrapped(OWN_CHECK)


def _short(one: PieceCalibrated) -> str:
    _, _, error, wide = one.worst()
    outcome = one.outcome.value if one.outcome is not None else "no limit known"
    return f"{outcome}; largest error {error:+.3f} ± {wide:.3f} mL"


def _piece(one: PieceCalibrated, answer: CalibrationAnswer) -> Iterator[str]:
    yield title(one)
    yield from _wrapped(verdict(one, answer.read))
    for line in where(one):
        yield from _wrapped(line)
    yield ""
    yield from _table(
        ("mark", "correction", "± expanded", "k", "against the limit"), ("mL", "mL", "mL", "", ""),
        list(corrections(one)),
    )  # fmt: skip
    yield from _wrapped(coverage())
    yield from _wrapped(use(one))
    yield ""
    yield "Standard uncertainty by cause, mL"
    parts = causes(one)
    marks = _chosen(len(one.corrected.marks_ml))
    heads = ("cause", *(f"at {one.corrected.marks_ml[k]:g} mL" for k in marks))
    texts = with_like_decimals([values[k] for _, values in parts for k in marks])
    rows = [(name, *texts[len(marks) * r : len(marks) * (r + 1)]) for r, (name, _) in enumerate(parts)]
    yield from _table(heads, tuple("" for _ in heads), rows)
    yield from _wrapped(f"Repeatability: {scatter(one)}.")
    if one.weighed.piece.division_ml is not None:
        yield from _wrapped(between(one))
    yield ""


def _chosen(marks: int) -> list[int]:
    """Return which marks a table has room for: the first, the middle and the last."""
    return sorted({0, marks // 2, marks - 1})


def _table(heads: Sequence[str], units: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    columns = [in_line([row[k] for row in rows]) for k in range(len(heads))]
    spaces = str.maketrans({"\u2007": " ", "\u2008": " "})
    cells = [
        [heads[k], units[k], *(cell.translate(spaces) for cell in column)] for k, column in enumerate(columns)
    ]
    widths = [max(map(len, column)) for column in cells]
    left = [not any(char.isdigit() for row in rows for char in row[k]) for k in range(len(heads))]
    for r in range(len(rows) + 2):
        if r == 1 and not any(units):
            continue
        parts = (
            f"{cells[k][r]:<{widths[k]}}" if left[k] else f"{cells[k][r]:>{widths[k]}}"
            for k in range(len(heads))
        )
        yield ("  " + "  ".join(parts)).rstrip()
    yield ""


def _wrapped(words: str) -> list[str]:
    return textwrap.wrap(words, WIDTH, break_on_hyphens=False) or [""]
