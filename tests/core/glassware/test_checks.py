"""What can be noticed in a page of readings before any chemistry."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.findings import Severity
from halfdrop.core.glassware.checks import (
    check_decimals,
    check_direction,
    check_last_digit,
    check_scale_ends,
    check_size,
    check_trials,
)
from halfdrop.core.glassware.readings import Graduation
from tests.core.glassware.pages import FIFTY, codes, page, trial

STEP_005 = replace(FIFTY, recording_step_ml=Decimal("0.05"))


def test_a_tidy_page_has_no_findings() -> None:
    assert check_trials(page(("0.05", "22.30"), ("1.10", "23.40"), ("0.00", "22.25")), FIFTY) == ()


def test_readings_to_different_digits_are_one_finding_at_the_rarer_kind() -> None:
    findings = check_decimals(page(("0.05", "22.30"), ("1.10", "23.4")), FIFTY)

    assert codes(findings) == ["decimals-mixed"]
    assert findings[0].place.field == "trial 2, final"
    assert "such as 23.4 and 0.05" in findings[0].message


def test_a_rough_trial_may_have_fewer_digits() -> None:
    rough = trial("rough", "0.0", "22.5", accurate=False)

    assert check_decimals([rough, *page(("0.05", "22.30"))], FIFTY) == []


def test_fewer_digits_than_asked_for_are_noticed() -> None:
    findings = check_decimals(page(("0.1", "22.3"), ("1.1", "23.4")), STEP_005)

    assert codes(findings) == ["decimals-few"]
    assert (
        "with 1 decimal, where 0.05 mL is asked for. Estimate between the lines and write 2,"
        in findings[0].message
    )


@pytest.mark.parametrize(
    ("division", "text", "fine"),
    [("0.1", "22.34", False), ("0.1", "22.345", True), ("0.05", "22.345", False), ("0.05", "22.343", True),
     ("0.02", "2.342", False), ("0.02", "2.341", True)],
)  # fmt: skip
def test_nobody_estimates_below_a_tenth_of_a_division(division: str, text: str, fine: bool) -> None:
    graduation = Graduation(Decimal(50), Decimal(division))

    found = check_last_digit(page(("0", text)), graduation)

    assert codes(found) == (["digit-too-fine"] if fine else [])


def test_a_reading_off_the_recording_step_is_a_note() -> None:
    findings = check_last_digit(page(("0.05", "22.32"), ("1.10", "23.45")), STEP_005)

    assert codes(findings) == ["digit-off-step"]
    assert findings[0].severity is Severity.NOTE
    assert findings[0].evidence["readings"] == {"trial 1, final": "22.32"}


def test_a_long_list_of_readings_says_how_many_more() -> None:
    findings = check_last_digit(page(*[("0.05", "22.321")] * 9), FIFTY)

    assert "and 5 more" in findings[0].message
    assert len(cast("dict[str, str]", findings[0].evidence["readings"])) == 9


def test_a_reading_past_the_last_line_is_refused() -> None:
    findings = check_scale_ends(page(("1.20", "50.05")), FIFTY)

    assert codes(findings) == ["off-the-scale"]
    assert findings[0].severity is Severity.REFUSED
    assert findings[0].place.field == "trial 1, final"


def test_a_final_reading_on_the_last_line_is_a_note() -> None:
    findings = check_scale_ends(page(("1.20", "50.00")), FIFTY)

    assert codes(findings) == ["on-the-last-line"]
    assert findings[0].severity is Severity.NOTE


def test_one_final_below_its_initial_asks_to_read_again() -> None:
    findings = check_direction(page(("0.00", "22.30"), ("23.15", "12.40")), FIFTY)

    assert codes(findings) == ["final-below-initial"]
    assert findings[0].message.startswith("Final is below initial: 12.40 after 23.15. ")
    assert findings[0].severity is Severity.REFUSED


def test_a_trial_that_was_left_out_does_not_stop_the_result() -> None:
    left_out = trial("2", "23.15", "12.40", accurate=False)

    findings = check_direction([*page(("0.00", "22.30")), left_out], FIFTY)

    assert [f.severity for f in findings] == [Severity.ATTENTION]


def test_all_finals_below_their_initials_are_one_question_with_both_readings_of_it() -> None:
    findings = check_direction(page(("49.90", "27.60"), ("27.60", "5.30")), FIFTY)

    assert codes(findings) == ["all-final-below-initial"]
    assert findings[0].evidence["trial 1"] == {
        "written": ("49.90", "27.60"),
        "if_columns_exchanged": ("27.60", "49.90"),
        "if_volume_remaining": ("0.10", "22.40"),
    }
    assert "from 27.60 to 49.90" in findings[0].message
    assert "from 0.10 to 22.40" in findings[0].message


def test_nothing_delivered_is_noticed() -> None:
    assert codes(check_direction(page(("3.10", "3.10")), FIFTY)) == ["nothing-delivered"]


def test_a_titre_below_30_percent_of_its_burette_is_noticed_once_with_its_source() -> None:
    findings = check_size(page(("0.00", "14.95"), ("0.00", "14.90"), ("0.00", "15.00")), FIFTY)

    assert codes(findings) == ["titre-small"]
    assert "14.90 to 14.95 mL is less than 30 % of a burette of 50 mL (USP-NF" in findings[0].message
    assert findings[0].evidence["titres_ml"] == {"1": "14.95", "2": "14.90"}


def test_a_refilled_titre_counts_as_a_whole() -> None:
    assert check_size([trial("1", "40.00", "49.00", "0.00", "9.00")], FIFTY) == []


def test_blanks_may_be_small() -> None:
    assert check_trials(page(("0.00", "0.15")), FIFTY, share=None) == ()


READINGS = st.decimals(0, 60, places=2).map(str)


@given(st.lists(st.tuples(READINGS, READINGS), max_size=6))
def test_any_page_gives_findings_with_places_and_whole_sentences(pairs: list[tuple[str, str]]) -> None:
    for finding in check_trials(page(*pairs), STEP_005):
        assert finding.place.field.startswith("trial ")
        assert finding.message.endswith((".", "?"))
        assert "!" not in finding.message
