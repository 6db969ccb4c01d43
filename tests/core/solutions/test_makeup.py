"""One batch: the amount to take, the concentration that comes out, what may be said of it, the heat."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula
from halfdrop.core.measure.estimate import Estimate, Shape
from halfdrop.core.solutions.heat import Care, rise
from halfdrop.core.solutions.makeup import (
    Basis,
    Batch,
    Flask,
    Measure,
    assay_estimate,
    basis_of,
    buoyancy_estimate,
    molar_mass_estimate,
    plan_batch,
)
from halfdrop.core.solutions.reagent import Assay, Reagent
from halfdrop.core.solutions.workings import Way
from halfdrop.files.reagents import shipped_reagents

BALANCE = Measure("AB1", "g", 0.0001, 0.0002, Shape.NORMAL, exact=True, source="data sheet")
CYLINDER = Measure("cylinder", "mL", 0.5, 0.3, Shape.RECTANGULAR, exact=False, source="one division")
PIPETTE = Measure("pipette", "mL", 25.0, 0.02, Shape.RECTANGULAR, exact=True, source="ISO 648")
LITRE = Flask("1000 mL flask", 1000.0, 0.4, volumetric=True, source="ISO 1042")
BEAKER = Flask("beaker", 1000.0, 50.0, volumetric=False, source="scale of a beaker")
STILL = {"warmth": Estimate(0.0, 1.0), "expansion": Estimate(2e-4, 1e-5)}
CONCENTRATIONS = st.floats(0.001, 2.0)


def molar_mass(formula: str) -> Estimate:
    return molar_mass_estimate(parse_formula(formula).molar_mass(atomic_weights()), "CIAAW 2021")


def solid(reagent: Reagent, mol_l: float, flask: Flask = LITRE) -> Batch:
    assert reagent.purity is not None
    given = {"purity": assay_estimate(reagent.purity), "molar_mass": molar_mass(reagent.formula), **STILL}
    return plan_batch(Way.SOLID, mol_l, given, BALANCE, flask)


def liquid(reagent: Reagent, mol_l: float) -> Batch:
    assert reagent.mass_fraction is not None
    assert reagent.density_g_ml is not None
    given = {
        "fraction": assay_estimate(reagent.mass_fraction),
        "density": assay_estimate(reagent.density_g_ml),
        "molar_mass": molar_mass(reagent.formula),
        **STILL,
    }
    return plan_batch(Way.LIQUID, mol_l, given, CYLINDER, LITRE)


def test_carbonate_for_a_litre_of_a_twentieth_molar() -> None:
    batch = solid(shipped_reagents()["sodium-carbonate"], 0.05)
    # 0.05 mol x 105.988 g/mol / 0.9995
    assert batch.amount_text == "5.3021"
    assert batch.value == pytest.approx(0.05, rel=1e-5)
    # purity 0.0005/sqrt(3), flask 0.4/sqrt(3) and 0.2 mL, 1 K of 2e-4
    expected = 0.05 * ((0.0005 / 0.9995) ** 2 / 3 + (0.0004**2) / 3 + 0.0002**2 + 0.0002**2) ** 0.5
    assert batch.u == pytest.approx(expected, rel=0.01)


def test_concentrated_acid_for_a_litre_of_a_tenth_molar() -> None:
    batch = liquid(shipped_reagents()["hydrochloric-acid"], 0.1)
    # 0.1 mol x 36.46 g/mol / (1.18 g/mL x 0.36) = 8.58 mL, to half a millilitre
    assert batch.exact_amount == pytest.approx(8.58, abs=0.01)
    assert batch.amount_text == "8.5"
    assert batch.u / batch.value > 0.02


@given(
    CONCENTRATIONS,
    st.sampled_from(["sodium-carbonate", "potassium-hydrogen-phthalate", "sodium-thiosulfate"]),
)
def test_no_mole_is_made_or_lost(mol_l: float, name: str) -> None:
    reagent = shipped_reagents()[name]
    assert reagent.purity is not None
    batch = solid(reagent, mol_l)
    moles = batch.amount * reagent.purity.value / molar_mass(reagent.formula).value
    assert batch.value * 1.0 == pytest.approx(moles)
    assert batch.per_unit * batch.amount == pytest.approx(batch.value)
    assert abs(batch.amount - batch.exact_amount) <= BALANCE.step / 2 * (1 + 1e-9)


@given(st.floats(0.05, 5.0))
def test_diluting_keeps_the_amount_of_substance(stock: float) -> None:
    given_ = {"stock": Estimate(stock, stock * 0.001), **STILL}
    batch = plan_batch(Way.STOCK, stock * 25 / 1000, given_, PIPETTE, LITRE)
    assert batch.amount == 25.0
    assert batch.value * 1000 == pytest.approx(stock * 25)


def test_temperature_acts_on_both_volumes_of_a_dilution() -> None:
    warm = {"warmth": Estimate(5.0, 1.0), "expansion": Estimate(2e-4, 0.0)}
    batch = plan_batch(Way.STOCK, 0.1, {"stock": Estimate(4.0), **warm}, PIPETTE, LITRE)
    assert batch.value == pytest.approx(0.1)  # it cancels
    assert "temperature" in batch.evaluation.by_group()
    assert batch.evaluation.by_group()["temperature"] == pytest.approx(0.0, abs=1e-12)


def test_buoyancy_raises_a_light_solid_by_a_part_in_two_thousand() -> None:
    found = buoyancy_estimate(Assay(1.636, 0.02, "memory"), 0.0012, 0.00001)
    assert found.value == pytest.approx((1 - 0.00015) / (1 - 0.0012 / 1.636))
    assert found.value - 1 == pytest.approx(0.00058, abs=1e-5)


def test_an_amount_that_the_measure_cannot_tell_is_refused() -> None:
    with pytest.raises(ValueError, match="less than"):
        plan_batch(Way.STOCK, 0.001, {"stock": Estimate(4.0), **STILL}, PIPETTE, LITRE)
    with pytest.raises(ValueError, match="above zero"):
        plan_batch(Way.STOCK, 0.0, {"stock": Estimate(4.0), **STILL}, PIPETTE, LITRE)


@pytest.mark.parametrize(
    ("name", "flask", "basis"),
    [
        ("sodium-carbonate", LITRE, Basis.WEIGHED),
        ("sodium-carbonate", BEAKER, Basis.NOMINAL),
        ("sodium-hydroxide", LITRE, Basis.NOMINAL),
        ("silver-nitrate", LITRE, Basis.NOMINAL),
    ],
)
def test_only_a_primary_standard_in_a_flask_carries_a_claim(name: str, flask: Flask, basis: Basis) -> None:
    assert basis_of(shipped_reagents()[name], BALANCE, flask) is basis


def test_no_secondary_standard_ever_carries_a_claim() -> None:
    for reagent in shipped_reagents().values():
        if not reagent.is_primary:
            assert basis_of(reagent, BALANCE, LITRE) is Basis.NOMINAL


def test_a_dilution_is_known_only_when_its_stock_is() -> None:
    assert basis_of(None, PIPETTE, LITRE, stock_known=True) is Basis.DILUTED
    assert basis_of(None, PIPETTE, LITRE) is Basis.NOMINAL
    assert basis_of(None, CYLINDER, LITRE, stock_known=True) is Basis.NOMINAL


@pytest.mark.parametrize(
    ("mol", "kj", "care"),
    [
        (0.1, -44.0, Care.NONE),
        (0.1, 47.0, Care.NONE),
        (0.2, -44.0, Care.WARM),
        (1.0, -44.0, Care.PORTIONS),
        (1.0, -74.0, Care.DANGEROUS),
        (4.0, -44.0, Care.DANGEROUS),
        (8.0, -44.0, Care.REFUSED),
        (0.5, 47.0, Care.COLD),
    ],
)
def test_heat_asks_for_care(mol: float, kj: float, care: Care) -> None:
    assert rise(mol, kj, 1000.0).care is care


def test_heat_by_hand() -> None:
    # 4 g of hydroxide in 100 mL: 4400 J / (4.18 J/(g K) x 100 g)
    assert rise(0.1, -44.0, 100.0).whole_k == pytest.approx(10.53, abs=0.01)
