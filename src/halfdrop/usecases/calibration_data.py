"""A calibration as data: what ``halfdrop calibrate --json`` prints, and what a determination can use.

The keys that :mod:`halfdrop.files.calibration_json` reads back change only with a new format number.
"""

from __future__ import annotations

import numpy as np

from halfdrop import __version__
from halfdrop.core.glassware.conformity import worded
from halfdrop.core.measure.estimate import Estimate
from halfdrop.files.calibration_json import FORMAT, WHAT
from halfdrop.files.session import Session
from halfdrop.files.weighings import Delivery
from halfdrop.usecases.answer import finding_as_data
from halfdrop.usecases.calibrate import CalibrationAnswer, PieceCalibrated
from halfdrop.usecases.result_data import finite, number

NOT_ACCREDITED = "A laboratory's own check, not an accredited calibration certificate."


def calibration_as_data(answer: CalibrationAnswer) -> dict[str, object]:
    """Return calibrations as texts, finite numbers, lists and mappings."""
    read = answer.read
    return {
        "format": FORMAT,
        "what": WHAT,
        "halfdrop": __version__,
        "standing": NOT_ACCREDITED,
        "file": read.file,
        "digest": read.digest,
        "date": read.date,
        "by": read.by,
        "way": read.way,
        "levels": "carried on" if read.carried_on else "set anew",
        "decision": read.rule.value,
        "conditions": _conditions(read.session),
        "notes": list(read.notes),
        "pieces": [_piece(answer, one) for one in answer.pieces],
        "findings": [finding_as_data(one) for one in answer.findings],
    }


def _conditions(session: Session) -> dict[str, object]:
    air, balance = session.air, session.balance
    given = air.given_kg_m3
    return {
        "water_temperature": _estimate(session.water_c, "degC"),
        "water_density": session.water_formula,
        "air_density": "as given" if given is not None else air.formula,
        "air": {"density": _estimate(given, "kg/m3")} if given is not None else {
            "temperature": _estimate(air.temperature_c, "degC"),
            "pressure": _estimate(air.pressure_hpa, "hPa"),
            "humidity": _estimate(air.humidity_percent, "%"),
        },
        "balance": {
            "id": balance.id, "linearity_g": balance.linearity_g, "repeatability_g": balance.repeatability_g,
            "step_g": balance.step_g, "sensitivity": balance.sensitivity,
            "weights": _estimate(balance.weights_kg_m3, "kg/m3"),
        },
        "evaporation": _estimate(session.lost_g, "g"),
    }  # fmt: skip


def _estimate(one: Estimate, unit: str) -> dict[str, object]:
    return {
        **number(float(one.value), unit, float(one.u)),
        "distribution": one.shape.value,
        "source": one.source,
    }


def _piece(answer: CalibrationAnswer, one: PieceCalibrated) -> dict[str, object]:
    piece, read = one.weighed.piece, answer.read
    start, stop, error, wide = one.worst()
    at_marks, between = one.compared.parts(one.place)
    judged = one.weighed.limit_ml is not None
    return {
        "id": piece.id,
        "kind": piece.kind.value,
        "capacity_mL": float(piece.capacity_ml or 0),
        "division_mL": float(piece.division_ml) if piece.division_ml is not None else None,
        "class": piece.glass_class,
        "standard": piece.standard,
        "material": piece.material,
        "date": read.date,
        "due": read.due,
        "waiting_s": read.waiting_s,
        "delivery_s": read.delivery_s,
        "limit_mL": one.weighed.limit_ml,
        "limit_source": one.weighed.limit_source,
        "outcome": one.outcome.value if one.outcome is not None else "",
        "outcome_at_marks": at_marks.value if judged else "",
        "outcome_between_marks": between.value if judged and between is not None else "",
        "worst_mL": error,
        "worst": {"from_mL": start, "to_mL": stop, "error_mL": error, "expanded_mL": wide},
        "marks": [_mark(one, k) for k in range(len(one.corrected.marks_ml))],
        "between_marks": _pairs(one),
        "u_between_mL": one.u_between_ml,
        "dof_between": one.strayed.dof,
        "scatter": _scatter(one),
        "factors": _factors(one),
        "deliveries": _deliveries(one),
    }


