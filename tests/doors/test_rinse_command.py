"""``halfdrop rinse`` as a person meets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from halfdrop.cli.main import main


def test_it_answers_without_a_file_and_says_what_was_assumed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rinse"]) == 0
    said = capsys.readouterr()
    assert "first fill" in said.out
    assert "at worst" in said.out
    assert "assumed" in said.err


def test_the_printed_form_can_be_handed_in_as_it_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["rinse", "--form"]) == 0
    form = tmp_path / "form.toml"
    form.write_text(capsys.readouterr().out, encoding="utf-8")
    assert main(["rinse", str(form), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["capacity_mL"] == 50


def test_weighings_of_a_drained_burette_take_the_place_of_the_estimate(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    form = tmp_path / "form.toml"
    rows = "".join(f'[[draining]]\ndry_g = "112.400"\nwet_g = "112.{wet}"\n' for wet in (690, 710, 700))
    form.write_text(f"capacity_mL = 50\n{rows}", encoding="utf-8")
    assert main(["rinse", str(form), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["left"]["film"]["value"] == pytest.approx(0.3 / 0.998)
    assert answer["findings"] == []


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('[[draining]]\ndry_g = "112.4"\nwet_g = "112.1"', "draining-weighings"),
        ('[[draining]]\ndry_g = "-1"\nwet_g = "112.1"', "number-out-of-range"),
        ("titre_mL = 60", "rinse-volumes"),
        ("efficiency = 0", "number-out-of-range"),
        ("part = 3", "number-out-of-range"),
        ("rinses = 3", "key-unknown"),
        ('[left]\nu_film_mL = "0.1"', "key-missing"),
        ('[left]\nfilm_mL = "70"', "number-out-of-range"),
        ('[[draining]]\ndry_g="1"\nwet_g="1.2"\n[left]\nfilm_mL = "0.3"', "left-twice"),
    ],
)
def test_what_cannot_be_is_said_with_its_place(
    text: str, code: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    form = tmp_path / "form.toml"
    form.write_text(f"{text}\n", encoding="utf-8")
    assert main(["rinse", str(form), "--json"]) == 2
    findings = json.loads(capsys.readouterr().out)["findings"]
    assert code in [one["code"] for one in findings]
    assert all(one["place"]["file"] == str(form) for one in findings)
