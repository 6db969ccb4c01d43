"""Chains: what a determination rests on is worked out first, and what both share stays one cause."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from halfdrop.core.findings import Refused, Severity
from halfdrop.usecases.chain import all_determinations, work_file
from halfdrop.usecases.result import result
from tests.doors.pages import ACID, HYDROXIDE, RESTING, write


def both(folder: Path, page: str = RESTING, hydroxide: str = HYDROXIDE) -> Path:
    """Write an acid and the hydroxide it rests on; return the page of the acid."""
    write(folder, hydroxide, "hydroxide.toml")
    return write(folder, page)


def saved(folder: Path) -> Path:
    """Keep the result of the hydroxide and return a page that rests on it."""
    answer = result(folder / "hydroxide.toml")
    write(folder, json.dumps(answer.to_json()), "hydroxide.json")
    return write(folder, RESTING.replace("hydroxide.toml", "hydroxide.json"), "on-json.toml")


def test_a_page_carries_the_concentration_it_rests_on(tmp_path: Path) -> None:
    worked, _ = work_file(both(tmp_path))

    alone = result(tmp_path / "hydroxide.toml").worked
    by_value = ACID.replace('value = "0.1000"', f'value = "{alone.value:.12f}"')
    assert worked.links["titrant"].value == alone.value
    assert worked.value == pytest.approx(result(write(tmp_path, by_value, "v.toml")).worked.value, rel=1e-10)


def test_a_burette_used_twice_is_one_cause_and_two_burettes_are_two(tmp_path: Path) -> None:
    one = result(both(tmp_path)).worked
    other = result(both(tmp_path, hydroxide=HYDROXIDE.replace('"B07"', '"B08"'))).worked

    assert one.value == pytest.approx(other.value, rel=1e-12)
    # the error of one scale comes in through both titres with opposite signs, and nearly cancels
    scale_one, scale_two = (
        float(one.evaluation.by_group()["scale"]),
        float(other.evaluation.by_group()["scale"]),
    )
    assert scale_one < scale_two / 4


def test_degrees_of_freedom_travel_through_a_chain(tmp_path: Path) -> None:
    answer = result(both(tmp_path))

    dofs = {one.key: one.dof for one in answer.worked.evaluation.contributions if math.isfinite(one.dof)}
    alone = result(tmp_path / "hydroxide.toml").worked.evaluation.contributions
    of_hydroxide = {f"titrant.{one.key}": one.dof for one in alone if math.isfinite(one.dof)}
    assert set(dofs) == {"titrant.scatter_c_NaOH", "scatter_titre"}
    assert of_hydroxide.items() <= dofs.items()
    assert math.isfinite(answer.dof)


def test_a_kept_result_stands_for_the_page_it_came_from(tmp_path: Path) -> None:
    chained = result(both(tmp_path))

    kept = result(saved(tmp_path))

    assert kept.worked.value == pytest.approx(chained.worked.value, rel=1e-12)
    assert kept.worked.u == pytest.approx(chained.worked.u, rel=1e-9)
    assert kept.dof == pytest.approx(chained.dof, rel=1e-6)


def test_a_page_changed_after_its_result_was_kept_is_noticed(tmp_path: Path) -> None:
    both(tmp_path)
    page = saved(tmp_path)
    before = result(page).worked.value
    write(tmp_path, HYDROXIDE.replace('"25.03"', '"25.05"'), "hydroxide.toml")

    answer = result(page)

    changed = [one for one in answer.findings if one.code == "titrant-record-changed"]
    assert [one.severity for one in changed] == [Severity.ATTENTION]
    assert answer.worked.value == before


def test_a_kept_result_whose_page_is_unchanged_raises_no_question(tmp_path: Path) -> None:
    both(tmp_path)
    assert "titrant-record-changed" not in {one.code for one in result(saved(tmp_path)).findings}


def test_a_longer_circle_is_told_once_with_its_way(tmp_path: Path) -> None:
    write(tmp_path, RESTING.replace("hydroxide.toml", "b.toml"), "a.toml")
    write(tmp_path, RESTING.replace("hydroxide.toml", "a.toml"), "b.toml")

    with pytest.raises(Refused) as refused:
        work_file(tmp_path / "a.toml")

    told = [one for one in refused.value.findings if one.severity is Severity.REFUSED]
    assert [one.code for one in told] == ["chain-comes-back"]
    assert "a.toml -> b.toml -> a.toml" in told[0].message


def test_a_result_of_another_kind_is_refused(tmp_path: Path) -> None:
    chalk = tmp_path / "chalk.toml"
    from halfdrop.usecases.methods import start

    start("antacid-back-titration", chalk, example=True)

    with pytest.raises(Refused) as refused:
        work_file(write(tmp_path, RESTING.replace("hydroxide.toml", "chalk.toml")))

    assert "link-unit" in {one.code for one in refused.value.findings}


def test_a_kept_result_of_another_kind_is_refused_as_well(tmp_path: Path) -> None:
    both(tmp_path)
    page = saved(tmp_path)
    kept = json.loads((tmp_path / "hydroxide.json").read_text(encoding="utf-8"))
    kept["result"]["unit"] = "% w/w"
    write(tmp_path, json.dumps(kept), "hydroxide.json")

    with pytest.raises(Refused) as refused:
        result(page)

    assert "link-unit" in {one.code for one in refused.value.findings}


def test_a_kept_result_in_a_unit_of_the_same_kind_is_converted(tmp_path: Path) -> None:
    both(tmp_path)
    page = saved(tmp_path)
    before = result(page).worked
    kept = json.loads((tmp_path / "hydroxide.json").read_text(encoding="utf-8"))
    kept["result"] |= {
        "unit": "mmol/L",
        "value": kept["result"]["value"] * 1000,
        "u": kept["result"]["u"] * 1000,
    }
    for one in kept["contributions"]:
        one["component"] *= 1000
    write(tmp_path, json.dumps(kept), "hydroxide.json")

    after = result(page).worked

    assert (after.value, after.u) == pytest.approx((before.value, before.u), rel=1e-9)


def test_a_page_that_ends_in_a_unit_of_another_size_is_told_what_to_do(tmp_path: Path) -> None:
    from importlib import resources

    shipped = resources.files("halfdrop") / "data" / "methods" / "naoh-khp.toml"
    method = shipped.read_text(encoding="utf-8").replace(
        '{ block = "strength", amount = "base", of = "NaOH" },',
        '{ block = "strength", amount = "base", of = "NaOH" }, { block = "expressed", unit = "mmol/L" },',
    )
    write(tmp_path, method, "milli.toml")

    with pytest.raises(Refused) as refused:
        result(both(tmp_path, hydroxide=HYDROXIDE.replace('"naoh-khp"', '"milli.toml"')))

    told = [one for one in refused.value.findings if one.severity is Severity.REFUSED]
    assert [one.code for one in told] == ["link-unit"]
    assert "mmol/L" in told[0].message


def test_a_concentration_of_another_substance_is_asked_about(tmp_path: Path) -> None:
    write(tmp_path, ACID, "hydroxide.toml")  # an acid where a hydroxide is wanted

    _, findings = work_file(write(tmp_path, RESTING))

    assert ("link-species", Severity.ATTENTION) in {(one.code, one.severity) for one in findings}


def test_a_page_that_is_not_there_is_named_as_it_was_written(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        work_file(write(tmp_path, RESTING))

    assert {one.code for one in refused.value.findings if one.severity is Severity.REFUSED} == {
        "file-missing"
    }
    assert any(one.place.file.endswith("hydroxide.toml") for one in refused.value.findings)


def test_the_determinations_of_a_chain_come_in_the_order_of_the_work(tmp_path: Path) -> None:
    worked, _ = work_file(both(tmp_path))

    found = all_determinations(worked)

    assert list(found) == ["titrant", ""]
    assert found[""] is worked


def test_an_old_titrant_is_noticed_by_the_days_between(tmp_path: Path) -> None:
    fresh = result(both(tmp_path))
    old = result(both(tmp_path, hydroxide=HYDROXIDE.replace("2026-09-12", "2026-08-12")))

    assert "titrant-old" not in {one.code for one in fresh.findings}
    (said,) = [one for one in old.findings if one.code == "titrant-old"]
    assert said.evidence["days"] == 33


def test_a_titrant_used_in_another_warmth_is_noticed(tmp_path: Path) -> None:
    cold = HYDROXIDE.replace('temperature_degC = "21.0"', 'temperature_degC = "16.0"')

    answer = result(both(tmp_path, hydroxide=cold))

    assert "titrant-other-temperature" in {one.code for one in answer.findings}


BACK = """\
method = "limestone-back-titration"
sample = "chalk"
titrant = { file = "first.toml" }
back_titrant = { file = "hydroxide.toml" }
balance = { linearity_mg = "0.15" }
burette = { id = "B09", capacity_mL = 50, division_mL = "0.1", limit_mL = "0.05" }
second_burette = { id = "B07", capacity_mL = 50, division_mL = "0.1", limit_mL = "0.05" }

