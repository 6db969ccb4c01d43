"""Amounts for a class, and the flasks and bottles for them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.solutions.amounts import Needs, batches, bottles

FLASKS = st.lists(st.sampled_from([100.0, 250.0, 500.0, 1000.0, 2000.0]), min_size=1, max_size=5)


def test_four_runs_of_25_ml_reproduce_the_150_ml_of_an_examination() -> None:
    one = Needs(1, 4, 25.0, rinses=3, rinse_ml=8.0, priming_ml=2.0, dead_ml=5.0)
    assert one.per_analyst_ml == pytest.approx(131)
    assert Needs(1, 4, 25.0, 3, 8.0, 2.0, 5.0, spare=0.15).total_ml == pytest.approx(150, abs=1)


@given(st.integers(1, 200), st.floats(0, 1))
def test_a_class_takes_as_much_as_its_people_and_the_spare_part(analysts: int, spare: float) -> None:
    one = Needs(analysts, 4, 25.0, 3, 5.0, 2.0, 5.0, spare)
    assert one.total_ml == pytest.approx(analysts * one.per_analyst_ml * (1 + spare))


@pytest.mark.parametrize(
    ("total", "flasks", "wanted"),
    [
        (2300, [1000, 500, 250], (1000, 1000, 500)),
        (2000, [1000, 500], (1000, 1000)),
        (750, [1000, 500, 250], (1000,)),
        (1100, [1000, 500, 250], (1000, 250)),
        (90, [100, 250], (100,)),
    ],
)
def test_the_fewest_batches_and_then_the_least_volume(
    total: float, flasks: list[float], wanted: tuple[float, ...]
) -> None:
    assert batches(total, flasks) == wanted


@given(st.floats(1, 20000), FLASKS)
def test_batches_hold_enough_and_no_batch_could_be_left_out(total: float, flasks: list[float]) -> None:
    found = batches(total, flasks)
    assert sum(found) >= total * (1 - 2e-6)
    assert (len(found) - 1) * max(flasks) <= total * (1 + 2e-6)
    assert set(found) <= set(flasks)


def test_a_batch_is_not_larger_than_it_may_be() -> None:
    assert batches(900, [1000, 500], largest_ml=600) == (500, 500)
    assert batches(900, [1000], largest_ml=600) == ()


@pytest.mark.parametrize(
    ("volume", "there", "wanted"),
    [
        (2300, [2500, 1000, 500], (2500,)),
        (600, [2500, 1000, 500], (1000,)),
        (3200, [2500, 1000, 500], (2500, 1000)),
        (5000, [2500, 1000], ()),
    ],
)
def test_bottles_are_the_fewest_that_hold_it(
    volume: float, there: list[float], wanted: tuple[float, ...]
) -> None:
    assert bottles(volume, there) == wanted


@given(st.floats(1, 6000), st.lists(st.sampled_from([250.0, 500.0, 1000.0, 2500.0]), max_size=6))
def test_bottles_hold_it_or_there_are_not_enough(volume: float, there: list[float]) -> None:
    found = bottles(volume, there)
    if found:
        assert sum(found) >= volume - 1e-5
        assert all(found.count(size) <= there.count(size) for size in found)
    else:
        assert sum(there) < volume


def test_nobody_and_negative_volumes_are_no_class() -> None:
    with pytest.raises(ValueError, match="one analyst"):
        Needs(0, 4, 25.0)
    with pytest.raises(ValueError, match="zero or more"):
        Needs(1, 4, -25.0)
    with pytest.raises(ValueError, match="above zero"):
        batches(0, [100])
