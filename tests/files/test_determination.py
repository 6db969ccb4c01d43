"""A determination is read as it was written down."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.glassware.readings import Reading
from halfdrop.core.measure.estimate import Shape
from halfdrop.core.titration.record import Choice, EndPoint, From, Reason, Repeatability, State
from halfdrop.files.determination import read_determination
from halfdrop.files.digests import digest_of
from tests.files.pages import HEAD, TRIALS, VINEGAR, WEIGHED, changed, noticed, read, read_well


def test_readings_keep_what_was_written() -> None:
    page = changed(VINEGAR, {'final = "20.60"': "final = 20.60", 'initial = "0.20"': 'initial = "0,20"'})

    trials = read_well(page).trials

    assert [trial.readings["final"].text for trial in trials] == ["21.00", "20.60", "41.17", "20.72"]
    assert trials[3].readings["initial"] == Reading("0,20")


def test_trials_are_numbered_and_placed() -> None:
    trials = read_well(VINEGAR).trials

    assert [(trial.label, trial.series, trial.state) for trial in trials] == [
        ("1", "sample", State.ROUGH), ("2", "sample", State.ACCURATE), ("3", "sample", State.ACCURATE),
        ("4", "sample", State.ACCURATE),
    ]  # fmt: skip
    assert str(trials[2].place) == "page.toml:36, trial 3"


def test_what_surrounds_the_trials_is_read() -> None:
    head = 'analyst = "R. Osei"\nbottle = "N-2"\nnotes = ["cloudy", "cold"]\nbench = 4\n' + HEAD

    found = read_well(head + TRIALS)

    assert (found.sample, found.analyst, found.date) == ("Wine vinegar, bottle 3", "R. Osei", "2026-09-14")
    assert (found.bottle, found.notes) == ("N-2", ("cloudy", "cold", "bench 4"))
    assert (found.method, found.file) == ("vinegar", "page.toml")


def test_a_burette_has_the_limit_of_its_class() -> None:
    found = read_well(VINEGAR)

    burette = found.burettes[found.burette]
    assert (burette.id, burette.limit_ml, burette.shape) == ("B07", 0.05, Shape.RECTANGULAR)
    assert "ISO 385" in burette.limit_source


def test_a_limit_that_is_engraved_replaces_that_of_the_class() -> None:
    page = changed(VINEGAR, {'id = "B07"': 'id = "B07"\nlimit_mL = "0,03"\nshape = "triangular"'})

    burette = read_well(page).burettes["B07"]
    assert (burette.limit_ml, burette.limit_source, burette.shape) == (0.03, "as given", Shape.TRIANGULAR)


def test_a_class_that_is_not_written_is_taken_as_b_with_a_note() -> None:
    page = changed(HEAD, {'division_mL = "0.1"\nclass = "A"': 'division_mL = "0.1"'}) + TRIALS

    assert read_well(page).burettes["B07"].limit_ml == 0.1
    assert noticed(page)["class-assumed"].place.line == 5


def test_a_burette_without_an_id_is_nobody_elses() -> None:
    found = read_well(changed(VINEGAR, {'id = "B07"\n': ""}))

    assert found.burette == "burette of page.toml"


def test_trials_may_name_other_burettes() -> None:
    other = '[burettes.B09]\ncapacity_mL = 25\ndivision_mL = "0.05"\nclass = "A"\n'
    page = (
        changed(VINEGAR, {'initial = "20.60"': 'burette = "B09"\ninitial = "0.60"', "41.17": "21.17"}) + other
    )

    found = read_well(page)

    assert [trial.burette for trial in found.trials] == ["", "", "B09", ""]
    assert set(found.burettes) == {"B07", "B09"}


def test_a_calibration_replaces_the_class() -> None:
    described = (
        '[burette.calibration]\nmarks_mL = ["25", "50"]\ncorrections_mL = ["0.01", "-0,02"]\n'
        'u_mL = [0.005, 0.006]\ncommon_u_mL = "0.003"\nsource = "weighed"\n'
    )
    page = changed(HEAD, {'division_mL = "0.1"\nclass = "A"': f'division_mL = "0.1"\n{described}'}) + TRIALS

    burette = read_well(page).burettes["B07"]

    assert burette.calibration is not None
    assert burette.calibration.corrections_ml == (0.01, -0.02)
    assert (burette.limit_ml, burette.limit_source) == (0.0, "calibrated")


def test_a_quantity_carries_value_uncertainty_and_key() -> None:
    titrant = read_well(VINEGAR).given["titrant"]

    assert (titrant.value, titrant.u, titrant.unit, titrant.key) == (0.1023, 0.0002, "mol/L", "solution:N-2")
    assert (titrant.written, titrant.dof) == ("0.1023", math.inf)


def test_a_pipette_has_the_uncertainty_of_its_class() -> None:
    aliquot = read_well(VINEGAR).given["aliquot"]

    assert aliquot.u == pytest.approx(0.03 / math.sqrt(3))
    assert (aliquot.shape, aliquot.key) == (Shape.RECTANGULAR, "pipette:P3")
    assert "ISO 648, class A" in aliquot.why_u


@pytest.mark.parametrize(
    ("written", "u", "shape"),
    [
        ('limits = "0.0003"', 0.0003 / math.sqrt(3), Shape.RECTANGULAR),
        ('limits = "0.0003"\nshape = "triangular"', 0.0003 / math.sqrt(6), Shape.TRIANGULAR),
        ('relative_u = "0.001"', 0.0001023, Shape.NORMAL),
        ("", 0.00005 / math.sqrt(3), Shape.RECTANGULAR),
    ],
)
def test_an_uncertainty_may_be_written_in_any_of_its_ways(written: str, u: float, shape: Shape) -> None:
    titrant = read_well(changed(VINEGAR, {'u = "0.0002"': written})).given["titrant"]

    assert titrant.u == pytest.approx(u)
    assert titrant.shape is shape


def test_a_titrant_without_an_uncertainty_asks_for_attention() -> None:
    finding = noticed(changed(VINEGAR, {'u = "0.0002"\n': ""}))["no-uncertainty"]

    assert finding.severity == "attention"
    assert finding.place.field == "titrant"


def test_the_limits_of_a_class_may_be_taken_as_triangular() -> None:
    page = changed(VINEGAR, {'id = "P3"': 'id = "P3"\nshape = "triangular"'})

    aliquot = read_well(page).given["aliquot"]

    assert aliquot.u == pytest.approx(0.03 / math.sqrt(6))
    assert aliquot.shape is Shape.TRIANGULAR


def test_units_of_another_size_are_converted() -> None:
    page = changed(VINEGAR, {'"0.1023"\nunit = "mol/L"\nu = "0.0002"': '"102,3"\nunit = "mmol/L"\nu = "0.2"'})

    titrant = read_well(page).given["titrant"]

    assert (titrant.value, titrant.unit, titrant.written) == (0.1023, "mol/L", "102,3 mmol/L")
    assert titrant.u == pytest.approx(0.0002)


def test_the_short_form_takes_value_and_unit_in_one_text() -> None:
    page = 'aliquot = "25,00 mL"\n' + HEAD.split("[aliquot]")[0] + TRIALS

    aliquot = read_well(page).given["aliquot"]

    assert aliquot.value == 25.0
    assert aliquot.u == pytest.approx(0.06 / math.sqrt(3))


def test_a_number_without_a_unit_is_taken_in_the_methods_unit_and_said() -> None:
    page = "aliquot = 25.00\n" + HEAD.split("[aliquot]")[0] + TRIALS

    assert read_well(page).given["aliquot"].value == 25.0
    assert "taken in mL" in noticed(page)["unit-assumed"].message


def test_a_value_of_the_methods_own_stands_until_another_is_given() -> None:
    purity = read_well(WEIGHED).given["purity"]

    assert purity.value == 1.0
    assert purity.u == pytest.approx(0.0005 / math.sqrt(3))
    assert "example A2" in purity.source
    given = read_well('purity = "99.9 %"\n' + WEIGHED).given["purity"]
    assert given.value == pytest.approx(0.999)
    assert given.written == "99.9 %"


def test_a_mass_by_difference_has_two_weighings() -> None:
    page = changed(
        WEIGHED,
        {
            '"0.5105"': '{ gross = "12.4444", tare = "11.9339" }',
            '"0.5066"': '{ gross = "12.3456", tare = "11.8390" }',
        },
    )

    mass = read_well(page).trials[1].given["mass"]

    assert (mass.gross, mass.tare) == (12.3456, 11.8390)
    assert mass.value == pytest.approx(0.5066, abs=1e-12)
    assert mass.u_each == pytest.approx(0.00015 / math.sqrt(3))
    assert (mass.shape, mass.written) == (Shape.RECTANGULAR, "12.3456 - 11.8390")


def test_a_net_mass_counts_two_weighings_as_well() -> None:
    page = changed(WEIGHED, {'mass = "0.5066"': 'mass = "506.6 mg"'})

    first, second = (trial.given["mass"] for trial in read_well(page).trials)

    assert first.u == pytest.approx(0.00015 * math.sqrt(2 / 3))
    assert first.shape is Shape.TRIANGULAR
    assert second.value == pytest.approx(0.5066)
    assert second.u == first.u


def test_masses_without_a_balance_go_by_their_last_digit_with_one_note() -> None:
    page = changed(WEIGHED, {'[balance]\nid = "A2"\nlinearity_mg = "0.15"\n': ""})

    mass = read_well(page).trials[0].given["mass"]

    assert mass.u == pytest.approx(0.00005 * math.sqrt(2 / 3))
    assert [f.code for f in read(page)[2]].count("balance-not-given") == 1


@pytest.mark.parametrize(
    ("written", "state", "reason"),
    [
        ("rough = true", State.ROUGH, None),
        (
            'left_out = "bubble"\nby = "R. Osei"\nat = "10:40"',
            State.LEFT_OUT,
            Reason("bubble", "R. Osei", "10:40"),
        ),
        ('abandoned = "tap stuck"', State.ABANDONED, Reason("tap stuck")),
        ("rough = false", State.ACCURATE, None),
    ],
)
def test_what_became_of_a_trial_is_kept_with_its_reason(
    written: str, state: State, reason: Reason | None
) -> None:
    trial = read_well(changed(VINEGAR, {"rough = true": written})).trials[0]

    assert (trial.state, trial.reason) == (state, reason)


def test_an_abandoned_trial_may_lack_its_final_reading() -> None:
    page = changed(VINEGAR, {"rough = true": 'abandoned = "leak"', 'final = "21.00"\n': ""})

    assert list(read_well(page).trials[0].readings) == ["initial"]


def test_a_refill_is_kept_with_both_readings() -> None:
    refill = 'refill = [{ before = "41.10", after = "0.30" }]\n'
    page = changed(VINEGAR, {'final = "41.17"': f'final = "0.37"\n{refill}'})

    (one,) = read_well(page).trials[2].refills

    assert (one.before.text, one.after.text, one.towards) == ("41.10", "0.30", "final")


def test_circumstances_of_a_trial_are_kept() -> None:
    written = (
        'no = "3b"\nread_by = "A"\ntap_by = "B"\ntime = 10:40:00\ntemperature_degC = 21.5\nnote = "slow"\n'
    )
    page = changed(VINEGAR, {'initial = "20.60"': written + 'initial = "20.60"'})

    trial = read_well(page).trials[2]

    assert (trial.label, trial.read_by, trial.tap_by, trial.note) == ("3b", "A", "B", "slow")
    assert (trial.time, trial.temperature_degc) == ("10:40:00", 21.5)


def test_a_blank_may_be_a_value_or_trials() -> None:
    by_value = read_well('blank = "0.05 mL"\n' + VINEGAR)
    by_trials = read_well(VINEGAR + '[[trial]]\nseries = "blank"\ninitial = "0.10"\nfinal = "0.15"\n')

    assert by_value.given["blank"].value == 0.05
    assert (by_trials.trials[4].series, by_trials.trials[4].label) == ("blank", "1")
    assert by_trials.trials[4].place.field == "blank trial 1"


@pytest.mark.parametrize("name", ["naoh.toml", "naoh.json"])
def test_a_titrant_may_come_from_another_file(name: str) -> None:
    page = changed(VINEGAR, {'value = "0.1023"\nunit = "mol/L"\nu = "0.0002"': f'file = "{name}"'})

    found = read_well(page)

    assert found.links == {"titrant": name}
    assert "titrant" not in found.given


def test_the_room_is_one_on_one_day() -> None:
    page = changed(VINEGAR, {"[room]": '[room]\nid = "lab 2"\ncorrect_to_20 = true'})

    room = read_well(page).room

    assert (room.temperature_degc, room.u_degc, room.measured, room.correct) == (22.5, 0.5, True, True)
    assert (room.key, room.shape) == ("room:lab 2 2026-09-14", Shape.NORMAL)


def test_a_temperature_without_an_uncertainty_gets_one_and_says_so() -> None:
    page = changed(VINEGAR, {'u_degC = "0.5"\n': ""})

    assert read_well(page).room.u_degc == pytest.approx(1 / math.sqrt(3))
    assert "temperature-uncertainty-assumed" in noticed(page)


def test_a_page_without_a_room_keeps_the_spread_of_one() -> None:
    page = changed(VINEGAR, {'[room]\ntemperature_degC = "22.5"\nu_degC = "0.5"\n': ""})

    room = read_well(page).room

    assert (room.measured, room.temperature_degc) == (False, 20.0)
    assert room.u_degc == pytest.approx(4 / math.sqrt(3))


def test_what_is_asked_for_is_read() -> None:
    asked = """
