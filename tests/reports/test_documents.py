"""Documents are written whole, all of them or none."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from halfdrop.core.findings import Refused
from halfdrop.reports import pdf as pdf_module
from halfdrop.reports.documents import write_documents
from tests.reports.pages import hydroxide


def test_both_documents_are_written(tmp_path: Path) -> None:
    written = write_documents(hydroxide(), html=tmp_path / "r.html", pdf=tmp_path / "r.pdf", paper="Letter")

    assert written == [tmp_path / "r.html", tmp_path / "r.pdf"]
    assert (tmp_path / "r.pdf").read_bytes().startswith(b"%PDF")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["r.html", "r.pdf"]


def test_nothing_asked_for_is_nothing_written(tmp_path: Path) -> None:
    assert write_documents(hydroxide(), html=None, pdf=None) == []
    assert list(tmp_path.iterdir()) == []


def test_all_that_is_wrong_is_said_at_once_and_nothing_is_written(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        write_documents(hydroxide(), html=tmp_path / "no" / "r.html", pdf=tmp_path, paper="a5")

    assert [one.code for one in refused.value.findings] == [
        "paper-unknown", "report-not-writable", "report-not-writable",
    ]  # fmt: skip
    assert list(tmp_path.iterdir()) == []


def test_one_name_for_both_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="asked for twice"):
        write_documents(hydroxide(), html=tmp_path / "r", pdf=tmp_path / "r")


def test_an_old_report_is_kept_when_the_new_one_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "r.html").write_text("old", encoding="utf-8")

    def fails(*_: object) -> bytes:
        raise OSError("the disk is full")

    monkeypatch.setattr(pdf_module, "pdf", fails)
    with pytest.raises(OSError, match="full"):
        write_documents(hydroxide(), html=tmp_path / "r.html", pdf=tmp_path / "r.pdf")

    assert (tmp_path / "r.html").read_text(encoding="utf-8") == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["r.html"]


def test_a_day_of_writing_is_said_when_it_is_given(tmp_path: Path) -> None:
    write_documents(hydroxide(), html=tmp_path / "r.html", pdf=None, written_on="14 September 2026")

    assert "14 September 2026" in (tmp_path / "r.html").read_text(encoding="utf-8")


def test_a_page_of_readings_is_not_replaced_by_the_report_on_it(tmp_path: Path) -> None:
    page = tmp_path / "first.toml"
    page.write_text("what was read", encoding="utf-8")

    with pytest.raises(Refused, match="page of readings"):
        write_documents(hydroxide(), html=page, pdf=None)

    assert page.read_text(encoding="utf-8") == "what was read"


def test_a_device_is_not_replaced_by_a_report(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)

    with pytest.raises(Refused, match="device"):
        write_documents(hydroxide(), html=pipe, pdf=None)

    assert pipe.is_fifo()


def test_one_name_for_both_is_refused_by_whatever_way_it_is_reached(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()

    with pytest.raises(Refused, match="asked for twice"):
        write_documents(hydroxide(), html=tmp_path / "r", pdf=tmp_path / "in" / ".." / "r")
