"""The demonstration class: its pages are as untidy as they should be, and what they give is right."""

from __future__ import annotations

from pathlib import Path

import pytest

from halfdrop.core.findings import Refused, Severity
from halfdrop.usecases.demo import PAGES, Demonstration, demo_files, demonstration, robust
from halfdrop.usecases.result import ResultAnswer

TRUE_G_L = 50.6  # what the pages were invented around
TRUE_HYDROXIDE = 0.1014
TRUE_CHALK_PERCENT = 61.2


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> Demonstration:
    """Return the demonstration worked out in a folder of its own."""
    return demonstration(tmp_path_factory.mktemp("demo"))


def codes(answer: ResultAnswer) -> set[str]:
    """Return the codes of what was noticed on a page."""
    return {one.code for one in answer.findings}


def test_every_shipped_page_is_worked_out() -> None:
    assert sorted(PAGES) == sorted(
        file.name.removesuffix(".toml") for file in demo_files() if file.name.endswith(".toml")
    )


def test_each_page_gives_what_it_was_invented_around(shown: Demonstration) -> None:
    wanted = dict.fromkeys(shown.centres[0].pages, TRUE_G_L)
    wanted |= {"hydroxide": TRUE_HYDROXIDE, "bench-9": TRUE_CHALK_PERCENT, "bench-10": TRUE_CHALK_PERCENT}
    for name, value in wanted.items():
        answer = shown.answers[name]
        assert answer.worked.value == pytest.approx(value, abs=2 * answer.expanded_u), name


def test_the_class_has_a_centre_and_a_spread_for_the_vinegar_alone(shown: Demonstration) -> None:
    (centre,) = shown.centres

    assert centre.pages == tuple(f"bench-{n}" for n in range(1, 9))
    assert centre.median == pytest.approx(TRUE_G_L, abs=0.2)
    assert 0 < centre.spread < 0.3


@pytest.mark.parametrize(
    ("name", "code"),
    [("bench-2", "decimals-mixed"), ("bench-5", "mirrored-reading"), ("bench-6", "titre-small")],
)
def test_the_trouble_of_a_page_is_noticed(name: str, code: str, shown: Demonstration) -> None:
    assert code in codes(shown.answers[name])


def test_a_tidy_page_needs_no_look(shown: Demonstration) -> None:
    found = shown.answers["bench-1"].findings
    assert [one.code for one in found if one.severity is not Severity.NOTE] == []


def test_a_refill_within_a_trial_is_one_titre(shown: Demonstration) -> None:
    rows = {row.trial.label: row for row in shown.answers["bench-3"].trial_rows("sample")}
    assert rows["4"].titre == "20.77"


def test_a_trial_left_out_stays_with_who_when_and_why(shown: Demonstration) -> None:
    rows = {row.trial.label: row for row in shown.answers["bench-4"].trial_rows("sample")}

    assert not rows["3"].used
    assert "dripped" in rows["3"].reason
    assert rows["3"].trial.reason is not None
    assert rows["3"].trial.reason.when == "14:50"


def test_an_abandoned_trial_stays_on_the_page(shown: Demonstration) -> None:
    rows = {row.trial.label: row for row in shown.answers["hydroxide"].trial_rows("sample")}
    assert rows["2"].reason.startswith("abandoned: flask knocked")


def test_the_mirrored_trial_is_not_averaged_and_the_others_are(shown: Demonstration) -> None:
    rows = shown.answers["bench-5"].trial_rows("sample")
    assert [row.trial.label for row in rows if row.used] == ["2", "4", "5"]


def test_tables_of_trials_are_read_from_csv_and_workbook(shown: Demonstration) -> None:
    titres = {
        name: [row.titre for row in shown.answers[name].trial_rows("sample") if row.used]
        for name in ("bench-6", "bench-7")
    }
    assert titres["bench-6"] == ["8.41", "8.37", "8.34", "8.37"]
    assert titres["bench-7"] == ["20.85", "20.80", "20.85"]


def test_the_bench_with_its_own_hydroxide_rests_on_it(shown: Demonstration) -> None:
    links = shown.answers["bench-8"].worked.links
    assert links["titrant"].determination.bottle == "N-8"


def test_a_page_changed_by_a_person_is_kept_and_worked_out_so(tmp_path: Path) -> None:
    before = demonstration(tmp_path)
    page = tmp_path / "bench-1.toml"
    changed = page.read_text(encoding="utf-8").replace('"20.79"', '"20.81"')
    page.write_text(changed, encoding="utf-8")

    after = demonstration(tmp_path)

    assert page.read_text(encoding="utf-8") == changed
    assert [(one.code, one.place.file) for one in after.findings] == [("page-kept", str(page))]
    assert after.answers["bench-1"].worked.value > before.answers["bench-1"].worked.value
    assert before.findings == ()


def test_what_is_wrong_with_a_page_that_others_rest_on_is_told_once(tmp_path: Path) -> None:
    demonstration(tmp_path)
    page = tmp_path / "hydroxide.toml"
    page.write_text(page.read_text(encoding="utf-8").replace('"24.90"', '"24..90"', 1), encoding="utf-8")

    with pytest.raises(Refused) as refused:
        demonstration(tmp_path)

    told = [one for one in refused.value.findings if one.severity is Severity.REFUSED]
    assert len(told) == 1
    assert "24..90" in told[0].message


def test_the_robust_figures_do_not_follow_one_stray_value() -> None:
    median, spread = robust([1.0, 1.1, 1.2, 1.3, 90.0])

    assert median == pytest.approx(1.2)
    assert spread == pytest.approx(0.14826)
