"""System files: constants and substances are found, and all that is wrong is said at once."""

from __future__ import annotations

import numpy as np
import pytest

from halfdrop.core.findings import Severity
from halfdrop.files.equilibria import constant_set, set_names, shipped_indicators, shipped_substances
from halfdrop.files.system import SystemRead, system_from
from halfdrop.files.toml_text import parse_toml

ACETIC = """
kind = "acid-base"
flask_mL = "25.00"
[flask]
CH3COOH = "0.1000"
[burette]
NaOH = "0.1000"
"""


def read(text: str) -> SystemRead:
    """Return a system that has nothing wrong with it."""
    toml, findings = parse_toml(text, "system.toml")
    assert toml is not None, findings
    found, said = system_from(toml)
    assert found is not None, said
    return found


def complaints(text: str) -> dict[str, str]:
    """Return codes with messages of what makes a text unusable."""
    toml, findings = parse_toml(text, "system.toml")
    assert toml is not None, findings
    found, said = system_from(toml)
    assert found is None
    assert all(one.place.file for one in said if one.severity is Severity.REFUSED)
    return {one.code: one.message for one in said if one.severity is Severity.REFUSED}


@pytest.mark.parametrize("name", set_names())
def test_a_shipped_set_names_its_source_and_has_its_constants_in_order(name: str) -> None:
    found = constant_set(name)
    assert found.source
    assert all(list(acid.pkas) == sorted(acid.pkas) for acid in found.acids.values())


def test_every_shipped_indicator_says_for_whom_it_is_hard_and_where_its_range_is_from() -> None:
    assert len(shipped_indicators()) > 10
    assert all(one.eyes and one.source for one in shipped_indicators())


def test_substances_give_ions_that_some_set_knows() -> None:
    equations, spectators = shipped_substances()
    known = {
        form for name in set_names() for acid in constant_set(name).acids.values() for form in acid.forms
    }
    ions = {one.notation for equation in equations for one, n in equation.net.items() if n > 0 and one.charge}
    assert ions - known - spectators <= {"H^+", "OH^-"}


def test_constants_that_change_with_temperature_pass_through_those_at_25() -> None:
    found = constant_set("phreeqc")
    warm, same = found.at(37.0), found.at(25.0 + 1e-9)
    assert warm.pkw == pytest.approx(13.62, abs=0.01)
    assert same.acids["carbonate"].pkas == pytest.approx(found.acids["carbonate"].pkas, abs=0.002)


def test_a_salt_of_a_weak_acid_is_read_with_its_ions() -> None:
    soda = read(ACETIC.replace("CH3COOH", "Na2CO3").replace("NaOH", "HCl")).system
    ends = [one.volume_ml for one in soda.equivalences]
    assert ends == pytest.approx([25.0, 50.0])
    assert np.diff(soda.value(np.linspace(0, 60, 50))).max() < 0


def test_borax_is_two_bases() -> None:
    borax = read(ACETIC.replace("CH3COOH", '"Na2B4O7.10H2O"').replace("NaOH", "HCl")).system
    assert borax.equivalences[-1].volume_ml == pytest.approx(50.0)


def test_a_substance_of_ones_own_is_dissolved_by_its_own_equation() -> None:
    text = 'dissolves = ["C2H5COONa -> Na^+ + C2H5COO^-"]\n' + ACETIC.replace("CH3COOH", "C2H5COONa")
    text = text.replace("NaOH", "HCl")
    text += '[[acid]]\nname = "propionate"\nforms = ["C2H5COO^-", "C2H5COOH"]\npka = [4.87]\n'
    assert [one.volume_ml for one in read(text).system.equivalences] == pytest.approx([25.0])


def test_an_equation_that_does_not_balance_is_told() -> None:
    text = 'dissolves = ["NaBr -> 2 Na^+ + Br^-"]\n' + ACETIC
    assert "equation-not-usable" in complaints(text)


def test_everything_wrong_is_told_at_once() -> None:
    text = ACETIC.replace('"25.00"', '"-25.00"').replace('NaOH = "0.1000"', "NaOH = nan")
    text = text.replace("kind", "points = 1000000\nactivity = 'davis'\nkind")
    assert {"number-out-of-range", "not-a-number", "too-many-points", "not-an-option"} <= set(
        complaints(text)
    )


def test_constants_out_of_order_are_told() -> None:
    text = ACETIC + '[[acid]]\nname = "x"\nforms = ["C4H4O4^2-", "HC4H4O4^-", "H2C4H4O4"]\npka = [6.2, 1.9]\n'
    assert "out of order" in complaints(text)["constants-out-of-order"]


def test_a_substance_unknown_to_the_set_is_told_with_the_way_out() -> None:
    assert "dissolves" in complaints(ACETIC.replace("CH3COOH", "C6H5COOH"))["substance-unknown"]
    assert "openstax" in complaints(ACETIC.replace("CH3COOH", "Na2C2O4"))["constants-missing"]


def test_what_does_not_react_is_told() -> None:
    assert "nothing-reacts" in complaints(ACETIC.replace("CH3COOH", "NaCl").replace("NaOH", "KCl"))


def test_a_potential_asks_for_its_medium() -> None:
    text = 'kind = "redox"\nflask_mL = 25\n[flask]\n"Fe^2+" = 0.1\n[burette]\n"Ce^4+" = 0.1\n'
    assert "1 mol/L H2SO4" in complaints(text)["medium-needed"]
    system = read('medium = "1 mol/L H2SO4"\n' + text).system
    assert system.value(np.array([25.0]))[0] == pytest.approx((0.68 + 1.44) / 2)


def test_two_metals_end_in_the_order_of_their_constants() -> None:
    text = """
kind = "complexation"
flask_mL = 50
pH = 10
[flask]
"Mg^2+" = 0.005
"Ca^2+" = 0.01
[burette]
EDTA = 0.01
"""
    assert [one.volume_ml for one in read(text).system.equivalences] == pytest.approx([50.0, 75.0])
    assert "constants-missing" in complaints(text.replace("Ca^2+", "Al^3+"))


def test_an_empty_flask_is_told() -> None:
    assert "key-missing" in complaints(ACETIC.replace('[flask]\nCH3COOH = "0.1000"\n', ""))
