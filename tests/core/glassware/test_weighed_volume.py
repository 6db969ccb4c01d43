"""The volume of weighed water as a working."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.glassware.air import air_density_kg_m3, volume_20_ml
from halfdrop.core.glassware.weighed_volume import volume_estimates, volume_evaluator, volume_working
from tests.core.glassware.weighed import room
from tests.core.measure.by_gtc import by_gtc, of_analyst


@given(st.floats(0.5, 1000), st.floats(5, 35))
def test_the_working_gives_what_the_plain_formula_gives(net_g: float, t: float) -> None:
    gross, tare, read = np.array([25 + net_g]), np.array([25.0]), np.array([net_g])
    air = air_density_kg_m3(21.0, 1005.0, 45.0)

    done = volume_evaluator().evaluate(volume_estimates(gross, tare, read, room(t)), {})

    assert done.lines["V_20"] == pytest.approx(volume_20_ml(net_g + 0.001, t, air, 9.9e-6), rel=1e-12)
    assert done.value == pytest.approx(done.lines["V_20"] - net_g, abs=1e-12)


def test_its_uncertainty_is_that_of_an_independent_program() -> None:
    net = np.array([10.0, 30.0, 49.9])
    estimates = volume_estimates(net + 25, np.full(3, 25.0), net, room())

    done = volume_evaluator().evaluate(estimates, {})

    for k in range(3):
        other = by_gtc(volume_working(), *of_analyst(k, volume_working(), estimates, {}))
        assert float(done.value[k]) == pytest.approx(other.result.x, abs=1e-12)
        assert float(done.u[k]) == pytest.approx(other.result.u, rel=1e-12)


def test_the_thermometer_acts_through_water_and_glass_as_one_thing() -> None:
    net = np.array([50.0])

    done = volume_evaluator().evaluate(volume_estimates(net + 25, net * 0 + 25, net, room()), {})

    (warm,) = [one for one in done.contributions if one.key == "thermometer:T2"]
    assert warm.inputs == ("rho_w", "t")
    assert float(np.ravel(warm.component)[0]) == pytest.approx(50 * 0.1 * (2.2e-4 - 9.9e-6), rel=0.02)


def test_every_line_has_its_unit_and_the_last_is_the_correction() -> None:
    working = volume_working()

    assert working.result.name == "C"
    assert [step.unit for step in working.steps.values()] == ["g", "1", "g/mL", "mL", "1", "mL", "mL"]
