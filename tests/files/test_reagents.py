"""The shipped reagents are whole, and a reagent without its safety data is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula
from halfdrop.core.findings import Finding
from halfdrop.core.solutions.reagent import Reagent, State, kept_apart
from halfdrop.files.methods import read_method, shipped_method_names
from halfdrop.files.reagents import for_species, read_reagents, shipped_reagents, shipped_streams

REAGENTS = list(shipped_reagents().values())
GOOD = """
[cautions]
level = "any class"
hood = "not needed"
substitute = "none"
protection = "goggles"
spill = "wipe"
eyes = "rinse"
never_mix = "nothing known"
source = "supplier"
[[reagent]]
name = "borax"
formula = "Na2B4O7.10H2O"
purity = "0.999"
purity_limits = "0.001"
purity_source = "bottle"
why_secondary = "it loses water"
keeps_days = 30
keep_how = "closed"
keep_source = "common practice"
codes = []
bands = [{ from_mol_L = "0", codes = [] }]
bands_source = "supplier"
waste = "drain"
"""


def _read(tmp_path: Path, text: str) -> tuple[tuple[Reagent, ...], list[Finding]]:
    file = tmp_path / "own.toml"
    file.write_text(text, encoding="utf-8")
    return read_reagents(file)


@pytest.mark.parametrize("reagent", REAGENTS, ids=lambda one: one.name)
def test_a_shipped_reagent_can_be_weighed_and_standardised(reagent: Reagent) -> None:
    assert parse_formula(reagent.formula).molar_mass(atomic_weights()).value > 0
    assert reagent.is_primary == (not reagent.why_secondary)
    assert set(reagent.standardise_by) <= set(shipped_method_names())
    assert (reagent.purity is None) == (reagent.state is State.LIQUID)
    assert all(step.source for step in reagent.steps)


def test_everything_that_a_method_pours_from_a_burette_can_be_made() -> None:
    lacking = []
    for name in shipped_method_names():
        method = read_method(name)[0]
        assert method is not None
        for quantity in method.quantities.values():
            if quantity.kind == "concentration" and quantity.species:
                lacking += (
                    [] if list(for_species(quantity.species, shipped_reagents())) else [quantity.species]
                )
    assert lacking == []


def test_what_must_not_meet_is_said_by_both_sides() -> None:
    apart = kept_apart(shipped_streams().values())
    assert all(name in apart[other] for name, others in apart.items() for other in others)
    assert "thiocyanate" in apart["neutralise"]
    assert "ammonia" in apart["silver"]


def test_streams_name_only_streams() -> None:
    streams = shipped_streams()
    assert {name for one in streams.values() for name in one.never} <= set(streams)


def test_a_reagent_of_ones_own_is_read(tmp_path: Path) -> None:
    reagents, findings = _read(tmp_path, GOOD)
    assert findings == []
    assert [one.name for one in reagents] == ["borax"]


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('spill = "wipe"\n', "", "cautions-missing"),
        ("[cautions]", "[caution]", "cautions-missing"),
        ("codes = []\nbands", "bands", "key-missing"),
        ('waste = "drain"', 'waste = "sink"', "waste-unknown"),
        ('waste = "drain"', "", "key-missing"),
        ('"0.999"', '"99.9"', "number-out-of-range"),
        ('from_mol_L = "0"', 'from_mol_L = "0.1"', "bands-missing"),
        ("codes = []\nbands", 'codes = ["H999"]\nbands', "hazard-unknown"),
        ('"Na2B4O7.10H2O"', '"Na2B4O7.10HO2)"', "formula-not-read"),
        ('why_secondary = "it loses water"\n', "", "key-missing"),
    ],
)
def test_a_reagent_that_is_not_whole_is_refused(old: str, new: str, code: str, tmp_path: Path) -> None:
    assert old in GOOD
    reagents, findings = _read(tmp_path, GOOD.replace(old, new))
    assert reagents == ()
    assert code in [one.code for one in findings]