def _mark(one: PieceCalibrated, k: int) -> dict[str, object]:
    done, place, seen = one.corrected, one.place, one.compared
    correction, u = float(done.corrections_ml[place, k]), float(done.u_ml[place, k])
    judged = one.weighed.limit_ml is not None
    return {
        "mark_mL": float(done.marks_ml[k]),
        "correction_mL": correction,
        "u_mL": u,
        "correction": number(correction, "mL", u),
        "k": float(seen.k[place, k]),
        "expanded_mL": float(seen.expanded_ml[place, k]),
        "outcome": worded(int(seen.codes[place, k])).value if judged else "",
        "budget": {group: float(part[place, k]) for group, part in done.by_group.items()},
    }


def _pairs(one: PieceCalibrated) -> list[dict[str, object]]:
    """Return the errors between two marks, those from zero left out: they stand at the marks."""
    seen, place = one.compared, one.place
    levels = np.concatenate([[0.0], one.corrected.marks_ml])
    judged = one.weighed.limit_ml is not None
    rows = []
    for k, (a, b) in enumerate(seen.pairs):
        if a > 0:
            error, u = float(seen.errors_ml[place, k]), float(seen.u_ml[place, k])
            rows.append(
                {
                    "from_mL": float(levels[a]), "to_mL": float(levels[b]), "error": number(error, "mL", u),
                    "expanded_mL": float(seen.expanded_ml[place, k]),
                    "outcome": worded(int(seen.codes[place, k])).value if judged else "",
                }
            )  # fmt: skip
    return rows


def _scatter(one: PieceCalibrated) -> dict[str, object]:
    scatter, k = one.corrected.scatter, one.place
    return {
        "found_mL": finite(float(scatter.found_ml[k])),
        "found_dof": float(scatter.found_dof[k]),
        "expected_mL": scatter.expected_ml,
        "used_mL": float(scatter.used_ml[k]),
        "used_dof": finite(float(scatter.used_dof[k])),
        "source": scatter.words,
    }


def _factors(one: PieceCalibrated) -> list[dict[str, object]]:
    causes = one.corrected.causes_of(one.place)
    return [
        {
            "key": cause.key, "group": cause.group, "shape": cause.shape.value, "dof": finite(cause.dof),
            "loadings_mL": [float(part) for part in row],
        }
        for cause, row in zip(causes, one.corrected.loadings_ml[one.place], strict=True)
    ]  # fmt: skip


def _deliveries(one: PieceCalibrated) -> list[dict[str, object]]:
    used = iter(range(one.weighed.pattern.deliveries))
    return [_delivery(one, row, None if row.left_out else next(used)) for row in one.weighed.deliveries]


def _delivery(one: PieceCalibrated, row: Delivery, k: int | None) -> dict[str, object]:
    data: dict[str, object] = {
        "run": row.run, "from_mark_mL": float(row.start_mark), "mark_mL": float(row.stop_mark),
        "initial_mL": str(row.start), "final_mL": str(row.stop), "weighing_g": row.written,
        "net_g": str(row.net_g), "temperature_degC": row.temperature_c, "left_out": row.left_out,
        "note": row.note,
    }  # fmt: skip
    if k is not None:
        flat = one.place * one.weighed.pattern.deliveries + k
        data["volume_20_mL"] = float(np.ravel(one.corrected.evaluation.lines["V_20"])[flat])
        data["correction_mL"] = float(one.corrected.found_ml[one.place, k])
        data["residual_mL"] = float(one.corrected.residuals_ml[one.place, k])
    return data
