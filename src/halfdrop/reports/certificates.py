"""A report on each piece that was calibrated: verdict, corrections, curve, budget, weighings."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from itertools import chain, count
from pathlib import Path

from halfdrop import __version__
from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.core.glassware.conditions import AIR_FORMULAS, WATER_FORMULAS, Balance
from halfdrop.core.glassware.thermal import DEFAULT_GLASS, Glass, find_glass
from halfdrop.core.measure.estimate import Estimate
from halfdrop.core.measure.rounding import report
from halfdrop.files.calibration import CalibrationRead
from halfdrop.files.weighings import Delivery
from halfdrop.reports.calibration_words import (
    OWN_CHECK,
    RULES,
    between,
    causes,
    corrections,
    coverage,
    scatter,
    signed,
    title,
    use,
    verdict,
    where,
)
from halfdrop.reports.content import (
    Block,
    Facts,
    Figure,
    Head,
    Notice,
    Paragraph,
    Quiet,
    Report,
    Section,
    Strong,
    Table,
    TableRow,
    Words,
    words,
)
from halfdrop.reports.correction_curve import Curve, correction_curve
from halfdrop.reports.documents import write_reports
from halfdrop.reports.parts.results import HEADINGS
from halfdrop.reports.volume_shown import volume_equations
from halfdrop.reports.words import minus, significant, with_like_decimals
from halfdrop.usecases.calibrate import CalibrationAnswer, PieceCalibrated

MOST_PAIRS = 6


def write_certificates(
    answer: CalibrationAnswer, *, html: Path | None, pdf: Path | None, paper: str = "a4", written_on: str = ""
) -> list[Path]:
    """Write a report on each piece, as HTML, as PDF, or both; nothing is written unless all can be.

    Args:
        answer: the calibrations.
        html: where to as HTML: a file for a single piece, a folder for any number; None for not.
        pdf: where to as PDF, likewise.
        paper: of the PDF, ``a4`` or ``letter``.
        written_on: day of writing, for the foot; left out when not given.

    Returns:
        The files that were written.

    Raises:
        Refused: with every reason why one of them cannot be written.
    """
    several = len(answer.pieces) > 1
    problems = [one for path in (html, pdf) if path is not None and several for one in _no_folder(path)]
    if problems:
        raise Refused(problems)
    names = _names(answer)
    reports = {
        (_to(html, names[one.id], ".html"), _to(pdf, names[one.id], ".pdf")): lambda one=one: certificate(
            answer, one, written_on
        )
        for one in answer.pieces
    }
    return write_reports(reports, paper)


def _no_folder(path: Path) -> Iterator[Finding]:
    if not path.is_dir():
        message = (
            f"There are several pieces, so {path} has to be a folder that is there: each gets its own file."
        )
        yield Finding(
            "report-needs-folder", Severity.REFUSED, message, Place(str(path)), {"given": str(path)}
        )


def _names(answer: CalibrationAnswer) -> dict[str, str]:
    """Return a file name for each piece: its identity with harmless signs, and no two alike."""
    names: dict[str, str] = {}
    taken: set[str] = set()
    for one in answer.pieces:
        plain = re.sub(r"[^A-Za-z0-9._-]+", "-", one.id).strip(".") or "piece"
        numbered = (f"{plain}-{k}" for k in count(2))
        name = next(each for each in chain([plain], numbered) if each.casefold() not in taken)
        taken.add(name.casefold())
        names[one.id] = name
    return names


def _to(path: Path | None, name: str, ending: str) -> Path | None:
    return path / f"{name}{ending}" if path is not None and path.is_dir() else path


def certificate(answer: CalibrationAnswer, one: PieceCalibrated, written_on: str = "") -> Report:
    """Return the report on one piece."""
    read = answer.read
    facts = (
        ("Date", read.date), ("By", read.by), ("Holds until", read.due), ("Way", read.way),
        ("Wait before reading", _seconds(read.waiting_s)), ("Time of a free run", _seconds(read.delivery_s)),
        ("Standard", " ".join(part for part in (one.weighed.piece.standard, _grade(one)) if part)),
    )  # fmt: skip
    return Report(
        title(one), "Gravimetric calibration", tuple((name, text) for name, text in facts if text), (),
        tuple(_sections(answer, one)),
        " · ".join((title(one), read.date, f"record {read.digest[:12]}")),
        f"Halfdrop {__version__}" + (f", {written_on}" if written_on else ""),
    )  # fmt: skip


def _seconds(value: float | None) -> str:
    return "" if value is None else f"{value:g} s"


def _grade(one: PieceCalibrated) -> str:
    grade = one.weighed.piece.glass_class
    return f"class {grade}" if grade else ""


def _sections(answer: CalibrationAnswer, one: PieceCalibrated) -> Iterator[Section]:
    read = answer.read
    lines = [Paragraph((line,)) for line in where(one)]
    yield Section(
        "Verdict",
        (
            Paragraph((Strong(verdict(one, read)),), "lead"), *lines,
            Paragraph(words("Decided by ", RULES[read.rule], "."), "quiet"),
            Paragraph((OWN_CHECK,)), *_notices(answer, one),
        ),
    )  # fmt: skip
    yield Section("Corrections", tuple(_corrections(one)))
    if len(one.corrected.marks_ml) > 1:
        yield Section("Between two marks", tuple(_pairs(one)))
    yield Section("Where the uncertainty comes from", tuple(_budget(one)))
    yield Section("Weighings", (_weighings(one),))
    yield Section("One of them worked out", tuple(_worked_out(one, read)))
    yield Section("Conditions and sources", (_conditions(one, read),))


def _notices(answer: CalibrationAnswer, one: PieceCalibrated) -> Iterator[Notice]:
    """Yield what was noticed about this piece."""
    places = {one.weighed.piece.place, *(row.place for row in one.weighed.deliveries)}
    for finding in answer.findings:
        if finding.place in places:
            weighty = finding.severity is not Severity.NOTE
            yield Notice(HEADINGS[finding.severity], str(finding.place), finding.message, weighty)


def _corrections(one: PieceCalibrated) -> Iterator[Block]:
    heads = (
        Head(words("mark"), "mL", numeric=True), Head(words("correction"), "mL", numeric=True),
        Head(words("± expanded"), "mL", numeric=True), Head(words("k"), numeric=True),
        Head(words("against the limit")),
    )  # fmt: skip
    rows = tuple(TableRow(tuple(words(cell) for cell in row)) for row in corrections(one))
    piece = one.weighed.piece
    if piece.division_ml is not None:
        seen, place = one.compared, one.place
        wide = tuple(float(seen.expanded_ml[place, k]) for k in range(len(rows)))
        k = float(seen.k[place, : len(rows)].max())
        curve = Curve(one.calibration, wide, k, one.weighed.limit_ml, float(piece.capacity_ml or 0))
        yield Paragraph((Strong(_curve_title(one)),), "lead")
        yield Figure(correction_curve(curve), "", _curve_alt(one))
    caption = words("To be added to a reading. ", Quiet(coverage()))
    yield Table(caption, heads, rows)
    yield Paragraph((use(one),))
    if piece.division_ml is not None:
        yield Paragraph((between(one),), "quiet")


def _curve_title(one: PieceCalibrated) -> str:
    start, stop, error, _ = one.worst()
    return f"The correction changes most from {start:g} to {stop:g} mL, by {signed(-error)} mL."


def _curve_alt(one: PieceCalibrated) -> str:
    points = "; ".join(f"at {mark} mL {value} ± {wide}" for mark, value, wide, _, _ in corrections(one))
    limit = one.weighed.limit_ml
    band = f" The limit is a band of ±{limit:g} mL." if limit is not None else ""
    return f"Correction against reading, in mL: {points}.{band}"


def _pairs(one: PieceCalibrated) -> Iterator[Block]:
    """Yield the largest errors between two levels; the record has them all."""
    seen, place = one.compared, one.place
    levels = [0.0, *one.corrected.marks_ml.tolist()]
    order = sorted(range(len(seen.pairs)), key=lambda k: -abs(seen.errors_ml[place, k]))[:MOST_PAIRS]
    judged = one.weighed.limit_ml is not None
    rows = []
    for k in order:
        a, b = seen.pairs[k]
        shown = report(float(seen.errors_ml[place, k]), float(seen.expanded_ml[place, k]))
        decided = ("within", "out", "cannot decide")[int(seen.codes[place, k])] if judged else ""
        cells = (f"{levels[a]:g}", f"{levels[b]:g}", minus(shown.value), shown.uncertainty, decided)
        rows.append(TableRow(tuple(words(cell) for cell in cells)))
    heads = (
        Head(words("from"), "mL", numeric=True), Head(words("to"), "mL", numeric=True),
        Head(words("error"), "mL", numeric=True), Head(words("± expanded"), "mL", numeric=True),
        Head(words("against the limit")),
    )  # fmt: skip
    yield Paragraph(
        words(
            "The limit holds for any two levels, because a titre is the difference of two readings. An error "
            "is the volume read less the volume delivered. What the two levels share does not count between "
            "them."
        )
    )
    yield Table(words(f"The largest {len(rows)} of {len(seen.pairs)}."), heads, tuple(rows))


def _budget(one: PieceCalibrated) -> Iterator[Block]:
    parts, marks = causes(one), one.corrected.marks_ml
    chosen = range(len(marks)) if len(marks) <= MOST_PAIRS else sorted({0, len(marks) // 2, len(marks) - 1})
    texts = with_like_decimals([values[k] for _, values in parts for k in chosen])
    count = len(chosen)
    rows = [
        TableRow((words(name), *(words(text) for text in texts[count * r : count * (r + 1)])))
        for r, (name, _) in enumerate(parts)
    ]
    total = with_like_decimals([float(one.corrected.u_ml[one.place, k]) for k in chosen])
    rows.append(TableRow((words("together"), *(words(text) for text in total)), "total"))
    heads = (Head(words("from")), *(Head(words(f"at {marks[k]:g} mL"), "mL", numeric=True) for k in chosen))
    yield Table(
        words("Standard uncertainty of the correction. ", Quiet("Parts add as squares.")), heads, tuple(rows)
    )
    yield Paragraph(words("Repeatability: ", scatter(one), "."), "quiet")


def _weighings(one: PieceCalibrated) -> Table:
    heads = (
        Head(words("run")), Head(words("from"), "mL", numeric=True), Head(words("to"), "mL", numeric=True),
        Head(words("weighed"), "g"), Head(words("volume at 20 °C"), "mL", numeric=True),
        Head(words("correction"), "mL", numeric=True), Head(words("off the fit"), "mL", numeric=True),
    )  # fmt: skip
    used = iter(range(one.weighed.pattern.deliveries))
    rows = tuple(_weighing(one, row, None if row.left_out else next(used)) for row in one.weighed.deliveries)
    note = Quiet("Levels as read; a delivery that is left out keeps its place, with the reason.")
    return Table(words("Every delivery, in the order written. ", note), heads, rows)


def _weighing(one: PieceCalibrated, row: Delivery, k: int | None) -> TableRow:
    first = (row.run, f"{row.start:f}", f"{row.stop:f}", minus(row.written))
    if k is None:
        cells: tuple[Words, ...] = (
            *(words(cell) for cell in first[:3]),
            words(f"{first[3]}: {row.left_out}"),
        )
        return TableRow((*cells, (), (), ()), "aside")
    flat = one.place * one.weighed.pattern.deliveries + k
    volume = float(one.corrected.evaluation.lines["V_20"][flat])
    numbers = (
        f"{volume:.4f}", signed(float(one.corrected.found_ml[one.place, k]), 4),
        signed(float(one.corrected.residuals_ml[one.place, k]), 4),
    )  # fmt: skip
    return TableRow(tuple(words(cell) for cell in (*first, *numbers)))


def _worked_out(one: PieceCalibrated, read: CalibrationRead) -> Iterator[Block]:
    row = one.weighed.used[0]
    yield Paragraph(
        words(
            f"The first delivery that is used, to {row.stop_mark:f} mL in run {row.run}. The equation is "
            "that of ISO 4787 and ISO 8655-6; the same lines give every volume above and its uncertainty."
        )
    )
    yield from volume_equations(row, read.session, _glass(one).gamma_per_c)


def _glass(one: PieceCalibrated) -> Glass:
    return find_glass(one.weighed.piece.material)[0] or DEFAULT_GLASS


def _conditions(one: PieceCalibrated, read: CalibrationRead) -> Facts:
    session = read.session
    air, balance, glass = session.air, session.balance, _glass(one)
    pairs: list[tuple[str, Words]] = [
        ("Water", words(_estimate(session.water_c, "°C"))),
        (
            "Its density",
            words(session.water_formula, ". ", Quiet(WATER_FORMULAS[session.water_formula].source)),
        ),
    ]
    if air.given_kg_m3 is not None:
        pairs.append(("Density of the air", words(_estimate(air.given_kg_m3, "kg/m³"))))
    else:
        measured = (
            _estimate(air.temperature_c, "°C"), _estimate(air.pressure_hpa, "hPa"),
            _estimate(air.humidity_percent, "% humidity"),
        )  # fmt: skip
        pairs.append(("Air", words("; ".join(measured))))
        pairs.append(("Its density", words(air.formula, ". ", Quiet(AIR_FORMULAS[air.formula].source))))
    pairs += [
        ("Balance", words(_balance_words(balance))),
        ("Weights", words(_estimate(balance.weights_kg_m3, "kg/m³"))),
        ("Evaporation", words(_evaporation(session.lost_g))),
        ("Glass", words(f"{glass.name}, {significant(glass.gamma_per_c)} per °C. ", Quiet(glass.source))),
        ("Limit", words(_limit(one), Quiet(one.weighed.limit_source))),
    ]  # fmt: skip
    if read.notes:
        pairs.append(("Notes", words("; ".join(read.notes))))
    pairs.append(("Record", words(f"{read.file}, SHA-256 {read.digest}")))
    return Facts(tuple(pairs))


def _estimate(one: Estimate, unit: str) -> str:
    u = float(one.u)
    shown = (
        minus(report(float(one.value), u).text()) if u else f"{Decimal(repr(float(one.value))).normalize():f}"
    )
    how = f", {one.shape.value}" if u else ""
    return f"{shown} {unit}{how}{f' ({one.source})' if one.source not in ('', 'as given') else ''}"


def _balance_words(balance: Balance) -> str:
    parts = [
        f"linearity ±{1000 * balance.linearity_g:g} mg" if balance.linearity_g else "",
        f"repeatability {1000 * balance.repeatability_g:g} mg" if balance.repeatability_g else "",
        f"step {1000 * balance.step_g:g} mg" if balance.step_g else "",
    ]
    said = ", ".join(part for part in parts if part) or "nothing known"
    return f"{balance.id}: {said}"


def _evaporation(lost: Estimate) -> str:
    shown = (
        report(1000 * float(lost.value), 1000 * float(lost.u)).text()
        if float(lost.u)
        else f"{1000 * float(lost.value):g}"
    )
    return f"{shown} mg for each delivery, {lost.shape.value} ({lost.source})"


def _limit(one: PieceCalibrated) -> str:
    limit = one.weighed.limit_ml
    return "none known. " if limit is None else f"±{limit:g} mL. "
