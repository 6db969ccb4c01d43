"""A gravimetric calibration: from weighings to corrections that a determination can use, and a verdict."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from halfdrop.core.findings import Finding, Refused, Severity
from halfdrop.core.glassware.between_marks import Straying, straying
from halfdrop.core.glassware.calibration import Calibration
from halfdrop.core.glassware.conformity import Compared, Outcome, compare, deliveries_needed
from halfdrop.core.glassware.gravimetric import Corrected, Weighings, calibrate
from halfdrop.core.glassware.thermal import DEFAULT_GLASS, find_glass
from halfdrop.files.calibration import CalibrationRead, PieceWeighed, read_calibration
from halfdrop.files.forms import CALIBRATION, form_text
from halfdrop.usecases.form import Form

APART = 4.0  # standard deviations by which a delivery has to miss the others to be pointed at
_RARE = 0.01  # probability below which a scatter is called larger than expected


@dataclass(frozen=True, eq=False)
class PieceCalibrated:
    """One piece worked out.

    Attributes:
        weighed: what was weighed.
        corrected: the corrections of all pieces worked out with it; ``place``: which of them it is.
        compared: the comparison with their limits.
        strayed: how far the bore may stray between marks.
    """

    weighed: PieceWeighed
    corrected: Corrected
    place: int
    compared: Compared
    strayed: Straying

    @property
    def id(self) -> str:
        """Its identity."""
        return self.weighed.piece.id

    @property
    def outcome(self) -> Outcome | None:
        """Against its limit, at every mark and between any two; None without a limit."""
        return self.compared.outcomes[self.place]

    @property
    def u_between_ml(self) -> float:
        """Standard uncertainty of the straight line between marks; none for a piece with one mark."""
        return float(self.strayed.u_ml[self.place]) if self.weighed.piece.division_ml is not None else 0.0

    @property
    def calibration(self) -> Calibration:
        """The corrections as a determination uses them."""
        return self.corrected.calibration(self.place, self.u_between_ml)

    def worst(self) -> tuple[float, float, float, float]:
        """Return the pair of levels with the largest error: from, to, error, expanded uncertainty, in mL."""
        k = self.compared.worst(self.place)
        levels = np.concatenate([[0.0], self.corrected.marks_ml])
        a, b = self.compared.pairs[k]
        error, wide = self.compared.errors_ml[self.place, k], self.compared.expanded_ml[self.place, k]
        return float(levels[a]), float(levels[b]), float(error), float(wide)

    def deliveries_each(self) -> float:
        """Return how many deliveries there were to each mark, on average."""
        pattern = self.weighed.pattern
        return pattern.deliveries / len(pattern.marks_ml)

    def needed(self) -> float:
        """Return how many deliveries to each mark would be fine enough for the limit; may be infinite."""
        return deliveries_needed(self.compared, self.place, self.deliveries_each())


@dataclass(frozen=True, eq=False)
class CalibrationAnswer:
    """Calibrations of one session.

    Attributes:
        read: as written down.
        pieces: worked out, in the order of the file.
        findings: what was noticed.
    """

    read: CalibrationRead
    pieces: tuple[PieceCalibrated, ...]
    findings: tuple[Finding, ...]

    def to_json(self) -> dict[str, object]:
        """Return the answer as data; a determination can use it as a saved calibration."""
        from halfdrop.usecases.calibration_data import calibration_as_data

        return calibration_as_data(self)


def calibration_form() -> Form:
    """Return a first calibration, to be written over."""
    return Form(form_text(CALIBRATION))


def calibrate_file(path: Path) -> CalibrationAnswer:
    """Work out the calibration in a file.

    Raises:
        Refused: with all findings, when the file or one it rests on cannot be used.
    """
    read, findings = read_calibration(path)
    if read is None:
        raise Refused(findings)
    pieces = _worked_out(read)
    noticed = [finding for piece in pieces for finding in _noticed(piece, read)]
    return CalibrationAnswer(read, pieces, (*findings, *noticed))


def _worked_out(read: CalibrationRead) -> tuple[PieceCalibrated, ...]:
    """Work out all pieces, those of one pattern together."""
    alike: dict[tuple[object, ...], list[PieceWeighed]] = {}
    for one in read.pieces:
        alike.setdefault(_kinship(one), []).append(one)
    done = {piece.id: piece for group in alike.values() for piece in _together(read, group)}
    return tuple(done[one.piece.id] for one in read.pieces)


def _kinship(one: PieceWeighed) -> tuple[object, ...]:
    pattern = one.pattern
    arrays = (pattern.marks_ml, pattern.starts, pattern.stops, pattern.carried_on)
    return (*(part.tobytes() for part in arrays), one.piece.material, one.spread, one.piece.division_ml)


def _together(read: CalibrationRead, group: Sequence[PieceWeighed]) -> Iterator[PieceCalibrated]:
    columns = {
        name: np.stack([one.column(name) for one in group]) for name in ("start", "stop", "gross_g", "tare_g")
    }
    names = tuple(f"{one.piece.kind.value}:{one.piece.id}" for one in group)
    weighings = Weighings(
        group[0].pattern, names, columns["start"], columns["stop"], columns["gross_g"], columns["tare_g"]
    )
    conditions = read.session.conditions(find_glass(group[0].piece.material)[0] or DEFAULT_GLASS)
    usual = conditions.water_c
    if any(row.temperature_c is not None for one in group for row in one.used):
        each = np.stack([one.temperatures_c(float(usual.value)) for one in group])
        conditions = replace(conditions, water_c=replace(usual, value=each))
    corrected = calibrate(weighings, conditions, group[0].spread)
    limits = np.array([math.nan if one.limit_ml is None else one.limit_ml for one in group])
    compared = compare(corrected, limits, read.rule)
    fallback = float(group[0].piece.division_ml or 0)
    assumed = np.where(np.isfinite(limits), limits, fallback)
    strayed = straying(corrected.marks_ml, corrected.corrections_ml, assumed)
    for place, one in enumerate(group):
        yield PieceCalibrated(one, corrected, place, compared, strayed)


def _noticed(piece: PieceCalibrated, read: CalibrationRead) -> Iterator[Finding]:
    yield from _verdict(piece, read)
    yield from _scatter(piece)
    yield from _apart(piece)
    marked = piece.weighed.piece.waiting_s
    if marked is not None and read.waiting_s is not None and marked != read.waiting_s:
        message = (
            f"{piece.id} is marked for a wait of {marked:g} s and was calibrated with one of "
            f"{read.waiting_s:g} s. Its corrections hold for readings made as in the calibration."
        )
        yield Finding("waiting-time-differs", Severity.ATTENTION, message, piece.weighed.piece.place)


def _verdict(piece: PieceCalibrated, read: CalibrationRead) -> Iterator[Finding]:
    start, stop, error, wide = piece.worst()
    place, limit = piece.weighed.piece.place, piece.weighed.limit_ml
    if limit is None:
        return
    evidence: dict[str, object] = {
        "from_mL": start, "to_mL": stop, "error_mL": error, "expanded_mL": wide, "limit_mL": limit,
    }  # fmt: skip
    where = f"from {start:g} to {stop:g} mL it errs by {error:+.3f} mL (± {wide:.3f} mL)"
    if piece.outcome is Outcome.OUT:
        message = (
            f"{piece.id} is out of its limit, ±{limit:g} mL ({read.rule.value}): {where}. Use it only with "
            "its corrections."
        )
        yield Finding("calibration-out", Severity.ATTENTION, message, place, evidence)
    elif piece.outcome is Outcome.CANNOT_DECIDE:
        message = (
            f"{piece.id}: whether it is within ±{limit:g} mL cannot be decided. {_why_open(piece, where)}"
        )
        yield Finding("calibration-undecided", Severity.ATTENTION, message, place, evidence)


def _why_open(piece: PieceCalibrated, where: str) -> str:
    """Say why a limit could not be decided about, and what would help."""
    limit, needed = piece.weighed.limit_ml or 0.0, piece.needed()
    widest = float(piece.compared.expanded_ml[piece.place].max())
    if widest <= limit / 3:
        return f"{where[:1].upper()}{where[1:]}: the limit lies within that uncertainty."
    coarse = f"The expanded uncertainty, up to {widest:.3f} mL, is more than a third of the limit."
    if math.isfinite(needed):
        return f"{coarse} About {needed:.0f} deliveries to each mark would do."
    return f"{coarse} More deliveries alone would not do: look at the largest causes in the budget."


def _scatter(piece: PieceCalibrated) -> Iterator[Finding]:
    from scipy.special import chdtrc  # here, because it takes a while to load

    scatter, k = piece.corrected.scatter, piece.place
    found, dof, expected = float(scatter.found_ml[k]), float(scatter.found_dof[k]), scatter.expected_ml
    if not (dof >= 1 and expected > 0 and found > expected):
        return
    if float(chdtrc(dof, dof * (found / expected) ** 2)) < _RARE:
        message = (
            f"The deliveries of {piece.id} scatter by {found:.3f} mL, and reading and weighing alone lead to "
            f"expect {expected:.3f} mL. Look whether it drains clean, whether drops were touched off, and "
            "whether the wait was the same each time. The scatter found is used."
        )
        evidence: dict[str, object] = {"found_mL": found, "expected_mL": expected, "dof": dof}
        yield Finding("scatter-large", Severity.ATTENTION, message, piece.weighed.piece.place, evidence)


def _apart(piece: PieceCalibrated) -> Iterator[Finding]:
    """Point at deliveries that miss the others by far; nothing is removed."""
    residuals = piece.corrected.residuals_ml[piece.place]
    rows = piece.weighed.used
    usual = max(piece.corrected.scatter.expected_ml, float(np.median(np.abs(residuals))) * 1.483)
    for row, residual in zip(rows, residuals, strict=True):
        if usual > 0 and abs(residual) > APART * usual:
            message = (
                f"This delivery of {piece.id} to {row.stop_mark:f} mL misses the others by {residual:+.3f} "
                "mL. It is used. If something went wrong with it, write left_out and why."
            )
            evidence: dict[str, object] = {"residual_mL": float(residual), "usual_mL": usual}
            yield Finding("delivery-apart", Severity.ATTENTION, message, row.place, evidence)
