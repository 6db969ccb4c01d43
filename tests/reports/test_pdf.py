"""The PDF is tagged, says the result, takes any text a person writes, and comes out the same each time."""

from __future__ import annotations

import io
from functools import cache
from typing import Any, cast

import pypdf
import pytest

from halfdrop.reports.page import report_on
from halfdrop.reports.pdf import pdf
from tests.reports.pages import VINEGAR, answer_to, vinegar

NASTY = '#panic(1) $x$ [y] "quoted" \\ @ref <label> `raw` // gone? /* or */ {code} *a* _b_ = c'


@cache
def document(paper: str = "a4") -> pypdf.PdfReader:
    """Return the report with all there can be, read back."""
    return pypdf.PdfReader(io.BytesIO(pdf(report_on(vinegar()), paper)))


def root(reader: pypdf.PdfReader) -> dict[str, Any]:
    """Return the catalogue of a document."""
    found: dict[str, Any] = dict(cast("Any", reader.trailer)["/Root"])
    return found


def text_of(reader: pypdf.PdfReader) -> str:
    """Return all that is written, on one line and with plain spaces."""
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def elements(reader: pypdf.PdfReader) -> list[pypdf.generic.DictionaryObject]:
    """Return the elements of the tag tree."""
    found, todo = [], [root(reader)["/StructTreeRoot"]]
    while todo:
        here = todo.pop().get_object()
        if isinstance(here, pypdf.generic.ArrayObject):
            todo += here
        elif isinstance(here, pypdf.generic.DictionaryObject):
            found.append(here)
            todo += [here["/K"]] if "/K" in here else []
    return found


def test_it_is_tagged_and_says_its_language_and_title() -> None:
    metadata = document().metadata

    assert root(document())["/MarkInfo"]["/Marked"]
    assert root(document())["/Lang"] == "en"
    assert metadata is not None
    assert metadata.title == "wine vinegar, bottle 3: Acetic acid in vinegar"


def test_it_says_that_it_keeps_the_standard_for_accessible_documents() -> None:
    packet = root(document())["/Metadata"].get_object().get_data().decode()

    assert "<pdfuaid:part>1</pdfuaid:part>" in packet


def test_every_figure_and_formula_has_words() -> None:
    spoken = [one for one in elements(document()) if one.get("/S") in ("/Figure", "/Formula")]

    assert len(spoken) > 40
    assert all(one.get("/Alt") for one in spoken)


def test_tables_have_heads() -> None:
    kinds = [one.get("/S") for one in elements(document())]

    assert kinds.count("/Table") > 6
    assert kinds.count("/TH") > 20
    assert kinds.count("/Caption") == kinds.count("/Table")


def test_the_result_can_be_read_out_of_it() -> None:
    shown = vinegar().expanded

    assert f"{shown.value} ± {shown.uncertainty}" in text_of(document())


def test_every_trial_is_in_it_with_its_reason() -> None:
    text = text_of(document())

    assert "a drop fell beside the flask" in text
    assert "jet was not filled" in text
    assert "refilled at 49.90" in text


def test_the_foot_of_each_page_says_what_it_belongs_to() -> None:
    pages = [" ".join(page.extract_text().split()) for page in document().pages]

    assert all("wine vinegar, bottle 3 · Acetic acid in vinegar · record" in text for text in pages)
    assert all(f"page {k} of {len(pages)}" in text for k, text in enumerate(pages, 1))


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("us-letter", (612, 792))])
def test_the_paper_is_what_was_asked_for(paper: str, size: tuple[int, int]) -> None:
    box = document(paper).pages[0].mediabox

    assert (round(box.width), round(box.height)) == size


def test_the_same_data_give_the_same_bytes() -> None:
    assert pdf(report_on(vinegar())) == pdf(report_on(vinegar()))


def with_sample(name: str) -> pypdf.PdfReader:
    quoted = name.replace("\\", "\\\\").replace('"', '\\"')
    answer = answer_to(VINEGAR.replace("wine vinegar, bottle 3", quoted))
    return pypdf.PdfReader(io.BytesIO(pdf(report_on(answer))))


def test_text_of_a_person_stays_text() -> None:
    assert NASTY in text_of(with_sample(NASTY))


@pytest.mark.parametrize("name", ["Ωμέγα, Жёлтый", "食酢", "vinegar 🍷"])
def test_letters_of_any_script_do_not_stop_it(name: str) -> None:
    assert len(with_sample(name).pages) > 3
