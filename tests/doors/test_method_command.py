"""``halfdrop method``: what methods there are, what one says, and all that is wrong with one of your own."""

from __future__ import annotations

import json
import re
import tomllib
from importlib import resources
from pathlib import Path

import pytest

from halfdrop.cli.main import main
from halfdrop.core.measure.working import ROLES
from halfdrop.core.titration.method import KINDS
from halfdrop.files.keys import TOP_KEYS, TRIAL_KEYS
from halfdrop.files.methods import shipped_blocks, shipped_method_names
from halfdrop.usecases.methods import see_method
from tests.doors.pages import own_method, write
from tests.house.tree import ROOT

METHOD_PAGE = (ROOT / "docs/guide/method-file.md").read_text(encoding="utf-8")
DETERMINATION_PAGE = (ROOT / "docs/guide/determination-file.md").read_text(encoding="utf-8")
Capture = pytest.CaptureFixture[str]


def findings(path: Path, capsys: Capture) -> list[dict[str, object]]:
    """Return what is wrong with a method, having seen that it is refused."""
    assert main(["method", "check", str(path), "--json"]) == 2
    found: list[dict[str, object]] = json.loads(capsys.readouterr().out)["findings"]
    return found


def test_every_shipped_method_is_listed(capsys: Capture) -> None:
    assert main(["method", "list"]) == 0

    lines = capsys.readouterr().out.splitlines()
    assert {line.split()[0] for line in lines if line.strip()} >= set(shipped_method_names())


def test_the_list_as_data_is_that_of_the_use_case(capsys: Capture) -> None:
    assert main(["method", "list", "--json"]) == 0

    listed = json.loads(capsys.readouterr().out)["methods"]
    assert [one["name"] for one in listed] == list(shipped_method_names())


@pytest.mark.parametrize("name", shipped_method_names())
def test_a_shipped_method_is_shown_with_its_cautions_and_has_nothing_wrong(
    name: str, capsys: Capture
) -> None:
    assert main(["method", "show", name]) == 0

    said = capsys.readouterr()
    assert see_method(name).method.safety.level in said.out
    assert said.err == ""
    assert main(["method", "check", name]) == 0
    assert "nothing to complain of" in capsys.readouterr().out


def test_a_method_as_data_holds_all_it_says(capsys: Capture) -> None:
    assert main(["method", "show", "vinegar", "--json"]) == 0

    method = json.loads(capsys.readouterr().out)["method"]
    assert method["equations"] == {"main": "CH3COOH + NaOH -> CH3COONa + H2O"}
    assert method["quantities"]["titrant"]["unit"] == "mol/L"


def test_a_name_that_is_nearly_right_is_helped(capsys: Capture) -> None:
    assert main(["method", "show", "vinegr"]) == 2
    assert "'vinegar'" in capsys.readouterr().err


def test_a_method_of_ones_own_is_checked(tmp_path: Path, capsys: Capture) -> None:
    path = write(tmp_path, own_method(), "lemon.toml")

    assert main(["method", "check", str(path)]) == 0
    assert capsys.readouterr().out == "lemon: nothing to complain of\n"


def test_an_equation_that_does_not_balance_is_refused_with_what_is_left_over(
    tmp_path: Path, capsys: Capture
) -> None:
    path = write(tmp_path, own_method().replace("3 NaOH", "2 NaOH"), "lemon.toml")

    found = findings(path, capsys)

    text = path.read_text(encoding="utf-8")
    line = next(n for n, one in enumerate(text.splitlines(), 1) if one.startswith("main ="))
    assert any(
        dict(one["place"]).get("line") == line and "Na" in str(one["message"])  # type: ignore[call-overload]
        for one in found
    )


def test_all_that_is_wrong_with_a_method_is_told_at_once(tmp_path: Path, capsys: Capture) -> None:
    text = (
        own_method()
        .replace('kind = "acid-base"', 'kind = "sour"')
        .replace('codes = ["H290"', 'codes = ["H999"')
        .replace('waste = "Down', 'wate = "Down')
        .replace('titre_mL = ["15", "25"]', 'titre_mL = ["much", "25"]')
    )
    path = write(tmp_path, text, "lemon.toml")

    found = findings(path, capsys)

    said = " ".join(f"{one['message']} {one['evidence']}" for one in found)
    for what in ("sour", "wate", "waste", "much"):
        assert what in said
    assert all(dict(one["place"])["file"] == str(path) for one in found)  # type: ignore[call-overload]


def test_hazards_and_units_of_a_method_are_looked_at(tmp_path: Path, capsys: Capture) -> None:
    text = own_method().replace('codes = ["H290"', 'codes = ["H999"').replace('unit = "mL"', 'unit = "g"', 1)

    found = findings(write(tmp_path, text, "lemon.toml"), capsys)

    said = " ".join(str(one["message"]) for one in found)
    assert "H999" in said
    assert re.search(r"\bg\b", said)


def test_a_method_without_safety_data_is_refused(tmp_path: Path, capsys: Capture) -> None:
    text = own_method()
    path = write(tmp_path, text[: text.index("[safety]")], "lemon.toml")

    assert "safety-missing" in {one["code"] for one in findings(path, capsys)}


# ---------------------------------------- the guide


@pytest.mark.parametrize("word", [*shipped_blocks(), *KINDS])
def test_the_guide_names_every_block_and_kind(word: str) -> None:
    assert f"`{word}`" in METHOD_PAGE or f'`"{word}"`' in METHOD_PAGE


@pytest.mark.parametrize("role", ROLES)
def test_the_guide_names_every_role(role: str) -> None:
    assert role in METHOD_PAGE


def test_the_guide_says_of_each_block_what_the_block_says_itself() -> None:
    rows = dict(re.findall(r"^\| `(\w+)` \| (.*?) \| ", METHOD_PAGE, re.MULTILINE))
    assert {name: rows.get(name) for name in shipped_blocks()} == {
        name: block.says for name, block in shipped_blocks().items()
    }


def keys_of(table: object) -> set[str]:
    """Return every key of a method file, but for names that the method chooses itself."""
    if isinstance(table, list):
        return set().union(*map(keys_of, table))
    if not isinstance(table, dict):
        return set()
    inner = [keys_of(value) for key, value in table.items() if key not in ("equations", "working")]
    return set(table).union(*inner)


@pytest.mark.parametrize("name", shipped_method_names())
def test_the_guide_explains_every_key_of_a_shipped_method(name: str) -> None:
    file = resources.files("halfdrop") / "data" / "methods" / f"{name}.toml"
    keys = keys_of(tomllib.loads(file.read_text(encoding="utf-8")))

    assert {key for key in keys if not re.search(rf"`\[*(?:safety\.)?{key}\]*`", METHOD_PAGE)} == set()


@pytest.mark.parametrize("key", [*TOP_KEYS, *TRIAL_KEYS])
def test_the_guide_explains_every_key_of_a_determination(key: str) -> None:
    assert re.search(rf"`\[*{key}\b", DETERMINATION_PAGE)


def test_a_method_is_shown_with_its_working_and_every_result_as_it_is_set(capsys: Capture) -> None:
    assert main(["method", "show", "vinegar"]) == 0

    said = capsys.readouterr().out
    assert "the amount that reacts with it, by the reaction equation (from NaOH, to CH3COOH" in said
    assert "γ_CH₃COOH: mass concentration" in said
    assert "w_CH₃COOH: mass fraction" in said
