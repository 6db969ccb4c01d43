"""Molar masses."""

from __future__ import annotations

from math import sqrt

import molmass
import pytest

from halfdrop.core.chemistry.atomic_weights import NoAtomicWeight, atomic_weights
from halfdrop.core.chemistry.formula import parse_formula

# Worked out by hand from the abridged weights of 2021, rounded to three decimals.
BY_HAND = {
    "KHC8H4O4": 204.222,
    "Na2CO3": 105.988,
    "NaHCO3": 84.006,
    "Na2C2O4": 133.998,
    "H2C2O4.2H2O": 126.064,
    "C6H5COOH": 122.123,
    "Na2B4O7.10H2O": 381.363,
    "H2NC(CH2OH)3": 121.136,
    "H3NSO3": 97.088,
    "KH(IO3)2": 389.9,
    "KIO3": 213.995,
    "K2Cr2O7": 294.181,
    "KBrO3": 166.999,
    "As2O3": 197.841,
    "KMnO4": 158.032,
    "(NH4)2Fe(SO4)2.6H2O": 392.125,
    "Na2S2O3.5H2O": 248.172,
    "NaCl": 58.440,
    "KCl": 74.548,
    "AgNO3": 169.874,
    "KSCN": 97.176,
    "CaCO3": 100.086,
    "Na2H2C10H12N2O8.2H2O": 372.238,
    "NaOH": 39.997,
    "HCl": 36.458,
    "H2SO4": 98.072,
    "HNO3": 63.012,
    "NH3": 17.031,
    "CH3COOH": 60.052,
    "C6H8O7": 192.123,
    "C6H8O6": 176.124,
    "C9H8O4": 180.159,
}


@pytest.mark.parametrize(("formula", "mass"), BY_HAND.items())
def test_the_molar_masses_of_volumetric_work(formula: str, mass: float) -> None:
    found = parse_formula(formula).molar_mass(atomic_weights("CIAAW 2021 abridged"))

    assert found.value == pytest.approx(mass, abs=0.0005)
    assert found.set_name == "CIAAW 2021 abridged"


@pytest.mark.parametrize("formula", [formula for formula in BY_HAND if "." not in formula])
def test_another_library_finds_nearly_the_same(formula: str) -> None:
    found = parse_formula(formula).molar_mass(atomic_weights("CIAAW 2021"))

    assert found.value == pytest.approx(molmass.Formula(formula).mass, rel=3e-4)


def test_the_uncertainty_of_an_element_counts_once_for_each_of_its_atoms() -> None:
    mass = parse_formula("C8H5O4K").molar_mass(atomic_weights("Eurachem"))
    by_hand = sqrt((8 * 0.0008) ** 2 + (5 * 0.00007) ** 2 + (4 * 0.0003) ** 2 + 0.0001**2) / sqrt(3)

    assert mass.standard_uncertainty == pytest.approx(by_hand, rel=1e-12)
    assert mass.contributions["C"] == pytest.approx(8 * 0.0008 / sqrt(3))


def test_the_terms_add_up_to_the_value_in_the_order_of_the_formula() -> None:
    mass = parse_formula("CuSO4.5H2O").molar_mass(atomic_weights())

    assert [(weight.element, atoms) for atoms, weight in mass.terms] == [
        ("Cu", 1), ("S", 1), ("O", 9), ("H", 10),
    ]  # fmt: skip
    assert mass.value == pytest.approx(sum(atoms * weight.value for atoms, weight in mass.terms))


def test_an_ion_weighs_as_much_as_its_atoms() -> None:
    weights = atomic_weights()

    assert parse_formula("MnO4-").molar_mass(weights) == parse_formula("MnO4").molar_mass(weights)


def test_all_elements_that_a_set_lacks_are_named() -> None:
    with pytest.raises(NoAtomicWeight) as lacking:
        parse_formula("NaClO").molar_mass(atomic_weights("Eurachem"))

    assert lacking.value.elements == ("Na", "Cl")


def test_the_electron_has_no_molar_mass() -> None:
    with pytest.raises(ValueError, match="electron"):
        parse_formula("e-").molar_mass(atomic_weights())
