"""The report on a calibration: one for each piece, with everything on it."""

from __future__ import annotations

import io
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from halfdrop.core.findings import Refused
from halfdrop.core.glassware.weighed_volume import volume_working
from halfdrop.core.measure.expression import Expression, Number, Symbol
from halfdrop.reports.calibration import calibration_lines
from halfdrop.reports.calibration_words import OWN_CHECK, signed
from halfdrop.reports.certificates import certificate, write_certificates
from halfdrop.reports.content import Figure, Report, Table
from halfdrop.reports.correction_curve import Curve, correction_curve
from halfdrop.reports.html import html
from halfdrop.reports.many_pdfs import MANY, pdfs
from halfdrop.reports.pdf import pdf
from halfdrop.reports.picture import Bar, Label, Rule
from halfdrop.reports.terminal import WIDTH
from halfdrop.reports.volume_shown import PLACES, printed_inputs, printed_lines
from halfdrop.usecases.calibrate import CalibrationAnswer, calibrate_file, calibration_form
from tests.files.shelf_pages import CALIBRATION, HEAD, ROWS


def worked(folder: Path, text: str) -> CalibrationAnswer:
    (folder / "c.toml").write_text(text, encoding="utf-8")
    return calibrate_file(folder / "c.toml")


@pytest.fixture
def answer(tmp_path: Path) -> CalibrationAnswer:
    """Return the calibration of the form."""
    return worked(tmp_path, calibration_form().text)


def tables(report: Report) -> list[Table]:
    return [block for section in report.sections for block in section.blocks if isinstance(block, Table)]


def test_the_report_says_what_it_is_and_what_was_decided(answer: CalibrationAnswer) -> None:
    page = html(certificate(answer, answer.pieces[0]))

    assert "B07 is within its limit of ±0.05 mL, by simple acceptance." in page
    assert OWN_CHECK.replace("'", "&#x27;") in page
    assert "Tanaka et al., Metrologia 38 (2001)" in page
    assert "a drop fell beside the vessel" in page
    assert answer.read.digest in page


def test_every_delivery_stands_in_the_report(answer: CalibrationAnswer) -> None:
    weighings = tables(certificate(answer, answer.pieces[0]))[-1]

    assert len(weighings.rows) == len(answer.pieces[0].weighed.deliveries) == 31
    assert weighings.rows[0].tone == "aside"


def test_the_budget_in_the_report_ends_with_the_whole(answer: CalibrationAnswer) -> None:
    budget = next(
        one for one in tables(certificate(answer, answer.pieces[0])) if one.rows[-1].tone == "total"
    )
    parts = np.array([[float(str(cell[0]).lstrip("< ")) for cell in row.cells[1:]] for row in budget.rows])

    assert np.sqrt(np.square(parts[:-1]).sum(axis=0)) == pytest.approx(parts[-1], abs=2e-5)


def test_the_pdf_is_tagged_text_of_a_few_pages(answer: CalibrationAnswer) -> None:
    reader = PdfReader(io.BytesIO(pdf(certificate(answer, answer.pieces[0]))))
    text = " ".join(page.extract_text() for page in reader.pages)

    assert len(reader.pages) <= 4
    assert "not an accredited calibration certificate" in " ".join(text.split())
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]  # type: ignore[index]


def worked_out(formula: Expression, texts: dict[str, str]) -> Decimal:
    """Work a line out as a person with a calculator does, from the numbers that are printed."""
    if isinstance(formula, Symbol):
        return Decimal(texts[formula.name])
    if isinstance(formula, Number):
        return Decimal(formula.text)
    left, right = (worked_out(part, texts) for part in formula.args)
    return {"+": left + right, "-": left - right, "*": left * right, "/": left / (right or Decimal(1))}[
        formula.op
    ]


def test_retyping_the_printed_numbers_gives_each_printed_line(answer: CalibrationAnswer) -> None:
    piece = answer.pieces[0]
    for k, row in enumerate(piece.weighed.used):
        texts = printed_lines(printed_inputs(row, answer.read.session, 9.9e-6))
        for step in volume_working().steps.values():
            wanted = Decimal(texts[step.name])
            half = Decimal(5).scaleb(-PLACES[step.name] - 1)
            assert abs(worked_out(step.formula, texts) - wanted) <= half
        assert float(texts["C"]) == pytest.approx(float(piece.corrected.found_ml[0, k]), abs=1.1e-4)


def test_the_curve_shows_marks_limit_and_both_scales(answer: CalibrationAnswer) -> None:
    piece = answer.pieces[0]
    wide = tuple(float(x) for x in piece.compared.expanded_ml[0, :5])
    picture = correction_curve(Curve(piece.calibration, wide, 2.0, 0.05, 50.0))

    assert sum(isinstance(shape, Bar) for shape in picture.shapes) == 5
    assert sum(isinstance(shape, Rule) and shape.dashed for shape in picture.shapes) == 2
    words = {shape.text for shape in picture.shapes if isinstance(shape, Label)}
    assert {"limit ±0.05", "0.00", "+0.05", "−0.05", "0", "50"} <= words
    for shape in picture.shapes:
        if isinstance(shape, Bar):
            assert 0 <= shape.x <= picture.width
            assert 0 <= shape.y <= picture.height


