"""A reading is what was written down."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.findings import Place, Refused, Severity
from halfdrop.core.glassware.readings import Graduation, Reading, Segment, TrialReadings, read_text

WRITTEN = st.from_regex(r"[0-9]{1,4}[.,][0-9]{1,6}", fullmatch=True)


def code_of(text: object) -> str:
    return read_text(text)[1][0].code


def test_digits_are_kept_as_written() -> None:
    assert (Reading("23.40").decimals, Reading("23.4").decimals) == (2, 1)
    assert Reading("23.40") != Reading("23.4")
    assert Reading("23.40").decimal == Reading("23.4").decimal


@given(WRITTEN)
def test_a_comma_means_a_point_and_the_text_stays(text: str) -> None:
    reading = Reading(text)

    assert reading.text == text
    assert reading.decimal == Reading(text.replace(",", ".")).decimal
    assert str(reading) == str(Decimal(text.replace(",", ".")))
    assert reading.decimals == len(text) - 1 - max(text.find("."), text.find(","))


@given(WRITTEN)
def test_the_number_is_the_decimal_rounded_once(text: str) -> None:
    assert Reading(text).value_ml == float(text.replace(",", "."))


@pytest.mark.parametrize("space", [" ", "\u2009", "\u202f", "\u00a0", "\t"])
def test_white_space_around_a_reading_means_nothing(space: str) -> None:
    assert Reading(f"{space}23.40{space}").decimal == Decimal("23.40")


def test_a_point_may_stand_first_but_not_last() -> None:
    assert Reading(".50").value_ml == 0.5
    assert code_of("23.") == "reading-unreadable"


@pytest.mark.parametrize(
    "text",
    ["2x.4", "2.3.4", "1.234,5", "23 .40", "1e1", "inf", "NaN", "+3.2", "23.40 mL", ".", ",", "٢٣", "-"],
)
def test_anything_else_is_not_a_reading(text: str) -> None:
    reading, findings = read_text(text, Place("page.toml", 7, "trial 2, final"))

    assert reading is None
    assert findings[0].code == "reading-unreadable"
    assert findings[0].severity is Severity.REFUSED
    assert findings[0].message == (
        f"{text!r} is not a reading. Write digits with one decimal point or comma, such as 23.40."
    )
    assert str(findings[0].place) == "page.toml:7, trial 2, final"
    assert findings[0].evidence["given"] == text


@pytest.mark.parametrize("text", ["-0.05", "\u22120,05", "\u20131", "-.5"])
def test_a_reading_above_the_zero_line_has_its_own_words(text: str) -> None:
    assert code_of(text) == "reading-negative"


@pytest.mark.parametrize("value", [None, "", "  \n"])
def test_nothing_written_is_said_so(value: object) -> None:
    assert code_of(value) == "reading-missing"


@pytest.mark.parametrize("value", [23.4, 23, True, Decimal("23.40"), ["23.40"]])
def test_a_number_has_lost_its_last_digit(value: object) -> None:
    assert code_of(value) == "reading-not-text"


def test_more_digits_than_glassware_shows_are_refused_and_not_cut() -> None:
    assert code_of("12345.0") == "reading-too-long"
    assert code_of("1.1234567") == "reading-too-long"
    assert code_of("9" * 400) == "reading-too-long"


@given(st.text())
def test_any_text_is_a_reading_or_one_finding(text: str) -> None:
    reading, findings = read_text(text)

    assert (reading is None) == (len(findings) == 1)
    assert all(len(finding.message) < 250 for finding in findings)


def test_a_reading_made_from_bad_text_is_refused_with_its_finding() -> None:
    with pytest.raises(Refused, match=r"'abc' is not a reading") as caught:
        Reading("abc")

    assert caught.value.findings[0].code == "reading-unreadable"


def segment(initial: str, final: str) -> Segment:
    return Segment(Reading(initial), Reading(final))


def test_a_titre_is_the_exact_sum_over_refills() -> None:
    trial = TrialReadings("1", (segment("0.10", "49,95"), segment("1.05", "3.30")))

    assert trial.titre_ml == Decimal("52.10")


def test_a_place_names_the_fill_only_when_there_are_several() -> None:
    once = TrialReadings("3", (segment("0.10", "9.95"),), Place("a.toml", 12))
    twice = TrialReadings("3", once.segments * 2, Place("a.csv", 4, "row 4"))

    assert str(once.place_of(0, "final")) == "a.toml:12, trial 3, final"
    assert str(twice.place_of(1, "initial")) == "a.csv:4, row 4, fill 2, initial"
    assert str(twice.place_of()) == "a.csv:4, row 4"


def test_a_trial_needs_readings_and_an_amount() -> None:
    with pytest.raises(ValueError, match="no readings"):
        TrialReadings("1", ())
    with pytest.raises(ValueError, match="above zero"):
        TrialReadings("1", (segment("0", "1"),), amount=0)


@pytest.mark.parametrize("volumes", [("0", "0.1"), ("50", "0"), ("50", "60"), ("-1", "0.1")])
def test_lines_must_fit_on_the_scale(volumes: tuple[str, str]) -> None:
    with pytest.raises(ValueError, match="does not fit"):
        Graduation(Decimal(volumes[0]), Decimal(volumes[1]))
