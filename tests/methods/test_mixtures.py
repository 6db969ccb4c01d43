"""Alkali mixtures by two end points: told, worked out as what they hold, or as everything they may hold."""

from __future__ import annotations

from dataclasses import replace

import pytest

from halfdrop.core.findings import Severity
from halfdrop.core.glassware.readings import Reading
from halfdrop.core.titration.record import Refill
from halfdrop.core.titration.work import Worked, work_out
from halfdrop.files.methods import shipped_blocks
from tests.methods.written import Page, read, result, worked

MOLAR = {"NaOH": 39.997, "Na2CO3": 105.988, "NaHCO3": 84.006}


def page(*ends: tuple[str, str]) -> Page:
    return [("0.00", first, {"second": second}) for first, second in ends]


def soda(*ends: tuple[str, str]) -> Worked:
    return worked("alkali-mixture", page(*ends), titrant="0.1000", mass="0.2000")


def shares(done: Worked) -> dict[str, float]:
    return {one.symbol.removeprefix("w_(").removesuffix(")"): one.value for one in done.results}


@pytest.mark.parametrize(
    ("amounts_mmol", "case"),
    [
        ({"NaOH": 2.0}, "hydroxide"),
        ({"NaOH": 0.5, "Na2CO3": 1.5}, "hydroxide+carbonate"),
        ({"Na2CO3": 1.6}, "carbonate"),
        ({"Na2CO3": 1.1, "NaHCO3": 0.7}, "carbonate+hydrogencarbonate"),
        ({"NaHCO3": 2.2}, "hydrogencarbonate"),
    ],
)
def test_a_mixture_made_of_known_amounts_is_found_again(amounts_mmol: dict[str, float], case: str) -> None:
    hydroxide, carbonate, hydrogen = (amounts_mmol.get(name, 0.0) for name in MOLAR)
    first = (hydroxide + carbonate) / 0.1
    second = first + (carbonate + hydrogen) / 0.1
    done = soda((f"{first:.4f}", f"{second:.4f}"))

    readings = {done.case: done, **done.others}
    wanted = {name: 100 * amount * MOLAR[name] / 200 for name, amount in amounts_mmol.items()}
    assert shares(readings[case]) == pytest.approx(wanted, rel=1e-9)


def test_aliquots_of_a_flask_are_averaged_before_the_parts_are_worked_out() -> None:
    done = worked(
        "alkali-mixture", page(("14.10", "25.95"), ("14.06", "25.90")),
        titrant="0.1000", mass="1.2340", flask="250", aliquot="25.00",
    )  # fmt: skip

    first, total = 14.08, 25.925
    assert done.case == "hydroxide+carbonate"
    acid = {"NaOH": first - (total - first), "Na2CO3": 2 * (total - first) / 2}
    wanted = {name: 100 * 0.1 * ml / 1000 * 10 * MOLAR[name] / 1.2340 for name, ml in acid.items()}
    assert shares(done) == pytest.approx(wanted, rel=1e-9)


def test_trials_are_compared_by_the_whole_volume_to_the_second_end_point() -> None:
    done = worked(
        "alkali-mixture", page(("14.10", "25.95"), ("14.06", "25.90")),
        titrant="0.1000", mass="1.2340", flask="250", aliquot="25.00",
    )  # fmt: skip

    assert done.compared["sample"].values == pytest.approx((25.95, 25.90))
    assert done.built.titres["sample"] == ("titre_1", "titre_2")
    assert done.built.delivered["sample"] == ("titre_2",)


def test_portions_weighed_apart_are_averaged_as_results() -> None:
    rows = (("14.10", "25.95", "0.2500"), ("15.60", "28.80", "0.2770"))
    trials = [("0.00", a, {"second": b, "mass": m}) for a, b, m in rows]
    done = worked("alkali-mixture", trials, titrant="0.1000")

    each = [(2 * float(a) - float(b)) / 1e4 * MOLAR["NaOH"] / float(m) for a, b, m in rows]
    assert done.case == "hydroxide+carbonate"
    assert result(done, "w_(NaOH)") == pytest.approx(100 * sum(each) / 2, rel=1e-9)


def test_equal_volumes_are_given_both_readings() -> None:
    done = soda(("15.00", "30.06"))

    assert (done.case, list(done.others)) == ("carbonate", ["carbonate+hydrogencarbonate"])
    assert shares(done) == pytest.approx({"Na2CO3": 100 * 3.006e-3 / 2 * MOLAR["Na2CO3"] / 0.2})
    other = shares(done.others["carbonate+hydrogencarbonate"])
    assert other["NaHCO3"] == pytest.approx(100 * 0.006e-3 * MOLAR["NaHCO3"] / 0.2)
    assert [f.severity for f in done.findings if f.code == "cannot-be-told-apart"] == [Severity.ATTENTION]


def test_end_points_that_fit_nothing_are_refused() -> None:
    done = soda(("20.00", "15.00"))

    assert [f.severity for f in done.findings if f.code == "no-composition"] == [Severity.REFUSED]


def test_the_scatter_of_the_first_end_point_counts_twice_in_the_hydroxide() -> None:
    # T1 - T2 = 2 T1 - (T1 + T2): one end point counts twice, the other once, each with the method's 0.05 mL
    done = soda(("14.10", "25.95"))
    found = next(one for one in done.results if one.symbol == "w_(NaOH)")

    per_ml = 100 * 0.1 / 1000 * MOLAR["NaOH"] / 0.2
    end_points = found.evaluation.by_group()["repeatability"]
    assert end_points == pytest.approx(per_ml * 0.05 * 5**0.5, rel=1e-9)


def test_a_refill_before_the_first_end_point_counts_in_both() -> None:
    plain = soda(("14.10", "25.95"))
    record = plain.determination
    (trial,) = record.trials
    readings = {"initial": Reading("40.00"), "first": Reading("4.10"), "second": Reading("15.95")}
    refill = Refill(Reading("50.00"), Reading("0.00"), towards="first")
    filled = replace(record, trials=(replace(trial, readings=readings, refills=(refill,)),))
    again = work_out(read("alkali-mixture"), shipped_blocks(), filled)

    assert shares(again) == pytest.approx(shares(plain), rel=1e-12)


def test_alkalinity_is_expressed_as_calcium_carbonate() -> None:
    done = worked("alkalinity", page(("3.20", "14.80")), titrant="0.02010", aliquot="100.0")

    per_ml = 0.02010 / 2 * 100.086 * 1000 / 100
    assert done.case == "carbonate+hydrogencarbonate"
    assert result(done, "gamma_(CO3)") == pytest.approx(6.40 * per_ml, rel=1e-9)
    assert result(done, "gamma_(HCO3)") == pytest.approx(8.40 * per_ml, rel=1e-9)
    assert result(done, "gamma_(total)") == pytest.approx(14.80 * per_ml, rel=1e-9)
    assert {one.unit for one in done.results} == {"mg/L as CaCO3"}
