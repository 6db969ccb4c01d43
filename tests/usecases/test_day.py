"""The technician's day from a class file."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from halfdrop.core.findings import Refused
from halfdrop.usecases.day import DayAnswer, day
from halfdrop.usecases.result import result
from tests.usecases.class_files import ACID, HEAD, HYDROXIDE, STORE, WHOLE, written

PERMANGANATE = ACID.replace("HCl", "KMnO4").replace('"1"', '"0.02"')


def planned(folder: Path, text: str = WHOLE) -> DayAnswer:
    return day(written(folder, text))


def codes(answer: DayAnswer) -> list[str]:
    return [one.code for one in answer.findings]


def test_all_is_done_before_the_class(tmp_path: Path) -> None:
    answer = planned(tmp_path)
    assert max(slot.ends for slot in answer.slots) == answer.when == dt.datetime(2026, 9, 17, 14)
    assert [slot.task.says for slot in answer.slots][-1] == "set out benches and trolley"


def test_permanganate_is_begun_two_days_before_and_says_why(tmp_path: Path) -> None:
    answer = planned(tmp_path, HEAD.replace("2026-09-15", "2026-09-14") + STORE + PERMANGANATE)
    making = next(slot for slot in answer.slots if slot.task.says.startswith("make"))
    standing = next(slot for slot in answer.slots if not slot.task.hands)
    assert making.begins <= answer.when - dt.timedelta(days=2)
    assert "manganese dioxide" in standing.task.says
    assert "begins-too-late" not in codes(answer)


def test_a_day_that_comes_too_late_is_said(tmp_path: Path) -> None:
    assert "begins-too-late" in codes(
        planned(tmp_path, HEAD.replace("2026-09-15", "2026-09-16") + STORE + PERMANGANATE)
    )


def test_people_are_spread_over_the_benches(tmp_path: Path) -> None:
    answer = planned(tmp_path, WHOLE.replace("benches = 3", "benches = 5"))
    burettes = next(one for one in answer.set_out if one.piece.item.startswith("burette"))
    assert burettes.by_bench == (3, 3, 2, 2, 2)
    assert burettes.total == 12


def test_what_does_not_come_back_is_counted(tmp_path: Path) -> None:
    more = '[[returned]]\nitem = "burette, 50 mL"\nback = 10\nbroken = 1\n'
    more += '[[equipment]]\nitem = "goggles"\nhave = 8\n'
    answer = planned(tmp_path, WHOLE + more)
    burettes = next(one for one in answer.set_out if one.piece.item.startswith("burette"))
    assert burettes.missing == 1
    assert {"count-back", "broken", "equipment-short"} <= set(codes(answer))


def test_equipment_can_be_added_and_left_out(tmp_path: Path) -> None:
    more = '[[equipment]]\nitem = "white tile"\ncount = 0\n'
    more += '[[equipment]]\nitem = "lamp"\nper = "bench"\ncount = 2\n'
    items = {one.piece.item: one.total for one in planned(tmp_path, WHOLE + more).set_out}
    assert "white tile" not in items
    assert items["lamp"] == 6


def test_waste_has_labels_that_say_what_must_not_meet(tmp_path: Path) -> None:
    thiocyanate = ACID.replace('"acid"', '"thiocyanate"').replace("HCl", "KSCN").replace('"1"', '"0.1"')
    answer = planned(tmp_path, HEAD + STORE + HYDROXIDE + thiocyanate)
    labels = {one.name: one for one in answer.labels()}
    assert any("Thiocyanate" in note for note in labels["Waste: Acids and alkalis"].notes)
    assert labels["Waste: Thiocyanate"].codes == ("EUH032",)


def test_the_instructors_own_run_is_begun_as_a_determination(tmp_path: Path) -> None:
    answer = planned(tmp_path)
    ((name, text),) = answer.pre_runs().items()
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    with pytest.raises(Refused) as stopped:  # the readings are still to be made
        result(file)
    assert 'sample = "pre-run for First year, Thursday"' in text
    assert "date = 2026-09-17" in text
    assert {one.place.file for one in stopped.value.findings} == {str(file)}


def test_without_a_time_there_is_no_day(tmp_path: Path) -> None:
    with pytest.raises(Refused) as stopped:
        planned(tmp_path, WHOLE.replace('when = "2026-09-17 14:00"', ""))
    assert "when" in [one.place.field for one in stopped.value.findings]


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ("[hours]\nopens = 18\ncloses = 8\n", "hours"),
        ('[[equipment]]\nitem = "lamp"\nper = "floor"\n', "not-an-option"),
        ('[[returned]]\nitem = "goggles"\n', "key-missing"),
    ],
)
def test_what_cannot_be_is_refused(more: str, code: str, tmp_path: Path) -> None:
    with pytest.raises(Refused) as stopped:
        planned(tmp_path, WHOLE + more)
    assert code in [one.code for one in stopped.value.findings]
