"""Each redox method against the sum written out by hand, with invented numbers.

Molar masses are typed here from the abridged atomic weights of 2021, not taken from the code under test.
"""

from __future__ import annotations

import pytest

from tests.methods.written import plain, result, worked


def test_permanganate_is_standardised_by_two_fifths_of_the_oxalate() -> None:
    done = worked(
        "permanganate-oxalate",
        [("0.10", "25.35", {"mass": "0.1702"}), ("0.20", "25.22", {"mass": "0.1688"})],
        blank=plain(("0.00", "0.05")),
        purity="0.9990",
    )

    each = [0.1702 * 0.999 / 133.998 * 2 / 5 / 0.02520, 0.1688 * 0.999 / 133.998 * 2 / 5 / 0.02497]
    assert done.value == pytest.approx(sum(each) / 2, rel=1e-12)
    assert done.unit == "mol/L"


def test_permanganate_is_standardised_by_aliquots_of_an_oxalate_solution() -> None:
    done = worked(
        "permanganate-oxalate", plain(("0.10", "24.90"), ("1.00", "25.84")),
        mass="1.6750", purity="1.0000", flask="250", aliquot="25.00",
    )  # fmt: skip

    titre = (24.80 + 24.84) / 2 / 1000
    assert done.value == pytest.approx(1.6750 / 133.998 / 10 * 2 / 5 / titre, rel=1e-12)


def test_iron_tablets_give_milligrams_in_one_and_percent_by_mass() -> None:
    done = worked(
        "iron-tablets", plain(("0.00", "23.10"), ("0.50", "23.64")),
        titrant="0.00503", tablets="5", mass="1.7520", flask="250", aliquot="25.00", blank="0.02",
    )  # fmt: skip

    grams = 0.00503 * (23.12 - 0.02) / 1000 * 5 * 10 * 55.845
    assert result(done, "m_(each)") == pytest.approx(1000 * grams / 5, rel=1e-12)
    assert result(done, "w_(Fe)") == pytest.approx(100 * grams / 1.7520, rel=1e-12)
    assert [one.unit for one in done.results] == ["% w/w", "mg"]


def test_dichromate_counts_six_irons() -> None:
    done = worked(
        "iron-dichromate",
        [("0.00", "26.90", {"mass": "0.2510"}), ("0.00", "26.10", {"mass": "0.2440"})],
        titrant="0.01667",
    )

    each = [0.01667 * 0.02690 * 6 * 55.845 / 0.2510, 0.01667 * 0.02610 * 6 * 55.845 / 0.2440]
    assert done.value == pytest.approx(100 * sum(each) / 2, rel=1e-12)


def test_cerium_is_standardised_one_to_one() -> None:
    done = worked("cerium-iron", [("0.00", "24.95", {"mass": "0.9810"})], purity="0.9950")

    assert done.value == pytest.approx(0.9810 * 0.9950 / 392.125 / 0.02495, rel=1e-12)


def test_iron_by_cerium_through_a_flask() -> None:
    done = worked(
        "iron-cerium",
        plain(("0.00", "22.00")),
        titrant="0.1012",
        mass="6.9000",
        flask="250.0",
        aliquot="25.00",
    )

    assert done.value == pytest.approx(100 * 0.1012 * 0.02200 * 10 * 55.845 / 6.9000, rel=1e-12)


def test_thiosulfate_takes_six_for_each_weighed_iodate() -> None:
    done = worked(
        "thiosulfate-iodate",
        [("0.00", "25.02", {"mass": "0.0890"}), ("0.00", "24.90", {"mass": "0.0886"})],
        blank=plain(("0.00", "0.03"), ("0.03", "0.08")),
        purity="1.0000",
    )

    each = [0.0890 / 213.995 * 6 / (0.02502 - 0.00004), 0.0886 / 213.995 * 6 / (0.02490 - 0.00004)]
    assert done.value == pytest.approx(sum(each) / 2, rel=1e-12)


def test_thiosulfate_by_an_iodate_solution_weighed_or_known() -> None:
    weighed = worked(
        "thiosulfate-iodate",
        plain(("0.00", "24.70")),
        mass="0.8916",
        purity="1.0000",
        flask="250",
        aliquot="25.00",
    )
    known = worked("thiosulfate-iodate", plain(("0.00", "24.70")), standard="0.01667", aliquot="25.00")

    assert weighed.value == pytest.approx(0.8916 / 213.995 / 10 * 6 / 0.02470, rel=1e-12)
    assert known.value == pytest.approx(0.01667 * 0.02500 * 6 / 0.02470, rel=1e-12)


def test_bleach_by_volume_by_mass_and_as_hypochlorite() -> None:
    done = worked(
        "bleach", plain(("0.00", "28.20")),
        titrant="0.1000", aliquot="25.00", stock="25.00", flask="250", density="1.08",
    )  # fmt: skip

    moles_per_litre = 0.1000 * 0.02820 / 2 / 0.02500 * 10
    assert result(done, "gamma_(NaOCl)") == pytest.approx(moles_per_litre * 74.439, rel=1e-12)
    assert result(done, "gamma_(Cl2)") == pytest.approx(moles_per_litre * 70.90 / 10, rel=1e-12)
    assert result(done, "w_(Cl2)") == pytest.approx(moles_per_litre * 70.90 / 1080 * 100, rel=1e-12)


