"""``halfdrop result``: what a person gets from a page of readings, and what is said of a wrong one."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from halfdrop.cli.main import main
from halfdrop.usecases.result import Asked, result
from tests.doors.pages import ACID, HYDROXIDE, RESTING, write

HALFDROP = Path(sys.executable).parent / "halfdrop"
TRIALS = ACID[ACID.index("[[trial]]") :]
WITHOUT_TRIALS = ACID.removesuffix(TRIALS)
Capture = pytest.CaptureFixture[str]


def refused(path: Path, capsys: Capture) -> list[dict[str, object]]:
    """Return the refusals of a page as data, having seen that they are said in words as well."""
    assert main(["result", str(path)]) == 2
    words = capsys.readouterr()
    assert words.out == ""
    assert "Traceback" not in words.err
    assert main(["result", str(path), "--json"]) == 2
    findings: list[dict[str, object]] = json.loads(capsys.readouterr().out)["findings"]
    found = [one for one in findings if one["severity"] == "refused"]
    assert words.err.count("Cannot be used") == len(found) > 0
    return found


def places(findings: list[dict[str, object]]) -> set[tuple[object, object]]:
    """Return code and line of each finding."""
    return {(one["code"], dict(one["place"]).get("line", 0)) for one in findings}  # type: ignore[call-overload]


def line_of(text: str, part: str) -> int:
    """Return the number of the first line that holds a part."""
    return next(n for n, line in enumerate(text.splitlines(), 1) if part in line)


def test_a_page_without_a_blemish_is_worked_out_and_nothing_is_said(tmp_path: Path, capsys: Capture) -> None:
    path = write(tmp_path, ACID)

    assert main(["result", str(path)]) == 0

    said = capsys.readouterr()
    assert result(path).expanded.text() in said.out
    assert "Please look" not in said.err


def test_the_answer_as_data_is_that_of_the_use_case(tmp_path: Path, capsys: Capture) -> None:
    path = write(tmp_path, ACID)

    assert main(["result", str(path), "--json", "--choices", "--monte-carlo", "1"]) == 0

    printed = json.loads(capsys.readouterr().out)
    again = result(path, Asked(choices=True, monte_carlo_digits=1)).to_json()
    assert printed == json.loads(json.dumps(again))
    assert printed["choices"]
    assert printed["monte_carlo"]["trials"] > 1000


def test_every_number_of_the_result_comes_with_unit_uncertainty_and_text(
    tmp_path: Path, capsys: Capture
) -> None:
    main(["result", str(write(tmp_path, ACID)), "--json"])

    found = json.loads(capsys.readouterr().out)["result"]
    assert found["unit"] == "mol/L"
    assert 0 < found["u"] < found["expanded"] < 0.001
    assert found["text"].endswith(" mol/L")
    assert found["text"].startswith(f"{found['value']:.5f} ± ")


def test_what_needs_a_look_goes_to_standard_error_with_its_place(tmp_path: Path, capsys: Capture) -> None:
    path = write(tmp_path, ACID.replace('initial = "0.20"', 'initial = "0.2"'))

    assert main(["result", str(path)]) == 1

    said = capsys.readouterr()
    line = line_of(path.read_text(encoding="utf-8"), '"0.2"') - 1  # that of its [[trial]]
    assert f"Please look: {path}:{line}" in said.err
    assert "Please look" not in said.out.partition("What was noticed")[0]


def test_the_program_itself_answers_with_status_and_streams(tmp_path: Path) -> None:
    write(tmp_path, ACID)

    done = subprocess.run(
        [HALFDROP, "result", "page.toml", "--json"], cwd=tmp_path, capture_output=True, text=True
    )

    assert done.returncode == 0
    assert json.loads(done.stdout)["file"] == "page.toml"


def test_the_program_itself_refuses_without_a_traceback(tmp_path: Path) -> None:
    write(tmp_path, ACID.replace('final = "25.42"', 'final = "about 25"'))

    done = subprocess.run([HALFDROP, "result", "page.toml"], cwd=tmp_path, capture_output=True, text=True)

    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("Cannot be used: page.toml:")


# ---------------------------------------- documents


def test_reports_are_written_where_they_are_wanted(tmp_path: Path, capsys: Capture) -> None:
    path, html, pdf = write(tmp_path, ACID), tmp_path / "a.html", tmp_path / "a.pdf"

    assert main(["result", str(path), "--html", str(html), "--pdf", str(pdf), "--paper", "letter"]) == 0

    assert str(pdf) in capsys.readouterr().out
    assert html.read_text(encoding="utf-8").startswith("<!")
    assert pdf.read_bytes().startswith(b"%PDF")


def test_nothing_is_written_when_one_report_cannot_be(tmp_path: Path, capsys: Capture) -> None:
    path, html, pdf = write(tmp_path, ACID), tmp_path / "a.html", tmp_path / "missing" / "a.pdf"

    assert main(["result", str(path), "--html", str(html), "--pdf", str(pdf)]) == 2

    said = capsys.readouterr()
    assert "a.pdf" in said.err
    assert "Traceback" not in said.err
    assert sorted(tmp_path.iterdir()) == [path]


def test_a_report_that_was_there_is_whole_when_the_new_one_cannot_be_written(
    tmp_path: Path, capsys: Capture
) -> None:
    path, html = write(tmp_path, ACID), tmp_path / "a.html"
    html.write_text("the old report", encoding="utf-8")

    assert main(["result", str(path), "--html", str(html), "--pdf", str(tmp_path)]) == 2

    assert "Traceback" not in capsys.readouterr().err
    assert html.read_text(encoding="utf-8") == "the old report"


def test_nothing_is_written_for_a_page_that_cannot_be_used(tmp_path: Path, capsys: Capture) -> None:
    path, pdf = write(tmp_path, ACID.replace('"25.42"', '"?"')), tmp_path / "a.pdf"

    assert main(["result", str(path), "--pdf", str(pdf)]) == 2

    assert capsys.readouterr().out == ""
    assert not pdf.exists()


def test_an_unknown_paper_is_told_and_the_known_ones_with_it(tmp_path: Path, capsys: Capture) -> None:
    pdf = tmp_path / "a.pdf"

    assert main(["result", str(write(tmp_path, ACID)), "--pdf", str(pdf), "--paper", "foolscap"]) == 2

    said = capsys.readouterr().err
    assert "foolscap" in said
    assert "letter" in said
    assert not pdf.exists()


# ---------------------------------------- pages that are merely untidy


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace("\n", "\r\n"),
        lambda text: "\ufeff" + text,
        lambda text: text.replace('"25.42"', '"25,42"').replace('"0.1000"', '"0,1000"'),
        lambda text: text.replace('"25.42"', "25.42"),
        lambda text: text.replace('"25.00"\nunit = "mL"', '"0.02500"\nunit = "L"').replace("0.03", "0.00003"),
    ],
    ids=["Windows line ends", "byte-order mark", "decimal commas", "numbers without quotes", "another unit"],
)
def test_a_page_written_another_way_gives_the_same_result(
    change: object, tmp_path: Path, capsys: Capture
) -> None:
    assert callable(change)
    path = write(tmp_path, change(ACID))

    assert main(["result", str(path), "--json"]) == 0

    found, tidy = json.loads(capsys.readouterr().out)["result"], result(write(tmp_path, ACID, "tidy.toml"))
    assert found["value"] == pytest.approx(tidy.worked.value, rel=1e-12)
    assert found["u"] == pytest.approx(tidy.worked.u, rel=1e-12)


def test_a_table_of_ten_thousand_rows_is_worked_out(tmp_path: Path, capsys: Capture) -> None:
    rows = (f"{n},0.10,{25.40 + n % 5 / 100:.2f}" for n in range(10_000))
    (tmp_path / "trials.csv").write_text("no,initial,final\n" + "\n".join(rows), encoding="utf-8")
    path = write(tmp_path, 'trials_file = "trials.csv"\n' + WITHOUT_TRIALS)

    assert main(["result", str(path), "--json"]) in (0, 1)

    found = json.loads(capsys.readouterr().out)
    assert len(found["series"]["sample"]["trials"]) == 10_000
    assert found["series"]["sample"]["figures"]["count"] == 10_000


# ---------------------------------------- pages that cannot be used


@pytest.mark.parametrize(
    ("old", "new", "code", "said"),
    [
        ('sample = "hydro', 'smaple = "hydro', "key-unknown", "sample"),
        ('limit_mL = "0.05"', 'limits = "0.05"', "key-unknown", "limit_mL"),
        ('unit = "mol/L"', 'unit = "g"', "unit-wrong", "mol/L"),
        ('unit = "mol/L"', 'unit = "mol/pint"', "unit-unknown", "mol/pint"),
        ('value = "25.00"', 'value = "a pipetteful"', "not-a-number", "a pipetteful"),
        ("capacity_mL = 50", 'capacity_mL = "fifty"', "not-a-number", "fifty"),
        ("date = 2026-09-14", 'date = "last Monday"', "not-a-date", "2026-09-14"),
        ('method = "strong', 'method = "string', "method-unknown", "strong-acid-strong-base"),
        ('final = "25.42"', 'final = "0.02"', "final-below-initial", "0.02"),
        ('final = "25.42"', 'final = "51.20"', "off-the-scale", "51.20"),
        ('final = "25.42"\n', "", "reading-missing", "final"),
        ('limits = "0.03"', 'limits = "-0.03"', "number-out-of-range", "-0.03"),
    ],
)
def test_one_thing_wrong_is_told_with_its_place_and_what_is_accepted(
    old: str, new: str, code: str, said: str, tmp_path: Path, capsys: Capture
) -> None:
    text = ACID.replace(old, new, 1)
    assert text != ACID

    found = refused(write(tmp_path, text), capsys)

    assert code in {one["code"] for one in found}
    one = next(one for one in found if one["code"] == code)
    assert str(dict(one["place"])["file"]).endswith("page.toml")  # type: ignore[call-overload]
    assert said in f"{one['message']} {one['evidence']}"


def test_all_complaints_come_at_once_each_with_its_line(tmp_path: Path, capsys: Capture) -> None:
    text = (
        ACID.replace('unit = "mol/L"', 'unit = "g"')
        .replace("capacity_mL = 50", 'capacity_mL = "fifty"')
        .replace('final = "25.42"', 'final = "x"')
        .replace('initial = "0.20"', 'intial = "0.20"')
    )

    found = places(refused(write(tmp_path, text), capsys))

    assert {("unit-wrong", line_of(text, '"g"')), ("not-a-number", line_of(text, "fifty"))} <= found
    assert {line_of(text, '"x"'), line_of(text, "intial")} <= {line for _, line in found}


def test_mistakes_in_the_toml_are_told_with_their_lines(tmp_path: Path, capsys: Capture) -> None:
    text = ACID.replace('"0.1000"', "0,1000").replace('sample = "', "sample = ")

    found = places(refused(write(tmp_path, text), capsys))

    wanted = (line_of(text, "sample"), line_of(text, "0,1000"))
    assert found == {("toml-syntax", line) for line in wanted}


def test_a_missing_page_is_named(tmp_path: Path, capsys: Capture) -> None:
    write(tmp_path, ACID, "monday.toml")

    (found,) = refused(tmp_path / "mondy.toml", capsys)

    assert found["code"] == "file-missing"
    assert "monday.toml" in str(found["message"])


@pytest.mark.parametrize("table", ["", "no,initial,final\n", "\ufeff\r\n\r\n"])
def test_an_empty_table_is_told(table: str, tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "trials.csv").write_text(table, encoding="utf-8")

    found = refused(write(tmp_path, 'trials_file = "trials.csv"\n' + WITHOUT_TRIALS), capsys)

    assert any(str(dict(one["place"])["file"]).endswith("trials.csv") for one in found)  # type: ignore[call-overload]


def test_a_page_without_trials_is_told(tmp_path: Path, capsys: Capture) -> None:
    assert {one["code"] for one in refused(write(tmp_path, WITHOUT_TRIALS), capsys)} == {"trials-missing"}


def test_the_rows_of_a_table_are_named_by_their_line(tmp_path: Path, capsys: Capture) -> None:
    table = "no;initial / mL;final / mL\n1;0,05;25,42\n2;0,20;much\n3;;25,47\n"
    (tmp_path / "trials.csv").write_text(table, encoding="utf-8")

    found = refused(write(tmp_path, 'trials_file = "trials.csv"\n' + WITHOUT_TRIALS), capsys)

    at = {(Path(str(dict(one["place"])["file"])).name, dict(one["place"])["line"]) for one in found}  # type: ignore[call-overload]
    assert at == {("trials.csv", 3), ("trials.csv", 4)}


def test_a_trial_written_twice_is_told(tmp_path: Path, capsys: Capture) -> None:
    text = ACID.replace('initial = "0.20"', 'no = "2"\ninitial = "0.20"')

    found = refused(write(tmp_path, text), capsys)

    assert places(found) == {("trial-twice", line_of(text, 'no = "2"') - 1)}


def test_ten_thousand_bad_rows_are_told_in_few_words(tmp_path: Path, capsys: Capture) -> None:
    rows = (f"{n},0.10,oops" for n in range(10_000))
    (tmp_path / "trials.csv").write_text("no,initial,final\n" + "\n".join(rows), encoding="utf-8")

    found = refused(write(tmp_path, 'trials_file = "trials.csv"\n' + WITHOUT_TRIALS), capsys)

    assert len(found) < 50
    assert any("more like it" in str(one["message"]) for one in found)


def test_a_titrant_that_rests_on_itself_is_told(tmp_path: Path, capsys: Capture) -> None:
    page = write(tmp_path, RESTING.replace("hydroxide.toml", "page.toml"))

    (found,) = refused(page, capsys)

    assert found["code"] == "chain-comes-back"
    assert "page.toml -> page.toml" in str(found["message"])


def test_what_is_wrong_with_page_and_titrant_is_told_together(tmp_path: Path, capsys: Capture) -> None:
    hydroxide = write(tmp_path, HYDROXIDE.replace('"25.41"', '"x"'), "hydroxide.toml")
    page = write(tmp_path, RESTING.replace('"25.42"', '"y"'))

    found = refused(page, capsys)

    assert {dict(one["place"])["file"] for one in found} == {str(hydroxide), str(page)}  # type: ignore[call-overload]


def test_a_method_that_does_not_balance_is_told_with_what_is_left_over(
    tmp_path: Path, capsys: Capture
) -> None:
    from tests.doors.pages import own_method

    write(tmp_path, own_method().replace("3 NaOH", "2 NaOH"), "lemon.toml")
    page = write(tmp_path, ACID.replace('"strong-acid-strong-base"', '"lemon.toml"'))

    found = refused(page, capsys)

    assert any("lemon.toml" in str(one["place"]) and "Na" in str(one["message"]) for one in found)
