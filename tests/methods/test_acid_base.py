"""Each acid-base method against the sum written out by hand, with invented numbers.

Molar masses are typed here from the abridged atomic weights of 2021, not taken from the code under test.
"""

from __future__ import annotations

import pytest

from halfdrop.core.titration.back import amplification
from tests.methods.written import plain, result, worked

KHP, NA2CO3, CACO3, NAOH, NAHCO3, ACETIC = 204.222, 105.988, 100.086, 39.997, 84.006, 60.052
NITROGEN, WATER = 14.007, 18.015


def test_hydroxide_is_standardised_one_to_one_by_each_weighing() -> None:
    done = worked(
        "naoh-khp",
        [("0.10", "25.35", {"mass": "0.5105"}), ("0.20", "25.22", {"mass": "0.5061"})],
        blank=plain(("0.00", "0.05"), ("0.05", "0.12")),
        purity="0.9995",
    )

    each = [0.5105 * 0.9995 / KHP / 0.02519, 0.5061 * 0.9995 / KHP / 0.02496]
    assert done.value == pytest.approx(sum(each) / 2, rel=1e-12)
    assert done.unit == "mol/L"


def test_hydroxide_is_standardised_by_aliquots_of_a_phthalate_solution() -> None:
    done = worked(
        "naoh-khp", plain(("0.10", "24.90"), ("1.00", "25.84")),
        mass="5.1050", purity="1.0000", flask="250", aliquot="25.00",
    )  # fmt: skip

    assert done.value == pytest.approx(5.1050 / KHP / 10 / 0.02482, rel=1e-12)


def test_acid_takes_two_for_each_weighed_carbonate() -> None:
    done = worked(
        "hcl-sodium-carbonate",
        [("0.00", "24.60", {"mass": "0.1325"}), ("0.00", "25.05", {"mass": "0.1349"})],
        blank="0.04",
    )

    each = [0.1325 * 2 / NA2CO3 / 0.02456, 0.1349 * 2 / NA2CO3 / 0.02501]
    assert done.value == pytest.approx(sum(each) / 2, rel=1e-12)


def test_acid_is_standardised_by_aliquots_of_a_carbonate_solution() -> None:
    done = worked(
        "hcl-sodium-carbonate", plain(("0.00", "23.90")), mass="1.3250", flask="250.0", aliquot="25.00"
    )

    assert done.value == pytest.approx(1.3250 * 2 / NA2CO3 / 10 / 0.02390, rel=1e-12)


def test_strong_acid_by_strong_base_with_and_without_dilution() -> None:
    page = plain(("0.05", "24.40"), ("0.30", "24.69"))
    straight = worked("strong-acid-strong-base", page, titrant="0.1023", aliquot="25.00", blank="0.03")
    diluted = worked(
        "strong-acid-strong-base", page, titrant="0.1023", aliquot="25.00", blank="0.03",
        flask="250", stock="20.00",
    )  # fmt: skip

    wanted = 0.1023 * (24.37 - 0.03) / 25.00
    assert straight.value == pytest.approx(wanted, rel=1e-12)
    assert diluted.value == pytest.approx(wanted * 250 / 20, rel=1e-12)


def test_an_overshoot_comes_off_its_own_trial() -> None:
    done = worked(
        "acid-base-overshoot",
        [
            ("0.00", "26.10", {"back_initial": "1.00", "back_final": "2.50"}),
            ("0.00", "24.62", {}),
        ],
        titrant="0.1000", aliquot="25.00", strength="0.9850",
    )  # fmt: skip

    titres = [26.10 - 1.50 * 0.9850, 24.62]
    assert done.value == pytest.approx(0.1000 * sum(titres) / 2 / 25.00, rel=1e-12)
    assert done.compared["sample"].values == pytest.approx(titres, rel=1e-12)
    assert done.compared["sample"].unit == "mL"


def test_a_page_without_an_overshoot_needs_no_second_burette() -> None:
    done = worked(
        "acid-base-overshoot", plain(("0.00", "24.60")), titrant="0.1", aliquot="25", strength="0.985"
    )

    assert done.value == pytest.approx(0.1 * 24.60 / 25, rel=1e-12)


def test_vinegar_is_given_in_three_ways() -> None:
    done = worked(
        "vinegar", plain(("0.00", "20.85"), ("0.10", "20.99")),
        titrant="0.1004", aliquot="25.00", flask="250", stock="25.00", density="1.006", blank="0.05",
    )  # fmt: skip

    strength = 0.1004 * (20.87 - 0.05) / 25.00 * 10
    assert result(done, "c_(CH3COOH)") == pytest.approx(strength, rel=1e-12)
    assert result(done, "gamma_(CH3COOH)") == pytest.approx(strength * ACETIC, rel=1e-12)
    assert result(done, "w_(CH3COOH)") == pytest.approx(strength * ACETIC / 1006 * 100, rel=1e-12)


def test_vinegar_without_a_density_ends_with_grams_in_a_litre() -> None:
    done = worked("vinegar", plain(("0.00", "20.00")), titrant="0.1", aliquot="2.00")

    assert done.value == pytest.approx(0.1 * 20 / 2 * ACETIC, rel=1e-12)
    assert done.unit == "g/L"


