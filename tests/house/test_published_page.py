"""The page of published numbers is what the sources give, and tells agreement from disagreement."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.house.tree import ROOT
from tests.published.report import main, page, shown
from tests.published.row import Row, Source, sources


def source(*rows: Row) -> Source:
    return Source("A book, 1st edition, 1990", "a shelf", rows)


def row(printed: str, computed: float, units: float = 0.5, right: str = "", note: str = "") -> Row:
    return Row(
        "p. 1", "c, mol/L", printed, lambda: computed, "halfdrop.sum", units=units, right=right, note=note
    )


def test_the_page_is_up_to_date() -> None:
    written = (ROOT / "docs/published.md").read_text(encoding="utf-8")
    assert written == page(sources()), "run `make docs` and look at what changed"


def test_a_number_that_agrees_is_shown_two_digits_further() -> None:
    assert "| p. 1 | c, mol/L | 0.102 | 0.10214 | 0.14 | yes | `halfdrop.sum` |" in page(
        [source(row("0.102", 0.102139))]
    )


def test_a_number_that_does_not_agree_is_not_hidden() -> None:
    assert "| 0.102 | 0.10270 | 0.70 | **no** |" in page([source(row("0.102", 0.1027))])


def test_a_misprint_is_listed_with_the_right_value_and_the_reason() -> None:
    text = page([source(row("0.102", 0.2018, right="0.202", note="digits swapped"))])

    assert "| 0.102 | 0.20180 | 0.20 | print is wrong; right is 0.202 |" in text
    assert (
        "| A book, 1st edition, 1990 | p. 1 | c, mol/L | 0.102 | 0.202 | digits swapped |"
        in text.partition("## Misprints")[2]
    )


def test_a_wider_limit_is_shown_with_its_reason() -> None:
    text = page([source(row("0.102", 0.1027, units=1, note="rounded twice"))])

    assert "within 1, see remarks" in text
    assert "- p. 1, c, mol/L: rounded twice" in text


@pytest.mark.parametrize(
    ("computed", "printed", "text"),
    [(1234.5, "1.2E+3", "1234"), (-1e-9, "0.0", "0.000"), (2.0, "2", "2.00")],
)
def test_the_computed_number_follows_the_form_of_the_printed_one(
    computed: float, printed: str, text: str
) -> None:
    assert shown(computed, printed) == text


def test_a_stale_page_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    there = tmp_path / "published.md"

    assert main(["--check", str(there)]) == 1
    assert "make docs" in capsys.readouterr().err

    assert main(["--write", str(there)]) == 0
    assert main(["--check", str(there)]) == 0
