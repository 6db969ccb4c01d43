"""What is wrong with a page is said: where it stands, what was given, what is accepted, what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from halfdrop.core.findings import Severity
from halfdrop.files.determination import read_determination
from tests.files.pages import HEAD, TRIALS, VINEGAR, WEIGHED, changed, codes, noticed, read, refused


def test_a_file_that_is_not_there_is_a_finding(tmp_path: Path) -> None:
    determination, method, (finding,) = read_determination(tmp_path / "nothing.toml")

    assert (determination, method) == (None, None)
    assert finding.code == "file-missing"


def test_all_complaints_come_at_once() -> None:
    page = changed(
        VINEGAR,
        {
            'sample = "Wine vinegar, bottle 3"\n': "",
            "capacity_mL = 50": "capcity_mL = 50",
            'unit = "mol/L"': 'unit = "g"',
            'temperature_degC = "22.5"': 'temperature_degC = "warm"',
            'final = "20.60"': 'fnal = "20.60"',
            'final = "41.17"': 'final = "4l.17"',
        },
    )  # fmt: skip

    findings = [f for f in read(page)[2] if f.severity is Severity.REFUSED]

    assert {(f.code, f.place.line) for f in findings} == {
        ("key-missing", 0), ("key-missing", 4), ("key-unknown", 6), ("unit-wrong", 16), ("not-a-number", 11),
        ("reading-missing", 31), ("key-unknown", 33), ("reading-unreadable", 37),
    }  # fmt: skip


def test_an_unknown_key_names_the_nearest() -> None:
    finding = refused(changed(VINEGAR, {'initial = "0.05"': 'intial = "0.05"'}))["key-unknown"]

    assert "Did you mean 'initial'?" in finding.message
    assert str(finding.place) == "page.toml:33, trial 2, intial"


def test_an_unknown_table_names_the_nearest() -> None:
    finding = refused(changed(VINEGAR, {"[titrant]": "[titrent]"}))["key-unknown"]

    assert "Did you mean 'titrant'?" in finding.message


def test_a_method_that_does_not_exist_names_the_nearest() -> None:
    finding = refused(changed(VINEGAR, {'method = "vinegar"': 'method = "vinager"'}))["method-unknown"]

    assert "Did you mean 'vinegar'?" in finding.message
    assert finding.place.line == 1


def test_a_page_without_a_method_lists_them_and_still_looks_at_the_rest() -> None:
    found = refused(
        changed(VINEGAR, {'method = "vinegar"\n': "", "capacity_mL = 50": 'capacity_mL = "much"'})
    )

    assert "naoh-khp" in found["method-missing"].message
    assert "not-a-number" in found


def test_no_trials_say_how_to_write_one() -> None:
    finding = refused(HEAD)["trials-missing"]

    assert "Add [[trial]] and its initial, final." in finding.message


def test_trials_that_are_all_rough_leave_nothing_to_work_with() -> None:
    page = HEAD + '[[trial]]\nrough = true\ninitial = "0.10"\nfinal = "21.00"\n'

    assert "are rough" in refused(page)["no-accurate-trial"].message


def test_two_trials_of_one_number_are_told_with_both_lines() -> None:
    page = changed(VINEGAR, {'initial = "20.60"': 'no = "2"\ninitial = "20.60"'})

    finding = refused(page)["trial-twice"]

    assert finding.place.line == 36
    assert "on line 32" in finding.message


def test_a_trial_without_its_final_reading_is_told_what_to_do() -> None:
    finding = refused(changed(VINEGAR, {'final = "41.17"\n': ""}))["reading-missing"]

    assert str(finding.place) == "page.toml:36, trial 3, final"
    assert 'abandoned = "..."' in finding.message


def test_an_unknown_series_lists_those_there_are() -> None:
    page = VINEGAR + '[[trial]]\nseries = "blnk"\ninitial = "0.10"\nfinal = "0.15"\n'

    assert "Did you mean 'blank'?" in refused(page)["series-unknown"].message


@pytest.mark.parametrize("trial", ['burette = "B7"\ninitial = "0.05"'])
def test_a_trial_that_names_an_unknown_burette_is_refused(trial: str) -> None:
    finding = refused(changed(VINEGAR, {'initial = "0.05"': trial}))["burette-unknown"]

    assert "Did you mean 'B07'?" in finding.message
    assert finding.place.field == "trial 2, burette"


def test_a_page_without_a_burette_says_how_to_describe_one() -> None:
    start, rest = VINEGAR.split("[burette]")
    page = start + "[room]" + rest.split("[room]")[1]

    assert "capacity_mL" in refused(page)["burette-missing"].message


def test_a_quantity_that_is_missing_comes_with_the_methods_example() -> None:
    page = HEAD.split("[aliquot]")[0] + TRIALS

    finding = refused(page)["quantity-missing"]

    assert finding.place.field == "aliquot"
    assert 'aliquot = "25.00 mL"' in finding.message


def test_a_quantity_that_another_needs_is_missed() -> None:
    # the vinegar was diluted in a flask, and nothing says how much of it went in
    page = VINEGAR + '[flask]\nvalue = 250\nunit = "mL"\nclass = "A"\n'

    assert refused(page)["quantity-missing"].place.field == "stock"


def test_a_mass_missing_in_one_trial_names_the_trial() -> None:
    page = changed(WEIGHED, {'mass = "0.5066"\n': ""})

    finding = refused(page)["quantity-missing"]

    assert finding.place.field == "trial 2, mass"
    assert "is missing in trial 2" in finding.message


def test_a_mass_missing_in_every_trial_says_to_write_it_in_each() -> None:
    page = changed(WEIGHED, {'mass = "0.5066"\n': "", 'mass = "0.5105"\n': ""})

    assert "in each [[trial]]" in refused(page)["quantity-missing"].message


@pytest.mark.parametrize(
    ("changes", "code", "words"),
    [
        ({'unit = "mol/L"': 'unit = "mL"'}, "unit-wrong", "is wanted in mol/L"),
        ({'unit = "mol/L"': 'unit = "mol/bucket"'}, "unit-unknown", "is not a unit known here"),
        ({'unit = "mol/L"': 'unit = "mol/L as CaCO3"'}, "unit-wrong", "is wanted in mol/L"),
        ({'value = "0.1023"': "value = 0"}, "number-out-of-range", "above zero"),
        ({'value = "0.1023"': 'value = "nan"'}, "not-a-number", "cannot"),
        ({'u = "0.0002"': 'u = "-0.0002"'}, "number-out-of-range", "of zero or more"),
        ({'u = "0.0002"': 'u = "0.0002"\nlimits = "0.0003"'}, "uncertainty-twice", "Keep one"),
        ({'u = "0.0002"': 'u = "0.0002"\nfile = "naoh.toml"'}, "value-and-file", "Keep the file"),
        ({'class = "A"\nid = "P3"': 'class = "C"\nid = "P3"'}, "class-not-listed", "Listed are"),
        ({'u = "0.0002"': 'class = "A"'}, "class-without-table", "Write u or limits"),
        ({'value = "25.00"': 'value = "26.00"'}, "capacity-not-listed", "26 mL"),
        ({'value = "25.00"': 'file = "pipette.toml"'}, "not-linkable", "Only a concentration"),
        ({"capacity_mL = 50": "capacity_mL = 50000"}, "number-out-of-range", "not above 1000"),
        ({'division_mL = "0.1"': 'division_mL = "0.3"'}, "division-not-listed", "0.3"),
        ({'temperature_degC = "22.5"': 'temperature_degC = "225"'}, "temperature-out-of-range", "225"),
        ({"[room]": "[room]\nlimits_degC = 1"}, "uncertainty-twice", "Keep one"),
        ({'temperature_degC = "22.5"': "correct_to_20 = true"}, "temperature-missing", "Write temperature"),
        ({"date = 2026-09-14": 'date = "14.9.2026"'}, "not-a-date", "year-month-day"),
        ({"rough = true": 'rough = true\nabandoned = "leak"'}, "states-two", "Keep one"),
        ({"rough = true": 'left_out = true'}, "reason-missing", "Say why"),
        ({"rough = true": "rough = 3"}, "not-yes-or-no", "Write true or false"),
        ({'initial = "0.05"': 'initial = "0.05"\nrefill = [{ before = "9" }]'}, "key-missing", "after"),
        ({'initial = "0.05"': "initial = true"}, "reading-not-text", "quotes"),
    ],
)  # fmt: skip
def test_a_wrong_value_is_told_with_what_is_accepted(changes: dict[str, str], code: str, words: str) -> None:
    page = changed(VINEGAR, changes)
    if "file =" in next(iter(changes.values())):
        page = page.replace('value = "25.00"\nunit = "mL"\nclass = "A"\n', "")

    assert words.replace("cannot", "worked with") in refused(page)[code].message


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ('coverage = "0.95"', "coverage"),
        ('coverage = "100 %"', "coverage"),
        ('weights = "CIAAW 2019"', "not-an-option"),
        ('interval_value = "middle"', "not-an-option"),
        ('trials_file = "none.csv"', "file-missing"),
        ("burettes = 3", "not-a-table"),
        ("balance = {}", "balance-uncertainty"),
        ('choose = { rule = "closest pair" }', "not-an-option"),
        ('choose = { used = ["9"] }', "trial-unknown"),
        ('choose = { used = ["1"] }', "marked-not-accurate"),
        ('choose = { rule = "all-accurate", used = ["2"] }', "used-without-rule"),
        ('repeatability = { from = "pooled" }', "key-missing"),
        ('repeatability = { from = "parts", reading_mL = 0.02 }', "key-missing"),
        ('end_point = { late_mL = "0.03" }', "key-missing"),
        ('second_burette = "B2"', "burette-unknown"),
        ('blank = { gross = 1, tare = 2 }', "not-weighed"),
    ],
)  # fmt: skip
def test_a_wrong_setting_is_refused(line: str, code: str) -> None:
    assert code in refused(line + "\n" + VINEGAR)


def test_a_blank_by_value_and_by_trials_is_one_too_many() -> None:
    page = 'blank = "0.05 mL"\n' + VINEGAR + '[[trial]]\nseries = "blank"\ninitial = "0.10"\nfinal = "0.15"\n'

    assert "Keep the trials or the value" in refused(page)["blank-twice"].message


def test_one_object_has_one_value() -> None:
    page = VINEGAR + '[flask]\nvalue = 250\nunit = "mL"\nclass = "A"\n'
    page += '[stock]\nvalue = "10.00"\nunit = "mL"\nclass = "A"\nid = "P3"\n'

    finding = refused(page)["two-values"]

    assert "The pipette P3 is given as 25.00 and as 10.00" in finding.message


def test_masses_are_weighed_one_way_in_all_trials() -> None:
    page = changed(WEIGHED, {'mass = "0.5066"': 'mass = { gross = "12.3456", tare = "11.8390" }'})

    assert refused(page)["mass-ways"].place.field == "trial 1, mass"


@pytest.mark.parametrize(
    ("mass", "code"),
    [
        ('{ gross = "11.0", tare = "12.0" }', "gross-below-tare"),
        ('{ gross = "12.0" }', "key-missing"),
        ('{ gross = "12.0", tare = "11.5", value = "0.5" }', "mass-twice"),
        ('"0.5 mL"', "unit-wrong"),
        ('"half a gram"', "not-a-number"),
        ("[0.5]", "not-a-number"),
    ],
)
def test_a_mass_that_cannot_be_used_is_refused(mass: str, code: str) -> None:
    page = changed(WEIGHED, {'mass = "0.5105"': f"mass = {mass}"})

    finding = refused(page)[code]

    assert finding.place.field.startswith("trial 1, mass")


def test_a_purity_in_per_cent_without_its_unit_is_noticed() -> None:
    assert "99.9 %" in refused('purity = "99.95"\n' + WEIGHED)["purity-above-one"].message


def test_readings_off_the_scale_are_refused_with_their_place() -> None:
    page = changed(VINEGAR, {'"41.17"': '"51.17"'})

    assert str(refused(page)["off-the-scale"].place) == "page.toml:36, trial 3, final"


def test_a_final_below_its_initial_is_refused_unless_the_trial_is_left_out() -> None:
    page = changed(VINEGAR, {'"41.17"': '"4.17"'})

    assert "final-below-initial" in refused(page)
    left_out = changed(page, {'initial = "20.60"': 'left_out = "misread"\ninitial = "20.60"'})
    assert "final-below-initial" in noticed(left_out)


def test_a_calibration_that_does_not_reach_the_readings_is_refused() -> None:
    described = (
        'calibration = { marks_mL = ["10", "20"], corrections_mL = [0.01, 0.02], u_mL = [0.005, 0.005], '
        'source = "weighed" }'
    )
    page = changed(VINEGAR, {'id = "B07"': f'id = "B07"\n{described}'})

    assert "beyond-calibration" in refused(page)


@pytest.mark.parametrize(
    ("written", "code"),
    [
        (
            '{ marks_mL = [10, 20], corrections_mL = [0.01], u_mL = [0.005, 0.005], source = "x" }',
            "calibration-lengths",
        ),
        (
            '{ marks_mL = [20, 10], corrections_mL = [0, 0], u_mL = [0, 0], source = "x" }',
            "calibration-marks",
        ),
        (
            '{ marks_mL = [20, 60], corrections_mL = [0, 0], u_mL = [0, 0], source = "x" }',
            "calibration-marks",
        ),
        ("{ }", "key-missing"),
    ],
)
def test_a_calibration_that_cannot_be_used_is_refused(written: str, code: str) -> None:
    page = changed(VINEGAR, {'id = "B07"': f'id = "B07"\ncalibration = {written}'})

    assert code in refused(page)


def test_a_link_in_a_trial_is_refused() -> None:
    page = changed(VINEGAR, {'initial = "0.05"': 'titrant = { file = "naoh.toml" }\ninitial = "0.05"'})

    assert "link-in-trial" in refused(page)


def test_a_link_is_a_determination_or_a_saved_result() -> None:
    page = changed(VINEGAR, {'value = "0.1023"\nunit = "mol/L"\nu = "0.0002"': 'file = "naoh.csv"'})

    assert ".toml" in refused(page)["link-ending"].message


def test_a_second_burette_that_was_read_is_described() -> None:
    head = 'method = "acid-base-overshoot"\nsample = "x"\nstrength = "1.02"\naliquot = "25.00 mL"\n'
    head += "[burette]" + HEAD.split("[burette]")[1].split("[aliquot]")[0]
    back = 'back_initial = "0.10"\nback_final = "1.10"\n'
    page = head + TRIALS + back

    assert "second_burette" in refused(page)["burette-missing"].message
    only_half = (
        head + '[second_burette]\nid = "B2"\ncapacity_mL = 50\ndivision_mL = "0.1"\nclass = "A"\n' + TRIALS
    )
    assert (
        refused(only_half + 'back_final = "1.10"\n')["reading-missing"].place.field == "trial 4, back_initial"
    )
    assert codes(read(only_half + back)[2]).isdisjoint({"burette-missing", "reading-missing"})


def test_a_decimal_comma_without_quotes_is_told_how_to_write() -> None:
    finding = refused(changed(VINEGAR, {'final = "20.60"': "final = 20,60"}))["toml-syntax"]

    assert finding.place.line == 34
    assert 'final = "20,60"' in finding.message


def test_many_complaints_of_one_kind_are_counted_not_repeated() -> None:
    trials = "".join('[[trial]]\ninitial = "0.05"\nfinal = "x"\n' for _ in range(300))
    start = (HEAD + "\n").count("\n")

    findings = [f for f in read(HEAD + "\n" + trials)[2] if f.code == "reading-unreadable"]

    assert len(findings) == 6
    assert findings[-1].message.startswith(f"And 295 more like it, the first of them at line {start + 18}")
    assert len(findings[-1].evidence["lines"]) == 295  # type: ignore[arg-type]


@pytest.mark.parametrize("other", ['"five"', "0.01"])
def test_an_unknown_class_is_told_with_the_other_faults_of_its_burette(other: str) -> None:
    page = changed(VINEGAR, {"capacity_mL = 50": f"capacity_mL = {other}", 'class = "A"': 'class = "C"'})

    findings = [
        f for f in read(page)[2] if f.severity is Severity.REFUSED and f.place.field.startswith("bur")
    ]

    assert len(findings) == 2
    assert any("class" in f.message for f in findings)