[[trial]]
mass = "0.1030"
initial = "0.10"
final = "35.00"
back_initial = "1.00"
back_final = "15.50"
"""


def test_a_page_reached_twice_is_one_page_through_kept_results_as_well(tmp_path: Path) -> None:
    acid = both(tmp_path)
    by_pages = result(write(tmp_path, BACK.replace("first.toml", acid.name), "chalk.toml"))
    for name in (acid.name, "hydroxide.toml"):
        kept = json.dumps(result(tmp_path / name).to_json())
        write(tmp_path, kept, name.replace(".toml", ".json"))
    on_kept = BACK.replace("first.toml", acid.name.replace(".toml", ".json")).replace(
        "hydroxide.toml", "hydroxide.json"
    )

    by_results = result(write(tmp_path, on_kept, "chalk-json.toml"))

    assert by_results.worked.u == pytest.approx(by_pages.worked.u, rel=1e-9)
    assert by_results.dof == pytest.approx(by_pages.dof, rel=1e-9)


def test_a_kept_concentration_that_none_can_be_is_refused(tmp_path: Path) -> None:
    both(tmp_path)
    page = saved(tmp_path)
    kept = json.loads((tmp_path / "hydroxide.json").read_text(encoding="utf-8"))
    kept["result"]["value"] = -0.1
    write(tmp_path, json.dumps(kept), "hydroxide.json")

    with pytest.raises(Refused) as refused:
        result(page)

    assert "link-value" in {one.code for one in refused.value.findings}


def test_a_kept_stretch_of_a_scale_that_runs_backwards_is_no_fault_of_the_program(tmp_path: Path) -> None:
    both(tmp_path)
    page = saved(tmp_path)
    kept = json.loads((tmp_path / "hydroxide.json").read_text(encoding="utf-8"))
    kept["contributions"][0]["key"] = "burette:B07/scale:30-20"
    write(tmp_path, json.dumps(kept), "hydroxide.json")

    assert result(page).worked.u > 0


def test_links_in_a_circle_are_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "loop.toml").symlink_to("loop.toml")

    with pytest.raises(Refused) as refused:
        work_file(write(tmp_path, RESTING.replace("hydroxide.toml", "loop.toml")))

    assert "file-unreadable" in {one.code for one in refused.value.findings}


def test_a_change_further_down_than_the_page_of_a_kept_result_is_noticed(tmp_path: Path) -> None:
    acid = both(tmp_path)
    kept = json.dumps(result(acid).to_json())
    write(tmp_path, kept, "acid.json")
    page = write(
        tmp_path,
        BACK.replace("first.toml", "acid.json").replace('file = "hydroxide.toml"', 'value = "0.1"'),
        "chalk.toml",
    )
    before = {one.code for one in result(page).findings}
    write(tmp_path, HYDROXIDE + "\n# corrected\n", "hydroxide.toml")

    after = [one for one in result(page).findings if one.code == "titrant-record-changed"]

    assert "titrant-record-changed" not in before
    assert [one.message.split(" was changed")[0] for one in after] == ["hydroxide.toml"]
