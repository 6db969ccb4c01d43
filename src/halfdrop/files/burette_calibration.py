"""A burette's calibration taken from a saved file, held against how the burette is used."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from halfdrop.core.findings import Finding
from halfdrop.core.titration.record import Calibration
from halfdrop.files.calibration_json import SavedCalibration, read_saved_calibrations
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, as_text, known
from halfdrop.files.numbers import shown
from halfdrop.files.text_files import attention, note

ENDING = ".json"
_SAME_TIME = 0.2  # share by which two times of a free run may differ and be called the same


def from_file(
    table: Fields, folder: Path, name: str, capacity_ml: float | None, day: str
) -> Calibration | None:
    """Return the calibration of a burette that a file holds, or None and what is wrong.

    Args:
        table: the burette; its key ``calibration`` names the file.
        folder: where the file is looked for.
        name: identity of the burette.
        capacity_ml: its capacity, None when that could not be read.
        day: of the determination, as year-month-day, "" when not written.
    """
    file = as_text(table.raw("calibration")) or ""
    waiting, run = table.number("waiting_s", NOT_NEGATIVE), table.number("delivery_s", ABOVE_ZERO)
    if not file.endswith(ENDING):
        message = (
            f"{shown(file)} is no saved calibration. Save one with halfdrop calibrate FILE --json > b07.json "
            "and name it here; or write marks_mL, corrections_mL and u_mL under [burette.calibration]."
        )
        table.say("calibration-ending", message, "calibration")
        return None
    saved, findings = read_saved_calibrations(folder / file)
    table.findings.extend(findings)
    if not saved:
        return None
    one = next((each for each in saved if each.id == name and each.kind == "burette"), None)
    if one is None or one.calibration is None:
        listed = [each.id for each in saved]
        message = f"{shown(file)} holds no calibration of the burette {shown(name)}. {known(name, listed)}"
        table.say("calibration-of-another", message, "calibration", listed)
        return None
    if capacity_ml is not None and one.capacity_ml not in (None, capacity_ml):
        message = (
            f"{name} has {capacity_ml:g} mL here and {one.capacity_ml:g} mL in its calibration. Look which "
            "of the two is right."
        )
        table.say("calibration-capacity", message, "capacity_mL")
        return None
    waited = None if waiting is None else float(waiting)
    table.findings.extend(_used_alike(table, one, waited, None if run is None else float(run)))
    table.findings.extend(_in_date(table, one, day))
    return _whole(one, file)


def _whole(one: SavedCalibration, file: str) -> Calibration:
    found = one.calibration
    if found is None:
        raise ValueError(f"{one.id} was saved without corrections")
    u = np.linalg.norm(found.loadings_ml, axis=0)
    source = f"{file}, calibrated {one.date}, record {one.digest[:12]}"
    between = len(found.factor_keys) - len(found.keys)
    return Calibration(
        tuple(found.marks_ml.tolist()), tuple(found.corrections_ml.tolist()), tuple(u.tolist()), 0.0, source,
        found, (*one.dofs, *([one.dof_between] * between)),
    )  # fmt: skip


def _used_alike(
    table: Fields, one: SavedCalibration, waiting: float | None, run: float | None
) -> Iterator[Finding]:
    """Find a burette that is used otherwise than it was calibrated."""
    if one.waiting_s is not None and waiting is None and one.waiting_s > 0:
        message = (
            f"The calibration of {one.id} holds for readings made {one.waiting_s:g} s after the tap is "
            "closed. Write waiting_s here, so that it can be held against that."
        )
        yield note("calibration-waiting", message, table.place("calibration"), one.waiting_s)
    if waiting is not None and one.waiting_s not in (None, waiting):
        message = (
            f"{one.id} was calibrated with a wait of {one.waiting_s:g} s before each reading and is used "
            f"with {waiting:g} s. Its corrections hold for readings made as in the calibration: film that "
            "still runs down makes a reading too high."
        )
        yield attention("waiting-time-differs", message, table.place("waiting_s"), waiting)
    calibrated = one.delivery_s
    if run is not None and calibrated is not None and abs(run - calibrated) > _SAME_TIME * calibrated:
        message = (
            f"{one.id} ran out in {calibrated:g} s when it was calibrated and in {run:g} s now. The tip has "
            "changed: look at it, and calibrate again."
        )
        yield attention("delivery-time-differs", message, table.place("delivery_s"), run)


def _in_date(table: Fields, one: SavedCalibration, day: str) -> Iterator[Finding]:
    if one.due and day and day > one.due:
        message = (
            f"The calibration of {one.id} held until {one.due}, and this was done on {day}. Calibrate it "
            "again, or leave the calibration out and give the class."
        )
        yield attention("calibration-overdue", message, table.place("calibration"), one.due)
