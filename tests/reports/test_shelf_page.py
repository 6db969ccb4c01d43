"""The verdicts on a shelf, on a terminal and to print."""

from __future__ import annotations

import datetime as dt
import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from halfdrop.core.glassware.verdict import Standing
from halfdrop.reports.html import html
from halfdrop.reports.shelf import SIGNS, shelf_lines
from halfdrop.reports.shelf_page import days, shelf_report, write_shelf
from halfdrop.reports.terminal import WIDTH
from halfdrop.usecases.shelf import ShelfAnswer, look_at_shelf, shelf_form


@pytest.fixture
def answer(tmp_path: Path) -> ShelfAnswer:
    """Return the verdicts on the shelf of the form."""
    (tmp_path / "shelf.toml").write_text(shelf_form().text, encoding="utf-8")
    return look_at_shelf(tmp_path / "shelf.toml", dt.date(2026, 9, 14), "sodium hydroxide")


def test_every_piece_has_a_line_with_a_word_and_a_sign(answer: ShelfAnswer) -> None:
    lines = list(shelf_lines(answer))

    for one in answer.verdicts:
        (line,) = [text for text in lines if text.startswith(f"{SIGNS[one.standing]} {one.piece.id} ")]
        assert line.endswith(one.standing.value)
    assert max(map(len, lines)) <= WIDTH


def test_what_to_do_stands_below_each_reason(answer: ShelfAnswer) -> None:
    text = " ".join(" ".join(shelf_lines(answer)).split())

    for one in answer.verdicts:
        for reason in one.reasons:
            if reason.standing is not Standing.FIT:
                assert f"{reason.says} > {reason.then}" in text
    assert text.count("Standards contradict each other") == 1
    assert "halfdrop shelf --guide" in text


def test_the_page_lists_all_and_says_what_to_do(answer: ShelfAnswer) -> None:
    page = html(shelf_report(answer))

    assert "4 fit, 1 fit with a limit and 3 not fit." in page
    for one in answer.verdicts:
        assert f">{one.piece.id}<" in page
    assert "Lower the clamp" in page
    assert "from memory" in page


def test_the_page_can_be_written(answer: ShelfAnswer, tmp_path: Path) -> None:
    write_shelf(answer, html=None, pdf=tmp_path / "s.pdf", written_on="14 September 2026")

    reader = PdfReader(io.BytesIO((tmp_path / "s.pdf").read_bytes()))
    assert "14 September 2026" in reader.pages[-1].extract_text()


def test_a_number_of_days_is_said_as_people_do() -> None:
    assert (days(1), days(180)) == ("a day", "180 days")
