"""Quantiles and tails, against scipy."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.special
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.measure.quantiles import (
    f_tail,
    incomplete_beta,
    normal_below,
    student_quantile,
    student_tail,
)

DOF = st.floats(0.5, 1e4)


@settings(deadline=None)
@given(st.floats(0.3, 500), st.floats(0.3, 500), st.floats(0, 1))
def test_the_incomplete_beta_function_is_that_of_scipy(a: float, b: float, x: float) -> None:
    assert incomplete_beta(a, b, x) == pytest.approx(scipy.special.betainc(a, b, x), rel=1e-9, abs=1e-13)


@settings(deadline=None)
@given(st.floats(0.55, 0.9999), DOF)
def test_quantiles_of_student_are_those_of_scipy(probability: float, dof: float) -> None:
    wanted = scipy.special.stdtrit(dof, probability)

    assert student_quantile(probability, dof) == pytest.approx(wanted, rel=1e-8)


@settings(deadline=None)
@given(st.floats(0, 1e3), DOF)
def test_the_tail_of_student_is_that_of_scipy(t: float, dof: float) -> None:
    assert student_tail(t, dof) == pytest.approx(scipy.special.stdtr(dof, -t), rel=1e-8, abs=1e-14)


@settings(deadline=None)
@given(st.floats(1e-6, 1e3), DOF, DOF)
def test_the_tail_of_f_is_that_of_scipy(ratio: float, above: float, below: float) -> None:
    assert f_tail(ratio, above, below) == pytest.approx(
        scipy.special.fdtrc(above, below, ratio), rel=1e-8, abs=1e-13
    )


def test_a_known_variance_makes_f_a_chi_squared() -> None:
    assert f_tail(3.0, 2, float("inf")) == pytest.approx(scipy.special.chdtrc(2, 6.0), rel=1e-6)


def test_unlimited_degrees_of_freedom_are_the_normal_distribution() -> None:
    assert student_quantile(0.975, float("inf")) == pytest.approx(scipy.special.ndtri(0.975), rel=1e-12)


def test_normal_probabilities_are_those_of_scipy() -> None:
    values = np.linspace(-9, 9, 37)

    assert normal_below(values) == pytest.approx(scipy.special.ndtr(values), rel=1e-12)


@pytest.mark.parametrize(("probability", "dof"), [(0.4, 5), (1.0, 5), (0.9, 0), (float("nan"), 3)])
def test_what_has_no_quantile_is_said(probability: float, dof: float) -> None:
    with pytest.raises(ValueError, match="no quantile"):
        student_quantile(probability, dof)