def test_bleach_without_density_ends_in_percent_by_volume() -> None:
    done = worked(
        "bleach", plain(("0.00", "14.10")), titrant="0.1000", aliquot="10.00", stock="10.00", flask="100"
    )

    assert (done.unit, len(done.results)) == ("% w/v", 2)
    assert done.value == pytest.approx(0.1000 * 14.10 / 2 / 10 * 10 * 70.90 / 10, rel=1e-12)


def test_copper_takes_one_thiosulfate() -> None:
    done = worked("copper-iodometry", [("0.00", "24.98", {"mass": "0.6240"})], titrant="0.1000", blank="0.02")

    assert done.value == pytest.approx(100 * 0.1000 * 0.02496 * 63.546 / 0.6240, rel=1e-12)


def test_vitamin_c_by_iodine_and_by_three_times_less_iodate() -> None:
    page = [("0.00", "24.00", {"mass": "0.4000"}), ("0.00", "24.36", {"mass": "0.4060"})]
    by_iodine = worked("vitamin-c", page, titrant="0.0500", tablet="0.620")
    by_iodate = worked("vitamin-c-iodate", page, titrant="0.01667")

    part = (0.02400 / 0.4000 + 0.02436 / 0.4060) / 2 * 176.124
    assert result(by_iodine, "w_(C6H8O6)") == pytest.approx(100 * 0.0500 * part, rel=1e-12)
    assert result(by_iodine, "m_(each)") == pytest.approx(1000 * 0.0500 * part * 0.620, rel=1e-12)
    assert by_iodate.value == pytest.approx(100 * 3 * 0.01667 * part, rel=1e-12)


def test_vitamin_c_in_a_diluted_juice() -> None:
    page = plain(("0.00", "11.40"))
    by_iodine = worked(
        "vitamin-c-juice", page, titrant="0.00300", aliquot="50.00", stock="100.0", flask="250"
    )
    by_iodate = worked(
        "vitamin-c-juice-iodate", page, titrant="0.00100", aliquot="50.00", stock="100.0", flask="250"
    )

    for done in (by_iodine, by_iodate):
        assert done.value == pytest.approx(1000 * 0.00300 * 0.01140 / 0.05000 * 2.5 * 176.124, rel=1e-12)
        assert done.unit == "mg/L"


def test_dissolved_oxygen_is_a_quarter_of_the_thiosulfate() -> None:
    done = worked("dissolved-oxygen", plain(("0.00", "10.12")), titrant="0.01000", aliquot="100.0")

    assert done.value == pytest.approx(1000 * 0.01000 * 0.01012 / 4 / 0.1000 * 31.998, rel=1e-12)


def test_dissolved_oxygen_allows_for_the_water_the_reagents_pushed_out() -> None:
    page = plain(("0.00", "10.12"))
    plainly = worked("dissolved-oxygen", page, titrant="0.01000", aliquot="100.0")
    corrected = worked(
        "dissolved-oxygen", page, titrant="0.01000", aliquot="100.0", vessel="125.0", reagents="2.0"
    )

    assert corrected.value == pytest.approx(plainly.value * 125 / 123, rel=1e-12)


def test_oxygen_demand_is_the_blank_less_the_titre() -> None:
    done = worked(
        "chemical-oxygen-demand", plain(("0.00", "15.52"), ("0.00", "15.48")),
        blank=plain(("0.00", "24.92"), ("0.00", "24.88")), titrant="0.1200", aliquot="10.00",
    )  # fmt: skip

    assert done.value == pytest.approx(
        1000 * (24.90 - 15.50) / 1000 * 0.1200 / 4 / 0.01000 * 31.998, rel=1e-12
    )
    assert done.unit == "mg/L as O2"


def test_oxygen_demand_of_a_diluted_water_with_the_blank_as_a_value() -> None:
    done = worked(
        "chemical-oxygen-demand", plain(("0.00", "15.50")),
        blank="24.90", titrant="0.1200", aliquot="10.00", stock="20.00", flask="100",
    )  # fmt: skip

    assert done.value == pytest.approx(1000 * 9.40e-3 * 0.1200 / 4 / 0.01000 * 31.998 * 5, rel=1e-12)


def test_water_in_an_iron_salt() -> None:
    done = worked("water-in-a-hydrate", [("0.00", "24.99", {"mass": "0.9800"})], titrant="0.02000")

    formula_units = 5 * 0.02000 * 0.02499
    assert done.value == pytest.approx((0.9800 / formula_units - 284.035) / 18.015, rel=1e-10)
    assert done.value == pytest.approx(6, abs=0.02)


def test_water_in_oxalic_acid_from_one_flask() -> None:
    done = worked(
        "water-in-oxalic-acid",
        plain(("0.00", "24.96")),
        titrant="0.1000",
        mass="1.5760",
        flask="250",
        aliquot="25.00",
    )

    found = 0.1000 * 0.02496 / 2 * 10
    assert done.value == pytest.approx((1.5760 / found - 90.034) / 18.015, rel=1e-10)
