"""Waste by stream and water, against sums by hand; nothing is poured twice or forgotten."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.solutions.amounts import Needs
from halfdrop.core.solutions.waste import Used, flask_stream, special_streams, waste_ml, water_ml

BURETTE = Needs(10, 4, 25.0, 3, 5.0, 2.0, 5.0, 0.25)
PIPETTE = Needs(10, 4, 25.0, 3, 5.0, 0.0, 5.0, 0.25)


def test_silver_takes_the_whole_flask_with_it() -> None:
    used = [
        Used("silver nitrate", "silver", True, BURETTE, 2000),
        Used("chloride", "drain", True, PIPETTE, 2000),
    ]
    # 40 trials of 25 + 25 + 50 mL; of silver the rest of the 10 x 22 mL as well, of chloride the 10 x 20 mL
    assert waste_ml(used) == {"silver": 40 * 100 + 220, "drain": 200}


def test_what_is_not_titrated_goes_where_it_belongs() -> None:
    used = [Used("hydroxide", "neutralise", True, BURETTE, 2000), Used("iodide", "iodine", False, None, 500)]
    assert waste_ml(used) == {"neutralise": 40 * 75 + 220, "iodine": 500}


@given(st.lists(st.sampled_from(["drain", "neutralise", "silver", "iodine"]), min_size=1, max_size=3))
def test_all_that_is_used_is_poured_somewhere(streams: list[str]) -> None:
    used = [Used(f"{k}", stream, True, BURETTE, 3000) for k, stream in enumerate(streams)]
    whole = sum(one.needs.analysts * one.needs.per_analyst_ml for one in used if one.needs) + 40 * 50
    assert sum(waste_ml(used).values()) == pytest.approx(whole)


def test_two_strict_streams_in_one_flask_are_seen() -> None:
    assert special_streams(["silver", "drain", "chromium"]) == ("chromium", "silver")
    assert flask_stream(["silver", "drain", "chromium"]) == "chromium"
    assert flask_stream(["drain"]) == "drain"


def test_water_for_a_class() -> None:
    used = [Used("hydroxide", "neutralise", True, BURETTE, 2000)]
    assert water_ml(used, 10) == {
        "making up": 2000,
        "in the flasks": 2000,
        "wash bottles": 5000,
        "rinsing glass": 10000,
    }
