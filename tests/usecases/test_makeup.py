"""Make-up sheets from a class file: amounts, vessels, claims, order, what is short, what cannot be."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from halfdrop.core.findings import Refused
from halfdrop.core.solutions.makeup import Basis
from halfdrop.usecases.makeup import MakeupAnswer, Sheet, makeup
from tests.usecases.class_files import ACID, CARBONATE, HEAD, HYDROXIDE, SAMPLES, STORE, WHOLE, written


def made(folder: Path, text: str = WHOLE) -> MakeupAnswer:
    return makeup(written(folder, text))


def sheet(folder: Path, text: str) -> Sheet:
    return made(folder, HEAD + STORE + text).sheets[0]


def refused(folder: Path, text: str) -> list[str]:
    with pytest.raises(Refused) as stopped:
        made(folder, text)
    return [one.code for one in stopped.value.findings]


def steps(one: Sheet) -> str:
    return "\n".join(step.says for step in one.instructions)


def test_a_class_gets_what_its_people_take(tmp_path: Path) -> None:
    one = sheet(tmp_path, HYDROXIDE)
    # 12 x (4 x 25 + 3 x 5 + 2 + 5) x 1.25 with the titre of the method at most 25 mL
    assert one.wanted.needs is not None
    each = 4 * one.wanted.needs.per_trial_ml + 3 * 5 + 2 + 5
    assert one.planned.needed_ml == pytest.approx(12 * each * 1.25)
    assert one.planned.made_ml >= one.planned.needed_ml


def test_hydroxide_is_only_near_its_value_and_is_standardised(tmp_path: Path) -> None:
    one = sheet(tmp_path, HYDROXIDE)
    assert one.basis is Basis.NOMINAL
    assert one.claim == "about 0.10 mol/L, to be standardised"
    assert "naoh-khp" in steps(one)
    assert any("mol/L on" in note for note in one.label.notes)


def test_a_weighed_primary_standard_is_claimed_with_its_uncertainty(tmp_path: Path) -> None:
    one = sheet(tmp_path, CARBONATE)
    assert one.basis is Basis.WEIGHED
    assert one.claim.endswith("mol/L (k = 2)")
    assert "±" in one.claim
    assert [batch.flask.name for batch in one.planned.batches] == ["1000 mL flask"]
    assert one.label.notes == ()


def test_a_top_pan_balance_carries_no_claim(tmp_path: Path) -> None:
    text = (HEAD + STORE + CARBONATE).replace('division_g = "0.0001"', 'division_g = "0.01"')
    assert made(tmp_path, text).sheets[0].basis is Basis.NOMINAL


def test_acid_goes_into_water(tmp_path: Path) -> None:
    text = steps(sheet(tmp_path, ACID))
    assert text.index("of water into") < text.index("Measure")
    assert "acid into it" in text


def test_strong_acid_is_made_in_cold_water_in_portions_and_cooled(tmp_path: Path) -> None:
    one = sheet(tmp_path, ACID.replace("HCl", "H2SO4").replace("1000", "250"))
    text = steps(one)
    assert one.planned.rise is not None
    assert one.planned.rise.whole_k > 10
    assert "heat-proof beaker" in text
    assert text.index("cool to room temperature") < text.index("water to the mark")


def test_the_limit_of_a_batch_is_kept(tmp_path: Path) -> None:
    one = sheet(tmp_path, ACID.replace("HCl", "H2SO4").replace('"1"', '"2"').replace("1000", "500"))
    # 100 mL of sulfuric acid make about 900 mL of 2 mol/L: no litre at once
    assert [batch.flask.capacity_ml for batch in one.planned.batches] == [250, 250]


def test_a_batch_that_no_vessel_is_small_enough_for_is_refused(tmp_path: Path) -> None:
    store = STORE.replace("capacity_mL = 250", "capacity_mL = 2000")
    assert "batch-limit" in refused(
        tmp_path, HEAD + store + ACID.replace("HCl", "H2SO4").replace('"1"', '"3"')
    )


def test_what_would_boil_is_refused(tmp_path: Path) -> None:
    assert "too-hot" in refused(tmp_path, HEAD + STORE + ACID.replace("HCl", "NaOH").replace('"1"', '"8"'))


def test_thiosulfate_stands_a_day_in_boiled_water_with_carbonate(tmp_path: Path) -> None:
    one = sheet(tmp_path, ACID.replace("HCl", "Na2S2O3").replace('"1"', '"0.1"'))
    text = steps(one)
    assert "Boil the water" in text
    assert "sodium carbonate" in text
    assert sum(step.hours for step in one.instructions) >= 24


def test_several_batches_are_mixed_before_any_is_given_out(tmp_path: Path) -> None:
    assert "Pour all 3 batches together" in steps(sheet(tmp_path, CARBONATE.replace("1000", "3000")))


def test_a_stock_is_diluted_with_a_pipette(tmp_path: Path) -> None:
    stock = (
        '[[stock]]\nname = "strong hydroxide"\nspecies = "NaOH"\n'
        'concentration_mol_L = "2.000"\nu_mol_L = "0.004"\n'
        'volume_mL = 900\nknown_by = "standardised 2026-09-14"\n'
    )
    wanted = ACID.replace("HCl", "NaOH").replace('"1"', '"0.1"') + 'from = "strong hydroxide"\n'
    one = sheet(tmp_path, stock + wanted)
    assert one.batch.measure.name == "50 mL pipette"
    assert one.batch.amount_text == "50.0"
    assert one.basis is Basis.DILUTED
    assert one.batch.value == pytest.approx(0.1)


def test_what_is_short_is_said_with_how_much(tmp_path: Path) -> None:
    lot = '[[lot]]\nreagent = "sodium-hydroxide"\namount_g = "3"\n'
    short = [
        one for one in made(tmp_path, HEAD + STORE + lot + HYDROXIDE).findings if one.code == "stock-short"
    ]
    assert len(short) == 1
    assert short[0].evidence["there"] == 3


def test_a_lot_out_of_date_does_not_count(tmp_path: Path) -> None:
    lot = '[[lot]]\nreagent = "sodium-hydroxide"\namount_g = "500"\nexpires = 2026-01-31\n'
    assert "stock-short" in [one.code for one in made(tmp_path, HEAD + STORE + lot + HYDROXIDE).findings]


def test_the_purity_on_the_bottle_goes_before_the_shipped_one(tmp_path: Path) -> None:
    lot = '[[lot]]\nreagent = "sodium-carbonate"\namount_g = "500"\n'
    lot += 'purity = "0.9900"\npurity_limits = "0.0001"\n'
    plain, own = sheet(tmp_path, CARBONATE), sheet(tmp_path, lot + CARBONATE)
    assert own.batch.exact_amount / plain.batch.exact_amount == pytest.approx(0.9995 / 0.99)


def test_buoyancy_is_corrected_on_demand(tmp_path: Path) -> None:
    plain, lifted = (
        sheet(tmp_path, CARBONATE),
        made(tmp_path, "buoyancy = true\n" + HEAD + STORE + CARBONATE).sheets[0],
    )
    # (1 - 0.0012/8.0) / (1 - 0.0012/2.53)
    assert plain.batch.exact_amount / lifted.batch.exact_amount == pytest.approx(1.000325, abs=5e-6)


def test_hazards_follow_the_strength(tmp_path: Path) -> None:
    weak = sheet(tmp_path, ACID.replace("HCl", "NaOH").replace('"1"', '"0.1"'))
    strong = sheet(tmp_path, ACID.replace("HCl", "NaOH"))
    assert weak.elements.signal == "Warning"
    assert strong.elements.signal == "Danger"
    assert "H314" in strong.label.codes


def test_the_same_file_gives_the_same_samples_and_another_seed_others(tmp_path: Path) -> None:
    text = HEAD + STORE + ACID + SAMPLES
    first, again = made(tmp_path, text).issued, made(tmp_path, text).issued
    other = made(tmp_path, text.replace("seed = 7", "seed = 8")).issued
    assert first == again
    assert first[0].samples != other[0].samples


def test_samples_are_different_within_the_range_and_labelled_without_order(tmp_path: Path) -> None:
    (issued,) = made(tmp_path, HEAD + STORE + ACID + SAMPLES).issued
    values = [one.true for one in issued.samples]
    assert len(set(values)) == 12
    assert all(0.08 <= value <= 0.12 for value in values)
    assert all(one.true == pytest.approx(one.taken_ml * 1 / 250) for one in issued.samples)


def test_sealed_values_are_in_no_answer(tmp_path: Path) -> None:
    answer = made(tmp_path)
    text = json.dumps(answer.to_json()) + "".join(f"{one}" for one in answer.labels())
    assert all(f"{one.true:.4g}" not in text for one in answer.issued[0].samples)


def test_every_bottle_and_sample_has_an_identity_of_its_own(tmp_path: Path) -> None:
    labels = made(tmp_path).labels()
    assert len({one.identity for one in labels}) == len(labels) == 3 + 12


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('concentration_mol_L = "0.05"', 'concentration_mol_L = "-0.05"', "number-out-of-range"),
        ('concentration_mol_L = "0.05"', 'concentration_mol_L = "50"', "number-out-of-range"),
        ('concentration_mol_L = "0.05"', 'concentration_mol_L = "14"', "too-strong"),
        ('species = "Na2CO3"', 'species = "KBrO3"', "reagent-unknown"),
        ('species = "HCl"', 'species = "HCl"\nfrom = "hydrochloric"', "reagent-unknown"),
        ("capacity_mL = 1000", "capacity_mL = -1", "number-out-of-range"),
        ("capacity_mL = 1000", "capacity_mL = 1000000", "number-out-of-range"),
        ('kind = "cylinder"', 'kind = "jug"', "not-an-option"),
        ("division_mL = 1", "", "key-missing"),
        ("analysts = 12", "analysts = 0", "number-out-of-range"),
        ("analysts = 12", "analysts = 1000000", "number-out-of-range"),
        ('method = "vinegar"', 'method = "vineger"', "method-unknown"),
        ('when = "2026-09-17 14:00"', 'when = "Thursday"', "not-a-time"),
        ("count = 12", "count = 5000", "number-out-of-range"),
        ('high_mol_L = "0.12"', 'high_mol_L = "0.07"', "range"),
        ('high_mol_L = "0.12"', 'high_mol_L = "1.5"', "unknown-too-strong"),
        ('high_mol_L = "0.12"', 'high_mol_L = "0.0801"', "unknown-range"),
        ('of = "acid"', 'of = "vinegar"', "solution-unknown"),
        ('linearity_mg = "0.3"', 'linearity_mg = "0.3"\nu_mg = "0.1"', "balance-uncertainty"),
        ("trials = 4", "trails = 4", "key-unknown"),
    ],
)
def test_what_cannot_be_is_refused(old: str, new: str, code: str, tmp_path: Path) -> None:
    assert old in WHOLE
    assert code in refused(tmp_path, WHOLE.replace(old, new, 1))


def test_litres_for_millilitres_are_asked_about(tmp_path: Path) -> None:
    text = HEAD + STORE + ACID.replace("volume_mL = 1000", 'volume_mL = "1.5"')
    assert "volume-small" in [one.code for one in made(tmp_path, text).findings]


def test_more_batches_than_a_day_holds_are_refused(tmp_path: Path) -> None:
    text = HEAD + STORE + CARBONATE.replace("volume_mL = 1000", "volume_mL = 900000")
    assert "too-many-batches" in refused(tmp_path, text)


def test_nothing_to_make_it_in_and_nothing_to_measure_with(tmp_path: Path) -> None:
    assert "no-vessel" in refused(tmp_path, HEAD + CARBONATE)
    flask = '[[vessel]]\nkind = "flask"\ncapacity_mL = 1000\n'
    assert "no-measure" in refused(tmp_path, HEAD + flask + ACID)
