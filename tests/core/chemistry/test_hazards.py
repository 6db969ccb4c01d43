"""Hazard and precautionary statements."""

from __future__ import annotations

import re

import pytest

from halfdrop.core.chemistry.hazards import STATEMENTS, UnknownStatement, statement

NEEDED = [
    "H225", "H226", "H271", "H272", "H290", "H301", "H302", "H314", "H315", "H317", "H318", "H319",
    "H330", "H331", "H332", "H334", "H335", "H340", "H341", "H350", "H350i", "H351", "H360FD",
    "H372", "H373", "H400", "H410", "H411", "H412", "EUH031", "P210", "P220", "P260", "P261",
    "P264", "P273", "P280", "P310", "P501", "P301+P330+P331", "P303+P361+P353", "P304+P340",
    "P305+P351+P338", "P308+P313", "P302+P352",
]  # fmt: skip


@pytest.mark.parametrize("code", NEEDED)
def test_a_volumetric_laboratory_finds_its_codes(code: str) -> None:
    found = statement(code)

    assert found.code == code
    assert found.text
    assert "1272/2008" in found.source


def test_the_official_wording_is_given() -> None:
    assert statement("H314").text == "Causes severe skin burns and eye damage."
    assert statement("EUH031").text == "Contact with acids liberates toxic gas."
    assert statement("P305+P351+P338").text == (
        "IF IN EYES: Rinse cautiously with water for several minutes. "
        "Remove contact lenses, if present and easy to do. Continue rinsing."
    )


@pytest.mark.parametrize(
    ("written", "code"),
    [("P301 + P330 + P331", "P301+P330+P331"), ("h314", "H314"), (" euh031 ", "EUH031"), ("H350I", "H350i")],
)
def test_spaces_and_case_do_not_matter_where_they_say_nothing(written: str, code: str) -> None:
    assert statement(written).code == code


def test_case_matters_where_it_makes_another_statement() -> None:
    assert statement("H360Fd").text != statement("H360FD").text
    with pytest.raises(UnknownStatement, match="H360FD or H360Fd"):
        statement("h360fd")


@pytest.mark.parametrize(
    ("code", "near"),
    [
        ("H999", ()),
        ("P305+P338+P351", ("P305+P351+P338",)),
        ("P330+P310", ("P330 and P310",)),
        ("", ()),
        ("injurious", ()),
    ],
)
def test_an_unknown_code_is_refused_with_what_was_perhaps_meant(code: str, near: tuple[str, ...]) -> None:
    with pytest.raises(UnknownStatement) as refusal:
        statement(code)

    assert refusal.value.near == near
    assert repr(code) in str(refusal.value)


def test_a_blank_of_the_regulation_can_be_filled_in() -> None:
    wash = statement("P264")

    assert wash.has_blank
    assert wash.filled("hands") == "Wash hands thoroughly after handling."
    assert not statement("H314").has_blank


def test_codes_are_well_formed_and_texts_end_as_sentences() -> None:
    single = re.compile(r"H[234]\d\d[FDfdi]{0,2}|EUH\d{3}|P[1-5]\d\d")

    for code, found in STATEMENTS.items():
        assert all(single.fullmatch(part) for part in code.split("+")), code
        assert found.text[-1] in ".:…)", code
        assert found.text == found.text.strip()
        assert found.kind == {"H": "hazard", "E": "supplemental", "P": "precaution"}[code[0]]


def test_the_parts_of_a_combined_precaution_are_known_too() -> None:
    combined = [code for code in STATEMENTS if "+" in code]

    assert combined
    assert {part for code in combined for part in code.split("+")} <= set(STATEMENTS)


EXCEPTIONS = {"P302+P334", "P361+P364", "P362+P364"}  # the regulation words these differently when combined


@pytest.mark.parametrize(
    "code", [code for code in STATEMENTS if code.startswith("P") and "+" in code and code not in EXCEPTIONS]
)
def test_a_combined_precaution_says_what_its_parts_say(code: str) -> None:
    parts = " ".join(statement(part).text for part in code.split("+"))

    assert _letters(statement(code).text) == _letters(parts)


def _letters(text: str) -> str:
    """Keep the words: capitals, dots and blanks vary between a statement and its parts."""
    return re.sub(r"[^a-z]", "", text.casefold())
