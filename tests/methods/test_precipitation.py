"""Each precipitation method against the sum written out by hand, with invented numbers."""

from __future__ import annotations

import pytest

from halfdrop.core.titration.back import amplification
from tests.methods.written import plain, worked


def test_mohr_takes_the_indicator_blank_off() -> None:
    done = worked(
        "chloride-mohr", plain(("0.00", "14.35"), ("0.10", "14.41")),
        blank=plain(("0.00", "0.22")), titrant="0.02000", aliquot="100.0",
    )  # fmt: skip

    assert done.value == pytest.approx(1000 * 0.02000 * (14.33 - 0.22) / 1000 / 0.1000 * 35.45, rel=1e-12)
    assert done.unit == "mg/L"


def test_mohr_of_a_diluted_water() -> None:
    done = worked(
        "chloride-mohr",
        plain(("0.00", "12.00")),
        titrant="0.02000",
        aliquot="50.0",
        stock="10.00",
        flask="100",
    )

    assert done.value == pytest.approx(1000 * 0.02000 * 0.01200 / 0.0500 * 10 * 35.45, rel=1e-12)


def test_volhard_subtracts_the_silver_left_over() -> None:
    done = worked(
        "chloride-volhard", [("0.00", "15.80", {"mass": "0.2003"})],
        titrant="0.1005", silver="0.0998", silver_volume="50.00",
    )  # fmt: skip

    used = 0.0998 * 0.05000 - 0.1005 * 0.01580
    assert done.value == pytest.approx(100 * used * 35.45 / 0.2003, rel=1e-12)
    assert dict(amplification(done)) == pytest.approx({"n_used": 0.0998 * 0.05 / used})


def test_volhard_with_a_blank_needs_no_strength_of_the_silver() -> None:
    done = worked(
        "chloride-volhard-blank", plain(("0.00", "15.80")), blank=plain(("0.00", "49.66")),
        titrant="0.1005", mass="2.0000", flask="250", aliquot="25.00",
    )  # fmt: skip

    assert done.value == pytest.approx(100 * 0.1005 * (49.66 - 15.80) / 1000 * 10 * 35.45 / 2.0000, rel=1e-12)


def test_fajans_of_a_weighed_salt() -> None:
    done = worked(
        "chloride-fajans",
        [("0.00", "24.60", {"mass": "0.1461"}), ("0.00", "25.00", {"mass": "0.1482"})],
        titrant="0.1000",
    )

    each = [0.02460 / 0.1461, 0.02500 / 0.1482]
    assert done.value == pytest.approx(100 * 0.1000 * 35.45 * sum(each) / 2, rel=1e-12)


def test_silver_by_weighed_salt_by_a_flask_and_by_a_known_solution() -> None:
    weighed = worked(
        "silver-nitrate-standardised", [("0.00", "25.10", {"mass": "0.1461"})], purity="0.9995", blank="0.06"
    )
    flask = worked(
        "silver-nitrate-standardised",
        plain(("0.00", "25.10")),
        mass="1.4610",
        purity="1",
        flask="250",
        aliquot="25.00",
    )
    known = worked(
        "silver-nitrate-standardised", plain(("0.00", "25.10")), standard="0.1000", aliquot="25.00"
    )

    assert weighed.value == pytest.approx(0.1461 * 0.9995 / 58.440 / 0.02504, rel=1e-12)
    assert flask.value == pytest.approx(1.4610 / 58.440 / 10 / 0.02510, rel=1e-12)
    assert known.value == pytest.approx(0.1000 * 0.02500 / 0.02510, rel=1e-12)
