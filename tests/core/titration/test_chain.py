"""Chains in which one determination is reached twice."""

from __future__ import annotations

from dataclasses import replace

import pytest

from halfdrop.core.titration.chain import determinations, repeated
from halfdrop.core.titration.method import Method, Quantity
from halfdrop.core.titration.record import Determination
from halfdrop.core.titration.work import Worked, work_out
from tests.core.titration import pages


def ratio_method() -> Method:
    """Return a method whose result is the ratio of acid to hydroxide, times the titre."""
    strength = Quantity("titrant", "concentration", "mol/L", "c_b", "hydroxide", species="NaOH")
    other = Quantity("acid", "concentration", "mol/L", "c_a", "acid", species="HCl")
    line = {"line": "times", "symbol": "r", "unit": "1", "formula": "acid / titrant", "role": "factor"}
    product = {"line": "reach", "symbol": "R", "unit": "mL", "formula": "times * volume", "role": "factor"}
    return pages.method(
        "ratio", {"titrant": strength, "acid": other}, {}, ({"block": "titre", "as": "volume"}, line, product)
    )


def diamond(digest: str) -> Worked:
    """Return a page that rests on a hydroxide, and on an acid that rests on it as well."""
    blocks = pages.blocks()
    base = work_out(pages.hydroxide(), blocks, replace(pages.hydroxide_page(), digest=digest))
    acid = work_out(pages.acid(), blocks, pages.acid_page("B2"), {"titrant": base})
    page: Determination = replace(pages.acid_page("B3"), given={}, links={"titrant": "", "acid": ""})
    return work_out(ratio_method(), blocks, page, {"titrant": base, "acid": acid})


def test_a_page_reached_twice_is_one_determination() -> None:
    twice = diamond("the same page")

    assert repeated(twice.links) == {"acid.titrant": "titrant"}
    assert not any(name.startswith("acid.titrant.") for name in twice.working.inputs)


def test_what_a_page_reached_twice_is_uncertain_by_cancels_from_a_ratio() -> None:
    once, taken_for_two = diamond("the same page"), diamond("")

    by_group = once.evaluation.by_group()

    assert once.value == pytest.approx(taken_for_two.value, rel=1e-12)
    assert by_group["purity"] == pytest.approx(0, abs=1e-12)
    assert taken_for_two.evaluation.by_group()["purity"] > 1e-4
    assert once.u < taken_for_two.u


def test_what_is_rested_on_comes_first() -> None:
    assert list(determinations(diamond("x").links)) == ["titrant", "acid.titrant", "acid"]
