"""Curves judged: the right indicator for the class, errors against print, a warning where none will do."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from halfdrop.core.findings import Refused, Severity
from halfdrop.files.methods import shipped_method_names
from halfdrop.files.toml_text import parse_toml
from halfdrop.usecases.curve import CurveSeen, curve
from halfdrop.usecases.curve_of_method import system_of_method

SYSTEM = """
kind = "acid-base"
constants = "openstax"
flask_mL = "25.00"
[flask]
{acid} = "{strength}"
[burette]
NaOH = "{strength}"
"""


def seen(tmp_path: Path, acid: str, strength: str = "0.100") -> CurveSeen:
    """Return the curve of an acid with a base of the same strength."""
    file = tmp_path / "system.toml"
    file.write_text(SYSTEM.format(acid=acid, strength=strength), encoding="utf-8")
    return curve(str(file))


def test_methyl_orange_stops_a_strong_acid_a_little_and_a_weak_one_far_too_early(tmp_path: Path) -> None:
    # Yellow at pH 4.4: 24.980 mL, and about 7.8 mL of 25 (worked out beside OpenStax, Chemistry 2e, 2019)
    for acid, volume, within in (("HCl", 24.980, 0.0005), ("CH3COOH", 7.8, 0.05)):
        answer = seen(tmp_path, acid)
        orange = next(one for one in answer.indicators if one.indicator.name == "methyl orange")
        assert orange.called_ml == pytest.approx(volume, abs=within)
        assert orange.error_ml == pytest.approx(volume - 25.0, abs=within)
        assert orange.half_drop_late_ml == pytest.approx(orange.error_ml + 0.025)


def test_phenolphthalein_is_the_one_for_vinegar() -> None:
    answer = curve("vinegar")
    assert answer.best is not None
    assert answer.best.indicator.name == "phenolphthalein"
    assert abs(answer.best.error_percent) < 0.1


def test_a_curve_that_no_eye_can_end_is_told(tmp_path: Path) -> None:
    answer = seen(tmp_path, "NH4Cl")
    assert answer.best is None
    assert [one.code for one in answer.findings if one.severity is Severity.ATTENTION] == [
        "end-point-not-sharp"
    ]


def test_half_drops_stand_in_the_table(tmp_path: Path) -> None:
    answer = seen(tmp_path, "CH3COOH")
    assert {24.975, 25.0, 25.025} <= set(np.round(answer.volumes_ml, 6))
    assert (np.diff(answer.columns[0].values) > 0).all()


def test_the_buffer_region_is_one_unit_about_the_constant(tmp_path: Path) -> None:
    ((low, high, by),) = seen(tmp_path, "CH3COOH").buffers
    assert by == "CH3COOH/CH3COO^-"
    assert high == pytest.approx(25.0 * 10 / 11, abs=0.01)
    assert low < 2.5


@pytest.mark.parametrize("name", shipped_method_names())
def test_a_method_has_a_curve_or_says_why_not(name: str) -> None:
    try:
        answer = curve(name)
    except Refused as refused:
        codes = {one.code for one in refused.findings}
        assert codes <= {"no-single-reaction", "substance-unknown", "constants-missing", "couple-unknown"}
    else:
        assert answer.points
        assert answer.to_json()["equivalence_points"]


def test_most_acid_base_methods_have_a_curve() -> None:
    named = (
        "vinegar naoh-khp hcl-sodium-carbonate strong-acid-strong-base chloride-mohr chloride-fajans "
        "chloride-volhard hardness edta-zinc iron-cerium iron-dichromate"
    )
    assert [name for name in named.split() if not curve(name).points] == []


def test_the_system_of_a_method_can_be_read_back() -> None:
    text = system_of_method("vinegar").text
    assert parse_toml(text)[0] is not None
    assert "CH3COOH" in text


def test_a_name_that_is_none_is_refused() -> None:
    with pytest.raises(Refused, match="no method"):
        curve("winegar")