def test_without_a_limit_there_is_no_band_and_no_judgement(tmp_path: Path) -> None:
    answer = worked(tmp_path, CALIBRATION.replace('limit_mL = "0.05"\n', ""))
    report = certificate(answer, answer.pieces[0])

    page = html(report)
    assert "was not held against a limit" in page
    figures = [b for s in report.sections for b in s.blocks if isinstance(b, Figure)]
    assert len(figures) == 1
    assert not [s for s in figures[0].picture.shapes if isinstance(s, Rule) and s.dashed]


def test_a_flask_has_no_curve(tmp_path: Path) -> None:
    head = (
        HEAD.replace('kind = "burette"', 'kind = "flask"')
        .replace('division_mL = "0.1"\n', "")
        .replace('tap = "PTFE"\n', "")
    )
    rows = "".join(f'[[weighing]]\nmass_g = "{49.86 + off / 1000:.4f}"\n' for off in (0, 3, -2, 1, -4))
    answer = worked(tmp_path, head + rows)

    report = certificate(answer, answer.pieces[0])

    assert not [b for s in report.sections for b in s.blocks if isinstance(b, Figure)]
    assert [s.title for s in report.sections][:3] == [
        "Verdict",
        "Corrections",
        "Where the uncertainty comes from",
    ]


def several(folder: Path) -> CalibrationAnswer:
    text = HEAD.replace('id = "B07"', 'ids = ["B/1", "B 2"]')
    for name in ("B/1", "B 2"):
        text += ROWS.replace("[[weighing]]", f'[[weighing]]\npiece = "{name}"')
    return worked(folder, text)


def test_several_pieces_go_to_a_folder_each_to_its_own_file(tmp_path: Path) -> None:
    answer, into = several(tmp_path), tmp_path / "out"
    into.mkdir()

    write_certificates(answer, html=into, pdf=into)

    assert sorted(path.name for path in into.iterdir()) == ["B-1.html", "B-1.pdf", "B-2.html", "B-2.pdf"]


def test_pieces_whose_names_come_out_alike_keep_a_file_each(tmp_path: Path) -> None:
    text = HEAD.replace('id = "B07"', 'ids = ["B/1", "B 1", "b-1"]')
    for name in ("B/1", "B 1", "b-1"):
        text += ROWS.replace("[[weighing]]", f'[[weighing]]\npiece = "{name}"')
    into = tmp_path / "out"
    into.mkdir()

    write_certificates(worked(tmp_path, text), html=into, pdf=None)

    assert sorted(path.name for path in into.iterdir()) == ["B-1-2.html", "B-1.html", "b-1-3.html"]


def test_many_reports_are_set_by_several_workers_and_come_out_the_same(answer: CalibrationAnswer) -> None:
    one = certificate(answer, answer.pieces[0])
    reports = [replace(one, title=f"Burette {k}") for k in range(MANY)]

    made = list(pdfs(reports, "a4"))

    assert len(made) == MANY
    assert made[7] == pdf(reports[7])


def test_each_report_says_what_was_noticed_about_its_own_piece(tmp_path: Path) -> None:
    text = HEAD.replace('id = "B07"', 'ids = ["B1", "B2"]').replace('limit_mL = "0.05"', 'limit_mL = "0.01"')
    for name in ("B1", "B2"):
        text += ROWS.replace("[[weighing]]", f'[[weighing]]\npiece = "{name}"')
    answer = worked(tmp_path, text)

    one, other = (html(certificate(answer, piece)) for piece in answer.pieces)

    assert "B1: whether it is within" in one
    assert "B2: whether" not in one
    assert "B2: whether it is within" in other


def test_several_pieces_and_one_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="has to be a folder"):
        write_certificates(several(tmp_path), html=None, pdf=tmp_path / "all.pdf")


def test_the_same_calibration_gives_the_same_bytes(answer: CalibrationAnswer) -> None:
    one, other = (pdf(certificate(answer, answer.pieces[0])) for _ in range(2))
    assert one == other


def test_the_terminal_says_the_same_within_its_width(answer: CalibrationAnswer) -> None:
    lines = list(calibration_lines(answer))

    assert max(map(len, lines)) <= WIDTH
    text = " ".join(" ".join(lines).split())
    assert "B07 is within its limit of ±0.05 mL" in text
    assert "+0.0071 0.0052 2.05 within" in text
    assert OWN_CHECK in text


def test_of_many_pieces_the_terminal_gives_a_line_each(tmp_path: Path) -> None:
    names = [f"B{k}" for k in range(6)]
    text = HEAD.replace('id = "B07"', f"ids = {names}".replace("'", '"'))
    text += "".join(ROWS.replace("[[weighing]]", f'[[weighing]]\npiece = "{name}"') for name in names)

    lines = list(calibration_lines(worked(tmp_path, text)))

    assert sum(line.startswith("Burette B") for line in lines) == 6
    assert not any("Standard uncertainty by cause" in line for line in lines)


def test_what_rounds_to_nothing_has_no_sign() -> None:
    assert (signed(-0.00004), signed(-0.0006), signed(0.02)) == ("0.000", "−0.001", "+0.020")
