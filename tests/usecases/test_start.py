"""First determination files: with example numbers they work, with empty places they ask."""

from __future__ import annotations

import math
import re
import tomllib
from pathlib import Path

import pytest

from halfdrop.core.findings import Refused
from halfdrop.files.methods import shipped_method_names
from halfdrop.usecases.methods import see_method, start
from halfdrop.usecases.result import result

METHODS = shipped_method_names()


@pytest.mark.parametrize("name", METHODS)
def test_the_example_of_a_method_is_worked_out(name: str, tmp_path: Path) -> None:
    start(name, tmp_path / "first.toml", example=True)

    answer = result(tmp_path / "first.toml")

    assert [one for one in answer.findings if one.severity == "refused"] == []
    assert all(math.isfinite(one.found.value) and one.found.value > 0 for one in answer.stated)
    assert 0 < answer.worked.u < answer.worked.value / 5


@pytest.mark.parametrize("name", METHODS)
def test_the_example_of_a_method_agrees_with_itself(name: str, tmp_path: Path) -> None:
    start(name, tmp_path / "first.toml", example=True)

    answer = result(tmp_path / "first.toml")

    assert all(one.selection.concordant for one in answer.worked.compared.values())


@pytest.mark.parametrize("name", METHODS)
def test_empty_places_are_asked_for_each_with_its_line(name: str, tmp_path: Path) -> None:
    path = tmp_path / "first.toml"
    text = start(name, path).text

    with pytest.raises(Refused) as refused:
        result(path)

    empty = [n for n, line in enumerate(text.splitlines(), 1) if re.match(r'(?!#)\w+ = ""', line)]
    asked = {one.place.line for one in refused.value.findings}
    assert len(empty) > 8
    assert len(asked) > 4


@pytest.mark.parametrize("name", METHODS)
def test_everything_a_method_asks_for_has_its_place(name: str) -> None:
    text, method = start(name, None).text, see_method(name).method

    for quantity in method.quantities.values():
        assert f"[{quantity.name}]" in text or f"\n{quantity.name} = " in text
        assert quantity.says in text or quantity.per_trial
    for series in method.series.values():
        assert series.says in text
        assert all(f"{reading} = " in text for reading in series.readings)


@pytest.mark.parametrize("name", METHODS)
def test_what_is_commented_out_is_right_as_well(name: str) -> None:
    text = start(name, None, example=True).text
    whole = re.sub(r"^# (?=\[|\w+ = |rough)", "", text, flags=re.MULTILINE)
    # two ways to say one thing may not stand together
    whole = "\n".join(line for line in whole.splitlines() if not line.startswith("file = "))

    assert set(tomllib.loads(whole)) >= set(tomllib.loads(text))
