"""One edit of one reading may bring a titre back to the others."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.glassware.mirror import (
    CHANCE,
    CHANCE_THROUGHOUT,
    Mirror,
    agreeing,
    check_mirrored_throughout,
    check_odd_trials,
    mirror_edits,
)
from halfdrop.core.glassware.readings import Graduation, Reading, TrialReadings
from tests.core.glassware.pages import FIFTY, codes, page, trial

LEVELS = st.integers(0, 5000).map(lambda hundredths: Decimal(hundredths) / 100)


def edits(text: str, graduation: Graduation = FIFTY) -> dict[Mirror, str]:
    return {edit.kind: str(edit.would_be_ml) for edit in mirror_edits(Reading(text), graduation)}


def test_a_reading_has_one_image_per_way_of_misreading() -> None:
    assert edits("21.27") == {
        Mirror.ABOVE_LABEL: "20.73",
        Mirror.BETWEEN_LABELS: "21.73",
        Mirror.ABOVE_LINE: "21.13",
        Mirror.BETWEEN_LINES: "21.23",
    }


def test_labels_need_not_be_a_millilitre_apart() -> None:
    tenths = Graduation(Decimal(2), Decimal("0.01"), label_interval_ml=Decimal("0.1"))

    assert edits("1.23", tenths) == {Mirror.ABOVE_LABEL: "1.17", Mirror.BETWEEN_LABELS: "1.27"}


@given(LEVELS)
def test_the_images_are_where_the_rule_says(level: Decimal) -> None:
    floor = level // 1
    wanted = {Mirror.ABOVE_LABEL: 2 * floor - level, Mirror.BETWEEN_LABELS: 2 * floor + 1 - level}

    for edit in mirror_edits(Reading(f"{level:.2f}"), FIFTY):
        assert 0 <= edit.would_be_ml <= 50
        assert edit.would_be_ml != level
        if edit.kind in wanted:
            assert edit.would_be_ml == wanted[edit.kind]


@given(LEVELS)
def test_mirroring_between_labels_twice_is_nothing(level: Decimal) -> None:
    for edit in mirror_edits(Reading(f"{level:.2f}"), FIFTY):
        if edit.kind in (Mirror.BETWEEN_LABELS, Mirror.BETWEEN_LINES):
            back = {e.kind: e.would_be_ml for e in mirror_edits(Reading(f"{edit.would_be_ml:.2f}"), FIFTY)}
            assert back[edit.kind] == level


@pytest.mark.parametrize("text", ["21.05", "21.45", "21.55", "21.95"])
def test_near_the_label_and_the_middle_an_image_proves_nothing(text: str) -> None:
    found = {edit.kind: edit.telling for edit in mirror_edits(Reading(text), FIFTY)}

    assert found[Mirror.BETWEEN_LABELS] is found[Mirror.ABOVE_LABEL] is False


@pytest.mark.parametrize("text", ["21.06", "21.44", "21.56", "21.94"])
def test_further_away_an_image_is_telling(text: str) -> None:
    found = {edit.kind: edit.telling for edit in mirror_edits(Reading(text), FIFTY)}

    assert found[Mirror.BETWEEN_LABELS] is found[Mirror.ABOVE_LABEL] is True


def test_a_final_reading_counted_upwards_is_asked_about() -> None:
    trials = page(*[("0.00", final) for final in ("20.73", "20.72", "20.74", "20.76", "21.27")])

    findings = check_odd_trials(trials, FIFTY)

    assert codes(findings) == ["mirrored-reading"]
    assert findings[0].place.field == "trial 5"
    assert findings[0].evidence["edits"] == [
        {
            "place": "trial 5, final",
            "written": "21.27",
            "would_be": "20.73",
            "kind": Mirror.ABOVE_LABEL.value,
            "titre_ml": 20.73,
        }
    ]
    assert "20.73 for 21.27 (final)" in findings[0].message
    assert "by chance" in findings[0].message


def test_an_initial_reading_is_looked_at_too() -> None:
    trials = page(("0.10", "22.40"), ("0.30", "22.60"), ("1.27", "23.03"))

    found = check_odd_trials(trials, FIFTY)[0].evidence["edits"]

    assert [(e["place"], e["would_be"]) for e in cast("list[dict[str, object]]", found)] == [
        ("trial 3, initial", "0.73")
    ]


def test_several_trials_that_fit_have_weight() -> None:
    trials = page(
        ("0.00", "22.30"), ("0.00", "22.30"), ("0.00", "22.32"), ("0.00", "23.70"), ("0.40", "23.29")
    )

    findings = check_odd_trials(trials, FIFTY)

    assert codes(findings) == ["mirrored-reading"] * 2
    assert findings[0].evidence["trials_that_fit"] == 2
    assert "2 of the 2 trials that stand apart fit such a question; that has weight." in findings[0].message


@pytest.mark.parametrize(
    ("odd", "edit"), [(("0.10", "23.40"), "22.40 for 23.40 (final) or 1.10 for 0.10 (initial)"),
                      (("0.10", "12.42"), "22.42 for 12.42 (final)")],
)  # fmt: skip
def test_a_slip_of_whole_millilitres_is_asked_about(odd: tuple[str, str], edit: str) -> None:
    findings = check_odd_trials(page(("0.00", "22.30"), ("0.20", "22.50"), odd), FIFTY)

    assert codes(findings) == ["whole-ml-apart"]
    assert all(part in findings[0].message for part in edit.split(" or "))


def test_a_trial_far_from_the_others_by_no_likely_slip_is_not_asked_about() -> None:
    assert check_odd_trials(page(("0.00", "12.30"), ("0.20", "12.50"), ("0.10", "35.40")), FIFTY) == []
    assert codes(check_odd_trials(page(("0.00", "12.30"), ("0.20", "12.50"), ("0.10", "32.40")), FIFTY)) == [
        "whole-ml-apart"
    ]


def test_refills_are_edited_where_they_stand() -> None:
    trials = [trial(n, "30.00", "49.00", "0.20", "3.50") for n in "12"] + [
        trial("3", "30.00", "49.00", "0.20", "4.50")
    ]

    found = cast("list[dict[str, object]]", check_odd_trials(trials, FIFTY)[0].evidence["edits"])

    assert {e["place"] for e in found} >= {"trial 3, fill 2, final", "trial 3, fill 2, initial"}


def test_titres_of_different_masses_are_compared_per_gram() -> None:
    masses = (0.4123, 0.5012, 0.4550, 0.6021)
    finals = [f"{45 * mass:.2f}" for mass in masses]
    finals[3] = f"{45 * masses[3] + 1:.2f}"
    trials = [
        trial(str(i), "0.00", final, amount=m)
        for i, (final, m) in enumerate(zip(finals, masses, strict=True))
    ]

    findings = check_odd_trials(trials, FIFTY)

    assert codes(findings) == ["whole-ml-apart"]
    assert findings[0].place.field == "trial 3"
    assert check_odd_trials(trials[:3], FIFTY) == []


def test_rough_trials_are_neither_compared_nor_compared_with() -> None:
    trials = [*page(("0.00", "22.30"), ("0.00", "22.30")), trial("rough", "0.00", "23.30", accurate=False)]

    assert check_odd_trials(trials, FIFTY) == []


def test_without_a_majority_nobody_stands_apart() -> None:
    assert check_odd_trials(page(("0", "22"), ("0", "22"), ("0", "23"), ("0", "23")), FIFTY) == []


TITRES = st.integers(0, 400).map(lambda hundredths: 20 + hundredths / 100)


@given(st.lists(TITRES, max_size=8))
def test_the_agreeing_group_is_a_majority_within_the_limit(titres: list[float]) -> None:
    group = agreeing(titres, 0.10)
    largest = max((sum(low <= t <= low + 0.10 + 1e-9 for t in titres) for low in titres), default=0)

    if largest < 2 or 2 * largest <= len(titres):
        assert not group.any()
        return
    assert group.sum() == largest
    assert np.ptp(np.array(titres)[group]) <= 0.10 + 1e-9


def mirrored_up(level: float) -> float:
    """Return what is written when a level is counted upwards from the numbered line below it."""
    return round(2 * float(np.ceil(level)) - level, 2)


def test_readings_mirrored_throughout_are_asked_about() -> None:
    levels = [(0.30, 22.60), (0.80, 23.10), (0.15, 22.43)]
    trials = [trial(str(n), mirrored_up(a), mirrored_up(b)) for n, (a, b) in enumerate(levels)]

    findings = check_mirrored_throughout(trials, FIFTY)

    assert codes(findings) == ["mirrored-throughout"]
    assert findings[0].evidence["titres_ml"] == {"0": "22.30", "1": "22.30", "2": "22.28"}


def test_titres_that_agree_as_written_are_not_asked_about_throughout() -> None:
    trials = page(("0.30", "22.60"), ("1.20", "23.50"), ("0.15", "22.43"))

    assert check_mirrored_throughout(trials, FIFTY) == []


def share(make: Callable[[np.random.Generator], list[TrialReadings]], code: str, count: int) -> float:
    """Return the share of simulated pages that lead to a finding."""
    rng = np.random.default_rng(20260914)
    pages = [make(rng) for _ in range(count)]
    found = [
        code in codes([*check_odd_trials(p, FIFTY), *check_mirrored_throughout(p, FIFTY)]) for p in pages
    ]
    return sum(found) / count


def with_outlier(rng: np.random.Generator, others: int = 3) -> list[TrialReadings]:
    """Return trials that agree and one that is unrelated, 0.2 to 2 mL away."""
    titre = rng.uniform(18, 28)
    titres = [*(titre + rng.normal(0, 0.02, others)), titre + rng.choice([-1, 1]) * rng.uniform(0.2, 2)]
    starts = rng.uniform(0, 18, others + 1)
    return [trial(str(n), a, a + t) for n, (a, t) in enumerate(zip(starts, titres, strict=True))]


def test_the_stated_chance_of_an_unrelated_outlier_is_right() -> None:
    assert share(with_outlier, "mirrored-reading", 2000) == pytest.approx(CHANCE, abs=0.02)


def test_the_stated_chance_of_an_unrelated_set_is_right() -> None:
    found = share(lambda rng: with_outlier(rng, others=2), "mirrored-throughout", 3000)

    assert found == pytest.approx(CHANCE_THROUGHOUT, abs=0.004)


def test_a_final_reading_that_was_mirrored_is_mostly_found() -> None:
    def one_mirrored(rng: np.random.Generator) -> list[TrialReadings]:
        while True:
            trials = with_outlier(rng)[:3]
            start = rng.uniform(0, 18)
            level = start + float(trials[0].titre_ml) + rng.normal(0, 0.02)
            odd = trial("odd", start, mirrored_up(level))
            if abs(odd.titre_ml - trials[0].titre_ml) > Decimal("0.2"):
                return [*trials, odd]

    assert share(one_mirrored, "mirrored-reading", 500) > 0.7
