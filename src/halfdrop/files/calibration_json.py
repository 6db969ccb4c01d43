"""Reading saved calibrations (``halfdrop calibrate --json``), so that others can use their corrections."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from halfdrop.core.findings import Finding, Place
from halfdrop.core.glassware.calibration import Calibration
from halfdrop.core.glassware.conformity import Outcome
from halfdrop.core.measure.estimate import Shape
from halfdrop.files.fields import ABOVE_ZERO, ANY, NOT_NEGATIVE, Fields, Row, Spot
from halfdrop.files.text_files import decoded, read_bytes, refusal, refuses

FORMAT = 1
WHAT = "calibration"
_TOLERANCE = 1e-6  # by which saved uncertainties may miss those of the saved factors, relative


@dataclass(frozen=True, eq=False)
class SavedCalibration:
    """What was saved of one piece.

    Attributes:
        id, kind: the piece; capacity_ml: its capacity, None where it was not saved.
        date: day of the calibration, as written; due: day until which it holds, "" for none.
        waiting_s: waiting time before each reading, None where not noted.
        delivery_s: time of a whole delivery, likewise.
        outcome: against the limit, None where there was none.
        limit_ml, worst_ml: the limit and the largest error, None where not known.
        calibration: the corrections with their factors.
        dofs: degrees of freedom of each factor, in the order of the calibration's keys.
        shapes: their distributions.
        dof_between: degrees of freedom of what the correction may do between marks.
        digest: of what it was worked out from.
    """

    id: str
    kind: str
    capacity_ml: float | None
    date: str
    due: str
    waiting_s: float | None
    delivery_s: float | None
    outcome: Outcome | None
    limit_ml: float | None
    worst_ml: float | None
    calibration: Calibration | None
    dofs: tuple[float, ...]
    shapes: tuple[Shape, ...]
    dof_between: float
    digest: str


def read_saved_calibrations(path: Path) -> tuple[tuple[SavedCalibration, ...], tuple[Finding, ...]]:
    """Read the calibrations of a file; none, and findings that say why, when it cannot be used."""
    data, findings = read_bytes(path)
    if data is None:
        return (), tuple(findings)
    return saved_calibrations_from(data, str(path))


def saved_calibrations_from(
    data: bytes, file: str = ""
) -> tuple[tuple[SavedCalibration, ...], tuple[Finding, ...]]:
    """Read saved calibrations from the bytes of their file.

    Args:
        data: the bytes.
        file: its name, for findings.
    """
    text, findings = decoded(data, file)
    if text is None:
        return (), tuple(findings)
    try:
        parsed = json.loads(text)
    except json.JSONDecodeError as error:
        return (), (_not_one(file, error.lineno, error.msg),)
    except (ValueError, RecursionError) as error:  # a number of thousands of digits, brackets without end
        return (), (_not_one(file, 0, str(error)),)
    if not isinstance(parsed, dict) or parsed.get("what") != WHAT:
        return (), (_not_one(file, 1, "no calibration"),)
    top = Fields(parsed, Spot(Row(file, 0)), findings)
    if top.whole("format") != FORMAT:
        message = f"A saved calibration of format {FORMAT} is wanted. Work it out again with this version."
        top.say("saved-format", message, "format", FORMAT)
    digest = top.text("digest", example='"..."')
    found = [_piece(table, digest) for table in top.subs("pieces", "piece")]
    if not found:
        top.missing("pieces", "[...]")
    return (() if refuses(findings) else tuple(one for one in found if one is not None)), tuple(findings)


def _not_one(file: str, line: int, why: str) -> Finding:
    message = "This is not a saved calibration. Save one with: halfdrop calibrate FILE --json > NAME.json."
    return refusal("not-a-saved-calibration", message, Place(file, line), why)


def _piece(table: Fields, digest: str) -> SavedCalibration | None:
    name, kind = table.text("id", example='"B07"'), table.text("kind", example='"burette"')
    outcome = table.choice("outcome", [one.value for one in Outcome])
    keys = ("capacity_mL", "waiting_s", "delivery_s", "limit_mL", "worst_mL")
    numbers = {key: _number(table, key) for key in keys}
    calibration, dofs, shapes = _calibration(table, name)
    if calibration is None:
        return None
    return SavedCalibration(
        name, kind, numbers["capacity_mL"], table.date("date"), table.date("due"), numbers["waiting_s"],
        numbers["delivery_s"], Outcome(outcome) if outcome else None, numbers["limit_mL"],
        numbers["worst_mL"], calibration, dofs, shapes, _dof(table, "dof_between"), digest,
    )  # fmt: skip


def _dof(table: Fields, key: str) -> float:
    """Return degrees of freedom; JSON has no infinity, so none is written for it."""
    if table.raw(key) in (None, math.inf):
        return math.inf
    number = table.number(key, ABOVE_ZERO)
    return math.inf if number is None else float(number)


def _number(table: Fields, key: str) -> float | None:
    number = table.number(key)
    return None if number is None else float(number)


def _calibration(table: Fields, name: str) -> tuple[Calibration | None, tuple[float, ...], tuple[Shape, ...]]:
    rows = list(table.subs("marks", "mark"))
    marks = [row.number("mark_mL", ABOVE_ZERO, "10") for row in rows]
    corrections = [row.number("correction_mL", ANY, "0.01") for row in rows]
    us = [row.number("u_mL", NOT_NEGATIVE, "0.005") for row in rows]
    between = table.number("u_between_mL", NOT_NEGATIVE)
    keys, loadings, dofs, shapes = [], [], [], []
    for factor in table.subs("factors", "factor"):
        keys.append(factor.text("key", example='"burette:B07/calibration:10"'))
        loadings.append([float(one) for one in factor.numbers("loadings_mL")])
        dofs.append(_dof(factor, "dof"))
        shapes.append(Shape(factor.choice("shape", [one.value for one in Shape], Shape.NORMAL.value)))
    known = [(m, c, u) for m, c, u in zip(marks, corrections, us, strict=True) if m and c and u]
    if not known or len(known) < len(rows) or any(len(row) != len(rows) for row in loadings):
        _broken(table, "marks and factors do not fit each other")
        return None, (), ()
    try:
        calibration = Calibration(
            np.array([float(m) for m, _, _ in known]), np.array([float(c) for _, c, _ in known]), tuple(keys),
            np.array(loadings, dtype=np.float64).reshape(len(keys), len(known)), name,
            0.0 if between is None else float(between),
        )  # fmt: skip
    except ValueError as error:
        _broken(table, str(error))
        return None, (), ()
    whole = np.linalg.norm(calibration.loadings_ml, axis=0)
    saved = np.array([float(u) for _, _, u in known])
    if (np.abs(whole - saved) > _TOLERANCE * np.maximum(whole, saved)).any():
        _broken(table, "the factors do not add up to the uncertainties at the marks")
    return calibration, tuple(dofs), tuple(shapes)


def _broken(table: Fields, why: str) -> None:
    message = f"This calibration is not whole: {why}. Work it out again, or look who changed the file."
    table.say("saved-not-whole", message)
