"""Registers read: pieces, histories, every complaint at once and with its place."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from halfdrop.core.glassware.conformity import Outcome
from halfdrop.core.glassware.drainage import Creep, DrainageCheck
from halfdrop.core.glassware.leak import Stand, Wipe
from halfdrop.core.glassware.readings import Reading
from halfdrop.core.glassware.shelf import (
    CalibrationDone,
    DeliveryTimes,
    Event,
    Fault,
    Kind,
    LeakTest,
    Piece,
    Tap,
    Weighing,
    WeightCheck,
    What,
)
from halfdrop.files.fields import Fields, Row, Spot
from halfdrop.files.forms import SHELF as FORM
from halfdrop.files.forms import form_text
from halfdrop.files.pieces import read_piece
from halfdrop.files.shelf import read_shelf
from halfdrop.files.shelf_data import event_as_data, piece_as_data
from halfdrop.files.shelf_events import EventReader
from tests.files.shelf_pages import SHELF, refusals, shelf, shelf_well


def test_pieces_that_are_alike_are_described_once(tmp_path: Path) -> None:
    one, other, balance = shelf_well(tmp_path).shelf.pieces

    assert (one.id, other.id, one.capacity_ml, one.division_ml) == ("B01", "B02", Decimal(50), Decimal("0.1"))
    assert (one.glass_class, one.tap) == ("AS", Tap.PTFE)
    assert balance == Piece("K1", Kind.BALANCE, weighing=Weighing(linearity_mg=0.2))


def test_an_entry_about_several_pieces_is_an_entry_of_each(tmp_path: Path) -> None:
    histories = shelf_well(tmp_path).shelf.histories()

    test = LeakTest(Wipe(drop=False), Stand(Reading("0.00"), Reading("0.02"), 20))
    assert [one.test for one in histories["B02"].events] == [test]
    assert [one.what for one in histories["B01"].events] == [What.LEAK_TEST, What.DELIVERY_TIME]


def test_the_form_is_a_shelf_without_a_complaint(tmp_path: Path) -> None:
    read, findings = shelf(tmp_path, form_text(FORM))

    assert read is not None
    assert findings == ()
    assert {one.what for one in read.shelf.events} >= {What.USED, What.CALIBRATED, What.FOUND}


def test_a_folder_is_read_file_by_file_and_tables_beside_it(tmp_path: Path) -> None:
    pieces, events = SHELF.split("[[event]]", 1)
    (tmp_path / "a.toml").write_text(pieces + '[care]\ndecision = "guarded acceptance"\n', encoding="utf-8")
    (tmp_path / "b.toml").write_text('events_file = "h.csv"\n[[event]]' + events, encoding="utf-8")
    (tmp_path / "h.csv").write_text(
        "piece;date;what;solution;tap closed\nB01, B02;2026-09-10;used;NaOH;\nB01;2026-09-11;put away;;yes\n",
        encoding="utf-8",
    )

    read, findings = read_shelf(tmp_path)

    assert read is not None, findings
    assert [one.what for one in read.shelf.histories()["B01"].events] == [
        What.LEAK_TEST, What.DELIVERY_TIME, What.USED, What.PUT_AWAY,
    ]  # fmt: skip
    assert read.shelf.histories()["B01"].events[-1].tap_closed is True
    assert read.shelf.histories()["B02"].events[-1].solution == "NaOH"
    assert read.care.decision.value == "guarded acceptance"


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ("capacity_mL = 50", 'capacity_mL = "0.05"', "capacity-impossible", 6),
        ("capacity_mL = 50", "capacity_mL = -50", "number-out-of-range", 6),
        ('division_mL = "0.1"', 'division_mL = "40"', "division-too-large", 7),
        ('kind = "burette"', 'kind = "buret"', "not-an-option", 5),
        ('kind = "burette"', "", "key-missing", 3),
        ('ids = ["B01", "B02"]', "", "key-missing", 3),
        ('ids = ["B01", "B02"]', 'ids = ["B01", "B01"]', "piece-twice", 3),
        ('tap = "PTFE"', 'tap = "PTFE"\nmaterial = "lead crystal"', "glass-unknown", 10),
        ('tap = "PTFE"', 'tap = "PTFE"\ndelivery_s = [45, 35]', "delivery-range", 10),
        ('tap = "PTFE"', 'tap = "PTFE"\ncolour = "amber"', "key-unknown", 10),
        ('piece = "K1"', 'piece = "K9"', "piece-unknown", 32),
        ('what = "leak test"', 'what = "leek test"', "not-an-option", 19),
        ('what = "leak test"', "", "key-missing", 16),
        ("date = 2026-09-02", 'date = "last week"', "not-a-date", 27),
        ('stand_end_mL = "0.02"', 'stand_end_mL = "-0.02"', "reading-negative", 22),
        ('stand_end_mL = "0.02"', "stand_end_mL = 60", "stand-off-scale", 22),
        ('stand_start_mL = "0.00"', 'stand_start_mL = "0.50"', "stand-rose", 22),
        ("stand_min = 20", "stand_min = 0", "number-out-of-range", 23),
        ("stand_min = 20", "", "key-missing", 16),
        ('seconds = ["40.1", "40.4"]', 'seconds = ["0.4"]', "delivery-time-impossible", 29),
        ('seconds = ["40.1", "40.4"]', "", "key-missing", 25),
        ('seconds = ["40.1", "40.4"]', 'seconds = "fast"', "not-a-number", 29),
        ('limit_mg = "0.5"', 'limit_mg = "0"', "number-out-of-range", 37),
        ('limit_mg = "0.5"', 'drop = true\nlimit_mg = "0.5"', "key-of-another-kind", 37),
    ],
)
def test_what_is_wrong_is_refused_where_it_stands(
    tmp_path: Path, old: str, new: str, code: str, line: int
) -> None:
    assert old in SHELF
    read, findings = shelf(tmp_path, SHELF.replace(old, new, 1))

    assert read is None
    found = refusals(findings)
    assert code in found
    assert found[code].place.line == line


def test_litres_are_recognised(tmp_path: Path) -> None:
    _, findings = shelf(tmp_path, SHELF.replace("capacity_mL = 50", 'capacity_mL = "0,05"'))
    assert "If that is in litres, write 50." in refusals(findings)["capacity-impossible"].message


def test_all_complaints_come_at_once(tmp_path: Path) -> None:
    text = SHELF.replace("capacity_mL = 50", "capacity_mL = 0").replace("stand_min = 20", "stand_min = -1")
    _, findings = shelf(tmp_path, text.replace('"100.0002"', '"a lot"'))

    assert {"number-out-of-range", "not-a-number"} <= set(refusals(findings))
    assert len([one for one in findings if one.severity == "refused"]) >= 3


def test_a_tap_that_is_not_described_is_a_note(tmp_path: Path) -> None:
    _, findings = shelf(tmp_path, SHELF.replace('tap = "PTFE"\n', ""))
    assert [one.code for one in findings] == ["tap-unknown"]


@pytest.mark.parametrize("text", ["", 'laboratory = "x"\n'])
def test_a_register_without_a_piece_is_refused(tmp_path: Path, text: str) -> None:
    _, findings = shelf(tmp_path, text)
    assert list(refusals(findings)) == ["shelf-empty"]


def test_an_empty_folder_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    assert list(refusals(read_shelf(tmp_path)[1])) == ["shelf-empty"]
    assert list(refusals(read_shelf(tmp_path / "no.toml")[1])) == ["file-missing"]


def test_a_table_with_an_unknown_heading_is_refused(tmp_path: Path) -> None:
    (tmp_path / "h.csv").write_text("piece,date,wat\nB01,2026-09-10,used\n", encoding="utf-8")
    _, findings = shelf(tmp_path, 'events_file = "h.csv"\n' + SHELF)

    assert "Did you mean 'what'?" in refusals(findings)["column-unknown"].message


def event(what: What, **more: Any) -> Event:
    return Event("B01", dt.date(2026, 9, 1), what, **more)


EVENTS = [
    event(What.RECEIVED, by="K. L.", note="new"),
    event(What.LEAK_TEST, test=LeakTest(Wipe(drop=True, minutes=2.0))),
    event(What.LEAK_TEST, test=LeakTest(None, Stand(Reading("0.0"), Reading("0,05"), 20.0))),
    event(What.DELIVERY_TIME, test=DeliveryTimes((40.5, 41.0))),
    event(What.DELIVERY_TIME, test=DeliveryTimes((), blocked=True)),
    event(What.DRAINAGE, test=DrainageCheck(droplets=True)),
    event(
        What.DRAINAGE,
        test=DrainageCheck(droplets=False, creep=Creep(Reading("40.05"), Reading("40.02"), 60.0)),
    ),
    event(
        What.CALIBRATED,
        test=CalibrationDone(Outcome.CANNOT_DECIDE, True, dt.date(2028, 9, 1), -0.021, 0.05),
    ),
    event(What.FOUND, fault=Fault.CHIPPED),
    event(What.USED, solution="silver nitrate"),
    event(What.PUT_AWAY, tap_closed=False),
    event(What.LENT, until=dt.date(2026, 10, 1)),
    event(What.CHECK_WEIGHT, test=WeightCheck(100.0, 100.0002, 0.5)),
]  # fmt: skip


@pytest.mark.parametrize("entry", EVENTS, ids=lambda entry: entry.what.value)
def test_an_entry_kept_as_data_is_read_back_the_same(entry: Event) -> None:
    burette = Piece("B01", Kind.BURETTE, Decimal(50), Decimal("0.1"))
    kept = json.loads(json.dumps(event_as_data(entry)))
    table = Fields(kept, Spot(Row("store", 1)), [])

    read = EventReader({"B01": burette}, Path(), 0.1).read([table])

    assert table.findings == []
    assert read == [entry]


@pytest.mark.parametrize(
    "piece",
    [
        Piece(
            "B01", Kind.BURETTE, Decimal(50), Decimal("0.1"), "AS", "ISO 385", 0.05, "soda-lime", Tap.GLASS,
            30.0, (35.0, 45.0), 58.5, None, "old",
        ),
        Piece("F1", Kind.FLASK, Decimal("250"), glass_class="A"),
        Piece("K1", Kind.BALANCE, weighing=Weighing(220.0, 0.1, 0.1, 0.2, 2.0)),
    ],
    ids=lambda piece: piece.kind.value,
)  # fmt: skip
def test_a_piece_kept_as_data_is_read_back_the_same(piece: Piece) -> None:
    kept = json.loads(json.dumps(piece_as_data(piece)))
    table = Fields(kept, Spot(Row("store", 1)), [])

    assert read_piece(table) == [piece]
    assert table.findings == []
