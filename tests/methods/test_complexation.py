"""Each EDTA method against the sum written out by hand, with invented numbers.

Molar masses are typed here from the abridged atomic weights of 2021, not taken from the code under test.
"""

from __future__ import annotations

import pytest

from tests.methods.written import plain, result, worked

CACO3, ZN, CA, MG = 100.086, 65.38, 40.078, 24.305


@pytest.mark.parametrize(("method", "molar"), [("edta-calcium", CACO3), ("edta-zinc", ZN)])
def test_edta_is_standardised_one_to_one(method: str, molar: float) -> None:
    flask = worked(
        method, plain(("0.00", "24.95"), ("0.10", "25.09")),
        mass="0.2502", purity="0.9990", flask="250", aliquot="25.00", blank="0.04",
    )  # fmt: skip
    whole = worked(method, [("0.00", "25.04", {"mass": "0.0250"})], purity="1.0000")

    assert flask.value == pytest.approx(0.2502 * 0.999 / molar / 10 / 0.02493, rel=1e-12)
    assert whole.value == pytest.approx(0.0250 / molar / 0.02504, rel=1e-12)


def test_hardness_counts_every_edta_as_calcium_carbonate() -> None:
    done = worked(
        "hardness", plain(("0.00", "12.40"), ("12.40", "24.84")),
        titrant="0.01004", aliquot="50.00", blank=plain(("0.00", "0.04")),
    )  # fmt: skip

    strength = 0.01004 * (12.42 - 0.04) / 50
    assert result(done, "c_(CaCO3)") == pytest.approx(strength, rel=1e-12)
    assert result(done, "gamma_(CaCO3)") == pytest.approx(strength * CACO3 * 1000, rel=1e-12)
    assert done.unit == "mg/L as CaCO3"


def test_magnesium_is_what_the_second_titration_leaves() -> None:
    done = worked(
        "calcium-magnesium-split",
        {
            "total": plain(("0.00", "12.40"), ("0.00", "12.44")),
            "calcium": plain(("0.00", "9.10"), ("0.00", "9.04")),
        },
        titrant="0.01004", aliquot="50.00", blank="0.05", blank_calcium="0.02",
    )  # fmt: skip

    both, calcium = (value * 0.01004 / 50 * 1000 for value in (12.42 - 0.05, 9.07 - 0.02))
    assert result(done, "gamma_(CaCO3)") == pytest.approx(both * CACO3, rel=1e-12)
    assert result(done, "gamma_(Ca)") == pytest.approx(calcium * CA, rel=1e-12)
    assert result(done, "gamma_(Mg)") == pytest.approx((both - calcium) * MG, rel=1e-12)


def test_a_water_told_by_two_volumes_of_edta() -> None:
    # 100 mL of water, 22.74 and 15.86 mL of 0.00998 mol/L: 227.1 and 158.4 mg/L as calcium carbonate, by hand
    done = worked(
        "calcium-magnesium-split", {"total": plain(("0.00", "22.74")), "calcium": plain(("0.00", "15.86"))},
        titrant="0.00998", aliquot="100",
    )  # fmt: skip

    assert result(done, "gamma_(CaCO3)") == pytest.approx(227.14, abs=0.01)
    assert result(done, "gamma_(Ca)") * CACO3 / CA == pytest.approx(158.42, abs=0.01)
    assert result(done, "gamma_(Mg)") * CACO3 / MG == pytest.approx(68.72, abs=0.01)


def test_the_scatter_of_both_titrations_counts_in_the_magnesium() -> None:
    done = worked(
        "calcium-magnesium-split", {"total": plain(("0.00", "12.40")), "calcium": plain(("0.00", "9.10"))},
        titrant="0.01", aliquot="50.00",
    )  # fmt: skip
    by_symbol = {one.symbol: one for one in done.results}

    per_ml = 0.01 / 50 * 1000
    magnesium = by_symbol["gamma_(Mg)"].evaluation.by_group()["repeatability"]
    calcium = by_symbol["gamma_(Ca)"].evaluation.by_group()["repeatability"]
    assert calcium == pytest.approx(per_ml * 0.05 * CA, rel=1e-9)
    assert magnesium == pytest.approx(per_ml * 0.05 * 2**0.5 * MG, rel=1e-9)
