"""``halfdrop demo``: the whole work on the demonstration class, in one command."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from halfdrop.cli.main import main
from halfdrop.usecases.demo import PAGES

SLOWEST_S = 15.0
HALFDROP = Path(sys.executable).parent / "halfdrop"


def test_the_demonstration_works_out_every_page_and_says_where_the_reports_lie(tmp_path: Path) -> None:
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    done = subprocess.run(
        [HALFDROP, "demo", "--into", "reports"], cwd=tmp_path, capture_output=True, text=True
    )

    assert (done.returncode, done.stderr) == (0, "")
    # time of the processor, so that a busy machine does not matter
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before < SLOWEST_S
    for name in PAGES:
        assert f"\n{name} " in done.stdout
        assert (tmp_path / "reports" / f"{name}.pdf").read_bytes().startswith(b"%PDF")
        assert (tmp_path / "reports" / f"{name}.html").stat().st_size > 5000
    assert "median 50.6" in done.stdout
    assert "reports" in done.stdout.splitlines()[-2]


def test_the_demonstration_as_data_gives_every_page_and_the_class(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["demo", "--into", str(tmp_path), "--json"]) == 0

    data = json.loads(capsys.readouterr().out)
    assert [page["page"] for page in data["pages"]] == list(PAGES)
    assert data["centres"][0]["unit"] == "g/L"


def test_a_page_that_was_spoilt_in_the_folder_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "bench-3.toml").write_text('method = "vinegar"\n', encoding="utf-8")

    assert main(["demo", "--into", str(tmp_path)]) == 2

    said = capsys.readouterr()
    assert said.out == ""
    assert "bench-3.toml" in said.err
    assert not (tmp_path / "bench-1.pdf").exists()
