"""The working says which readings make a titre, and which a trial may lack."""

from __future__ import annotations

from dataclasses import replace

from halfdrop.core.titration.deliveries import Delivery, deliveries, optional_readings
from halfdrop.core.titration.method import Method, Series
from tests.core.titration import pages


def overshot() -> Method:
    """Return a method whose overshoot is taken back with a second burette."""
    one = pages.acid()
    back = {"block": "titre", "from": "back_initial", "to": "back_final", "tag": "2",
            "burette": "second_burette", "when": "back_final"}  # fmt: skip
    series = {"sample": Series("sample", "", ("initial", "final", "back_initial", "back_final"))}
    return replace(one, series=series, working=(*one.working, back))


def test_a_titre_runs_from_initial_to_final_unless_it_says_otherwise() -> None:
    assert deliveries(pages.acid(), pages.blocks()) == (
        Delivery("sample", "initial", "final", "burette", "", 1),
    )


def test_a_titre_of_its_own_readings_is_found_with_its_burette() -> None:
    assert deliveries(overshot(), pages.blocks())[1] == Delivery(
        "sample", "back_initial", "back_final", "second_burette", "back_final", 6
    )


def test_only_readings_of_a_second_burette_may_be_missing() -> None:
    assert optional_readings(overshot(), pages.blocks(), "sample") == {"back_initial", "back_final"}
    assert optional_readings(pages.acid(), pages.blocks(), "sample") == frozenset()