def test_an_antacid_uses_up_what_the_back_titre_does_not_find() -> None:
    done = worked(
        "antacid-back-titration",
        [("0.00", "31.85", {"mass": "1.0215"}), ("0.00", "32.10", {"mass": "1.0102"})],
        acid="1.002", excess="50.00", titrant="0.0998", flask="250", aliquot="25.00", piece="1.3500",
    )  # fmt: skip

    parts = [
        (1.002 * 0.05 - 0.0998 * v / 1000 * 10) / 2 * CACO3 / m for v, m in ((31.85, 1.0215), (32.10, 1.0102))
    ]
    assert result(done, "w_(CaCO3)") == pytest.approx(100 * sum(parts) / 2, rel=1e-12)
    assert result(done, "m_(CaCO3,piece)") == pytest.approx(1.35 * sum(parts) / 2, rel=1e-12)


def test_a_blank_of_the_same_excess_needs_neither_its_volume_nor_its_strength() -> None:
    def part(acid: str) -> float:
        return worked(
            "antacid-back-titration", [("0.00", "20.00", {"mass": "0.5000"})],
            acid=acid, excess="50.00", titrant="0.2000", blank="46.00",
        ).value  # fmt: skip

    assert part("0.2") == pytest.approx(100 * 0.2 * 0.02600 / 2 * CACO3 / 0.5, rel=1e-12)
    assert part("0.2") == part("0.3")


def test_the_amplification_of_a_back_titration_is_the_excess_over_what_was_used() -> None:
    done = worked(
        "antacid-back-titration", [("0.00", "45.00", {"mass": "0.1"})],
        acid="0.1", excess="50.00", titrant="0.1",
    )  # fmt: skip

    ((line, factor),) = amplification(done)
    assert line == "n_used"
    assert factor == pytest.approx(50 / 5)


def test_limestone_by_two_burettes() -> None:
    done = worked(
        "limestone-back-titration",
        [
            ("0.00", "35.20", {"mass": "0.2514", "back_initial": "0.10", "back_final": "9.95"}),
            ("0.00", "34.00", {"mass": "0.2490", "back_initial": "9.95", "back_final": "18.80"}),
        ],
        titrant="0.2011", back_titrant="0.1987",
    )  # fmt: skip

    rows = ((35.20, 9.85, 0.2514), (34.00, 8.85, 0.2490))
    parts = [(0.2011 * a - 0.1987 * b) / 1000 / 2 * CACO3 / m for a, b, m in rows]
    assert done.value == pytest.approx(100 * sum(parts) / 2, rel=1e-12)


def test_nitrogen_into_boric_acid_with_its_protein() -> None:
    done = worked(
        "nitrogen-by-distillation",
        [("0.00", "21.30", {"mass": "1.0215"}), ("0.10", "21.65", {"mass": "1.0330"})],
        titrant="0.1003", blank="0.15", protein_factor="6.25",
    )  # fmt: skip

    parts = [0.1003 * v / 1000 * NITROGEN / m for v, m in ((21.15, 1.0215), (21.40, 1.0330))]
    assert result(done, "w_(N)") == pytest.approx(100 * sum(parts) / 2, rel=1e-12)
    assert result(done, "w_(protein)") == pytest.approx(625 * sum(parts) / 2, rel=1e-12)


def test_nitrogen_into_standard_acid_by_excess_and_by_blank() -> None:
    page = [("0.00", "26.50", {"mass": "0.1523"})]
    excess = worked("nitrogen-into-acid", page, acid="0.1002", excess="50.00", titrant="0.0995")
    blank = worked("nitrogen-into-acid", page, acid="0.1002", excess="50.00", titrant="0.0995", blank="50.10")

    by_excess = (0.1002 * 50 - 0.0995 * 26.50) / 1000
    assert excess.value == pytest.approx(100 * by_excess * NITROGEN / 0.1523, rel=1e-12)
    assert blank.value == pytest.approx(100 * 0.0995 * 0.02360 * NITROGEN / 0.1523, rel=1e-12)


@pytest.mark.parametrize("basicity", ["1", "2", "3"])
def test_the_molar_mass_of_an_acid_counts_its_hydrogen_ions(basicity: str) -> None:
    done = worked(
        "molar-mass-of-an-acid", [("0.00", "24.80", {"mass": "0.3050"})], titrant="0.1008", basicity=basicity
    )

    assert done.value == pytest.approx(0.3050 / (0.1008 * 0.02480 / int(basicity)), rel=1e-12)
    assert done.unit == "g/mol"


def test_the_molar_mass_of_an_acid_through_a_flask() -> None:
    done = worked(
        "molar-mass-of-an-acid", plain(("0.00", "23.75")),
        titrant="0.1008", basicity="2", mass="1.5772", flask="250", aliquot="25.00", blank="0.05",
    )  # fmt: skip

    assert done.value == pytest.approx(1.5772 / (0.1008 * 0.02370 / 2 * 10), rel=1e-12)


def test_ten_waters_are_found_in_washing_soda_that_has_ten() -> None:
    titre = 2 * 0.3577 / (NA2CO3 + 10 * WATER) / 0.1000 * 1000
    done = worked("water-in-washing-soda", [("0.00", f"{titre:.6f}", {"mass": "0.3577"})], titrant="0.1000")

    assert done.value == pytest.approx(10, abs=2e-5)


def test_washing_soda_through_a_flask() -> None:
    done = worked(
        "water-in-washing-soda", plain(("0.00", "24.10")),
        titrant="0.1020", mass="3.5770", flask="250", aliquot="25.00",
    )  # fmt: skip

    molar = 3.5770 / (0.1020 * 0.02410 / 2 * 10)
    assert done.value == pytest.approx((molar - NA2CO3) / WATER, rel=1e-12)
