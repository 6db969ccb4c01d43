"""What an end point does to a result: a late one comes off once; and a result that cannot be is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from halfdrop.usecases.chain import work_file
from halfdrop.usecases.noticed import noticed
from tests.doors.pages import ACID, write

LATE = '[end_point]\nlate_mL = "0.04"\nu_mL = "0.02"\nsource = "a comparison"\n'

SECOND = '[second_burette]\nid = "B09"\ncapacity_mL = 25\ndivision_mL = "0.1"\nlimit_mL = "0.05"\n\n'
STRENGTH = '[strength]\nvalue = "1.0215"\nunit = "1"\nu = "0.002"\n\n'
OVERSHOOT = (
    ACID.replace('"strong-acid-strong-base"', '"acid-base-overshoot"')
    .replace("[room]", f"{SECOND}[room]")
    .replace("[aliquot]", f"{STRENGTH}[aliquot]")
    .replace('final = "25.42"', 'final = "26.42"\nback_initial = "0.10"\nback_final = "1.08"')
)

LIMESTONE = """\
method = "limestone-back-titration"
sample = "chalk"
titrant = { value = "0.1000", unit = "mol/L", u = "0.0001" }
back_titrant = { value = "0.1000", unit = "mol/L", u = "0.0001" }
balance = { linearity_mg = "0.15" }
burette = { id = "B09", capacity_mL = 50, division_mL = "0.1", limit_mL = "0.05" }
second_burette = { id = "B07", capacity_mL = 50, division_mL = "0.1", limit_mL = "0.05" }

[[trial]]
mass = "0.1000"
initial = "0.00"
final = "35.00"
back_initial = "0.00"
back_final = "15.00"
"""


def test_an_overshoot_taken_back_has_one_late_end_point(tmp_path: Path) -> None:
    sharp, _ = work_file(write(tmp_path, OVERSHOOT))
    late, _ = work_file(write(tmp_path, OVERSHOOT.replace("[aliquot]", f"{LATE}[aliquot]")))

    assert sharp.value - late.value == pytest.approx(0.04 * 0.1000 / 25.00, rel=1e-6)


def test_an_excess_of_acid_from_a_burette_has_no_end_point(tmp_path: Path) -> None:
    sharp, _ = work_file(write(tmp_path, LIMESTONE))
    late, _ = work_file(write(tmp_path, LIMESTONE.replace("[[trial]]", f"{LATE}[[trial]]", 1)))

    assert late.value - sharp.value == pytest.approx(sharp.value * 0.04 / 20.00, rel=1e-6)


def test_a_blank_titrated_to_the_same_tint_takes_a_late_end_point_off_with_its_uncertainty(
    tmp_path: Path,
) -> None:
    blank = '\n[[trial]]\nseries = "blank"\ninitial = "1.00"\nfinal = "1.10"\n'
    sharp, _ = work_file(write(tmp_path, ACID + blank))
    late, _ = work_file(write(tmp_path, ACID.replace("[aliquot]", f"{LATE}[aliquot]") + blank))

    assert late.value == pytest.approx(sharp.value, rel=1e-12)
    assert late.u == pytest.approx(sharp.u, rel=1e-9)


def test_a_result_that_cannot_be_is_a_finding(tmp_path: Path) -> None:
    part = LIMESTONE.replace('mass = "0.1000"', 'mass = "0.0900"')
    below = ACID + '\n[[trial]]\nseries = "blank"\ninitial = "1.00"\nfinal = "30.10"\n'

    for page, words in ((part, "more than 100 %"), (below, "below zero")):
        worked, _ = work_file(write(tmp_path, page))
        found = {one.code: one.message for one in noticed(worked)}
        assert words in found["result-cannot-be"]
    worked, _ = work_file(write(tmp_path, LIMESTONE))
    assert "result-cannot-be" not in {one.code for one in noticed(worked)}
