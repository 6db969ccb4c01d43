"""Calibrations read: levels, weighings, conditions, and what cannot have been."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from halfdrop.core.findings import Severity
from halfdrop.core.glassware.conformity import Rule
from halfdrop.core.glassware.gravimetric import Taken
from halfdrop.core.measure.estimate import Shape
from halfdrop.files.forms import CALIBRATION as FORM
from halfdrop.files.forms import form_text
from tests.files.shelf_pages import CALIBRATION, HEAD, SHELF, calibration, calibration_well, refused

SUCCESSIVE = HEAD.replace('by = "K. L."', 'way = "successive"') + "".join(
    f'[[weighing]]\nmark_mL = {mark}\ntotal_g = "{total:.4f}"\n'
    for run in (0, 4)
    for mark, total in ((10, 9.9716 + run / 1000), (20, 19.9431), (30, 29.9147), (40, 39.8863), (50, 49.8579))
)
FLASK = """
date = 2026-09-01
[piece]
id = "F7"
kind = "flask"
capacity_mL = 250
class = "A"
[water]
temperature_degC = "20.0"
limits_degC = "0.2"
[[weighing]]
tare_g = "81.20"
gross_g = "330.48"
"""


def test_the_form_is_a_calibration_without_a_complaint() -> None:
    read, findings = calibration(form_text(FORM))

    assert read is not None
    assert findings == ()
    (piece,) = read.pieces
    assert [one.left_out for one in piece.deliveries if one.left_out] == ["a drop fell beside the vessel"]
    assert piece.pattern.deliveries == 30


def test_levels_and_weighings_are_kept_as_written() -> None:
    (piece,) = calibration_well().pieces
    first = piece.deliveries[0]

    assert (first.start, first.stop, first.gross_g) == (Decimal(0), Decimal(10), Decimal("34.9716"))
    assert first.written == "34.9716 - 25.0000"
    assert piece.column("gross_g")[0] == 34.9716
    assert (piece.limit_ml, piece.limit_source) == (0.05, "as written on the piece")


def test_whole_deliveries_begin_at_zero_and_runs_are_told_apart() -> None:
    (piece,) = calibration_well().pieces

    assert not piece.pattern.starts.any()
    assert [one.run for one in piece.deliveries] == ["1"] * 5 + ["2"] * 5 + ["3"] * 5


def test_intervals_begin_where_the_one_before_ended_and_totals_are_cut() -> None:
    read = calibration_well(SUCCESSIVE)
    (piece,) = read.pieces

    assert list(piece.pattern.starts) == [0, 1, 2, 3, 4] * 2
    assert not piece.pattern.carried_on.any()
    assert piece.deliveries[1].net_g == Decimal("9.9715")
    assert piece.deliveries[5].tare_g == 0


def test_intervals_may_carry_on_from_the_level_before() -> None:
    (piece,) = calibration_well(SUCCESSIVE.replace("waiting_s = 30", 'levels = "carried on"', 1)).pieces

    assert list(piece.pattern.carried_on) == [False, True, True, True, True] * 2


def test_a_delivery_left_out_breaks_the_chain_of_levels() -> None:
    text = SUCCESSIVE.replace("waiting_s = 30", 'levels = "carried on"', 1)
    (piece,) = calibration_well(
        text.replace("mark_mL = 20\n", 'mark_mL = 20\nleft_out = "a drop fell"\n', 1)
    ).pieces

    assert list(piece.pattern.carried_on) == [False, False, True, True, False, True, True, True, True]


def test_levels_near_the_mark_are_used_where_they_stood_and_give_the_step() -> None:
    (piece,) = calibration_well(
        CALIBRATION.replace("mark_mL = 10\n", 'mark_mL = 10\nfinal_mL = "10,02"\n')
    ).pieces

    assert piece.column("stop")[0] == 10.02
    assert piece.spread.step_ml == 0.01
    assert piece.spread.reading_ml == pytest.approx(0.01)


def test_a_flask_has_one_mark_and_the_limit_of_its_class() -> None:
    text = FLASK + '[[weighing]]\ntare_g = "81.20"\ngross_g = "330.45"\n' * 4
    (piece,) = calibration_well(text).pieces

    assert list(piece.pattern.marks_ml) == [250.0]
    assert piece.limit_ml == 0.15


def test_what_nobody_wrote_is_assumed_and_said() -> None:
    _, findings = calibration(FLASK + '[[weighing]]\ntare_g = "81.20"\ngross_g = "330.45"\n' * 4)

    notes = [one for one in findings if one.severity is Severity.NOTE]
    assert {one.code for one in notes} >= {"assumed", "balance-unknown"}
    assert sum(one.code == "assumed" for one in notes) == 4


def test_conditions_are_read_with_their_shapes_and_keys() -> None:
    session = calibration_well(
        CALIBRATION.replace('limits_degC = "0.2"', 'u_degC = "0.1"\nthermometer = "T2"', 1)
    ).session

    assert (session.water_c.u, session.water_c.shape, session.water_c.key) == (
        0.1,
        Shape.NORMAL,
        "thermometer:T2",
    )
    assert session.air.pressure_hpa.u == pytest.approx(3 / np.sqrt(3))
    assert session.balance.linearity_g == pytest.approx(0.0002)
    assert session.balance.random_g() == pytest.approx(np.sqrt(2) * 0.0001)


def test_each_weighing_may_have_its_own_temperature() -> None:
    text = CALIBRATION.replace("mark_mL = 10\n", 'mark_mL = 10\ntemperature_degC = "20.4"\n', 1)
    (piece,) = calibration_well(text).pieces

    assert list(piece.temperatures_c(20.0)[:2]) == [20.4, 20.0]


def test_formulas_and_decision_are_named_in_the_file() -> None:
    text = CALIBRATION.replace("waiting_s = 30", 'decision = "guarded acceptance"', 1)
    text = text.replace('humidity_percent = "50"', 'humidity_percent = "50"\ndensity = "simplified"')
    read = calibration_well(
        text.replace('limits_degC = "0.2"', 'limits_degC = "0.2"\ndensity = "tanaka 2001, tap water"')
    )

    assert read.rule is Rule.GUARDED
    assert read.session.air.formula == "simplified"
    assert read.session.water_formula == "Tanaka 2001, tap water"


def test_air_may_be_given_as_a_density() -> None:
    start, end = CALIBRATION.index("[air]"), CALIBRATION.index("[balance]")
    text = CALIBRATION[:start] + '[air]\ndensity_kg_m3 = "1.199"\nu_kg_m3 = "0.005"\n' + CALIBRATION[end:]

    given = calibration_well(text).session.air.given_kg_m3

    assert given is not None
    assert (given.value, given.u) == (1.199, 0.005)


def test_pieces_may_stand_on_a_shelf_with_the_balance(tmp_path: Path) -> None:
    (tmp_path / "shelf.toml").write_text(SHELF, encoding="utf-8")
    start, end = CALIBRATION.index("[piece]"), CALIBRATION.index("[water]")
    text = 'shelf = "shelf.toml"\npieces = ["B01"]\n' + CALIBRATION[:start] + CALIBRATION[end:]
    text = text.replace('linearity_mg = "0.2"\nrepeatability_mg = "0.1"\n', "")

    read = calibration_well(text, tmp_path)

    assert [one.piece.id for one in read.pieces] == ["B01"]
    assert read.pieces[0].limit_ml == 0.05
    assert read.session.balance.linearity_g == pytest.approx(0.0002)


def test_several_pieces_share_a_table_of_weighings(tmp_path: Path) -> None:
    rows = [
        f"{name};{mark};25.0000;{25 + mark * 0.99716:.4f}" for name in ("B1", "B2") for mark in (25, 50) * 3
    ]
    (tmp_path / "w.csv").write_text("\n".join(["piece;mark_mL;tare / g;gross / g", *rows]), encoding="utf-8")
    text = 'weighings_file = "w.csv"\n' + HEAD.replace('id = "B07"', 'ids = ["B1", "B2"]')

    read = calibration_well(text, tmp_path)

    assert [(one.piece.id, one.pattern.deliveries) for one in read.pieces] == [("B1", 6), ("B2", 6)]
    assert read.pieces[1].deliveries[0].place.line == 8


def test_what_is_known_of_the_scatter_is_read() -> None:
    text = CALIBRATION + '[reading]\nu_mL = "0.004"\npooled_sd_mL = "0.01"\npooled_dof = 30\ntake = "parts"\n'
    spread = calibration_well(text).pieces[0].spread

    assert (spread.reading_ml, spread.pooled_ml, spread.pooled_dof, spread.taken) == (
        0.004,
        0.01,
        30,
        Taken.PARTS,
    )


FIRST = '\n[[weighing]]\nmark_mL = 10\ntare_g = "25.0000"\ngross_g = "34.9716"\n'


@pytest.mark.parametrize(
    ("old", "new", "code", "field"),
    [
        ('gross_g = "34.9716"', 'gross_g = "-34.9716"', "number-out-of-range", "weighing 1, gross_g"),
        ('gross_g = "34.9716"', 'gross_g = "24.9716"', "gross-below-tare", "weighing 1, gross_g"),
        ('gross_g = "34.9716"', 'gross_g = "44.9716"', "mass-does-not-fit", "weighing 1, gross_g"),
        ('gross_g = "34.9716"', 'gross_g = "9971.6"', "mass-does-not-fit", "weighing 1, gross_g"),
        ('gross_g = "34.9716"', 'mass_g = "9.9716"', "weighing-ways", "weighing 1, tare_g"),
        ('gross_g = "34.9716"', "", "weighing-ways", "weighing 1, gross_g"),
        ('tare_g = "25.0000"\n', "", "key-missing", "weighing 1, tare_g"),
        ("mark_mL = 10\n", "mark_mL = 60\n", "mark-off-scale", "weighing 1, mark_mL"),
        ("mark_mL = 10\n", "", "key-missing", "weighing 1, mark_mL"),
        ("mark_mL = 10\n", 'mark_mL = 10\nfinal_mL = "51.00"\n', "level-off-scale", "weighing 1, final_mL"),
        ("mark_mL = 10\n", 'mark_mL = 10\nfinal_mL = "0.00"\n', "nothing-delivered", "weighing 1, final_mL"),
        ("mark_mL = 10\n", 'mark_mL = 10\nfinal_mL = "ten"\n', "reading-unreadable", "weighing 1, final_mL"),
        ("mark_mL = 10\n", 'mark_mL = 10\npiece = "B9"\n', "piece-unknown", "weighing 1, piece"),
        (
            "mark_mL = 10\n",
            "mark_mL = 10\ntemperature_degC = 95\n",
            "temperature-out-of-range",
            "weighing 1, temperature_degC",
        ),
        ("mark_mL = 10\n", "mark_mL = 10\ncolour = 1\n", "key-unknown", "weighing 1, colour"),
        ("mark_mL = 10\n", "mark_mL = 10\nfrom_mL = 5\n", "mass-does-not-fit", "weighing 1, gross_g"),
        (
            'temperature_degC = "20.0"',
            'temperature_degC = "95"',
            "temperature-out-of-range",
            "water, temperature_degC",
        ),
        ('pressure_hPa = "1013.25"', 'pressure_hPa = "2000"', "pressure-impossible", "air, pressure_hPa"),
        (
            'humidity_percent = "50"',
            'humidity_percent = "150"',
            "humidity-impossible",
            "air, humidity_percent",
        ),
        ('limits_hPa = "3"', 'limits_hPa = "3"\nu_hPa = "1"', "uncertainty-twice", "air, limits_hPa"),
        ('limits_hPa = "3"', 'limits_hPa = "3"\ndensity_kg_m3 = "1.2"', "air-twice", "air, humidity_percent"),
        ('loss_mg = "0"', 'loss_mg = "-3"', "evaporation-negative", "evaporation, loss_mg"),
        ("capacity_mL = 50", 'capacity_mL = "0.05"', "capacity-impossible", "piece 1, capacity_mL"),
        ("date = 2026-09-01", 'date = 2026-09-01\nlevels = "carried on"', "levels-from-zero", "levels"),
        (
            'limits_degC = "0.2"',
            'limits_degC = "0.2"\ndensity = "Kell 1975"',
            "not-an-option",
            "water, density",
        ),
        ("[balance]", "[reading]\npooled_dof = 3\n[balance]", "pooled-half", "reading, pooled_dof"),
    ],
)
def test_what_cannot_have_been_is_refused_where_it_stands(old: str, new: str, code: str, field: str) -> None:
    assert old in CALIBRATION
    found = refused(CALIBRATION.replace(old, new, 1))

    assert code in found
    assert found[code].place.field.split(", ")[-1] == field.split(", ")[-1]
    assert found[code].place.line > 0


def test_a_total_that_falls_is_refused() -> None:
    found = refused(SUCCESSIVE.replace('"29.9147"', '"18.9147"', 1))

    assert "went from 19.9431 g to 18.9147 g" in found["total-fell"].message


@pytest.mark.parametrize(
    ("mass", "words"),
    [("9971.6", "It looks like milligrams"), ("0.0099716", "kilograms, or the volume in litres")],
)
def test_other_units_are_recognised(mass: str, words: str) -> None:
    found = refused(CALIBRATION.replace('tare_g = "25.0000"\ngross_g = "34.9716"', f'mass_g = "{mass}"', 1))
    assert words in found["mass-does-not-fit"].message


def test_marks_in_litres_are_recognised() -> None:
    found = refused(FLASK.replace("[[weighing]]", '[[weighing]]\nmark_mL = "0.25"'))
    assert "If that is in litres, write 250." in found["mark-off-scale"].message


def test_a_level_far_from_its_mark_is_pointed_at() -> None:
    text = CALIBRATION.replace(
        FIRST,
        '\n[[weighing]]\nmark_mL = 10\nfinal_mL = "11.00"\ntare_g = "25.0000"\ngross_g = "35.9687"\n',
        1,
    )
    _, findings = calibration(text)

    assert [one.code for one in findings] == ["level-far-from-mark"]


def test_a_level_at_another_mark_than_the_one_meant_is_refused() -> None:
    wrong = 'mark_mL = 50\nfinal_mL = "40.00"\n'
    text = CALIBRATION.replace("mark_mL = 50\n", wrong)
    for off in (0, 4, -3):
        text = text.replace(
            f"{25 + 50 * 0.997157 + off / 1000:.4f}", f"{25 + 40 * 0.997157 + off / 1000:.4f}"
        )

    assert "mark-undetermined" in refused(text)


def test_a_mark_that_nothing_leads_to_is_refused() -> None:
    text = SUCCESSIVE.replace("mark_mL = 20\n", 'mark_mL = 20\nleft_out = "spilt"\n')
    assert "no delivery leads from zero to" in refused(text)["mark-unreached"].message


def test_one_weighing_of_a_flask_is_too_few_unless_its_setting_is_known() -> None:
    assert "Weigh it 5 times" in refused(FLASK)["too-few-repeats"].message
    assert calibration_well(FLASK + '[reading]\nu_mL = "0.02"\n').pieces[0].pattern.deliveries == 1


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (HEAD, "weighings-missing"),
        ("date = 2026-09-01\n", "piece-missing"),
        ('date = 2026-09-01\n[piece]\nid = "K1"\nkind = "balance"\n', "piece-is-balance"),
        (CALIBRATION.replace("[water]", "[waters]"), "key-missing"),
        (CALIBRATION.replace("date = 2026-09-01", ""), "key-missing"),
        (CALIBRATION + 'weighings_file = "no.csv"\n', "key-unknown"),
        ('weighings_file = "no.csv"\n' + HEAD, "file-missing"),
        ('shelf = "no.toml"\npieces = ["B1"]\n' + HEAD, "file-missing"),
        ('pieces = ["B1"]\n' + CALIBRATION, "piece-unknown"),
    ],
)
def test_what_is_missing_is_named(tmp_path: Path, text: str, code: str) -> None:
    assert code in refused(text, tmp_path)


def test_a_piece_that_was_not_weighed_is_named() -> None:
    text = CALIBRATION.replace('id = "B07"', 'ids = ["B07", "B08"]').replace(
        "[[weighing]]", '[[weighing]]\npiece = "B07"'
    )
    assert "Nothing was weighed for B08" in refused(text)["piece-not-weighed"].message


def test_a_piece_without_class_or_limit_is_not_judged() -> None:
    read, findings = calibration(CALIBRATION.replace('limit_mL = "0.05"\n', ""))

    assert read is not None
    assert read.pieces[0].limit_ml is None
    assert [one.code for one in findings] == ["limit-unknown"]