coverage = "k=2"
weights = "CIAAW 2021"
interval_value = "conventional"
[repeatability]
from = "pooled"
sd_mL = "0.035"
dof = 20
source = "last term"
[choose]
used = ["2", 4]
[end_point]
late_mL = "0.03"
u_mL = "0.02"
source = "indicator blank of the class"
"""
    found = read_well(_top_first(asked))

    assert (found.coverage, found.interval_value) == ("k = 2", "conventional")
    assert found.repeatability == Repeatability(From.POOLED, 0.035, None, 20.0, words="last term")
    assert found.choice == Choice("as-marked", None, ("2", "4"))
    assert found.end_point == EndPoint(0.03, 0.02, "indicator blank of the class")


def _top_first(asked: str) -> str:
    """Return the vinegar page with more keys: the bare ones first, the tables last."""
    bare, tables = asked.split("[", 1)
    return f"{bare}\n{VINEGAR}\n[{tables}"


@pytest.mark.parametrize(
    ("written", "kept"), [("95", "95 %"), ("99,7 %", "99.7 %"), ("k = 2", "k = 2"), ("K=2,5", "k = 2.5")]
)
def test_a_coverage_is_written_one_way(written: str, kept: str) -> None:
    assert read_well(f'coverage = "{written}"\n' + VINEGAR).coverage == kept


def test_the_digest_changes_with_the_file_and_its_table(tmp_path: Path) -> None:
    page, table = tmp_path / "page.toml", tmp_path / "trials.csv"
    page.write_text('trials_file = "trials.csv"\n' + HEAD, encoding="utf-8")
    table.write_text("initial,final\n0.05,20.60\n0.10,20.63\n", encoding="utf-8")
    first, _, _ = read_determination(page)
    assert first is not None
    assert digest_of(page) == first.digest

    table.write_text("initial,final\n0.05,20.60\n0.10,20.64\n", encoding="utf-8")

    assert digest_of(page) not in (first.digest, "")


READINGS = st.integers(0, 2500).map(lambda cents: f"{cents / 100:.2f}")
DIGITS = st.integers(1000, 9999).map(lambda number: f"0.{number}")


@settings(max_examples=50, deadline=None)
@given(
    st.lists(st.tuples(READINGS, st.integers(1600, 2400), st.booleans()), min_size=1, max_size=5),
    DIGITS,
    st.sampled_from([".", ","]),
    st.sampled_from(["\n", "\r\n"]),
)
def test_a_page_written_anew_reads_the_same(
    rows: list[tuple[str, int, bool]], titrant: str, mark: str, end: str
) -> None:
    page = HEAD.replace("0.1023", titrant)
    for initial, cents, rough in rows:
        final = f"{float(initial) + cents / 100:.2f}"
        page += f'[[trial]]\nrough = {str(rough).lower()}\ninitial = "{initial}"\nfinal = "{final}"\n'
    page += '[[trial]]\ninitial = "0.05"\nfinal = "20.60"\n'

    first = read_well(page)
    again = read_well(
        page.replace("0.", f"0{mark}").replace('division_mL = "0,1"', "division_mL = 0.1").replace("\n", end)
    )

    assert [trial.readings["final"].decimal for trial in first.trials] == [
        trial.readings["final"].decimal for trial in again.trials
    ]
    assert again.given["titrant"].value == first.given["titrant"].value == float(titrant)
    assert [t.state for t in first.trials] == [t.state for t in again.trials]
    assert replace(again.burettes["B07"], place=first.burettes["B07"].place) == first.burettes["B07"]
